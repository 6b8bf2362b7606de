//! One line a finding, for other programs and for searching.
//!
//! Shows no text of the records and no color.

use crate::render::format::{Format, nothing};
use crate::render::totals::Note;
use crate::render::uncalculated::Missing;
use crate::render::{Harmless, clean, location, totals};
use crate::report::Report;
use std::fmt::Write;
use std::iter;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "plain",
    about: "One line per finding: path:line:column: severity: message and the rule in brackets",
    write: |made, _| plain(made),
    leaves_out: nothing,
};

/// The report as `path:line:column: severity: message [rule]`, one line a finding, then one line of totals.
///
/// A file that could not be read has a line `path: could not read: reason`, before the totals; so has each of the first
/// things that are missing for a figure: `path:line:column: not calculated: what is missing [rules]`.
pub fn plain(report: &Report) -> Harmless {
    let mut out = String::new();
    for finding in &report.findings {
        let place = finding.primary().place;
        let location = location::of(report, place);
        let held = totals::held_by(finding);
        let held = held.map_or_else(String::new, |held| format!("; {held}"));
        line(
            &mut out,
            format_args!(
                "{}:{}:{}: {}: {}{} [{}]",
                clean::text(report.path(place.file)),
                location.line.0,
                location.column.0,
                finding.severity().word(),
                clean::text(finding.message()),
                clean::text(&held),
                clean::text(finding.rule()),
            ),
        );
    }
    for failure in &report.failures {
        let (path, reason) = (clean::text(&failure.path), clean::text(&failure.reason));
        line(&mut out, format_args!("{path}: could not read: {reason}"));
    }
    let totals = totals::of(report);
    for missing in totals.notes.iter().flat_map(|note| &note.missing.told) {
        let Missing { place, text } = missing;
        line(&mut out, format_args!("{place}: not calculated: {text}"));
    }
    let notes = totals.notes.iter().map(Note::line);
    let all: Vec<String> = iter::once(totals.counts).chain(notes).collect();
    line(&mut out, format_args!("{}", clean::text(&all.join("; "))));
    Harmless::lines(&out)
}

fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    writeln!(out, "{text}").expect("writing to a string does not fail");
}
