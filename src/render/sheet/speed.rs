//! The speed test: a course, the seconds of each run, and what the console shows.

use super::factor::{Compared, Extent, limit, put_right};
use super::heading::heading;
use super::html::{Html, element, of_class, text, with};
use super::lines::shares;
use super::piece::{
    Piece, TABLE_HEAD, boxes, cell, circles, column, labeled, named, paragraph, row, to_do, value,
};
use crate::draft::{Entry, Field, Form, Part, time_of_a_course};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::words::phrases::shortened;
use std::iter;

const COMPARED: Compared = Compared {
    shown: "shown",
    known: "course",
    pulses_per: "if pulses per distance",
    per_pulse: "if distance per pulse",
    off: "Off: check tire pressure and course length, drive again.",
    off_twice: ["Off twice alike:", "drive again"],
};

/// What to do where the speed that is driven is off.
const DRIVE: &str = "Off: drive in the gear and at the throttle of the setup, or correct the speed in the machine file. Drive \
    the course again.";

/// The speed test of a form.
pub(super) fn speed(form: &Form, part: &Part, extent: Extent) -> Piece {
    let at = |key| form.at(Field::Speed(0, key));
    let course = at("distance").and_then(|entry| entry.usual.as_deref());
    let course = course.and_then(|text| Quantity::parse(text, &[Dimension::LENGTH]).ok());
    let conditions = ["distance", "measured-by", "watch"];
    let conditions = conditions.into_iter().filter_map(at);
    let conditions = conditions.map(|entry| match (entry.field, &entry.usual) {
        (Field::Speed(_, "distance"), None) => course_to_choose(form, entry),
        (Field::Speed(_, "distance"), Some(usual)) => usual_course(form, entry, usual),
        _ => value(entry),
    });
    let put_right = if part.is_driven {
        Some(to_do(&[DRIVE.to_owned()]))
    } else {
        let factors = ["before", "after"].map(|key| form.at(Field::Speed(1, key)));
        let meaning = part.factor.as_ref();
        meaning.and_then(|meaning| put_right(meaning, factors, &COMPARED, extent))
    };
    let pieces = [
        heading(form, part),
        seconds(form, part).filter(|_| part.is_driven),
        limit(part, &COMPARED, course).filter(|_| !part.is_driven),
        Some(boxes(conditions.collect(), 3)),
        Some(circles(["surface", "tank"].into_iter().filter_map(at))),
        Some(runs(form, part, tests(part, extent))),
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

/// The box of the usual course: how long it takes at the speed of the setup.
fn usual_course(form: &Form, course: &Entry, usual: &str) -> Html {
    let aim = form
        .at(Field::Run(0, 0, "elapsed"))
        .and_then(|entry| entry.aim);
    let time = aim.map(|aim| format!(" in {} s", aim.target_shown()));
    let words = format!("usual {}{}", shortened(usual, 16), time.unwrap_or_default());
    named(course, &labeled(course, &course.label), &words)
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

/// How the tests are called: of a speed that is driven nothing is corrected.
fn tests(part: &Part, extent: Extent) -> &'static [&'static str] {
    let tests = extent.tests();
    let most = if part.is_driven { 2 } else { tests.len() };
    &tests[..most.min(tests.len())]
}

/// The runs of each test, beside each other, and their average.
fn runs(form: &Form, part: &Part, tests: &[&str]) -> Piece {
    let shown = form.at(Field::Run(0, 0, "shown"));
    let shown = shown.map(|entry| labeled(entry, "shown"));
    let labels = iter::once("seconds".to_owned()).chain(shown);
    let labels: Vec<String> = labels.collect();
    let run = |run: usize| {
        let cells = (0..tests.len()).flat_map(|round| {
            let elapsed = form.at(Field::Run(round, run, "elapsed"));
            let shown = form.at(Field::Run(round, run, "shown"));
            let shown = (!part.is_driven).then(|| cell(shown));
            iter::once(cell(elapsed)).chain(shown)
        });
        let number = row(&(run + 1).to_string());
        element("tr", iter::once(number).chain(cells))
    };
    let blanks = (0..tests.len() * labels.len()).map(|_| cell(None));
    let average = element("tr", iter::once(row("average")).chain(blanks));
    let rows: Vec<Html> = (0..form.runs()).map(run).chain([average]).collect();
    let count = rows.len();
    let inside = [
        of_class("caption", "heard", [text("Each run of the speed course")]),
        element("thead", head(tests, &labels)),
        element("tbody", rows),
    ];
    Piece::new(of_class("table", "wide runs", inside), TABLE_HEAD, count)
}

/// Two rows: the tests, and what is read in each.
fn head(tests: &[&str], labels: &[String]) -> [Html; 2] {
    let width = labels.len().to_string();
    let across = [("scope", "colgroup"), ("colspan", width.as_str())];
    let named = tests.iter().map(|test| with("th", &across, [text(test)]));
    let down = [("scope", "col"), ("rowspan", "2")];
    let first = iter::once(with("th", &down, [text("run")])).chain(named);
    let second = tests
        .iter()
        .flat_map(|_| labels.iter().map(|label| column(label)));
    [element("tr", first), element("tr", second)]
}
