//! The section balance: what is read with each section off, against all sections on.

use super::heading::heading;
use super::html::{Html, element};
use super::lines::shares;
use super::piece::{
    Piece, Tenths, blank, boxes, cell, circle, column, labeled, last, named, row, table, to_do,
    value,
};
use crate::draft::{Field, Form, Kind, Part};
use crate::quantity::dimension::Dimension;
use crate::words::phrases::shortened;

/// The head of the sections, of one line.
const HEAD: Tenths = 44;

/// The section balance of a form.
pub(super) fn balance(form: &Form, part: &Part) -> Option<Piece> {
    let at = |key| form.at(Field::Balance(key));
    let all_on = at("all-on")?;
    let is_by_pressure = matches!(&all_on.kind, Kind::Quantity(dimensions, _) if dimensions.contains(&Dimension::PRESSURE));
    let on = last(all_on).unwrap_or_default();
    let on = named(all_on, &labeled(all_on, "all on"), &on);
    let speed = at("entered-speed").map(value);
    let conditions = speed.into_iter().chain([on]).chain(limits(part));
    let conditions: Vec<Html> = conditions.collect();
    let in_a_row = conditions.len();
    let sections = (0..form.sections.len()).filter_map(|at| off(form, at));
    let head = ["as found", "as left"].map(|label| column(&labeled(all_on, label)));
    let head = [column("section off")].into_iter().chain(head);
    let sections_off = table(
        "wide off",
        "What is read with each section off",
        head.collect(),
        sections.collect(),
    );
    let pieces = [
        heading(form, part),
        at("rate-control").map(circle),
        Some(boxes(conditions, in_a_row)),
        Some(Piece {
            fixed: HEAD,
            ..sections_off
        }),
        Some(what_to_do(is_by_pressure)),
    ];
    Some(pieces.into_iter().flatten().collect())
}

fn off(form: &Form, at: usize) -> Option<Html> {
    let found = form.at(Field::Off(at, "as-found"))?;
    let name = form.sections.get(at)?.name.as_deref().unwrap_or_default();
    let cells = [
        row(&shortened(name, 40)),
        cell(Some(found)),
        cell(form.at(Field::Off(at, "as-left"))),
    ];
    Some(element("tr", cells))
}

/// Boxes for the limits, which go by what all on reads; none where no limit is in force.
fn limits(part: &Part) -> Vec<Html> {
    let lines = part.ratios.and_then(shares);
    let lines = lines.map(|(low, high)| {
        [
            blank(&format!("all on × {low}"), "= low"),
            blank(&format!("all on × {high}"), "= high"),
        ]
    });
    lines.into_iter().flatten().collect()
}

fn what_to_do(is_by_pressure: bool) -> Piece {
    let first = if is_by_pressure {
        "If a console controls the rate, set rate control to manual."
    } else {
        "Rate control to manual. Check each section's entered width."
    };
    let mend = "Low: close its bypass a little. High: open it. Match all on.";
    to_do(&[first, mend].map(str::to_owned))
}
