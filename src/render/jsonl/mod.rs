//! One JSON object a finding and one for the totals, for other programs.
//!
//! Loses nothing: what could drive a terminal or a log is escaped, not replaced.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::render::{Harmless, location};
use crate::report::{Compared, Counts, Failure, Report};
use crate::words::dates;
use serde::Serialize;
use std::collections::BTreeMap;

/// Changes when a field is renamed, removed or changes its meaning; not when one is added.
const SCHEMA_VERSION: u32 = 1;

/// The report as JSON Lines: one object with `"kind": "finding"` each, then one with `"kind": "summary"`.
pub fn jsonl(report: &Report) -> Harmless {
    let mut out = String::new();
    for finding in &report.findings {
        push_line(&mut out, &FindingLine::new(report, finding));
    }
    push_line(&mut out, &SummaryLine::new(report));
    Harmless::json(&out)
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct FindingLine<'a> {
    kind: &'static str,
    schema_version: u32,
    rule: &'a str,
    severity: &'static str,
    message: &'a str,
    machine: Option<&'a str>,
    #[serde(flatten)]
    place: LabelFields<'a>,
    labels: Vec<LabelFields<'a>>,
    derivation: Option<&'a str>,
    help: Option<&'a str>,
    held: usize,
    held_rules: Vec<&'a str>,
}

/// A place: one-based lines and columns in characters, bytes from zero; ends are exclusive.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct LabelFields<'a> {
    path: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    start_byte: u32,
    end_byte: u32,
    label: &'a str,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct SummaryLine<'a> {
    kind: &'static str,
    schema_version: u32,
    today: String,
    errors: usize,
    warnings: usize,
    notes: usize,
    files_with_findings: usize,
    records: usize,
    unreadable: usize,
    ignored: usize,
    passes: &'a BTreeMap<String, usize>,
    unavailable: &'a BTreeMap<String, usize>,
    undecided: &'a BTreeMap<String, usize>,
    held: usize,
    waived: usize,
    rules_not_run: usize,
    failures: Vec<FailureFields<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    compared: Option<ComparedFields<'a>>,
}

/// What the records were compared with; not there where they were not.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ComparedFields<'a> {
    revision: &'a str,
    base: &'a str,
    unchanged: usize,
    gone: usize,
    machines_passed_over: usize,
}

#[derive(Serialize)]
struct FailureFields<'a> {
    path: &'a str,
    reason: &'a str,
}

impl<'a> FindingLine<'a> {
    fn new(report: &'a Report, finding: &'a Diagnostic) -> Self {
        let fields = |label| LabelFields::new(report, label);
        Self {
            kind: "finding",
            schema_version: SCHEMA_VERSION,
            rule: finding.rule(),
            severity: finding.severity().word(),
            message: finding.message(),
            machine: finding.machine(),
            place: fields(finding.primary()),
            labels: finding.related().iter().map(fields).collect(),
            derivation: finding.derivation(),
            help: finding.help_text(),
            held: finding.held().len(),
            held_rules: finding
                .held()
                .iter()
                .map(|held| held.rule.as_str())
                .collect(),
        }
    }
}

impl<'a> LabelFields<'a> {
    fn new(report: &'a Report, label: &'a Label) -> Self {
        let place = label.place;
        let location = location::of(report, place);
        Self {
            path: report.path(place.file),
            line: location.line.0,
            column: location.column.0,
            end_line: location.end_line.0,
            end_column: location.end_column.0,
            start_byte: place.span.start,
            end_byte: place.span.end,
            label: &label.text,
        }
    }
}

impl<'a> SummaryLine<'a> {
    fn new(report: &'a Report) -> Self {
        let Counts {
            records,
            unreadable,
            ignored,
            passes,
            unavailable,
            undecided,
            held,
            waived,
            rules_not_run,
        } = &report.counts;
        let failure = |Failure { path, reason }: &'a Failure| FailureFields { path, reason };
        Self {
            kind: "summary",
            schema_version: SCHEMA_VERSION,
            today: dates::date(report.today),
            errors: report.count(Severity::Error),
            warnings: report.count(Severity::Warning),
            notes: report.count(Severity::Note),
            files_with_findings: report.files_with_findings(),
            records: *records,
            unreadable: *unreadable,
            ignored: *ignored,
            passes,
            unavailable,
            undecided,
            held: *held,
            waived: *waived,
            rules_not_run: *rules_not_run,
            failures: report.failures.iter().map(failure).collect(),
            compared: report.compared.as_ref().map(ComparedFields::new),
        }
    }
}

impl<'a> ComparedFields<'a> {
    fn new(compared: &'a Compared) -> Self {
        let Compared {
            revision,
            base,
            unchanged,
            gone,
            passed_over,
        } = compared;
        Self {
            revision,
            base,
            unchanged: *unchanged,
            gone: *gone,
            machines_passed_over: *passed_over,
        }
    }
}

/// Adds an object as one line.
pub(crate) fn push_line(out: &mut String, line: &impl Serialize) {
    out.push_str(&serde_json::to_string(line).expect("these structs hold only texts and numbers"));
    out.push('\n');
}
