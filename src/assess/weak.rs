//! What only weakens a test, gathered into one note a test.

use super::cause::Causes;
use super::judge::Judging;
use crate::diagnostic::Severity;
use crate::figure::catalogue;
use crate::finding::{Judged, WEAK_TEST, WeakTest};
use crate::procedure::Step;
use crate::rule::RuleSet;
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
    for one in roots(weak, rules) {
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

/// Those that no other one explains, each with those it does: a boom's mean that a gauge leaves open leaves
/// all its nozzles open.
fn roots(weak: Vec<Judged>, rules: &RuleSet) -> Vec<Judged> {
    let causes = Causes::of(&weak);
    let of_another_rule = |at: &usize, one: &Judged| weak[*at].rule != one.rule;
    let cause_of: Vec<Option<usize>> = weak
        .iter()
        .map(|one| {
            let cause = causes.explaining(one, &weak, rules);
            cause.filter(|at| of_another_rule(at, one))
        })
        .collect();
    let mut all: Vec<Option<Judged>> = weak.into_iter().map(Some).collect();
    for (at, cause) in cause_of.iter().enumerate() {
        // One that is explained itself holds nothing: it may be held already.
        let Some(cause) = cause.filter(|cause| cause_of[*cause].is_none()) else {
            continue;
        };
        if let (Some(one), Some(cause)) = (all[at].take(), all[cause].as_mut()) {
            cause.weak.push(one);
        }
    }
    all.into_iter().flatten().collect()
}

/// The step whose test it weakens.
fn step(weak: &Judged, judging: &Judging<'_>) -> Option<Step> {
    let rule = &judging.context.group.rules.rules()[weak.rule];
    weak.key.step.or(catalogue::FIGURES[rule.figure].step)
}
