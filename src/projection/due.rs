//! What is due on the day, or within a period after it, by course and urgency.

use super::check::{Settings, is_selected};
use super::in_order::{Waiting, in_order};
use super::places::Places;
use super::standing::{Standing, setup_of_several, standing, unread};
use crate::assess::{
    self, Asked, Assessment, Context, Group, Merged, StepStanding, Texts, WhyUnread,
};
use crate::diagnostic::{NOT_FILLED_IN, Severity};
use crate::figure::about::DAYS_AHEAD;
use crate::finding::Finding;
use crate::procedure::CAUTIONS;
use crate::quantity::calendar::Period;
use crate::report::{
    BrokenMachine, DueList, DueStep, DueWaiver, HoursUnread, LaidUpMachine, RowPlace, StepOf,
    TestNotCounted, ToFillIn, UnsureMachine, WaitingStep, WhyHoursUnread,
};
use crate::source::{Place, Spanned};
use crate::tree::{Failure, Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::steps::{self, Because, because, bring, target};
use crate::words::phrases;
use jiff::civil::Date;
use std::borrow::Borrow;
use std::collections::{BTreeMap, BTreeSet};

/// The list of what is due on the day, or within a period after it.
pub fn due(listing: &Listing, read: &ReadFile<'_>, settings: &Settings, within: Period) -> DueList {
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, settings.today, Merged::new());
    let is_selected = |machine: &&MachineFiles| {
        let mut files = machine.all();
        files.any(|file| is_selected(tree.path(file), &settings.selected))
    };
    let wanted: Vec<&MachineFiles> = tree.machines.iter().filter(is_selected).collect();
    let mut list = ListInTheMaking::new(&context, &reader, within);
    in_order(
        &wanted,
        Waiting::Some,
        |machine: &&MachineFiles| {
            let asked = Asked {
                rule_by_rule: settings.rule_by_rule,
                ..Asked::default()
            };
            assess::assess(&context, &reader, machine, asked)
        },
        |assessment| list.add(&assessment),
    );
    list.finish()
}

/// The list of what is due, of assessments that were made before.
pub fn due_list<A: Borrow<Assessment>>(
    context: &Context,
    reader: &Reader<'_>,
    assessments: impl IntoIterator<Item = A>,
    within: Period,
) -> DueList {
    let mut list = ListInTheMaking::new(context, reader, within);
    for assessment in assessments {
        list.add(assessment.borrow());
    }
    list.finish()
}

/// What is due of one machine.
type OfMachine = Vec<DueStep>;

struct ListInTheMaking<'c> {
    context: &'c Context,
    reader: &'c Reader<'c>,
    last_day: Date,
    machines: Vec<OfMachine>,
    current: usize,
    without_interval: usize,
    broken: Vec<BrokenMachine>,
    laid_up: Vec<LaidUpMachine>,
    hours_unread: Vec<HoursUnread>,
    unsure: Vec<UnsureMachine>,
    not_filled_in: Vec<ToFillIn>,
    not_counted: Vec<TestNotCounted>,
    records: usize,
    errors: Vec<Place>,
    failures: Vec<Failure>,
    waivers_used: BTreeSet<usize>,
}

impl<'c> ListInTheMaking<'c> {
    fn new(context: &'c Context, reader: &'c Reader<'c>, within: Period) -> Self {
        let mut list = Self {
            context,
            reader,
            last_day: within.after(context.today).unwrap_or(Date::MAX),
            machines: Vec::new(),
            current: 0,
            without_interval: 0,
            broken: Vec::new(),
            laid_up: Vec::new(),
            hours_unread: Vec::new(),
            unsure: Vec::new(),
            not_filled_in: Vec::new(),
            not_counted: Vec::new(),
            records: 0,
            errors: Vec::new(),
            failures: Vec::new(),
            waivers_used: BTreeSet::new(),
        };
        let errors = context.texts.findings.iter();
        let errors = errors.filter(|finding| finding.severity() == Severity::Error);
        list.errors
            .extend(errors.map(|finding| finding.primary().place));
        list.add_texts(&context.texts);
        list
    }

    fn add_texts(&mut self, texts: &Texts) {
        self.records += texts.records;
        self.failures.extend(texts.failures.iter().cloned());
    }

    fn add(&mut self, assessment: &Assessment) {
        self.add_texts(&assessment.texts);
        self.waivers_used.extend(&assessment.waivers_used);
        // What rules find is in the list already; what else is wrong may hide a record from it.
        let waived = assessment.waived.iter().map(|waived| &waived.finding);
        let all = assessment.findings.iter().chain(waived);
        let errors = all.filter(|finding| match finding {
            Finding::Fault(fault) => fault.severity() == Severity::Error,
            Finding::Judged(judged) => {
                // It may void a step, or do one; a waiver does not make it count.
                judged.figure == DAYS_AHEAD && assessment.not_come.contains(&judged.subject)
            }
            Finding::Explained(_) | Finding::Weak(_) => false,
        });
        self.errors.extend(errors.map(Finding::place));
        let mut places = Places::new(self.reader);
        let faults = assessment
            .findings
            .iter()
            .filter_map(|finding| match finding {
                Finding::Fault(fault) if fault.rule() == NOT_FILLED_IN => Some(fault),
                Finding::Fault(_)
                | Finding::Judged(_)
                | Finding::Explained(_)
                | Finding::Weak(_) => None,
            });
        self.not_filled_in.extend(faults.map(|fault| ToFillIn {
            at: places.at(fault.primary().place),
            what: fault.message().to_owned(),
        }));
        let mut steps = Vec::new();
        let mut waiting = Vec::new();
        for step in &assessment.steps {
            let due = self.due_step(assessment, step, &mut places);
            let is_told = due.is_some() && !step.waits;
            self.not_counted
                .extend(not_counted(assessment, step, is_told, &mut places));
            match due {
                Some(due) if step.waits => waiting.push(WaitingStep {
                    step: due.step,
                    setup: due.setup,
                    state: due.state,
                }),
                Some(due) => steps.push(due),
                None => {
                    self.current += 1;
                    self.without_interval += usize::from(step.intervals.is_empty());
                }
            }
        }
        self.machines.push(steps);
        let machine = &assessment.machine;
        self.laid_up
            .extend(assessment.laid_up.map(|(_, until)| LaidUpMachine {
                machine: machine.clone(),
                until,
                waiting,
            }));
        let is_forbidden = |step: &StepStanding| {
            standing(step, None).is_some_and(|standing| standing.state.forbids_spraying())
        };
        if assessment.broken.is_none()
            && !assessment.steps.iter().any(is_forbidden)
            && let Some(place) = unread(assessment)
        {
            self.broken.push(BrokenMachine {
                machine: assessment.machine.clone(),
                has_file: true,
                errors: in_order_of_places(&[place], &mut places),
                is_record: true,
            });
        }
        self.broken
            .extend(assessment.broken.as_ref().map(|broken| BrokenMachine {
                machine: machine.clone(),
                has_file: broken.is_there,
                errors: in_order_of_places(&broken.errors, &mut places),
                is_record: false,
            }));
        self.add_hours_unread(assessment);
        let unsure = &assessment.unsure;
        if !unsure.steps.is_empty() {
            self.unsure.push(UnsureMachine {
                machine: assessment.machine.clone(),
                steps: unsure.steps.iter().map(|step| step.test()).collect(),
                says_nothing_of: unsure.says_nothing_of.clone(),
            });
        }
    }

    /// The steps whose hours nothing counts, reason by reason.
    fn add_hours_unread(&mut self, assessment: &Assessment) {
        let mut by_reason: BTreeMap<WhyHoursUnread, Vec<_>> = BTreeMap::new();
        for step in &assessment.steps {
            let Some(why) = step.hours_unread else {
                continue;
            };
            let why = match why {
                WhyUnread::NotRead => WhyHoursUnread::NotRead,
                WhyUnread::NoForecast => WhyHoursUnread::NoForecast,
                WhyUnread::Broken(broken) if broken.went_back => {
                    WhyHoursUnread::WentBack(broken.day)
                }
                WhyUnread::Broken(broken) => WhyHoursUnread::Jumped(broken.day),
            };
            let named = (step.step.test(), setup_of_several(assessment, step));
            by_reason.entry(why).or_default().push(named);
        }
        let machine = &assessment.machine;
        self.hours_unread
            .extend(by_reason.into_iter().map(|(why, steps)| HoursUnread {
                machine: machine.clone(),
                why,
                steps,
            }));
    }

    /// A step that is due; none where it is current and no interval runs out within the days asked for.
    fn due_step(
        &self,
        assessment: &Assessment,
        step: &StepStanding,
        places: &mut Places<'_>,
    ) -> Option<DueStep> {
        let coming = step.intervals.iter().filter(|one| one.due <= self.last_day);
        let next = coming.min_by_key(|one| one.due);
        let Standing { state, due, by, at } = standing(step, next)?;
        let group = &self.context.group;
        let Because {
            because,
            to_do,
            interval,
        } = because(
            step,
            next,
            &assessment.left_failing,
            group,
            self.context.today,
        );
        let short = |name: &String| phrases::name(name).into_owned();
        let setup = step.setup.as_ref().map(short);
        Some(DueStep {
            course: assessment.course.as_ref().map(short),
            machine: assessment.machine.clone(),
            setup: setup_of_several(assessment, step),
            only_setup: setup.filter(|_| assessment.setups == 1),
            step: step.step.test(),
            of: step_of(step),
            state,
            due,
            by,
            because,
            to_do,
            interval,
            last_done: step.done.map(|done| done.day),
            at: at.map(|place| places.at(place)),
            waived: self.waived(step, places),
            bring: step.bring.iter().map(bring).collect(),
            target: step.target.as_ref().map(target),
            cautions: step.step.procedure().cautions,
            events: u32::try_from(assessment.events).unwrap_or(u32::MAX),
        })
    }

    /// The waivers in force for a step.
    fn waived(&self, step: &StepStanding, places: &mut Places<'_>) -> Vec<DueWaiver> {
        let Some(waivers) = &self.context.group.waivers else {
            return Vec::new();
        };
        let own = step.waived.iter().filter_map(|waived| {
            let waiver = waivers.waivers.get(waived.waiver)?;
            let short = |reason: &Spanned<String>| phrases::name(&reason.value).into_owned();
            Some(DueWaiver {
                rule: waived.rule.clone(),
                until: waiver.until.map(|until| until.value),
                because: waiver.reason.as_ref().map(short),
                at: places.at(Place {
                    file: waivers.file,
                    span: waiver.span,
                }),
            })
        });
        own.collect()
    }

    fn finish(mut self) -> DueList {
        let Self {
            context, reader, ..
        } = self;
        let spent = spent_waivers(&context.group, &self.waivers_used, reader, context.today);
        self.errors.extend(spent);
        self.failures.sort();
        self.failures.dedup();
        self.not_filled_in.sort();
        let mut places = Places::new(reader);
        let errors = in_order_of_places(&self.errors, &mut places);
        let within = self.last_day - context.today;
        DueList {
            today: context.today,
            within_days: within.get_days().unsigned_abs(),
            sequence: day_number(context.today),
            current: self.current,
            without_interval: self.without_interval,
            broken: self.broken,
            laid_up: self.laid_up,
            hours_unread: self.hours_unread,
            unsure: self.unsure,
            not_filled_in: self.not_filled_in,
            not_counted: self.not_counted,
            steps: ordered(self.machines),
            cautions: &CAUTIONS,
            records: self.records,
            errors,
            failures: self.failures,
        }
    }
}

/// The last test of a step that does not count.
fn not_counted(
    assessment: &Assessment,
    step: &StepStanding,
    is_told_by_step: bool,
    places: &mut Places<'_>,
) -> Option<TestNotCounted> {
    let test = step.not_counted.as_ref()?;
    Some(TestNotCounted {
        machine: assessment.machine.clone(),
        setup: setup_of_several(assessment, step),
        step: step.step.test(),
        of: step_of(step),
        day: test.day,
        is_begun: test.is_begun,
        says: steps::not_counted(step.step, test),
        counts: step.done.map(|done| done.day),
        at: places.at(test.place),
        is_told_by_step,
    })
}

fn step_of(step: &StepStanding) -> StepOf {
    StepOf {
        step: step.step,
        setup: step.setup.clone(),
    }
}

fn in_order_of_places(all: &[Place], places: &mut Places<'_>) -> Vec<RowPlace> {
    let mut all: Vec<RowPlace> = all.iter().map(|at| places.at(*at)).collect();
    all.sort();
    all
}

/// The number of a day, counted from 2000-01-01; none before.
fn day_number(day: Date) -> u32 {
    const FIRST_DAY: Date = jiff::civil::date(2000, 1, 1);
    u32::try_from((day - FIRST_DAY).get_days()).unwrap_or(0)
}

/// Where waivers have errors.
fn spent_waivers(
    group: &Group,
    used: &BTreeSet<usize>,
    reader: &Reader<'_>,
    today: Date,
) -> Vec<Place> {
    let spent = assess::spent_waivers(group, used, reader.tree, today);
    let errors = spent
        .iter()
        .filter(|finding| finding.severity() == Severity::Error);
    errors.map(|finding| finding.primary().place).collect()
}

/// By course, then the machine with the most urgent step first, then by urgency.
fn ordered(mut machines: Vec<OfMachine>) -> Vec<DueStep> {
    let urgency = |step: &DueStep| (step.state, step.due.unwrap_or(Date::MIN));
    for steps in &mut machines {
        steps.sort_by_key(urgency);
    }
    machines.sort_by_cached_key(|steps| {
        let first = steps.first();
        let course = first.and_then(|step| step.course.clone());
        // Machines of no course stand last.
        (course.is_none(), course, first.map(urgency))
    });
    machines.into_iter().flatten().collect()
}
