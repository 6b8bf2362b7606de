//! One cause, one finding: what follows from a finding is held back and kept with it.

use crate::figure::about::{ALL_ON_OFF_SETUP, SECTION_OFF_CHANGE, SETUP_SUM_OFF};
use crate::finding::Judged;
use crate::outcome::Key;
use crate::rule::RuleSet;
use crate::source::FileId;
use std::collections::BTreeMap;
use std::iter;

/// Whether `cause` explains `told`.
fn is_explained_by(told: &Judged, cause: &Judged, rules: &RuleSet) -> bool {
    if !follows(told, rules).contains(&cause.name) {
        return false;
    }
    if told.name == cause.name {
        return is_explained_by_sibling(told, cause);
    }
    let is_of_setup = |one: &Judged| one.figure == SETUP_SUM_OFF;
    let is_of_all_on = cause.figure == ALL_ON_OFF_SETUP && told.figure == SECTION_OFF_CHANGE;
    told.key.overlaps(&cause.key)
        && (!(is_of_setup(told) || is_of_setup(cause)) || is_gone_with(told, cause))
        && (!is_of_all_on || is_gone_with_all_on(told, cause))
}

/// Whether what is told of a rate is gone once what `cause` tells of it is mended: both are ratios of the same rate.
///
/// A boom that puts out something else than its setup's values make has a fault of its own; so has a setup whose values
/// do not make its rate with the spacing that the widths in the console imply either.
fn is_gone_with(told: &Judged, cause: &Judged) -> bool {
    is_gone_at(told, (1.0 + told.value) / (1.0 + cause.value) - 1.0)
}

/// Whether a section off changes nothing once the reading with all sections on, that `cause` tells of, is the setup's: the
/// one is a ratio to that reading, the other of it. A bypass that is out of balance besides has a fault of its own.
fn is_gone_with_all_on(told: &Judged, cause: &Judged) -> bool {
    is_gone_at(told, (1.0 + told.value) * (1.0 + cause.value) - 1.0)
}

/// Whether nothing is told at another value.
fn is_gone_at(told: &Judged, value: f64) -> bool {
    value.abs() <= told.value.abs() - told.distance
}

/// The rules whose findings may explain it.
fn follows<'r>(told: &Judged, rules: &'r RuleSet) -> &'r [String] {
    &rules.rules()[told.rule].follows
}

/// Where a rule follows itself: the same place found twice, or a member accused by another.
///
/// A member far out on one side moves the mean by its share, and with it all others to the other
/// side; what is beyond the limit by no more than that share passes once the first is mended.
/// One on the same side, or further out than its share, has a fault of its own and stands.
fn is_explained_by_sibling(told: &Judged, cause: &Judged) -> bool {
    if told.subject == cause.subject {
        return told.key.record == cause.key.record && told.key > cause.key;
    }
    let opposite = (told.value < 0.0) != (cause.value < 0.0);
    let siblings = u32::try_from(told.siblings).unwrap_or(u32::MAX);
    let share = cause.value.abs() / f64::from(siblings.max(1));
    told.key.is_sibling(&cause.key)
        && opposite
        && told.value.abs() < cause.value.abs()
        && told.distance <= share
}

/// Findings by rule and record, so that the causes of one are found without going through all of them.
#[derive(Debug, Default)]
pub(super) struct Causes(BTreeMap<String, BTreeMap<Option<FileId>, Vec<usize>>>);

impl Causes {
    /// The places of findings in their list.
    pub(super) fn of(told: &[Judged]) -> Self {
        let mut by_rule: BTreeMap<String, BTreeMap<Option<FileId>, Vec<usize>>> = BTreeMap::new();
        for (at, told) in told.iter().enumerate() {
            let of_rule = match by_rule.get_mut(&told.name) {
                Some(of_rule) => of_rule,
                None => by_rule.entry(told.name.clone()).or_default(),
            };
            of_rule.entry(told.key.record).or_default().push(at);
        }
        Self(by_rule)
    }

    /// The findings of rules that may explain what holds at a key, in their order: those of its record and of none, or of
    /// any where it has none itself.
    pub(super) fn for_key(&self, follows: &[String], key: &Key) -> Vec<usize> {
        let of_rules = follows.iter().filter_map(|rule| self.0.get(rule));
        let mut found: Vec<usize> = Vec::new();
        for of_rule in of_rules {
            match key.record {
                Some(_) => {
                    let alike = [None, key.record].map(|record| of_rule.get(&record));
                    found.extend(alike.into_iter().flatten().flatten());
                }
                None => found.extend(of_rule.values().flatten()),
            }
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The first finding that explains what only weakens a test.
    pub(super) fn explaining(
        &self,
        weak: &Judged,
        told: &[Judged],
        rules: &RuleSet,
    ) -> Option<usize> {
        let mut causes = self.for_key(follows(weak, rules), &weak.key).into_iter();
        causes.find(|at| weak.key.overlaps(&told[*at].key))
    }
}

/// Holds back what another finding explains, at the root of its chain of causes; gives what stands.
pub(super) fn resolve(told: Vec<Judged>, rules: &RuleSet) -> Vec<Judged> {
    let roots = roots(&told, rules);
    let mut all: Vec<Option<Judged>> = told.into_iter().map(Some).collect();
    for at in 0..all.len() {
        let Some(root) = roots[at] else { continue };
        let Some(held) = all[at].take() else { continue };
        if let Some(cause) = all[root].as_mut() {
            hold(cause, held);
        }
    }
    all.into_iter().flatten().collect()
}

/// Holds back those of `told` that a finding of the machine explains; gives those that stand.
pub(super) fn resolve_against(
    told: Vec<Judged>,
    of_machine: &mut [Judged],
    causes: &Causes,
    rules: &RuleSet,
) -> Vec<Judged> {
    let mut standing = Vec::with_capacity(told.len());
    for one in told {
        let before = causes.for_key(follows(&one, rules), &one.key).into_iter();
        let explaining = before.filter(|at| is_explained_by(&one, &of_machine[*at], rules));
        match at_its_place(&one, explaining.map(|at| (at, &of_machine[at]))) {
            Some(cause) => hold(&mut of_machine[cause], one),
            None => standing.push(one),
        }
    }
    standing
}

/// What is held keeps the weight it has, and so does its cause.
fn hold(cause: &mut Judged, mut held: Judged) {
    let its_own = std::mem::take(&mut held.held);
    cause.held.push(held);
    cause.held.extend(its_own);
}

/// Whether `twin` tells of the same place as `told`, but has a cause of its own that `told` has not: one
/// step is overdue among others and void besides, and mending it leaves the others overdue.
fn is_twin_of_another_cause(
    told: &Judged,
    twin: &Judged,
    all: &[Judged],
    causes: &Causes,
    rules: &RuleSet,
) -> bool {
    let explains_twin_alone = |at: usize| {
        let cause = &all[at];
        cause.name != twin.name
            && is_explained_by(twin, cause, rules)
            && !is_explained_by(told, cause, rules)
    };
    told.name == twin.name
        && told.subject == twin.subject
        && causes
            .for_key(follows(twin, rules), &twin.key)
            .into_iter()
            .any(explains_twin_alone)
}

/// The end of the chain of causes of each of `told`; none for one that stands.
fn roots(told: &[Judged], rules: &RuleSet) -> Vec<Option<usize>> {
    let own = Causes::of(told);
    let cause_of = |at: usize| {
        let others = own.for_key(follows(&told[at], rules), &told[at].key);
        let others = others.into_iter().filter(|other| *other != at);
        let explaining = others
            .map(|other| (other, &told[other]))
            .filter(|(_, other)| is_explained_by(&told[at], other, rules))
            .filter(|(_, other)| !is_twin_of_another_cause(&told[at], other, told, &own, rules));
        at_its_place(&told[at], explaining)
    };
    let causes: Vec<Option<usize>> = (0..told.len()).map(cause_of).collect();
    (0..told.len()).map(|at| root(&causes, at)).collect()
}

/// Of several causes the first at the very same place, else the first.
fn at_its_place<'j>(
    told: &Judged,
    mut explaining: impl Iterator<Item = (usize, &'j Judged)>,
) -> Option<usize> {
    let first = explaining.next()?;
    let mut all = iter::once(first).chain(explaining);
    let at_its_place = all.find(|(_, cause)| cause.key == told.key);
    Some(at_its_place.unwrap_or(first).0)
}

/// The end of the chain of causes; none for a finding that stands.
///
/// Where rules explain each other in a ring, its first member stands.
fn root(causes: &[Option<usize>], at: usize) -> Option<usize> {
    let mut seen = vec![at];
    let mut current = at;
    while let Some(cause) = causes[current] {
        if seen.contains(&cause) {
            let ring = &seen[seen.iter().position(|&one| one == cause).unwrap_or(0)..];
            let first = ring.iter().copied().min().unwrap_or(cause);
            return (first != at).then_some(first);
        }
        seen.push(cause);
        current = cause;
    }
    (current != at).then_some(current)
}
