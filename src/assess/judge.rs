//! Runs the rules of a stratum over their figures' families: what does not hold, as data.

use super::context::{Context, applies, whose};
use super::failing;
use super::family::Family;
use super::tally::{Tallies, Tally};
use crate::diagnostic::Severity;
use crate::figure::{AnyView, Entry, Member, View, catalogue};
use crate::finding::{At, Judged, NotComputed};
use crate::history::LeftOpen;
use crate::outcome::{Grade, Key, Part, Side, Stage, Verdict};
use crate::procedure::Step;
use crate::rule::{Decision, Judgment, Limit, Rule, Status, deciding, is_guard, judge};
use crate::source::{FileId, Place};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// The rule on records whose date is unlike their name: by that date it would be let off.
const DATE_UNLIKE_NAME: &str = "date-unlike-name";

/// What rules of a stratum are run with.
pub(super) struct Judging<'c> {
    pub(super) context: &'c Context,
    pub(super) of: AnyView<'c>,
    /// Whether what cannot be computed is listed.
    pub(super) lists_not_computed: bool,
    /// The latest day that a record's name or its date as written says, by its file.
    pub(super) latest_days: &'c BTreeMap<FileId, Date>,
}

impl<'c> Judging<'c> {
    pub(super) fn view(&self) -> &'c dyn View {
        self.of.view()
    }

    /// No finding at a key weighs more: those on records before a group enforces its rules are notes.
    ///
    /// What belongs to no record, such as a step that is overdue today, is of today.
    /// A guard's finding keeps its weight, and so does the one of a record that says two days.
    pub(super) fn most(&self, rule: &str, key: &Key, subject: Place) -> Severity {
        if is_guard(rule) || rule == DATE_UNLIKE_NAME {
            return Severity::Error;
        }
        let on = Key {
            record: key.record.map(|_| subject.file),
            ..*key
        };
        let fleet = self.context.group.fleet.as_deref();
        let from = fleet.and_then(|fleet| fleet.enforce_from);
        // A record that says two days must not choose the one before its rules are enforced.
        let day = self.view().day(&on);
        let file = match self.of {
            AnyView::Readings(visit) => Some(visit.calibration.file),
            AnyView::State(_) => on.record,
        };
        let of_record = file.and_then(|file| self.latest_days.get(&file));
        let day = of_record.map_or(day, |latest| day.max(*latest));
        if from.is_none_or(|from| from.value <= day) {
            Severity::Error
        } else {
            Severity::Note
        }
    }
}

/// What rules of a stratum gave.
#[derive(Default)]
pub(super) struct Outcomes {
    /// What does not hold.
    pub(super) told: Vec<Judged>,
    /// What only weakens a test.
    pub(super) weak: Vec<Judged>,
    /// What cannot be computed, where that is listed.
    pub(super) not_computed: Vec<NotComputed>,
    /// The limits that the ages of steps were held against, passed or not.
    pub(super) ages: Vec<AgeLimit>,
    /// What leaves open, as left, whether a limit of an error is kept.
    pub(super) open: LeftOpen,
}

/// The age of a step held against how long the step is good for.
#[derive(Debug, Clone)]
pub(super) struct AgeLimit {
    pub(super) step: Step,
    pub(super) setup: Option<u16>,
    /// The figure: its age in days, in hours of use or in applications.
    pub(super) figure: &'static str,
    /// The limit.
    pub(super) limit: Limit,
    /// Whether the age is beyond it.
    pub(super) is_over: bool,
}

/// Runs the rules of a stratum; how often each held is counted in `tallies`.
pub(super) fn run(judging: &Judging<'_>, tallies: &mut Tallies) -> Outcomes {
    let mut outcomes = Outcomes::default();
    let mut families: BTreeMap<usize, Option<Family<'_>>> = BTreeMap::new();
    for (index, rule) in judging.context.group.rules.rules().iter().enumerate() {
        if !rule.is_running() {
            continue;
        }
        let entry = &catalogue::FIGURES[rule.figure];
        let family = families.entry(rule.figure);
        let family = family.or_insert_with(|| Family::of(entry, judging.of));
        let Some(family) = family else {
            continue; // The rule belongs to the other stratum.
        };
        let running = Running {
            judging,
            index,
            rule,
            entry,
            family,
        };
        running.run(&mut outcomes, tallies.of(index));
    }
    outcomes
}

/// What a rule makes of each member of its figure, also where its limits are kept: then with the lightest limit in force.
///
/// None of a rule that does not run, and of one that belongs to the other stratum.
pub fn judged_each(context: &Context, of: AnyView<'_>, name: &str) -> Vec<Judged> {
    let judging = &Judging {
        context,
        of,
        lists_not_computed: false,
        latest_days: &BTreeMap::new(),
    };
    let rules = judging.context.group.rules.rules().iter().enumerate();
    let mut running = rules.filter(|(_, rule)| rule.id == name && rule.is_running());
    let Some((index, rule)) = running.next() else {
        return Vec::new();
    };
    let entry = &catalogue::FIGURES[rule.figure];
    let Some(family) = Family::of(entry, judging.of) else {
        return Vec::new(); // The rule belongs to the other stratum.
    };
    let running = Running {
        judging,
        index,
        rule,
        entry,
        family: &family,
    };
    let members = 0..family.computed.members().len();
    members.filter_map(|at| running.of_member(at)).collect()
}

/// One rule over one family.
struct Running<'r> {
    judging: &'r Judging<'r>,
    index: usize,
    rule: &'r Rule,
    entry: &'static Entry,
    family: &'r Family<'r>,
}

/// A member over which a verdict is to be told.
struct Case {
    at: usize,
    key: Key,
    value: f64,
    judgment: Judgment,
}

impl Running<'_> {
    fn run(&self, outcomes: &mut Outcomes, tally: &mut Tally) {
        let mut failed_as_left: BTreeSet<Key> = BTreeSet::new();
        let mut open_as_left: BTreeMap<Key, Grade> = BTreeMap::new();
        let mut as_found: Vec<Case> = Vec::new();
        // The limits of a rule differ between the members of its family by step, setup and day only.
        let mut of_place = None;
        let mut limits: Vec<(Grade, &Limit)> = Vec::new();
        let view = self.judging.view();
        for (at, member) in self.family.computed.members().iter().enumerate() {
            let key = member.key;
            if !self.applies(&key) {
                continue; // Not applicable: rules say where they apply.
            }
            let value = match &member.value {
                Ok(value) => *value,
                Err(unavailable) => {
                    tally.unavailable += 1;
                    if self.judging.lists_not_computed {
                        let because = unavailable.because.clone();
                        outcomes
                            .not_computed
                            .push(self.not_computed(member, because));
                    }
                    continue;
                }
            };
            let day = view.day(&key);
            let place = (key.step, key.setup, day);
            if of_place != Some(place) {
                of_place = Some(place);
                limits.clear();
                limits.extend(self.limits(&key));
            }
            let decision = self.rule.decision;
            // As found only what is over a limit is told, and the value alone says whether it is.
            if key.stage == Some(Stage::AsFound)
                && self.judge(at, value, &limits, Decision::Simple).verdict == Verdict::Pass
            {
                tally.passes += 1;
                continue;
            }
            let judgment = self.judge(at, value, &limits, decision);
            if self.entry.is_age_of_step() {
                outcomes.ages.extend(self.age_limits(at, value, &limits));
            }
            if self.waits() {
                continue; // The list of what is due says what it waits for.
            }
            tally.count(&judgment.verdict);
            if judgment.verdict == Verdict::Pass {
                continue;
            }
            if key.stage != Some(Stage::AsFound) {
                if let Verdict::Undecided(grade, _) = judgment.verdict {
                    open_as_left.insert(key, grade);
                }
                if matches!(judgment.verdict, Verdict::Undecided(Grade::Error, _)) {
                    let undecided = (self.rule.id.clone(), failing::nozzle_of(key.part));
                    outcomes.open.undecided.insert(undecided);
                }
                if judgment.verdict == Verdict::Fail(Grade::Error) {
                    outcomes.open.impossible.extend(self.as_a_condition(&key));
                } else {
                    let uncertain = self.proves_nothing(at, &key, &limits);
                    outcomes.open.uncertain.extend(uncertain);
                }
            }
            let case = Case {
                at,
                key,
                value,
                judgment,
            };
            if key.stage == Some(Stage::AsFound) {
                as_found.push(case);
                continue;
            }
            match case.judgment.verdict {
                Verdict::Fail(Grade::Weakens) | Verdict::Undecided(_, Side::Within) => {
                    outcomes.weak.push(self.judged(&case, None));
                }
                Verdict::Fail(_) | Verdict::Undecided(_, Side::Over) => {
                    failed_as_left.insert(key);
                    outcomes.told.push(self.judged(&case, None));
                }
                Verdict::Pass => {}
            }
        }
        for case in as_found {
            let left = case.key.at_stage(Stage::AsLeft);
            let verdict = &case.judgment.verdict;
            let open = open_as_left.get(&left);
            if matches!(verdict, Verdict::Fail(grade) if open.is_some_and(|open| open <= grade)) {
                // What is proven as found is not put right by what proves nothing.
                outcomes.told.push(self.judged(&case, None));
            } else if failed_as_left.contains(&left) {
                // What is still so as left is told there.
                if matches!(verdict, Verdict::Undecided(..)) {
                    let judged = self.judged(&case, None);
                    let mut told = outcomes.told.iter_mut();
                    if let Some(as_left) =
                        told.find(|told| told.rule == self.index && told.key == left)
                    {
                        as_left.weak.push(judged);
                    }
                }
            } else if verdict.is_over() {
                // What only weakened a test was tested again.
                let as_left = self.family.value(&left);
                outcomes.told.push(self.judged(&case, as_left));
            }
        }
    }

    /// What the rule makes of a member; none where it does not apply, or there is no value.
    fn of_member(&self, at: usize) -> Option<Judged> {
        let member = &self.family.computed.members()[at];
        let key = member.key;
        let value = *member.value.as_ref().ok().filter(|_| self.applies(&key))?;
        let limits: Vec<(Grade, &Limit)> = self.limits(&key).collect();
        let judgment = self.judge(at, value, &limits, self.rule.decision);
        let case = Case {
            at,
            key,
            value,
            judgment,
        };
        let in_force = limits.iter().rev();
        let mut in_force = in_force.filter(|(_, limit)| limit.bound.is_in_force());
        let lightest = in_force.next();
        let mut judged = self.judged(&case, None);
        judged.limit = judged
            .limit
            .or_else(|| lightest.map(|(grade, limit)| (*grade, (*limit).clone())));
        Some(judged)
    }

    /// The step whose test measures the figure, where its uncertainty is more than the worst limit.
    fn proves_nothing(&self, at: usize, key: &Key, limits: &[(Grade, &Limit)]) -> Option<Step> {
        let step = key.step?;
        let is_measured = step.procedure().measures.contains(&self.entry.id);
        let mut limits = limits.iter();
        let (_, worst) = limits.find(|(_, limit)| limit.bound.is_in_force())?;
        let most = worst.bound.widest()?;
        (is_measured && most < self.expanded(at)).then_some(step)
    }

    /// The step whose tests are made under what the figure tells of.
    fn as_a_condition(&self, key: &Key) -> Option<Step> {
        let is_condition = |step: &Step| step.procedure().conditions.contains(&self.entry.id);
        key.step.filter(is_condition)
    }

    fn applies(&self, key: &Key) -> bool {
        let view = self.judging.view();
        applies(
            self.rule,
            view.subject().machine,
            whose(view, key),
            key.stage,
        )
    }

    /// Whether what is found only makes a step due, of a machine that is laid up.
    fn waits(&self) -> bool {
        match self.judging.of {
            AnyView::State(standing) => self.entry.only_makes_due() && standing.is_laid_up(),
            AnyView::Readings(_) => false,
        }
    }

    /// The limits in force for a member, worst grade first.
    fn limits(&self, key: &Key) -> impl Iterator<Item = (Grade, &Limit)> {
        let view = self.judging.view();
        let rule = (self.index, self.rule);
        let context = self.judging.context;
        context.limits(rule, whose(view, key), view.day(key))
    }

    /// What makes a step overdue: each limit of its age that is told.
    fn age_limits(&self, at: usize, value: f64, limits: &[(Grade, &Limit)]) -> Vec<AgeLimit> {
        let key = self.family.computed.members()[at].key;
        let told = limits.iter().filter(|(grade, _)| *grade < Grade::Weakens);
        let ages = told.filter_map(|one| {
            let judgment = self.judge(at, value, &[*one], self.rule.decision);
            let (_, limit) = one;
            limit.bound.is_in_force().then_some(AgeLimit {
                step: key.step?,
                setup: key.setup,
                figure: self.entry.id,
                limit: (*limit).clone(),
                is_over: judgment.verdict.is_over(),
            })
        });
        ages.collect()
    }

    fn judge(
        &self,
        at: usize,
        value: f64,
        limits: &[(Grade, &Limit)],
        decision: Decision,
    ) -> Judgment {
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
        let factor = self.judging.context.coverage_factor;
        factor * self.family.standard_uncertainty(at, self.judging.view())
    }

    fn at(&self, key: &Key) -> At {
        at(self.judging.view(), key)
    }

    fn not_computed(&self, member: &Member<f64>, because: String) -> NotComputed {
        let missing = member.value.as_ref().err();
        let missing = missing.and_then(|unavailable| unavailable.place);
        NotComputed {
            rule: self.rule.id.clone(),
            figure: self.entry.id,
            at: self.at(&member.key),
            because,
            place: missing.unwrap_or(member.subject),
            is_lacking: missing.is_some(),
        }
    }

    fn judged(&self, case: &Case, as_left: Option<f64>) -> Judged {
        let &Case {
            at,
            key,
            value,
            judgment: Judgment { verdict, distance },
        } = case;
        let view = self.judging.view();
        let computed = &*self.family.computed;
        let member = &computed.members()[at];
        let grade = match verdict {
            Verdict::Fail(grade) | Verdict::Undecided(grade, _) => Some(grade),
            Verdict::Pass => None,
        };
        let mut limits = self.limits(&key);
        let limit = limits.find(|(of, _)| Some(*of) == grade);
        let undecided = matches!(verdict, Verdict::Undecided(..)).then(|| computed.measure(at));
        let deciding = undecided.flatten().and_then(|measure| {
            let factor = self.judging.context.coverage_factor;
            deciding(measure, view.primitives(), distance, factor)
        });
        let by_chance = limit.and_then(|(_, limit)| {
            let most = limit.bound.widest()?;
            self.family.by_chance(at, most, view)
        });
        let is_put_right = member.is_put_right;
        let most = self.judging.most(&self.rule.id, &key, member.subject);
        let slots = self.entry.slot_names().into_iter();
        Judged {
            rule: self.index,
            name: self.rule.id.clone(),
            figure: self.entry.id,
            key,
            at: self.at(&key),
            case: member.case,
            severity: self
                .severity(verdict, as_left.is_some() || is_put_right)
                .min(most),
            verdict,
            value,
            expanded: self.expanded(at),
            shown_as: self.entry.shown_as,
            units: computed.units(at),
            limit: limit.map(|(grade, limit)| (grade, limit.clone())),
            distance,
            as_left,
            is_put_right,
            deciding,
            by_chance,
            sprayed: match key.stage {
                Some(Stage::AsFound) => view.sprayed_before(&key),
                Some(Stage::AsLeft) | None => None,
            },
            subject: member.subject,
            read: computed.read(at),
            against: member.against,
            held_against: computed.held_against(),
            working: computed.working(at),
            facts: slots.map(|slot| (slot, computed.fact(at, slot))).collect(),
            siblings: self.family.siblings(&key),
            held: Vec::new(),
            weak: Vec::new(),
        }
    }

    /// What a verdict weighs by itself: what is not proven a warning at most, what was put right or is on trial a note.
    fn severity(&self, verdict: Verdict, is_put_right: bool) -> Severity {
        let severity = match verdict {
            Verdict::Fail(grade) => of_grade(grade),
            Verdict::Undecided(grade, _) => of_grade(grade).min(Severity::Warning),
            Verdict::Pass => Severity::Note,
        };
        if is_put_right || self.rule.status == Status::OnTrial {
            severity.min(Severity::Note)
        } else {
            severity
        }
    }
}

/// What a grade weighs.
pub fn of_grade(grade: Grade) -> Severity {
    match grade {
        Grade::Error => Severity::Error,
        Grade::Warning => Severity::Warning,
        Grade::Note | Grade::Weakens => Severity::Note,
    }
}

/// A key by name.
pub(super) fn at(view: &dyn View, key: &Key) -> At {
    At {
        machine: view.subject().id.to_owned(),
        date: key.record.map(|_| view.day(key)),
        step: key.step,
        setup: view.setup_name(key).map(str::to_owned),
        stage: key.stage,
        part: view.part(key),
        is_whole: key.part == Part::Whole,
    }
}
