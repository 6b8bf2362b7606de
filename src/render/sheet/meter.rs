//! The meter test: a known volume against what the console shows.

use super::factor::{Compared, Extent, limit, put_right};
use super::heading::heading;
use super::html::{Html, element};
use super::piece::{Piece, cell, circle, column, labeled, row, table};
use crate::draft::{Field, Form, Part};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;

const COMPARED: Compared = Compared {
    shown: "shown",
    known: "known",
    pulses_per: "if pulses per volume",
    per_pulse: "if volume per pulse",
    off: "Off: engine off, release pressure, clean meter and strainer.",
    off_twice: ["Test again. Off twice alike:", "retest"],
};

/// The columns of a test, by their keys and what they are called here.
const COLUMNS: [(&str, &str); 3] = [
    ("known-volume", "known"),
    ("duration", "minutes"),
    ("shown", "shown"),
];

/// The meter test of a form.
pub(super) fn meter(form: &Form, part: &Part, extent: Extent) -> Piece {
    let known = form.at(Field::Meter(0, "known-volume"));
    let last = known.and_then(|entry| entry.last.as_deref());
    let last = last.and_then(|last| Quantity::parse(last, &[Dimension::VOLUME]).ok());
    let head = COLUMNS.map(|(key, label)| {
        let entry = form.at(Field::Meter(0, key));
        column(&entry.map_or_else(|| label.to_owned(), |entry| labeled(entry, label)))
    });
    let head = [column("test")]
        .into_iter()
        .chain(head)
        .chain([column("shown ÷ known")]);
    let tests = extent.tests().iter().enumerate();
    let rows = tests.map(|(round, label)| row_of(form, round, label));
    let caption = "Known volume and what the console shows";
    let rows = table("wide", caption, head.collect(), rows.collect());
    let factors = ["before", "after"].map(|key| form.at(Field::Meter(1, key)));
    let meaning = part.factor.as_ref();
    let pieces = [
        heading(form, part),
        limit(part, &COMPARED, last),
        form.at(Field::Meter(0, "known-by")).map(circle),
        Some(rows),
        meaning.and_then(|meaning| put_right(meaning, factors, &COMPARED, extent)),
    ];
    pieces.into_iter().flatten().collect()
}

fn row_of(form: &Form, round: usize, label: &str) -> Html {
    let cells = COLUMNS.map(|(key, _)| cell(form.at(Field::Meter(round, key))));
    let all = [row(label)].into_iter().chain(cells).chain([cell(None)]);
    element("tr", all)
}
