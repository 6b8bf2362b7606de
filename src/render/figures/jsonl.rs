//! The figures as JSON lines, every digit of them.

use crate::render::Harmless;
use crate::render::format::{FigureFormat, FigureWriter};
use crate::render::jsonl::push_line;
use crate::report::{FigureRow, RowPlace};
use crate::words::dates;
use serde::Serialize;

/// Changes when a field is renamed, removed or changes its meaning; not when one is added.
const SCHEMA_VERSION: u32 = 1;

/// The format.
pub(super) static FORMAT: FigureFormat = FigureFormat {
    name: "jsonl",
    about: "A JSON object a line",
    writer: |_| Box::new(JsonlWriter),
};

/// One JSON object a figure.
struct JsonlWriter;

impl FigureWriter for JsonlWriter {
    fn machine(&mut self, rows: &[FigureRow]) -> Harmless {
        let mut out = String::new();
        for row in rows {
            push_line(&mut out, &Line::new(row));
        }
        Harmless::json(&out)
    }
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct Line<'a> {
    schema_version: u32,
    machine: &'a str,
    date: Option<String>,
    setup: Option<&'a str>,
    figure: &'a str,
    part: &'a str,
    stage: Option<&'a str>,
    value: Option<f64>,
    expanded_uncertainty: Option<f64>,
    unit: &'a str,
    not_known_because: Option<&'a str>,
    place: PlaceFields<'a>,
    contributions: Vec<ContributionFields<'a>>,
    worked_out: Option<&'a str>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct PlaceFields<'a> {
    path: &'a str,
    line: u32,
    column: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ContributionFields<'a> {
    what: &'a str,
    share: f64,
    place: Option<PlaceFields<'a>>,
}

impl<'a> Line<'a> {
    fn new(row: &'a FigureRow) -> Self {
        let FigureRow {
            figure,
            machine,
            date,
            setup,
            stage,
            part,
            value,
            expanded,
            unit,
            place,
            contributions,
            working,
        } = row;
        Self {
            schema_version: SCHEMA_VERSION,
            machine,
            date: date.map(dates::date),
            setup: setup.as_deref(),
            figure,
            part,
            stage: *stage,
            value: value.as_ref().ok().copied(),
            expanded_uncertainty: *expanded,
            unit,
            not_known_because: value.as_ref().err().map(String::as_str),
            place: fields(place),
            contributions: contributions
                .iter()
                .map(|contribution| ContributionFields {
                    what: contribution.what,
                    share: contribution.share,
                    place: contribution.place.as_ref().map(fields),
                })
                .collect(),
            worked_out: working.as_deref(),
        }
    }
}

fn fields(place: &RowPlace) -> PlaceFields<'_> {
    PlaceFields {
        path: &place.path,
        line: place.line,
        column: place.column,
    }
}
