//! The catch test: each nozzle with its target, its lines, what it gave last, and boxes to write in.

use super::fit::{Block, NOZZLES_HEAD};
use super::heading::heading;
use super::html::{Html, element, empty, of_class, text, with};
use super::piece::{Piece, blank, boxes, column, labeled, last, named, row, to_do, value, wide};
use crate::draft::{Aim, Entry, Field, Form, Part};
use crate::wording::visit;
use crate::words::phrases::shortened;
use std::iter;

/// So many nozzles of a section stay together in a column, under its name; those of a larger section stand in groups.
const LARGEST_GROUP: usize = 8;

/// A wet jug weighs more than a dry one, and each catch leaves it wet.
const SCALE: &str = "scale: zero it with the empty wet jug on it";

/// The catch test of a form: what stands above its nozzles, the nozzles, and what stands below.
pub(super) fn catch(form: &Form, part: &Part) -> Option<Vec<Block>> {
    let groups = groups(form);
    let sizes = groups.iter().map(|group| group.nozzles.len()).collect();
    Some(vec![
        Block::whole(
            [heading(form, part)?, conditions(form)]
                .into_iter()
                .collect(),
        ),
        Block {
            piece: Piece::new(nozzles(form, &groups), NOZZLES_HEAD, 0),
            groups: sizes,
        },
        Block::whole(below(form, part, &groups)),
    ])
}

/// What the catch is made with.
fn conditions(form: &Form) -> Piece {
    let at = |field| form.at(field);
    // A unit that is known stands in the head of the boxes.
    let unit = form.catch_unit().is_none().then_some("unit");
    let values = |keys: &[&'static str]| {
        let entries = keys.iter().filter_map(|key| at(Field::Catch(0, key)));
        entries.map(value).collect::<Vec<_>>()
    };
    let scale = form.is_weighed().then(|| {
        let scale = at(Field::Catch(0, "scale"));
        // It takes the room of two boxes.
        [wide(scale, SCALE), Html::default()]
    });
    let first = values(&["pressure", "duration", "jug"]).into_iter();
    let first = first.chain(scale.into_iter().flatten());
    let first = first.chain(values(&["gauge", "watch"]));
    let first = first.chain(unit.map(|unit| values(&[unit])).into_iter().flatten());
    let again = at(Field::Catch(1, "pressure"));
    let again = again.map(|entry| named(entry, &labeled(entry, "pressure again"), ""));
    let end = at(Field::Visit("boom-end-pressure"));
    let end = end.map(|entry| {
        named(
            entry,
            &labeled(entry, "boom end"),
            &last(entry).unwrap_or_default(),
        )
    });
    boxes(first.chain(again).chain(end).collect(), 4)
}

/// Nozzles beside each other that stand together on the sheet.
struct Group<'f> {
    name: Option<&'f str>,
    nozzles: Vec<&'f Entry>,
}

/// Every nozzle of the first catch, left to right, in groups of one section each.
fn groups(form: &Form) -> Vec<Group<'_>> {
    let mut groups = Vec::new();
    for (at, section) in form.sections.iter().enumerate() {
        let is_in = |entry: &&Entry| matches!(entry.field, Field::Nozzle { round: 0, section, .. } if section == at);
        let nozzles: Vec<&Entry> = form.entries().filter(is_in).collect();
        let parts = nozzles.len().div_ceil(LARGEST_GROUP).max(1);
        let size = nozzles.len().div_ceil(parts).max(1);
        groups.extend(nozzles.chunks(size).map(|nozzles| Group {
            name: section.name.as_deref(),
            nozzles: nozzles.to_vec(),
        }));
    }
    groups
}

fn nozzles(form: &Form, groups: &[Group<'_>]) -> Html {
    let unit = form.catch_unit();
    let unit = unit.map_or_else(String::new, |unit| format!(", {unit}"));
    let has_names = form.sections.iter().any(|section| section.name.is_some());
    let names = has_names.then_some("section");
    let widths = names.into_iter().chain(["number", "aim", "last"]);
    let widths = widths.map(|class| empty("col", &[("class", class)]));
    let lines = element("small", [text("low to high")]);
    let head = names.map(column).into_iter().chain([
        column("no."),
        with("th", &[("scope", "col")], [text("target"), lines]),
        with("th", &[("scope", "col"), ("class", "last")], [text("last")]),
        column(&format!("as found{unit}")),
        column("again, as left"),
    ]);
    let caption = "Output of each nozzle, left to right from the seat, facing forward";
    let columns = if has_names { "6" } else { "5" };
    let mut nozzles = groups.iter().flat_map(|group| &group.nozzles);
    let is_aimed = nozzles.any(|nozzle| nozzle.aim.is_some());
    let hold_only = hold_only(form, columns).filter(|_| is_aimed);
    let head = hold_only.into_iter().chain([element("tr", head)]);
    let inside = [
        of_class("caption", "heard", [text(caption)]),
        element("colgroup", widths),
        element("thead", head),
    ];
    let bodies = groups.iter().map(|group| body(form, group, has_names));
    of_class("table", "nozzles", inside.into_iter().chain(bodies))
}

/// What the targets and limits of the nozzles hold for: those of another pressure or time would pass worn tips.
fn hold_only(form: &Form, columns: &str) -> Option<Html> {
    let aimed = |key| {
        let entry = form.at(Field::Catch(0, key))?;
        Some(format!(
            "{} {}",
            entry.aim?.target_shown(),
            entry.kind.unit()
        ))
    };
    let held = [aimed("pressure")?].into_iter().chain(aimed("duration"));
    let held = held.collect::<Vec<_>>().join(" and ");
    let attributes = [
        ("class", "only"),
        ("scope", "colgroup"),
        ("colspan", columns),
    ];
    let words = text(&format!("Targets and limits hold only at {held}"));
    Some(element("tr", [with("th", &attributes, [words])]))
}

fn body(form: &Form, group: &Group<'_>, has_names: bool) -> Html {
    let count = group.nozzles.len().to_string();
    let attributes = [
        ("scope", "rowgroup"),
        ("rowspan", count.as_str()),
        ("class", "section"),
    ];
    // A small group has room for a short name.
    let most = 12 + 12 * group.nozzles.len().min(4);
    let name = shortened(group.name.unwrap_or_default(), most);
    let mut name = has_names.then(|| with("th", &attributes, [text(&name)]));
    let rows = group.nozzles.iter().map(|nozzle| {
        let cells = cells(form, nozzle);
        element("tr", name.take().into_iter().chain(cells))
    });
    element("tbody", rows)
}

fn cells(form: &Form, nozzle: &Entry) -> Vec<Html> {
    let Field::Nozzle {
        section,
        position,
        number,
        ..
    } = nozzle.field
    else {
        return Vec::new();
    };
    let again = Field::Nozzle {
        round: 1,
        section,
        position,
        number,
    };
    let last = shortened(nozzle.last.as_deref().unwrap_or_default(), 8);
    let empty = |entry: Option<&Entry>| {
        let key = entry.map_or("", |entry| entry.key.as_str());
        with("td", &[("class", "box"), ("data-value", key)], [])
    };
    vec![
        row(&number.to_string()),
        of_class("td", "aim", nozzle.aim.iter().flat_map(aim)),
        of_class("td", "last", [text(&last)]),
        empty(Some(nozzle)),
        empty(form.at(again)),
    ]
}

fn aim(aim: &Aim) -> Vec<Html> {
    let target = element("b", [text(&aim.target_shown())]);
    let lines = aim.lines_shown();
    let lines = lines.map(|(low, high)| element("small", [text(&format!("{low} to {high}"))]));
    iter::once(target).chain(lines).collect()
}

/// What the average should come to, in the little room of its box.
fn average(aim: Aim) -> String {
    let target = aim.target_shown();
    match aim.lines_shown() {
        Some((low, high)) => format!("{target}: {low} to {high}"),
        None => format!("target {target}"),
    }
}

/// The sum, and what to do in the usual cases.
fn below(form: &Form, part: &Part, groups: &[Group<'_>]) -> Piece {
    let mut nozzles = groups.iter().flat_map(|group| &group.nozzles);
    let count: usize = groups.iter().map(|group| group.nozzles.len()).sum();
    let aim = nozzles.find_map(|nozzle| nozzle.aim);
    let average = part.average.map_or_else(String::new, average);
    let sums = vec![
        blank("sum of the boom", ""),
        blank(&format!("sum ÷ {count} = average"), &average),
        blank("how many low", ""),
        blank("how many high", ""),
    ];
    let (low, high) = match aim.and_then(|aim| aim.lines_shown()) {
        Some((low, high)) => (format!("Under {low}"), format!("Over {high}")),
        None => ("Low".to_owned(), "High".to_owned()),
    };
    let read_with = if form.is_weighed() { "scale" } else { "jug" };
    let things = [
        format!(
            "{low}: engine off, pressure released. Clean the tip and its strainer, catch again. Still low: swap the tip with a \
             neighbor. If the problem moves with the tip, replace it. If not, check the check valve, the nozzle body, and the hose."
        ),
        format!("{high}: check tip size, catch again. Still high: new tip."),
        format!(
            "Several high, or the average off target: check {read_with}, seconds, and gauge before you buy tips."
        ),
        visit::WRITE_MISSED.to_owned(),
    ];
    [boxes(sums, 4), to_do(&things)].into_iter().collect()
}
