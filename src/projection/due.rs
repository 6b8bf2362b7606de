//! What is due on the day, or within a period after it, by course and urgency.

use super::check::{Settings, is_selected};
use super::in_order::{Waiting, in_order};
use super::places::Places;
use crate::assess::{
    self, Asked, Assessment, Context, Group, HeldAgainst, Landed, State, StepStanding, Texts, Used,
};
use crate::diagnostic::Severity;
use crate::finding::Finding;
use crate::quantity::calendar::Period;
use crate::report::{DueBy, DueList, DueState, DueStep, RowPlace, UnsureMachine};
use crate::source::Place;
use crate::tree::{Failure, Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::steps::{Because, because};
use crate::words::phrases;
use jiff::civil::Date;
use std::borrow::Borrow;
use std::collections::BTreeSet;

/// The list of what is due on the day, or within a period after it.
pub fn due(listing: &Listing, read: &ReadFile<'_>, settings: &Settings, within: Period) -> DueList {
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, settings.today, Landed::new());
    let is_selected = |machine: &&MachineFiles| {
        let mut files = machine.all();
        files.any(|file| is_selected(tree.path(file), &settings.selected))
    };
    let wanted: Vec<&MachineFiles> = tree.machines.iter().filter(is_selected).collect();
    let mut list = ListInTheMaking::new(&context, &reader, within);
    in_order(
        &wanted,
        Waiting::Some,
        |machine: &&MachineFiles| assess::assess(&context, &reader, machine, Asked::default()),
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
    unsure: Vec<UnsureMachine>,
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
            unsure: Vec::new(),
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
        let errors = assessment.findings.iter().filter(|finding| match finding {
            Finding::Fault(fault) => fault.severity() == Severity::Error,
            Finding::Judged(_) | Finding::Weak(_) => false,
        });
        self.errors.extend(errors.map(Finding::place));
        let mut places = Places::new(self.reader);
        let mut steps = Vec::new();
        for step in &assessment.steps {
            if let Some(due) = self.due_step(assessment, step, &mut places) {
                steps.push(due);
            } else {
                self.current += 1;
                self.without_interval += usize::from(step.intervals.is_empty());
            }
        }
        self.machines.push(steps);
        let unsure = &assessment.unsure;
        if !unsure.steps.is_empty() {
            self.unsure.push(UnsureMachine {
                machine: assessment.machine.clone(),
                steps: unsure.steps.iter().map(|step| step.test()).collect(),
                says_nothing_of: unsure.says_nothing_of.clone(),
            });
        }
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
        let rules = &self.context.group.rules;
        let Because {
            because,
            to_do,
            interval,
        } = because(
            step,
            next,
            &assessment.left_failing,
            rules,
            self.context.today,
        );
        let short = |name: &String| phrases::name(name).into_owned();
        let setup = step.setup.as_ref().map(short);
        Some(DueStep {
            course: assessment.course.as_ref().map(short),
            machine: assessment.machine.clone(),
            setup: setup.clone().filter(|_| assessment.setups > 1),
            only_setup: setup.filter(|_| assessment.setups == 1),
            step: step.step.test(),
            state,
            due,
            by,
            because,
            to_do,
            interval,
            last_done: step.done.map(|done| done.day),
            at: at.map(|place| places.at(place)),
            bring: step.bring.to_vec(),
            events: u32::try_from(assessment.events).unwrap_or(u32::MAX),
        })
    }

    fn finish(mut self) -> DueList {
        let Self {
            context, reader, ..
        } = self;
        let spent = spent_waivers(&context.group, &self.waivers_used, reader, context.today);
        self.errors.extend(spent);
        self.failures.sort();
        self.failures.dedup();
        let mut places = Places::new(reader);
        let mut errors: Vec<RowPlace> = self.errors.into_iter().map(|at| places.at(at)).collect();
        errors.sort();
        let within = self.last_day - context.today;
        DueList {
            today: context.today,
            within_days: within.get_days().unsigned_abs(),
            current: self.current,
            without_interval: self.without_interval,
            unsure: self.unsure,
            steps: ordered(self.machines),
            records: self.records,
            errors,
            failures: self.failures,
        }
    }
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

/// How a step that is due stands, as the list says it.
struct Standing {
    state: DueState,
    due: Option<Date>,
    by: DueBy,
    at: Option<Place>,
}

fn standing(step: &StepStanding, next: Option<&HeldAgainst>) -> Option<Standing> {
    let done = step.done;
    Some(match &step.state {
        State::NeverDone => Standing {
            state: DueState::NeverDone,
            due: None,
            by: DueBy::Nothing,
            at: None,
        },
        State::Void(by) => Standing {
            state: DueState::Void,
            due: Some(by.undone.day),
            by: DueBy::Work,
            at: Some(by.undone.place),
        },
        State::Failing { place, .. } => Standing {
            state: DueState::Failing,
            due: done.map(|done| done.day),
            by: DueBy::Finding,
            at: Some(*place),
        },
        State::Recheck(by) => Standing {
            state: DueState::Recheck,
            due: Some(by.undone.day),
            by: DueBy::Work,
            at: Some(by.undone.place),
        },
        State::UnreadVisit(record) | State::UnreadWork(record) => Standing {
            state: DueState::Recheck,
            due: record.day,
            by: DueBy::Finding,
            at: Some(record.place()),
        },
        State::Overdue(first) => {
            let against = step.intervals.get(*first)?;
            Standing {
                state: DueState::Overdue,
                due: Some(against.due),
                by: counted_by(&against.used),
                at: done.map(|done| done.place),
            }
        }
        State::Current => {
            let against = next?;
            Standing {
                state: DueState::ComingDue,
                due: Some(against.due),
                by: counted_by(&against.used),
                at: done.map(|done| done.place),
            }
        }
    })
}

const fn counted_by(used: &Used) -> DueBy {
    match used {
        Used::Calendar => DueBy::Calendar,
        Used::Hours { .. } => DueBy::Hours,
        Used::Applications { .. } => DueBy::Applications,
    }
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
