//! What only weakens a test, gathered into one note a test.

use super::cause::Causes;
use super::judge::Judging;
use crate::diagnostic::Severity;
use crate::figure::catalogue;
use crate::finding::{Judged, WEAK_TEST, WeakTest};
use crate::procedure::Step;
use std::collections::BTreeMap;

/// The notes of a view, by step. What a finding of `told` explains is held back there: mending the cause decides it, or lets
/// it be told.
pub(super) fn one_note_a_test(
    judging: &Judging<'_>,
    weak: Vec<Judged>,
    told: &mut [Judged],
) -> Vec<WeakTest> {
    let rules = &judging.context.group.rules;
    let causes = Causes::of(told);
    let mut by_step: BTreeMap<Option<Step>, Vec<Judged>> = BTreeMap::new();
    for one in weak {
        match causes.explaining(&one, told, rules) {
            Some(cause) => told[cause].weak.push(one),
            None => by_step.entry(step(&one, judging)).or_default().push(one),
        }
    }
    let notes = by_step.into_iter().filter_map(|(step, weak)| {
        let mut weak = weak.into_iter();
        let first = weak.next()?;
        Some(WeakTest {
            step,
            severity: Severity::Note.min(judging.most(WEAK_TEST, &first.key, first.subject)),
            first,
            more: weak.collect(),
        })
    });
    notes.collect()
}

/// The step whose test it weakens.
fn step(weak: &Judged, judging: &Judging<'_>) -> Option<Step> {
    let rule = &judging.context.group.rules.rules()[weak.rule];
    weak.key.step.or(catalogue::FIGURES[rule.figure].step)
}
