//! What a run comes to, in words: the counts, and what was not checked.
//!
//! Counts nothing itself beyond adding up what the report says.

use crate::diagnostic::Severity;
use crate::render::clean;
use crate::report::{Compared, Counts, Report, ToldWaived};
use crate::words::phrases::{list, plural};
use std::collections::{BTreeMap, BTreeSet};

/// The end of a report.
#[derive(Debug)]
pub(crate) struct Totals {
    /// What was not checked or not told; none where there is nothing to say.
    pub(crate) notes: Vec<Note>,
    /// How much was found in how much, the last thing said.
    pub(crate) counts: String,
}

/// One thing that was not checked or not told.
#[derive(Debug)]
pub(crate) struct Note {
    /// What was not done.
    pub(crate) caption: &'static str,
    /// To how much.
    pub(crate) text: String,
}

/// The totals of a report.
pub(crate) fn of(report: &Report) -> Totals {
    Totals {
        notes: notes(report),
        counts: counts(report),
    }
}

/// So many findings that follow; what from stands behind.
pub(crate) fn following(n: usize) -> String {
    let verb = if n == 1 { "follows" } else { "follow" };
    format!("{} that {verb}", plural(n, "finding"))
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
        (0, 0) if *passed_over > 0 => "of what changed, nothing was found before".to_owned(),
        (0, 0) => "nothing was found before".to_owned(),
        (0, gone) => format!(
            "{} that {} there before {} gone",
            findings(gone),
            was(gone),
            is(gone),
        ),
        (unchanged, 0) => format!(
            "{} that {} there before {} not told",
            findings(unchanged),
            was(unchanged),
            is(unchanged),
        ),
        (unchanged, gone) => format!(
            "{} that {} there before {} not told, {gone} {} gone",
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
    format!(
        "{}, {}, {} in {} of {}",
        plural(report.count(Severity::Error), "error"),
        plural(report.count(Severity::Warning), "warning"),
        plural(report.count(Severity::Note), "note"),
        report.files_with_findings(),
        plural(records, "record"),
    )
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
        return "nothing was checked: no machine has a change".to_owned();
    }
    if *records == 0 {
        return "nothing was checked: there are no records".to_owned();
    }
    let rules: BTreeSet<&String> = [passes, unavailable, undecided]
        .into_iter()
        .flat_map(BTreeMap::keys)
        .collect();
    if rules.is_empty() && is_compared {
        return "nothing found: no machine has a change".to_owned();
    }
    format!(
        "nothing found: {} and {} checked, {} passed",
        plural(*records, "record"),
        plural(rules.len(), "rule"),
        plural(total(passes), "comparison"),
    )
}

fn notes(report: &Report) -> Vec<Note> {
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
    let unread = report.failures.len();
    let passed_over = report.compared.as_ref().map_or(0, |one| one.passed_over);
    let rows = [
        (unread, "not read", format!("{unread}, as said above")),
        (
            *unreadable,
            "not judged",
            format!(
                "{} that made no sense as a whole",
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
            "not worked out for want of readings",
            by_rule(unavailable),
        ),
        (
            total(undecided),
            "undecided, the limit lies within the uncertainty",
            by_rule(undecided),
        ),
        (
            *held,
            "held back",
            format!("{} from others", following(*held)),
        ),
        (
            *waived,
            "let pass",
            format!(
                "{} by a waiver{}",
                plural(*waived, "finding"),
                listed_by_due(report)
            ),
        ),
    ];
    rows.into_iter()
        .filter(|&(n, _, _)| n > 0)
        .map(|(_, caption, text)| Note { caption, text })
        .collect()
}

/// What the list of what is due does with the steps that waived findings are of.
fn listed_by_due(report: &Report) -> &'static str {
    let of_step = |waived: &ToldWaived| {
        let judged = waived.told.judged();
        judged.is_some_and(|judged| judged.at.step.is_some())
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
