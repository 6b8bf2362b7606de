//! One line a finding, for other programs and for searching.
//!
//! Shows no text of the records and no color.

use crate::render::format::{Format, nothing};
use crate::render::{Harmless, clean, location, totals};
use crate::report::Report;
use std::fmt::Write;
use std::iter;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "plain",
    about: "One line a finding: path:line:column: severity: message and the rule in brackets",
    write: |made, _| plain(made),
    leaves_out: nothing,
    lists_not_computed: false,
};

/// The report as `path:line:column: severity: message [rule]`, one line a finding, then one line of totals.
///
/// A file that could not be read has a line `path: could not read: reason`, before the totals.
pub fn plain(report: &Report) -> Harmless {
    let mut out = String::new();
    for finding in &report.findings {
        let place = finding.primary().place;
        let location = location::of(report, place);
        line(
            &mut out,
            format_args!(
                "{}:{}:{}: {}: {} [{}]",
                clean::text(report.path(place.file)),
                location.line.0,
                location.column.0,
                finding.severity().word(),
                clean::text(finding.message()),
                clean::text(finding.rule()),
            ),
        );
    }
    for failure in &report.failures {
        let (path, reason) = (clean::text(&failure.path), clean::text(&failure.reason));
        line(&mut out, format_args!("{path}: could not read: {reason}"));
    }
    let totals = totals::of(report);
    let notes = totals
        .notes
        .iter()
        .map(|note| format!("{}: {}", note.caption, note.text));
    let all: Vec<String> = iter::once(totals.counts).chain(notes).collect();
    line(&mut out, format_args!("{}", clean::text(&all.join("; "))));
    Harmless::lines(&out)
}

fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    writeln!(out, "{text}").expect("writing to a string does not fail");
}
