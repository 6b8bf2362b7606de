//! Where a place begins and ends in lines and columns, always within its file.
//!
//! Words nothing and draws nothing.

use crate::report::Report;
use crate::source::{Column, Line, Place, SourceFile, Span};

/// A place as people and editors count: one-based lines and columns, the end exclusive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Location {
    /// The first line.
    pub(crate) line: Line,
    /// The first column.
    pub(crate) column: Column,
    /// The line of the end.
    pub(crate) end_line: Line,
    /// One past the last column.
    pub(crate) end_column: Column,
}

/// What is told for a path of the records.
pub(crate) type ToldPath<'a> = dyn Fn(&str) -> String + 'a;

/// Where a place lies; the first character of a file whose text was not kept.
pub(crate) fn of(report: &Report, place: Place) -> Location {
    report.sources.get(place.file).map_or(
        Location {
            line: Line(1),
            column: Column(1),
            end_line: Line(1),
            end_column: Column(1),
        },
        |file| within(file, place.span),
    )
}

/// Where a span lies in a file.
pub(crate) fn within(file: &SourceFile, span: Span) -> Location {
    let span = clamped(file, span);
    let (line, column) = position(file, span.start);
    let (end_line, end_column) = position(file, span.end);
    Location {
        line,
        column,
        end_line,
        end_column,
    }
}

/// The span moved into the text and onto characters, for a span that should have been there.
pub(crate) fn clamped(file: &SourceFile, span: Span) -> Span {
    let onto_text = |offset: u32| {
        let floor = file.text().floor_char_boundary(offset as usize);
        u32::try_from(floor).expect("a floor of a 32-bit offset is not above it")
    };
    let start = onto_text(span.start);
    Span::new(start, onto_text(span.end).max(start))
}

/// Like [`SourceFile::position`], but the end of a text that ends with a line feed is the end of its last line.
fn position(file: &SourceFile, offset: u32) -> (Line, Column) {
    let text = file.text();
    if offset > 0 && offset as usize == text.len() && text.ends_with('\n') {
        let break_length = if text.ends_with("\r\n") { 2 } else { 1 };
        return file.position(offset - break_length);
    }
    file.position(offset)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_location_stays_within_the_file() {
        let rows = [
            ("", (0, 0), (1, 1, 1, 1)),
            ("a: 1", (4, 4), (1, 5, 1, 5)),
            ("a: 1\n", (5, 5), (1, 5, 1, 5)),
            ("a: 1\r\n", (6, 6), (1, 5, 1, 5)),
            ("a: 1\nb: 2\n", (5, 10), (2, 1, 2, 5)),
            ("\n", (1, 1), (1, 1, 1, 1)),
            ("\u{feff}a", (0, 4), (1, 1, 1, 2)),
            ("é", (1, 900), (1, 1, 1, 2)),
        ];
        for (text, (start, end), (line, column, end_line, end_column)) in rows {
            let file = SourceFile::new("a", text);
            let wanted = Location {
                line: Line(line),
                column: Column(column),
                end_line: Line(end_line),
                end_column: Column(end_column),
            };
            assert_eq!(within(&file, Span::new(start, end)), wanted, "{text:?}");
            assert!(wanted.end_line.0 as usize <= file.line_count());
        }
    }
}
