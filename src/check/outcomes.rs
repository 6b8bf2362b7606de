//! Runs every rule of a stratum over its figure's family.

use super::cause::Told;
use super::family::Family;
use super::gather::Weak;
use super::shard::Context;
use super::tally::{Tallies, Tally};
use super::tell::{self, Found};
use crate::diagnostic::Severity;
use crate::figure::{AnyView, View, catalogue};
use crate::outcome::{Grade, Key, Outcome, Side, Stage, Step, Verdict};
use crate::rule::{
    Attribute, Decision, Judgement, Limit, Rule, Status, Whose, deciding, is_guard, judge,
};
use crate::source::Place;
use std::collections::{BTreeMap, BTreeSet};

/// What rules of a stratum are run with.
pub(super) struct Judging<'c> {
    pub(super) context: &'c Context,
    pub(super) of: AnyView<'c>,
}

impl<'c> Judging<'c> {
    pub(super) fn view(&self) -> &'c dyn View {
        self.of.view()
    }

    /// No finding at a key weighs more: those on records before a group enforces its rules are notes.
    ///
    /// What belongs to no record, such as a step that is overdue today, is of today.
    /// A guard's finding keeps its weight.
    pub(super) fn most(&self, rule: &str, key: &Key, subject: Place) -> Severity {
        if is_guard(rule) {
            return Severity::Error;
        }
        let on = Key {
            record: key.record.map(|_| subject.file),
            ..*key
        };
        let fleet = self.context.group.fleet.as_ref();
        let from = fleet.and_then(|fleet| fleet.enforce_from);
        if from.is_none_or(|from| from.value <= self.view().day(&on)) {
            Severity::Error
        } else {
            Severity::Note
        }
    }
}

/// What rules of a stratum gave.
pub(super) struct Judged {
    /// What does not hold.
    pub(super) told: Vec<Told>,
    /// What only weakens a test.
    pub(super) weak: Vec<Weak>,
    /// The notes that what weakens a test was gathered into.
    pub(super) notes: Vec<Told>,
}

/// Runs the rules of a stratum; how often each held is counted in `tallies`.
pub(super) fn of(judging: &Judging<'_>, tallies: &mut Tallies) -> Judged {
    let mut judged = Judged {
        told: Vec::new(),
        weak: Vec::new(),
        notes: Vec::new(),
    };
    let mut families: BTreeMap<usize, Option<Family<'_>>> = BTreeMap::new();
    for (index, rule) in judging.context.group.rules.rules().iter().enumerate() {
        if rule.status == Status::Withdrawn {
            continue; // A withdrawn rule keeps its name and finds nothing.
        }
        let family = families
            .entry(rule.figure)
            .or_insert_with(|| Family::of(&catalogue::FIGURES[rule.figure], judging.of));
        let Some(family) = family else {
            continue; // The rule belongs to the other stratum.
        };
        Running {
            judging,
            rule: (index, rule),
            family,
        }
        .run(&mut judged, tallies.of(index));
    }
    judged
}

/// One rule over one family.
struct Running<'r> {
    judging: &'r Judging<'r>,
    rule: (usize, &'r Rule),
    family: &'r Family<'r>,
}

/// A member over which a verdict is to be told.
struct Case {
    at: usize,
    outcome: Outcome,
    distance: f64,
}

impl Running<'_> {
    fn run(&self, judged: &mut Judged, tally: &mut Tally) {
        let mut failed_as_left: BTreeSet<Key> = BTreeSet::new();
        let mut as_found: Vec<Case> = Vec::new();
        // The limits of a rule differ between the members of its family by step, setup and day only.
        let mut of_place = None;
        let mut limits: Vec<(Grade, &Limit)> = Vec::new();
        for (at, member) in self.family.computed.members().iter().enumerate() {
            if !self.applies(&member.key) {
                continue; // Not applicable: rules say where they apply.
            }
            let Ok(value) = member.value else {
                tally.unavailable += 1;
                continue;
            };
            let day = self.judging.view().day(&member.key);
            let place = (member.key.step, member.key.setup, day);
            if of_place != Some(place) {
                of_place = Some(place);
                limits.clear();
                limits.extend(self.limits(&member.key));
            }
            let decision = self.rule.1.decision;
            // As found only what is over a limit is told, and the value alone says whether it is.
            if member.key.stage == Some(Stage::AsFound)
                && self.judge(at, value, &limits, Decision::Simple).verdict == Verdict::Pass
            {
                tally.passes += 1;
                continue;
            }
            let judgement = self.judge(at, value, &limits, decision);
            tally.count(&judgement.verdict);
            if judgement.verdict == Verdict::Pass {
                continue;
            }
            let case = self.case(at, value, judgement);
            let key = case.outcome.key;
            if key.stage == Some(Stage::AsFound) {
                as_found.push(case);
                continue;
            }
            match case.outcome.verdict {
                Verdict::Fail(Grade::Weakens) | Verdict::Undecided(_, Side::Within) => {
                    judged.weak.push(self.weak(&case));
                }
                Verdict::Fail(_) | Verdict::Undecided(_, Side::Over) => {
                    failed_as_left.insert(key);
                    judged.told.push(self.told(&case, None));
                }
                Verdict::Pass | Verdict::NotApplicable | Verdict::Unavailable(_) => {}
            }
        }
        for case in as_found {
            let left = case.outcome.key.at_stage(Stage::AsLeft);
            // What is still so as left is told there; what only weakened a test was tested again.
            if is_over(&case.outcome.verdict) && !failed_as_left.contains(&left) {
                let as_left = self.family.value(&left);
                judged.told.push(self.told(&case, as_left));
            }
        }
    }

    fn applies(&self, key: &Key) -> bool {
        let view = self.judging.view();
        let machine = view.subject().machine;
        self.rule.1.applies.to(|attribute| match attribute {
            Attribute::Step => key.step.map(Step::word),
            Attribute::Stage => key.stage.map(Stage::word),
            Attribute::Control => machine.control.map(|control| control.value.word()),
            Attribute::SpeedSource => machine.speed_source.map(|source| source.value.word()),
            Attribute::SectionValves => machine.section_valves.map(|valves| valves.value.word()),
            Attribute::BalanceBy => machine.balance_by.map(|by| by.value.word()),
            Attribute::Course => machine.course.as_ref().map(|course| course.value.as_str()),
            Attribute::Setup => view.setup_name(key),
        })
    }

    /// The limits in force for a member, worst grade first.
    fn limits(&self, key: &Key) -> impl Iterator<Item = (Grade, &Limit)> {
        let view = self.judging.view();
        let subject = view.subject();
        let course = subject.machine.course.as_ref();
        let whose = Whose {
            machine: subject.id,
            course: course.map(|course| course.value.as_str()),
            step: key.step,
            setup: view.setup_name(key),
        };
        let day = view.day(key);
        self.judging.context.limits.limits(self.rule, whose, day)
    }

    fn judge(
        &self,
        at: usize,
        value: f64,
        limits: &[(Grade, &Limit)],
        decision: Decision,
    ) -> Judgement {
        let bounds = limits.iter().map(|(grade, limit)| (*grade, &limit.bound));
        judge(
            bounds,
            decision,
            value,
            || self.expanded(at),
            self.family.computed.members()[at].anchor,
            || self.family.exact(at),
        )
    }

    fn expanded(&self, at: usize) -> f64 {
        self.judging.context.coverage_factor
            * self.family.standard_uncertainty(at, self.judging.view())
    }

    fn case(&self, at: usize, value: f64, judgement: Judgement) -> Case {
        let member = &self.family.computed.members()[at];
        Case {
            at,
            outcome: Outcome {
                rule: self.rule.0,
                key: member.key,
                verdict: judgement.verdict,
                found: Some(value),
                expanded: self.expanded(at),
                subject: member.subject,
                against: member.against,
            },
            distance: judgement.distance,
        }
    }

    fn found<'f>(&'f self, case: &'f Case, as_left: Option<f64>) -> Found<'f> {
        let outcome = &case.outcome;
        let grade = match outcome.verdict {
            Verdict::Fail(grade) | Verdict::Undecided(grade, _) => Some(grade),
            Verdict::Pass | Verdict::NotApplicable | Verdict::Unavailable(_) => None,
        };
        let mut limits = self.limits(&outcome.key);
        let limit = limits.find(|(of, _)| Some(*of) == grade);
        let deciding = match outcome.verdict {
            Verdict::Undecided(_, _) => self.family.computed.measure(case.at).and_then(|measure| {
                deciding(
                    measure,
                    self.judging.view().primitives(),
                    case.distance,
                    self.judging.context.coverage_factor,
                )
            }),
            Verdict::Pass | Verdict::Fail(_) | Verdict::NotApplicable | Verdict::Unavailable(_) => {
                None
            }
        };
        Found {
            rule: self.rule.1,
            computed: &*self.family.computed,
            at: case.at,
            view: self.judging.view(),
            outcome,
            case: self.family.computed.members()[case.at].case,
            is_put_right: self.family.computed.members()[case.at].is_put_right,
            limit: limit.map(|(_, limit)| limit),
            as_left,
            deciding,
        }
    }

    fn told(&self, case: &Case, as_left: Option<f64>) -> Told {
        let outcome = &case.outcome;
        Told {
            rule: self.rule.1.id.clone(),
            follows: self.rule.1.follows.clone(),
            key: outcome.key,
            subject: outcome.subject,
            value: outcome.found.unwrap_or(0.0),
            excess: case.distance,
            siblings: self.family.siblings(&outcome.key),
            most: self
                .judging
                .most(&self.rule.1.id, &outcome.key, outcome.subject),
            held: Vec::new(),
            finding: tell::finding(&self.found(case, as_left)),
        }
    }

    fn weak(&self, case: &Case) -> Weak {
        tell::weak(&self.found(case, None))
    }
}

/// Whether a verdict says that a limit is broken, proven or not.
fn is_over(verdict: &Verdict) -> bool {
    match verdict {
        Verdict::Fail(grade) => *grade != Grade::Weakens,
        Verdict::Undecided(_, Side::Over) => true,
        Verdict::Pass
        | Verdict::Undecided(_, Side::Within)
        | Verdict::NotApplicable
        | Verdict::Unavailable(_) => false,
    }
}
