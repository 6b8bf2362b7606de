//! One cause, one finding: what follows from a finding is held back and counted there.

use crate::diagnostic::{Diagnostic, Held, Severity};
use crate::outcome::Key;
use crate::report::Counts;
use crate::source::{FileId, Place};
use std::collections::BTreeMap;
use std::iter;

/// A finding of a rule with what decides whether another one explains it.
#[derive(Debug)]
pub(super) struct Told {
    pub(super) rule: String,
    pub(super) follows: Vec<String>,
    pub(super) key: Key,
    pub(super) subject: Place,
    pub(super) value: f64,
    /// How far it is beyond the limit.
    pub(super) excess: f64,
    /// How many other members its family has at the same place.
    pub(super) siblings: usize,
    /// It weighs no more than this.
    pub(super) most: Severity,
    pub(super) held: Vec<Held>,
    pub(super) finding: Diagnostic,
}

impl Told {
    /// How much it weighs.
    pub(super) fn weight(&self) -> Severity {
        self.finding.severity().min(self.most)
    }

    pub(super) fn into_finding(self) -> Diagnostic {
        let severity = self.weight();
        self.finding.holding(self.held).weighing(severity)
    }

    /// Whether `cause` explains this one.
    fn is_explained_by(&self, cause: &Self) -> bool {
        if !self.follows.contains(&cause.rule) {
            return false;
        }
        if self.rule == cause.rule {
            return self.is_explained_by_sibling(cause);
        }
        self.key.overlaps(&cause.key)
    }

    /// Where a rule follows itself: the same place found twice, or a member accused by another.
    ///
    /// A member far out on one side moves the mean by its share, and with it all others to the other
    /// side; what is beyond the limit by no more than that share passes once the first is mended.
    /// One on the same side, or further out than its share, has a fault of its own and stands.
    fn is_explained_by_sibling(&self, cause: &Self) -> bool {
        if self.subject == cause.subject {
            return self.key.record == cause.key.record && self.key > cause.key;
        }
        let opposite = (self.value < 0.0) != (cause.value < 0.0);
        let siblings = u32::try_from(self.siblings).unwrap_or(u32::MAX);
        let share = cause.value.abs() / f64::from(siblings.max(1));
        self.key.is_sibling(&cause.key)
            && opposite
            && self.value.abs() < cause.value.abs()
            && self.excess <= share
    }
}

/// Findings by rule and record, so that the causes of one are found without going through all of them.
#[derive(Debug, Default)]
pub(super) struct Causes(BTreeMap<String, BTreeMap<Option<FileId>, Vec<usize>>>);

impl Causes {
    /// The places of findings in their list.
    pub(super) fn of(told: &[Told]) -> Self {
        let mut by_rule: BTreeMap<String, BTreeMap<Option<FileId>, Vec<usize>>> = BTreeMap::new();
        for (at, told) in told.iter().enumerate() {
            let of_rule = match by_rule.get_mut(&told.rule) {
                Some(of_rule) => of_rule,
                None => by_rule.entry(told.rule.clone()).or_default(),
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
}

/// Holds back what another finding explains, at the root of its chain of causes.
///
/// `standing` are findings that stand already, and `causes` are these; they may be causes too. Gives those of `told` that
/// stand. A cause takes the highest severity of what it holds.
pub(super) fn resolve(
    told: Vec<Told>,
    standing: &mut [Told],
    causes: &Causes,
    counts: &mut Counts,
) -> Vec<Told> {
    let earlier = standing.len();
    let roots = roots(&told, standing, causes);
    let mut all: Vec<Option<Told>> = told.into_iter().map(Some).collect();
    for at in 0..all.len() {
        let Some(root) = roots[at] else { continue };
        let Some(held) = all[at].take() else { continue };
        let cause = match root.checked_sub(earlier) {
            Some(own) => all[own].as_mut(),
            None => standing.get_mut(root),
        };
        let Some(cause) = cause else { continue };
        counts.held += 1;
        // What is held keeps the weight it has, whatever its cause may weigh by itself.
        let heaviest = cause.weight().max(held.weight());
        cause.finding = cause.finding.clone().weighing(heaviest);
        cause.most = cause.most.max(heaviest);
        cause.held.push(Held {
            severity: held.finding.severity(),
            rule: held.rule,
        });
        cause.held.extend(held.held);
    }
    all.into_iter().flatten().collect()
}

/// Those of `told` that none of them explains, each with the weight that [`resolve`] would give it.
pub(super) fn unexplained(told: &[Told]) -> impl Iterator<Item = (&Told, Severity)> {
    let roots = roots(told, &[], &Causes::default());
    let mut heaviest: Vec<Severity> = told.iter().map(Told::weight).collect();
    for (held, root) in told.iter().zip(&roots) {
        if let Some(root) = root {
            heaviest[*root] = heaviest[*root].max(held.weight());
        }
    }
    let all = told.iter().zip(roots).zip(heaviest);
    all.filter_map(|((told, root), heaviest)| root.is_none().then_some((told, heaviest)))
}

/// Whether `twin` tells of the same place as `told`, but has a cause of its own that `told` has not: one
/// step is overdue among others and void besides, and mending it leaves the others overdue.
fn is_twin_of_another_cause(told: &Told, twin: &Told, all: &[Told], causes: &Causes) -> bool {
    told.rule == twin.rule
        && told.subject == twin.subject
        && causes
            .for_key(&twin.follows, &twin.key)
            .into_iter()
            .any(|at| {
                let cause = &all[at];
                cause.rule != twin.rule
                    && twin.is_explained_by(cause)
                    && !told.is_explained_by(cause)
            })
}

/// The end of the chain of causes of each of `told`, counted through `standing` and then `told`.
fn roots(told: &[Told], standing: &[Told], causes: &Causes) -> Vec<Option<usize>> {
    let earlier = standing.len();
    let own = Causes::of(told);
    let cause_of = |at: usize| {
        let Told { follows, key, .. } = &told[at];
        let others = own.for_key(follows, key).into_iter();
        let others = others.filter(|other| *other != at);
        let others = others.map(|other| (earlier + other, &told[other]));
        let before = causes.for_key(follows, key).into_iter();
        let before = before.map(|at| (at, &standing[at]));
        let mut explaining = others
            .chain(before)
            .filter(|(_, other)| told[at].is_explained_by(other))
            .filter(|(_, other)| !is_twin_of_another_cause(&told[at], other, told, &own));
        let first = explaining.next()?;
        let mut all = iter::once(first).chain(explaining);
        let at_its_place = all.find(|(_, cause)| cause.key == *key);
        Some(at_its_place.unwrap_or(first).0)
    };
    let causes: Vec<Option<usize>> = (0..told.len()).map(cause_of).collect();
    (0..told.len())
        .map(|at| root(&causes, earlier, at))
        .collect()
}

/// The end of the chain of causes; none for a finding that stands.
///
/// Where rules explain each other in a ring, its first member stands.
fn root(causes: &[Option<usize>], earlier: usize, at: usize) -> Option<usize> {
    let mut seen = vec![at];
    let mut current = at;
    while let Some(cause) = causes[current] {
        let Some(own) = cause.checked_sub(earlier) else {
            return Some(cause);
        };
        if seen.contains(&own) {
            let ring = &seen[seen.iter().position(|&one| one == own).unwrap_or(0)..];
            let first = ring.iter().copied().min().unwrap_or(own);
            return (first != at).then_some(earlier + first);
        }
        seen.push(own);
        current = own;
    }
    (current != at).then_some(earlier + current)
}
