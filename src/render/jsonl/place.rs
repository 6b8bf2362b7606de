//! A place as other programs want it.

use crate::render::location;
use crate::report::Report;
use crate::source::Place;
use serde::Serialize;

/// One-based lines and columns in characters, bytes from zero; ends are exclusive.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct PlaceFields<'a> {
    path: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    start_byte: u32,
    end_byte: u32,
}

impl<'a> PlaceFields<'a> {
    pub(super) fn new(report: &'a Report, place: Place) -> Self {
        let location = location::of(report, place);
        Self {
            path: report.path(place.file),
            line: location.line.0,
            column: location.column.0,
            end_line: location.end_line.0,
            end_column: location.end_column.0,
            start_byte: place.span.start,
            end_byte: place.span.end,
        }
    }
}
