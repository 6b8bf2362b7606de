//! Runs every rule of a stratum over its figure's family.

use super::cause::Told;
use super::gather::Weak;
use super::shard::Context;
use super::tell::{self, Found};
use crate::diagnostic::Severity;
use crate::figure::{Formula, Measure, Member, Rational, Stratum, View, catalogue};
use crate::outcome::{Grade, Key, Outcome, Side, Stage, Step, Verdict};
use crate::quantity::Exact;
use crate::record::machine::{BalanceBy, Control, SectionValves, SpeedSource};
use crate::report::Counts;
use crate::rule::{Attributes, Judgement, Limit, Rule, Status, deciding, judge};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What rules of a stratum are run with.
pub(super) struct Judging<'c, V> {
    pub(super) context: &'c Context<'c>,
    /// The day whose limits are in force.
    pub(super) day: Date,
    pub(super) view: &'c V,
}

/// What rules of a stratum gave.
pub(super) struct Judged {
    /// What does not hold.
    pub(super) told: Vec<Told>,
    /// What only weakens a test.
    pub(super) weak: Vec<Weak>,
    /// The notes that what weakens a test was gathered into.
    pub(super) notes: Vec<Told>,
    /// No finding weighs more.
    pub(super) most: Severity,
}

pub(super) fn of<S: Stratum>(judging: &Judging<'_, S::View<'_>>, counts: &mut Counts) -> Judged {
    let mut judged = Judged {
        told: Vec::new(),
        weak: Vec::new(),
        notes: Vec::new(),
        most: Severity::Error,
    };
    let mut families: BTreeMap<usize, Vec<Member<Measure>>> = BTreeMap::new();
    for (index, rule) in judging.context.group.rules.rules().iter().enumerate() {
        let Some(formula) = S::formula(&catalogue::FIGURES[rule.figure].compute) else {
            continue; // The rule belongs to the other stratum.
        };
        if rule.status == Status::Withdrawn {
            continue; // A withdrawn rule keeps its name and finds nothing.
        }
        let family = families
            .entry(rule.figure)
            .or_insert_with(|| (formula.measure)(judging.view));
        Running {
            judging,
            formula,
            rule: (index, rule),
            family,
            exact: None,
        }
        .run(&mut judged, counts);
    }
    judged
}

/// One rule over one family.
struct Running<'r, S: Stratum, V> {
    judging: &'r Judging<'r, V>,
    formula: &'r Formula<S>,
    rule: (usize, &'r Rule),
    family: &'r [Member<Measure>],
    exact: Option<Vec<Member<Rational>>>,
}

impl<'a, S: Stratum> Running<'_, S, S::View<'a>> {
    fn run(mut self, judged: &mut Judged, counts: &mut Counts) {
        let (_, rule) = self.rule;
        let mut failed_as_left: Vec<Key> = Vec::new();
        let mut as_found: Vec<(Outcome, usize, Judgement)> = Vec::new();
        for at in 0..self.family.len() {
            let member = &self.family[at];
            if !self.applies(&member.key) {
                continue; // Not applicable: rules say where they apply.
            }
            let judgement = self.judge(at);
            let outcome = self.outcome(at, &judgement);
            count(counts, &rule.id, &outcome.verdict);
            if outcome.key.stage == Some(Stage::AsFound) {
                as_found.push((outcome, at, judgement));
                continue;
            }
            match outcome.verdict {
                Verdict::Fail(Grade::Weakens) | Verdict::Undecided(_, Side::Within) => {
                    judged.weak.push(self.weak(&outcome, at, &judgement));
                }
                Verdict::Fail(_) | Verdict::Undecided(_, Side::Over) => {
                    failed_as_left.push(outcome.key);
                    judged.told.push(self.told(&outcome, at, &judgement, None));
                }
                Verdict::Pass | Verdict::NotApplicable | Verdict::Unavailable(_) => {}
            }
        }
        for (outcome, at, judgement) in as_found {
            let left = outcome.key.at_stage(Stage::AsLeft);
            // What is still so as left is told there; what only weakened a test was tested again.
            if !is_over(&outcome.verdict) || failed_as_left.contains(&left) {
                continue;
            }
            let as_left = self.family.iter().find(|member| member.key == left);
            let as_left = as_left.and_then(|member| Some(member.value.as_ref().ok()?.value()));
            judged
                .told
                .push(self.told(&outcome, at, &judgement, as_left));
        }
    }

    fn applies(&self, key: &Key) -> bool {
        let view = self.judging.view;
        let machine = view.subject().machine;
        let attributes = Attributes {
            values: [
                key.step.map(Step::word),
                key.stage.map(Stage::word),
                machine.control.map(|control| Control::word(control.value)),
                machine
                    .speed_source
                    .map(|source| SpeedSource::word(source.value)),
                machine
                    .section_valves
                    .map(|valves| SectionValves::word(valves.value)),
                machine.balance_by.map(|by| BalanceBy::word(by.value)),
                machine.course.as_ref().map(|course| course.value.as_str()),
                view.setup_name(key),
            ],
        };
        self.rule.1.applies.to(&attributes)
    }

    /// The limits in force for a member, worst grade first.
    fn limits(&self, key: &Key) -> Vec<(Grade, &Limit)> {
        let subject = self.judging.view.subject();
        let course = subject.machine.course.as_ref();
        self.judging.context.limits.limits(
            self.rule,
            subject.id,
            course.map(|course| course.value.as_str()),
            key.step,
            self.judging.day,
        )
    }

    fn judge(&mut self, at: usize) -> Judgement {
        let member = &self.family[at];
        let measure = match &member.value {
            Ok(measure) => measure,
            Err(unavailable) => {
                return Judgement {
                    verdict: Verdict::Unavailable(unavailable.clone()),
                    distance: 0.0,
                };
            }
        };
        let expanded = self.expanded(measure);
        let (formula, view) = (self.formula, self.judging.view);
        let mut exact = self.exact.take();
        let limits = self.limits(&member.key);
        let bounds = limits.iter().map(|(grade, limit)| (*grade, &limit.bound));
        let judgement = judge(
            bounds,
            self.rule.1.decision,
            (measure.value(), expanded),
            member.anchor,
            || exact_value(exact.get_or_insert_with(|| (formula.exact)(view)), at),
        );
        drop(limits);
        self.exact = exact;
        judgement
    }

    fn expanded(&self, measure: &Measure) -> f64 {
        let primitives = self.judging.view.primitives();
        self.judging.context.coverage_factor * measure.standard_uncertainty(primitives)
    }

    fn outcome(&self, at: usize, judgement: &Judgement) -> Outcome {
        let member = &self.family[at];
        let measure = member.value.as_ref().ok();
        Outcome {
            rule: self.rule.0,
            key: member.key,
            verdict: judgement.verdict.clone(),
            found: measure.map(Measure::value),
            expanded: measure.map_or(0.0, |measure| self.expanded(measure)),
            subject: member.subject,
            against: member.against,
        }
    }

    fn found<'f>(
        &'f self,
        outcome: &'f Outcome,
        at: usize,
        judgement: &Judgement,
        as_left: Option<f64>,
    ) -> Found<'f, S, S::View<'a>> {
        let member = &self.family[at];
        let limits = self.limits(&member.key);
        let grade = match outcome.verdict {
            Verdict::Fail(grade) | Verdict::Undecided(grade, _) => Some(grade),
            Verdict::Pass | Verdict::NotApplicable | Verdict::Unavailable(_) => None,
        };
        let limit = limits.into_iter().find(|(of, _)| Some(*of) == grade);
        let deciding = match outcome.verdict {
            Verdict::Undecided(_, _) => member.value.as_ref().ok().and_then(|measure| {
                deciding(
                    measure,
                    self.judging.view.primitives(),
                    judgement.distance,
                    self.judging.context.coverage_factor,
                )
            }),
            Verdict::Pass | Verdict::Fail(_) | Verdict::NotApplicable | Verdict::Unavailable(_) => {
                None
            }
        };
        Found {
            rule: self.rule.1,
            formula: self.formula,
            view: self.judging.view,
            outcome,
            case: member.case,
            limit: limit.map(|(_, limit)| limit),
            as_left,
            deciding,
        }
    }

    fn told(
        &self,
        outcome: &Outcome,
        at: usize,
        judgement: &Judgement,
        as_left: Option<f64>,
    ) -> Told {
        let found = self.found(outcome, at, judgement, as_left);
        let same_stage =
            |member: &&Member<Measure>| member.key.is_sibling(&outcome.key) && member.value.is_ok();
        Told {
            rule: self.rule.1.id.clone(),
            follows: self.rule.1.follows.clone(),
            key: outcome.key,
            subject: outcome.subject,
            value: outcome.found.unwrap_or(0.0),
            excess: judgement.distance,
            siblings: self.family.iter().filter(same_stage).count(),
            held: Vec::new(),
            finding: tell::finding(&found),
        }
    }

    fn weak(&self, outcome: &Outcome, at: usize, judgement: &Judgement) -> Weak {
        tell::weak(&self.found(outcome, at, judgement, None))
    }
}

fn exact_value(exact: &[Member<Rational>], at: usize) -> Option<Exact> {
    let value = exact.get(at)?.value.as_ref().ok()?;
    value.value().cloned()
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

fn count(counts: &mut Counts, rule: &str, verdict: &Verdict) {
    let by_rule = match verdict {
        Verdict::Pass => &mut counts.passes,
        Verdict::Undecided(_, _) => &mut counts.undecided,
        Verdict::Unavailable(_) => &mut counts.unavailable,
        Verdict::Fail(_) | Verdict::NotApplicable => return,
    };
    if let Some(count) = by_rule.get_mut(rule) {
        *count += 1;
    } else {
        by_rule.insert(rule.to_owned(), 1);
    }
}
