//! What a run comes to, in words: the counts, and what was not checked.
//!
//! Counts nothing itself beyond adding up what the report says.

use crate::diagnostic::{Diagnostic, Severity};
use crate::render::location::ToldPath;
use crate::render::uncalculated::{self, AllMissing};
use crate::render::{clean, location};
use crate::report::{Compared, Counts, Report, ToldWaived};
use crate::words::dates;
use crate::words::phrases::{list, list_some, name, plural};
use std::collections::{BTreeMap, BTreeSet};

/// The end of a report.
#[derive(Debug)]
pub(crate) struct Totals {
    /// What was not checked or not told; none where there is nothing to say.
    pub(crate) notes: Vec<Note>,
    /// How much was found in how much, the last thing said.
    pub(crate) counts: String,
}

/// What stands before each waived finding.
const WAIVED: &str = "waived";

/// One thing that was not checked or not told.
#[derive(Debug)]
pub(crate) struct Note {
    /// What was not done.
    pub(crate) caption: &'static str,
    /// To how much.
    pub(crate) text: String,
    /// What it is about, piece by piece, where that is told.
    pub(crate) missing: AllMissing,
}

impl Note {
    /// All of it in one line but the pieces.
    pub(crate) fn line(&self) -> String {
        let more = self.missing.more.as_ref();
        let more = more.map_or_else(String::new, |more| format!(", {more}"));
        format!("{}: {}{more}", self.caption, self.text)
    }
}

/// The totals of a report, with paths relative to the records' root.
pub(crate) fn of(report: &Report) -> Totals {
    with_paths(report, &str::to_owned)
}

/// The totals of a report, with paths from the top of the repository.
pub(crate) fn in_repository(report: &Report) -> Totals {
    with_paths(report, &|path| report.in_repository(path))
}

fn with_paths(report: &Report, path: &ToldPath<'_>) -> Totals {
    Totals {
        notes: notes(report, path),
        counts: counts(report),
    }
}

/// What a finding holds back, with the grade of each, worst first; none where it holds back nothing.
pub(crate) fn held_by(finding: &Diagnostic) -> Option<String> {
    if let Some(by_place) = finding.held_by_place() {
        return Some(by_place.to_owned());
    }
    let held = finding.held();
    let of_severity = |severity: Severity| {
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for one in held.iter().filter(|one| one.severity == severity) {
            *counts.entry(&one.rule).or_default() += 1;
        }
        let n = counts.values().sum();
        let is_only = counts.len() == 1;
        let rules: Vec<String> = counts
            .into_iter()
            .map(|(rule, n)| match n {
                _ if is_only => rule.to_owned(),
                n => format!("{rule} {n}"),
            })
            .collect();
        let rules = list_some(&rules, "and");
        (n > 0).then(|| format!("{} ({rules})", plural(n, severity.word())))
    };
    let named: Vec<String> = Severity::ALL.into_iter().filter_map(of_severity).collect();
    let named = list(&named, "and");
    (!held.is_empty()).then(|| format!("{} not shown: {named}", related(held.len())))
}

/// So many findings that another one explains.
fn related(n: usize) -> String {
    plural(n, "related finding")
}

fn counts(report: &Report) -> String {
    let found = found(report);
    match &report.compared {
        Some(compared) => format!("{found}; {}", compared_with(compared)),
        None => found,
    }
}

/// What a comparison left out of the report, and what is no longer there to be told.
fn compared_with(compared: &Compared) -> String {
    let Compared {
        revision,
        base: _,
        unchanged,
        gone,
        passed_over,
    } = compared;
    let is = |n: usize| if n == 1 { "is" } else { "are" };
    let was = |n: usize| if n == 1 { "was" } else { "were" };
    let findings = |n: usize| plural(n, "finding");
    let told = match (*unchanged, *gone) {
        (0, 0) if *passed_over > 0 => "nothing was found before in what changed".to_owned(),
        (0, 0) => "nothing was found before".to_owned(),
        (0, gone) => format!(
            "{} that {} there before {} gone",
            findings(gone),
            was(gone),
            is(gone),
        ),
        (unchanged, 0) => format!(
            "{} that {} there before {} not shown",
            findings(unchanged),
            was(unchanged),
            is(unchanged),
        ),
        (unchanged, gone) => format!(
            "{} that {} there before {} not shown, {gone} {} gone",
            findings(unchanged),
            was(unchanged),
            is(unchanged),
            is(gone),
        ),
    };
    format!("compared with {}: {told}", clean::text(revision))
}

fn found(report: &Report) -> String {
    let records = report.counts.records;
    if report.findings.is_empty() && !report.failures.is_empty() {
        // No green word where something was not looked at.
        return format!(
            "check not complete: {} could not be read; no finding in the rest",
            plural(report.failures.len(), "file"),
        );
    }
    if report.findings.is_empty() {
        return nothing_found(&report.counts, report.compared.is_some());
    }
    // What outweighs the finding it stands under counts for the exit code, so it is told with its like.
    let of_severity = |severity: Severity| {
        let shown = plural(report.count(severity), severity.word());
        match report.count_outweighing(severity) {
            0 => shown,
            more => format!("{shown} (and {more} not shown)"),
        }
    };
    format!(
        "{} in {} of {}",
        Severity::ALL.map(of_severity).join(", "),
        report.files_with_findings(),
        plural(records, "record"),
    )
}

/// How many findings are held back in all, and how many of each grade.
fn held_in_all(report: &Report) -> String {
    let of_severity = |severity: Severity| match report.count_held(severity) {
        0 => None,
        n => Some(plural(n, severity.word())),
    };
    let by_severity: Vec<String> = Severity::ALL.into_iter().filter_map(of_severity).collect();
    let held = related(report.counts.held);
    if by_severity.is_empty() {
        return held;
    }
    format!("{held} ({})", list(&by_severity, "and"))
}

/// Says how much was looked at, because silence reads as a pass.
fn nothing_found(counts: &Counts, is_compared: bool) -> String {
    let Counts {
        records,
        unreadable: _,
        ignored: _,
        passes,
        unavailable,
        undecided,
        held: _,
        waived: _,
        rules_not_run: _,
    } = counts;
    if *records == 0 && is_compared {
        return "nothing was checked: no file of a machine has changed".to_owned();
    }
    if *records == 0 {
        return "nothing was checked: there are no records".to_owned();
    }
    let rules: BTreeSet<&String> = [passes, unavailable, undecided]
        .into_iter()
        .flat_map(BTreeMap::keys)
        .collect();
    if rules.is_empty() && is_compared {
        return "nothing found: no file of a machine has changed".to_owned();
    }
    format!(
        "nothing found: {} and {} checked, {} passed",
        plural(*records, "record"),
        plural(rules.len(), "rule"),
        plural(total(passes), "comparison"),
    )
}

fn notes(report: &Report, path: &ToldPath<'_>) -> Vec<Note> {
    let Counts {
        records: _,
        unreadable,
        ignored,
        passes: _,
        unavailable,
        undecided,
        held,
        waived,
        rules_not_run,
    } = &report.counts;
    let of_all = |figures: String| match &report.compared {
        // Of these there are no lines: most of them were so before.
        Some(_) => format!("{figures} in all records of the machines checked"),
        None => figures,
    };
    let unread = report.failures.len();
    let elsewhere = report.errors_elsewhere.iter();
    let elsewhere: Vec<String> = elsewhere.map(|file| path(file)).collect();
    let passed_over = report.compared.as_ref().map_or(0, |one| one.passed_over);
    let rows = [
        (unread, "not read", format!("{unread}, as said above")),
        (
            *unreadable,
            "not judged",
            format!(
                "{} with text that could not be read",
                plural(*unreadable, "record")
            ),
        ),
        (
            *ignored,
            "not looked into",
            format!(
                "{} outside the known folders",
                plural(*ignored, "YAML file")
            ),
        ),
        (
            passed_over,
            "not checked again",
            format!("{} without a change", plural(passed_over, "machine")),
        ),
        (
            *rules_not_run,
            "not run",
            plural(*rules_not_run, "house rule"),
        ),
        (
            total(unavailable),
            NOT_CALCULATED,
            of_all(by_rule(unavailable)),
        ),
        (
            total(undecided),
            "too close to call",
            of_all(by_rule(undecided)),
        ),
        (*held, "not shown", held_in_all(report)),
        (
            *waived,
            WAIVED,
            format!("{}{}", plural(*waived, "finding"), listed_by_due(report)),
        ),
        (
            report.errors_elsewhere.len(),
            "not shown",
            format!(
                "errors in {}, which the rest depends on",
                list_some(&elsewhere, "and"),
            ),
        ),
    ];
    let told = rows.into_iter().filter(|&(n, _, _)| n > 0);
    told.map(|(_, caption, text)| Note {
        caption,
        text,
        missing: if caption == NOT_CALCULATED {
            uncalculated::of(report, path)
        } else {
            AllMissing::default()
        },
    })
    .chain(
        report
            .waived
            .iter()
            .map(|one| waived_note(report, path, one)),
    )
    .collect()
}

const NOT_CALCULATED: &str = "not calculated";

/// A waived finding by name, with how long and why.
fn waived_note(report: &Report, path: &ToldPath<'_>, waived: &ToldWaived) -> Note {
    let place = waived.told.primary().place;
    let line = location::of(report, place).line.0;
    let until = waived
        .until
        .map(|day| format!(" until {}", dates::date(day)));
    let because = waived
        .because
        .as_ref()
        .map(|why| format!(": {}", name(why)));
    let text = format!(
        "{} at {}:{line}{}{}",
        waived.told.rule(),
        path(report.path(place.file)),
        until.unwrap_or_default(),
        because.unwrap_or_default(),
    );
    Note {
        caption: WAIVED,
        text,
        missing: AllMissing::default(),
    }
}

/// What the list of what is due does with the steps that waived findings are of.
fn listed_by_due(report: &Report) -> &'static str {
    let of_step = |waived: &ToldWaived| {
        let mut judged = waived.told.all_judged();
        judged.any(|judged| judged.at.step.is_some())
    };
    if report.waived.iter().any(of_step) {
        ", marked as waived by `swathlint due`"
    } else {
        ""
    }
}

fn total(counts: &BTreeMap<String, usize>) -> usize {
    counts.values().sum()
}

/// How many figures in all, and how many by each rule.
fn by_rule(counts: &BTreeMap<String, usize>) -> String {
    let rules: Vec<String> = counts
        .iter()
        .filter(|&(_, &n)| n > 0)
        .map(|(rule, n)| format!("{rule} {n}"))
        .collect();
    format!(
        "{} ({})",
        plural(total(counts), "figure"),
        list(&rules, "and")
    )
}
