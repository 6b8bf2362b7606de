//! What a run comes to, in words: the counts, and what was not checked.
//!
//! Counts nothing itself beyond adding up what the report says.

use crate::diagnostic::Severity;
use crate::report::{Counts, Report};
use crate::words::phrases::{list, plural};
use std::collections::{BTreeMap, BTreeSet};

/// The end of a report.
#[derive(Debug)]
pub(crate) struct Totals {
    /// What was not checked or not told, one sentence each; none where there is nothing to say.
    pub(crate) notes: Vec<String>,
    /// How much was found in how much, the last thing said.
    pub(crate) counts: String,
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
    let records = report.counts.records;
    if report.findings.is_empty() {
        return nothing_found(&report.counts);
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
fn nothing_found(counts: &Counts) -> String {
    let Counts {
        records,
        unreadable: _,
        ignored: _,
        passes,
        unavailable,
        undecided,
        held: _,
        rules_not_run: _,
    } = counts;
    if *records == 0 {
        return "nothing was checked: there are no records".to_owned();
    }
    let rules: BTreeSet<&String> = [passes, unavailable, undecided]
        .into_iter()
        .flat_map(BTreeMap::keys)
        .collect();
    format!(
        "nothing found: {} and {} checked, {} passed",
        plural(*records, "record"),
        plural(rules.len(), "rule"),
        plural(passes.values().sum(), "comparison"),
    )
}

fn notes(report: &Report) -> Vec<String> {
    let Counts {
        records: _,
        unreadable,
        ignored,
        passes: _,
        unavailable,
        undecided,
        held,
        rules_not_run,
    } = &report.counts;
    let some = |n: usize, told: String| (n > 0).then_some(told);
    [
        some(
            report.failures.len(),
            format!("not read: {}, as said above", report.failures.len()),
        ),
        some(
            *unreadable,
            format!(
                "not judged: {} that made no sense as a whole",
                plural(*unreadable, "record")
            ),
        ),
        some(
            *ignored,
            format!(
                "not looked into: {} outside the known folders",
                plural(*ignored, "YAML file")
            ),
        ),
        some(
            *rules_not_run,
            format!(
                "not run: {} whose file is wrong",
                plural(*rules_not_run, "rule")
            ),
        ),
        by_rule(unavailable, "not worked out for want of readings", "figure"),
        by_rule(
            undecided,
            "undecided, the limit lies within the uncertainty",
            "figure",
        ),
        some(
            *held,
            format!("held back: {} from others", following(*held)),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// How many in all, and how many by each rule.
fn by_rule(counts: &BTreeMap<String, usize>, what: &str, noun: &str) -> Option<String> {
    let total: usize = counts.values().sum();
    let rules: Vec<String> = counts
        .iter()
        .filter(|&(_, &n)| n > 0)
        .map(|(rule, n)| format!("{rule} {n}"))
        .collect();
    (total > 0).then(|| format!("{what}: {} ({})", plural(total, noun), list(&rules, "and")))
}
