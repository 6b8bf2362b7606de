//! The speed test: a course, the seconds of each run, and what the console shows.

use super::factor::{Compared, limit, working};
use super::heading::heading;
use super::html::{Html, element};
use super::lines::shares;
use super::piece::{
    Piece, boxes, cell, circles, column, labeled, named, paragraph, row, table, to_do, value,
};
use crate::draft::{Entry, Field, Form, Part, time_of_a_course};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;

const COMPARED: Compared = Compared {
    shown: "shown",
    known: "course",
    pulses_per: "if pulses per distance",
    per_pulse: "if distance per pulse",
};

/// What to do where the speed that is driven is off.
const DRIVE: &str = "Off: drive in the gear and at the throttle of the setup, or correct the speed in the machine file. Drive \
    the course again.";

/// The speed test of a form; a small one has only the runs as found.
pub(super) fn speed(form: &Form, part: &Part, is_small: bool) -> Piece {
    let at = |key| form.at(Field::Speed(0, key));
    let course = at("distance").and_then(|entry| entry.usual.as_deref());
    let course = course.and_then(|text| Quantity::parse(text, &[Dimension::LENGTH]).ok());
    let conditions = ["distance", "measured-by", "watch"];
    let conditions = conditions.into_iter().filter_map(at);
    let conditions = conditions.map(|entry| match (entry.field, &entry.usual) {
        (Field::Speed(_, "distance"), None) => course_to_choose(form, entry),
        _ => value(entry),
    });
    let put_right = if part.is_driven {
        Some(to_do(&[DRIVE.to_owned()]))
    } else {
        let meaning = part.factor.as_ref().filter(|_| !is_small);
        meaning.map(|meaning| working(meaning, [at("before"), at("after")], &COMPARED))
    };
    let pieces = [
        heading(form, part),
        seconds(form, part).filter(|_| part.is_driven),
        limit(part, &COMPARED, course).filter(|_| !part.is_driven),
        Some(boxes(conditions.collect(), 3)),
        Some(circles(["surface", "tank"].into_iter().filter_map(at))),
        Some(runs(form, part, if is_small { 1 } else { 2 })),
        put_right,
    ];
    pieces.into_iter().flatten().collect()
}

/// The box of a course that no visit had before: how long some course takes.
fn course_to_choose(form: &Form, course: &Entry) -> Html {
    let time = form.setup.speed.as_deref().and_then(time_of_a_course);
    let time = time.map_or_else(String::new, |(length, time)| format!("{length} in {time}"));
    named(course, &labeled(course, &course.label), &time)
}

/// How long a course takes where the speed is driven, and how far off the time may be.
fn seconds(form: &Form, part: &Part) -> Option<Piece> {
    let speed = form.setup.speed.as_deref()?;
    let aim = form.at(Field::Run(0, 0, "elapsed"))?.aim;
    let words = match (aim, aim.and_then(|aim| aim.lines_shown()), part.ratios) {
        (Some(aim), Some((low, high)), _) => {
            format!(
                "Right at {speed}: {} s, {low} to {high}.",
                aim.target_shown()
            )
        }
        (Some(aim), None, _) => format!("At {speed}: {} s.", aim.target_shown()),
        (None, _, Some(ratios)) => {
            let (low, high) = shares(ratios)?;
            format!("Right at {speed}: {low} to {high} × the target time of your course.")
        }
        (None, _, None) => return None,
    };
    Some(paragraph("target", &words))
}

/// The runs, so many times, and their average.
fn runs(form: &Form, part: &Part, times: usize) -> Piece {
    let seconds = form.at(Field::Run(0, 0, "elapsed"));
    let shown = form.at(Field::Run(0, 0, "shown"));
    let shown = shown.map(|entry| labeled(entry, "shown"));
    let target = seconds.and_then(|entry| entry.aim);
    let target = target.map_or_else(String::new, |aim| {
        format!(", target {}", aim.target_shown())
    });
    let labels = |target: &str, again: &str| {
        let seconds = format!("seconds{target}{again}");
        let shown = shown.as_ref().map(|shown| format!("{shown}{again}"));
        [seconds]
            .into_iter()
            .chain(shown)
            .map(|label| column(&label))
    };
    let first: Vec<Html> = labels(&target, "").collect();
    let width = first.len();
    let again = (1 < times).then(|| labels("", ", again"));
    let columns = first.into_iter().chain(again.into_iter().flatten());
    let head = [column("run")].into_iter().chain(columns).collect();
    let run = |run: usize| {
        let cells = (0..times).flat_map(|round| {
            let elapsed = form.at(Field::Run(round, run, "elapsed"));
            let shown = form.at(Field::Run(round, run, "shown"));
            let shown = (!part.is_driven).then(|| cell(shown));
            std::iter::once(cell(elapsed)).chain(shown)
        });
        let number = row(&(run + 1).to_string());
        element("tr", std::iter::once(number).chain(cells))
    };
    let blanks = (0..times * width).map(|_| cell(None));
    let average = element("tr", std::iter::once(row("average")).chain(blanks));
    let rows: Vec<Html> = (0..form.runs()).map(run).chain([average]).collect();
    table("wide", "Each run of the speed course", head, rows)
}
