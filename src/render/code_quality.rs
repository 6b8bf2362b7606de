//! A list of issues as code-quality widgets read it (the subset of the Code Climate format that they share).
//!
//! One entry that is not as expected ends the reading of all: every entry has every field.

use crate::diagnostic::Severity;
use crate::render::beside::{self, Kind};
use crate::render::format::{Format, nothing};
use crate::render::found::{hash, worst_first};
use crate::render::totals::Note;
use crate::render::{Harmless, clean, location, totals};
use crate::report::Report;
use serde::Serialize;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "code-quality",
    about: "Code-quality JSON: a list of issues with stable fingerprints, for the widget of a merge request",
    write: |made, _| code_quality(made),
    leaves_out: nothing,
};

/// The file that an issue stands in which is of no file.
const NO_FILE: &str = "fleet.yaml";

#[derive(Serialize)]
struct Issue {
    description: String,
    check_name: String,
    fingerprint: String,
    severity: &'static str,
    location: IssueLocation,
}

#[derive(Serialize)]
struct IssueLocation {
    path: String,
    lines: Lines,
}

#[derive(Serialize)]
struct Lines {
    begin: u32,
}

fn code_quality(report: &Report) -> Harmless {
    let not_read = beside::all(report).into_iter();
    let not_read = not_read.filter(|one| one.kind == Kind::NotRead);
    let not_read = not_read.map(|one| Issue {
        description: clean::text(&one.text).into_owned(),
        check_name: one.kind.id().to_owned(),
        fingerprint: hash(&format!("{}\n{}", one.kind.id(), one.path)),
        severity: "blocker",
        location: IssueLocation::new(report, one.path, 1),
    });
    let findings = worst_first(report).into_iter().map(|found| {
        let told = found.told;
        let place = told.primary().place;
        let held = totals::held_by(told);
        let held = held.map_or_else(String::new, |held| format!("; {held}"));
        let help = told
            .help_text()
            .map_or_else(String::new, |help| format!(". Next: {help}"));
        let description = format!("{}{held}{help}", told.message());
        Issue {
            description: clean::text(&description).into_owned(),
            check_name: told.rule().to_owned(),
            fingerprint: found.fingerprint,
            severity: severity(told.heaviest()),
            location: IssueLocation::new(
                report,
                report.path(place.file),
                location::of(report, place).line.0,
            ),
        }
    });
    let issues: Vec<Issue> = not_read.chain(findings).chain(not_told(report)).collect();
    let mut out = serde_json::to_string_pretty(&issues).expect("these structs hold only texts");
    out.push('\n');
    Harmless::json(&out)
}

/// What is no finding, in one issue: the format has no other place for it. None where there is nothing to say.
fn not_told(report: &Report) -> Option<Issue> {
    let totals = totals::in_repository(report);
    if totals.notes.is_empty() && report.compared.is_none() {
        return None;
    }
    let missing = totals.notes.iter().flat_map(|note| &note.missing.told);
    let missing = missing.map(|one| format!("{}: {}", one.place, one.text));
    let notes = totals.notes.iter().map(Note::line);
    let all: Vec<String> = [totals.counts.clone()]
        .into_iter()
        .chain(notes)
        .chain(missing)
        .collect();
    let first = report.records.first();
    let path = first.map_or(NO_FILE, |file| report.path(*file));
    Some(Issue {
        description: clean::text(&all.join("; ")).into_owned(),
        check_name: NOT_TOLD.to_owned(),
        fingerprint: hash(NOT_TOLD),
        severity: "info",
        location: IssueLocation::new(report, path, 1),
    })
}

/// The name of the issue that tells what is no finding.
const NOT_TOLD: &str = "totals";

/// The word for a grade; `blocker` is for what could not be read.
const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "critical",
        Severity::Warning => "major",
        Severity::Note => "info",
    }
}

impl IssueLocation {
    fn new(report: &Report, path: &str, begin: u32) -> Self {
        Self {
            path: report.in_repository(path),
            lines: Lines { begin },
        }
    }
}
