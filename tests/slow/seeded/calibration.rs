//! What is told of seeded visits against what is true of them, as a table.

use crate::bench::told::{Named, Told};
use crate::seeded_faults::{FAULTS, Seeded, Truth};
use std::collections::BTreeMap;
use std::fmt::Write;
use swathlint::finding::WEAK_TEST;

/// Whether what is told is so: the cause, and its place where it has one.
fn is_right(named: &Named, truths: &[Truth]) -> bool {
    truths.iter().any(|truth| {
        let is_there = if truth.nozzles.is_empty() {
            let section = truth.section.as_ref();
            truth
                .from
                .is_none_or(|from| named.nozzles.first() == Some(&from))
                && section.is_none_or(|section| named.place.contains(section.as_str()))
        } else {
            !named.nozzles.is_empty() && named.nozzles.is_subset(&truth.nozzles)
        };
        truth.cause == named.id && is_there
    })
}

/// The same, and a meter that was truly off before its correction was turned or its readings were exchanged.
fn is_so(named: &Named, truths: &[Truth]) -> bool {
    let has_other_meter =
        |truth: &Truth| ["factor-turned", "values-exchanged"].contains(&truth.cause);
    is_right(named, truths) || named.id == "meter-wrong" && truths.iter().any(has_other_meter)
}

/// What became of the visits that truly have one cause.
#[derive(Default)]
struct Row {
    visits: u64,
    found: u64,
    told_right: u64,
    told_wrong: u64,
    named_right: u64,
    named_wrong: u64,
    said_instead: BTreeMap<String, u64>,
}

/// The table of true against told, how often what was told at 0.9 or more was right, and how often anything was.
pub(super) fn calibration(visits: &[(Seeded, Told)]) -> (String, f64, f64) {
    let mut rows: BTreeMap<&str, Row> = FAULTS
        .iter()
        .map(|(cause, _)| (*cause, Row::default()))
        .collect();
    let mut bins: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    let (mut right, mut told_in_all) = (0.0, 0.0);
    for (seeded, told) in visits {
        for first in told
            .explained()
            .filter_map(|finding| finding.causes.first())
        {
            let is_right = is_so(first, &seeded.truths);
            let bin = match first.share {
                share if share >= 0.99 => "0.99 and more",
                share if share >= 0.95 => "0.95 to 0.99",
                share if share >= 0.9 => "0.90 to 0.95",
                share if share >= 0.7 => "0.70 to 0.90",
                share if share >= 0.5 => "0.50 to 0.70",
                _ => "below 0.50",
            };
            let counts = bins.entry(bin).or_default();
            counts.1 += 1.0;
            counts.0 += f64::from(u8::from(is_right));
            if first.share >= 0.9 {
                told_in_all += 1.0;
                right += f64::from(u8::from(is_right));
            }
        }
        for truth in &seeded.truths {
            let row = rows.entry(truth.cause).or_default();
            row.count(truth, &seeded.truths, told);
        }
    }
    let mut table = format!(
        "{} visits\n{:24} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6}  told instead\n",
        visits.len(),
        "true",
        "visits",
        "over",
        "told",
        "wrong",
        "named",
        "wrong"
    );
    for (cause, row) in &rows {
        let instead: Vec<String> = row
            .said_instead
            .iter()
            .map(|(id, n)| format!("{id} {n}"))
            .collect();
        writeln!(
            table,
            "{cause:24} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6}  {}",
            row.visits,
            row.found,
            row.told_right,
            row.told_wrong,
            row.named_right,
            row.named_wrong,
            instead.join(", ")
        )
        .unwrap();
    }
    for (bin, (right, all)) in &bins {
        writeln!(table, "share {bin}: {right} of {all} right").unwrap();
    }
    (table, right, told_in_all)
}

impl Row {
    /// Adds a visit of which this is true, among other truths.
    fn count(&mut self, truth: &Truth, truths: &[Truth], told: &Told) {
        self.visits += 1;
        self.found += u64::from(
            told.findings
                .iter()
                .any(|finding| finding.rule != WEAK_TEST),
        );
        let is_this = |named: &&Named| is_right(named, std::slice::from_ref(truth));
        let first: Vec<&Named> = told
            .explained()
            .filter_map(|finding| finding.causes.first())
            .collect();
        let second = told.explained().filter_map(|finding| finding.told().get(1));
        let is_sure = |named: &&&Named| named.share >= 0.9;
        if first.iter().filter(is_sure).any(is_this) {
            self.told_right += 1;
        } else if first
            .iter()
            .copied()
            .chain(second)
            .any(|named| is_this(&named))
        {
            self.named_right += 1;
        } else {
            for wrong in first.iter().filter(|named| !is_so(named, truths)) {
                *self.said_instead.entry(wrong.id.clone()).or_default() += 1;
                if wrong.share >= 0.9 {
                    self.told_wrong += 1;
                } else {
                    self.named_wrong += 1;
                }
            }
        }
    }
}
