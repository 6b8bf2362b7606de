//! One JSON object a finding, one an item that is no finding, and one for the totals, for other programs.
//!
//! Loses nothing: what could drive a terminal or a log is escaped, not replaced. `schemas/check-lines.json` describes it.

mod causes;
mod fact;
mod judged;
mod place;

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::finding::{Judged, NotComputed};
use crate::outcome::Verdict;
use crate::render::Harmless;
use crate::render::format::{Format, nothing};
use crate::report::{Compared, Counts, Failure, Report, Told, ToldWaived};
use crate::source::{FileId, Place};
use crate::words::dates;
use causes::CauseFields;
use fact::text;
use judged::{AtFields, JudgedFields};
use place::PlaceFields;
use serde::Serialize;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// Changes when a field is renamed, removed or changes its meaning; not when one, or a kind of line, is added.
const SCHEMA_VERSION: u32 = 1;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "jsonl",
    about: "For programs: one JSON object per finding, one for everything not shown, waived, or not judged, and one for the totals",
    write: |made, _| jsonl(made),
    leaves_out: nothing,
};

/// The report as JSON Lines: one object a finding, one for everything that was held back, waived, undecided, not
/// calculated or not read, then one with `"kind": "summary"`.
pub fn jsonl(report: &Report) -> Harmless {
    let mut out = String::new();
    for finding in &report.findings {
        push_line(&mut out, &FindingLine::new(report, finding));
    }
    let waived = report.waived.iter().map(|waived| &waived.told);
    let told: Vec<&Told> = report.findings.iter().chain(waived).collect();
    for finding in &told {
        for held in finding.held_judged() {
            push_line(&mut out, &ItemLine::new(report, "held-back", held, finding));
        }
    }
    for waived in &report.waived {
        push_line(&mut out, &WaivedLine::new(report, waived));
    }
    for finding in &told {
        for weak in finding.weak() {
            push_line(&mut out, &ItemLine::new(report, kind(weak), weak, finding));
        }
    }
    for not_computed in &report.not_computed {
        push_line(&mut out, &NotCalculatedLine::new(report, not_computed));
    }
    for line in not_read(report) {
        push_line(&mut out, &line);
    }
    push_line(&mut out, &SummaryLine::new(report));
    Harmless::json(&out)
}

/// The kind of a line about what only weakens a test.
const fn kind(weak: &Judged) -> &'static str {
    match weak.verdict {
        Verdict::Undecided(_, _) => "undecided",
        Verdict::Fail(_) | Verdict::Pass => "weakens",
    }
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct FindingLine<'a> {
    kind: &'static str,
    schema_version: u32,
    #[serde(flatten)]
    finding: FindingFields<'a>,
}

/// A waived finding.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct WaivedLine<'a> {
    kind: &'static str,
    schema_version: u32,
    #[serde(flatten)]
    finding: FindingFields<'a>,
    waiver: WaiverFields<'a>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct FindingFields<'a> {
    rule: &'a str,
    severity: &'static str,
    heaviest: &'static str,
    message: &'a str,
    machine: Option<&'a str>,
    #[serde(flatten)]
    place: LabelFields<'a>,
    labels: Vec<LabelFields<'a>>,
    derivation: Option<&'a str>,
    help: Option<&'a str>,
    held: usize,
    held_rules: Vec<&'a str>,
    held_severities: Vec<&'static str>,
    judged: Option<JudgedFields<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    causes: Vec<CauseFields<'a>>,
}

#[derive(Serialize)]
struct LabelFields<'a> {
    #[serde(flatten)]
    place: PlaceFields<'a>,
    label: &'a str,
}

#[derive(Serialize)]
struct WaiverFields<'a> {
    #[serde(flatten)]
    place: PlaceFields<'a>,
    until: Option<String>,
    because: Option<Cow<'a, str>>,
}

/// Something judged that is no finding of its own, and the finding it stands under.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct ItemLine<'a> {
    kind: &'static str,
    schema_version: u32,
    rule: &'a str,
    severity: &'static str,
    machine: &'a str,
    #[serde(flatten)]
    place: PlaceFields<'a>,
    finding: FindingReference<'a>,
    judged: JudgedFields<'a>,
}

/// A finding by its rule and place.
#[derive(Serialize)]
struct FindingReference<'a> {
    rule: &'a str,
    #[serde(flatten)]
    place: PlaceFields<'a>,
}

/// A figure that a rule asked for and that cannot be calculated.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct NotCalculatedLine<'a> {
    kind: &'static str,
    schema_version: u32,
    rule: &'a str,
    figure: &'a str,
    reason: Cow<'a, str>,
    machine: &'a str,
    #[serde(flatten)]
    place: PlaceFields<'a>,
    #[serde(flatten)]
    at: AtFields<'a>,
}

/// A file that could not be read, or a record that nothing can be made of.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct NotReadLine<'a> {
    kind: &'static str,
    schema_version: u32,
    path: &'a str,
    reason: &'a str,
    finding: Option<FindingReference<'a>>,
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
    heaviest: Option<&'static str>,
    files_with_findings: usize,
    records: usize,
    unreadable: usize,
    ignored: usize,
    passes: &'a BTreeMap<String, usize>,
    unavailable: &'a BTreeMap<String, usize>,
    undecided: &'a BTreeMap<String, usize>,
    held: usize,
    held_errors: usize,
    held_warnings: usize,
    held_notes: usize,
    waived: usize,
    rules_not_run: usize,
    failures: Vec<FailureFields<'a>>,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    errors_elsewhere: &'a [String],
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
    fn new(report: &'a Report, told: &'a Told) -> Self {
        Self {
            kind: "finding",
            schema_version: SCHEMA_VERSION,
            finding: FindingFields::new(report, told),
        }
    }
}

impl<'a> WaivedLine<'a> {
    fn new(report: &'a Report, waived: &'a ToldWaived) -> Self {
        let ToldWaived {
            told,
            waiver,
            until,
            because,
        } = waived;
        Self {
            kind: "waived",
            schema_version: SCHEMA_VERSION,
            finding: FindingFields::new(report, told),
            waiver: WaiverFields {
                place: PlaceFields::new(report, *waiver),
                until: until.map(dates::date),
                because: because.as_deref().map(text),
            },
        }
    }
}

impl<'a> FindingFields<'a> {
    fn new(report: &'a Report, told: &'a Told) -> Self {
        let finding: &Diagnostic = told;
        let fields = |label| LabelFields::new(report, label);
        let held = finding.held().iter();
        Self {
            rule: finding.rule(),
            severity: finding.severity().word(),
            heaviest: finding.heaviest().word(),
            message: finding.message(),
            machine: finding.machine(),
            place: fields(finding.primary()),
            labels: finding.related().iter().map(fields).collect(),
            derivation: finding.derivation(),
            help: finding.help_text(),
            held: finding.held().len(),
            held_rules: held.clone().map(|held| held.rule.as_str()).collect(),
            held_severities: held.map(|held| held.severity.word()).collect(),
            judged: told
                .judged()
                .map(|judged| JudgedFields::new(report, judged)),
            causes: told
                .explained()
                .map(|explained| causes::causes(report, explained))
                .unwrap_or_default(),
        }
    }
}

impl<'a> LabelFields<'a> {
    fn new(report: &'a Report, label: &'a Label) -> Self {
        Self {
            place: PlaceFields::new(report, label.place),
            label: &label.text,
        }
    }
}

impl<'a> ItemLine<'a> {
    fn new(report: &'a Report, kind: &'static str, judged: &'a Judged, under: &'a Told) -> Self {
        Self {
            kind,
            schema_version: SCHEMA_VERSION,
            rule: &judged.name,
            severity: judged.severity.word(),
            machine: &judged.at.machine,
            place: PlaceFields::new(report, judged.subject),
            finding: FindingReference::new(report, under),
            judged: JudgedFields::new(report, judged),
        }
    }
}

impl<'a> FindingReference<'a> {
    fn new(report: &'a Report, finding: &'a Diagnostic) -> Self {
        Self {
            rule: finding.rule(),
            place: PlaceFields::new(report, finding.primary().place),
        }
    }
}

impl<'a> NotCalculatedLine<'a> {
    fn new(report: &'a Report, not_computed: &'a NotComputed) -> Self {
        let NotComputed {
            rule,
            figure,
            at,
            because,
            place,
            is_lacking: _,
        } = not_computed;
        Self {
            kind: "not-calculated",
            schema_version: SCHEMA_VERSION,
            rule,
            figure,
            reason: text(because),
            machine: &at.machine,
            place: PlaceFields::new(report, *place),
            at: AtFields::new(at),
        }
    }
}

/// Each file that could not be read, then each record that nothing can be made of, with the first finding on it.
fn not_read(report: &Report) -> impl Iterator<Item = NotReadLine<'_>> {
    let failed: BTreeSet<&str> = report.failures.iter().map(|one| &*one.path).collect();
    let mut findings: BTreeMap<FileId, &Diagnostic> = BTreeMap::new();
    for finding in &report.findings {
        let labels = [finding.primary()].into_iter().chain(finding.related());
        for label in labels {
            findings.entry(label.place.file).or_insert(finding);
        }
    }
    let line = |path, reason, finding| NotReadLine {
        kind: "not-read",
        schema_version: SCHEMA_VERSION,
        path,
        reason,
        finding,
    };
    let failures = report.failures.iter();
    let failures = failures.map(move |Failure { path, reason }| line(path, reason, None));
    let unreadable = report.not_read.iter().map(|Place { file, span: _ }| *file);
    let unreadable = unreadable.filter(move |file| !failed.contains(report.path(*file)));
    let unreadable = unreadable.map(move |file| {
        let finding = findings.get(&file);
        line(
            report.path(file),
            finding.map_or(UNREADABLE, |finding| finding.message()),
            finding.map(|finding| FindingReference::new(report, finding)),
        )
    });
    failures.chain(unreadable)
}

/// Why a record was not read that no finding tells of, as one found before and not told again.
const UNREADABLE: &str = "nothing can be made of it";

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
            heaviest: report.heaviest().map(Severity::word),
            files_with_findings: report.files_with_findings(),
            records: *records,
            unreadable: *unreadable,
            ignored: *ignored,
            passes,
            unavailable,
            undecided,
            held: *held,
            held_errors: report.count_held(Severity::Error),
            held_warnings: report.count_held(Severity::Warning),
            held_notes: report.count_held(Severity::Note),
            waived: *waived,
            rules_not_run: *rules_not_run,
            failures: report.failures.iter().map(failure).collect(),
            errors_elsewhere: &report.errors_elsewhere,
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
