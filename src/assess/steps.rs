//! How each step of a machine stands on the day, what makes it so, and what makes it due.
//!
//! Sets no limit: how long a step holds are the limits that its ages were judged by. A date by hours is a forecast from the
//! machine's own use: the last day on which the interval is not exceeded where it is used on as before. Only readings prove
//! a step overdue by hours.

use super::judge::AgeLimit;
use crate::fact::Fact;
use crate::figure::Standing;
use crate::figure::about::{STEP_AGE, STEP_APPLICATIONS, STEP_HOURS};
use crate::fleet::{HourMeter, Unreadable};
use crate::history::{Done, Last, StepState, Timeline, Undone};
use crate::procedure::{Has, Step};
use crate::quantity::Exact;
use crate::quantity::calendar::Period;
use crate::rule::Limit;
use crate::source::Place;
use jiff::civil::Date;
use num_traits::ToPrimitive;

/// How a step of a machine stands.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct StepStanding {
    /// The step.
    pub step: Step,
    /// The setup it belongs to, by name.
    pub setup: Option<String>,
    /// When it was last done, as far as the records show.
    pub done: Option<Done>,
    /// How it stands, by the first that fits: never done, perhaps done, void, failing, overdue, to recheck, current.
    pub state: State,
    /// How it stands against each of its intervals.
    pub intervals: Vec<HeldAgainst>,
    /// What it takes.
    pub bring: &'static [&'static str],
}

/// How a step stands.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub enum State {
    /// No record shows it.
    NeverDone,
    /// A visit that cannot be read may be the latest.
    UnreadVisit(Unreadable),
    /// Work since it was done makes it worth nothing.
    Void(UndoneBy),
    /// The visit that last did it left it beyond a limit: the finding, by its place in the assessment.
    Failing {
        /// The finding, by its place in [`super::Assessment::left_failing`].
        finding: usize,
        /// Where it points.
        place: Place,
    },
    /// The interval of this place among its intervals has run out.
    Overdue(usize),
    /// Work since it was done asks for another look.
    Recheck(UndoneBy),
    /// A service record that cannot be read may tell of work since.
    UnreadWork(Unreadable),
    /// Nothing speaks against it.
    Current,
}

/// Work that undid a step.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct UndoneBy {
    /// The work.
    pub undone: Undone,
    /// The work by name.
    pub work: Fact,
    /// The nozzles to catch again; none where it is the whole step.
    pub nozzles: Option<Fact>,
}

/// A step held against one interval.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct HeldAgainst {
    /// The last day on which it is good.
    pub due: Date,
    /// Whether it is past, by what is on record.
    pub is_over: bool,
    /// The limit.
    pub limit: Limit,
    /// How much of it is used.
    pub used: Used,
}

/// How much of an interval is used.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub enum Used {
    /// By the calendar.
    Calendar,
    /// By hours of use: how many, and the reading that shows it.
    Hours {
        /// Hours of use since it was done.
        hours: f64,
        /// The hour-meter as last read.
        now: HourMeter,
    },
    /// By applications: how many, and whether none is left.
    Applications {
        /// Since it was done.
        made: usize,
        /// Whether the next one is one too many.
        is_used_up: bool,
    },
}

/// The steps a machine's file does not say it has.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Unsure {
    /// The steps it may have.
    pub steps: Vec<Step>,
    /// The keys its file lacks.
    pub says_nothing_of: Vec<&'static str>,
}

/// Every step of a machine that is in use, and the steps it may have.
pub(super) fn of(
    standing: &Standing<'_>,
    timeline: &Timeline<'_>,
    ages: &[AgeLimit],
) -> (Vec<StepStanding>, Unsure) {
    let machine = standing.subject.machine;
    let mut unsure = Unsure::default();
    let mut steps = Vec::new();
    for state in standing.steps_in_use() {
        let has = (state.step.procedure().has)(machine);
        if let (Last::Never, Has::Unsaid(key)) = (state.last, has) {
            if !unsure.steps.contains(&state.step) {
                unsure.steps.push(state.step);
                unsure.says_nothing_of.push(key);
            }
            continue; // Nobody knows whether it is to be done.
        }
        steps.push(
            StandingStep {
                standing,
                timeline,
                state,
            }
            .stands(ages),
        );
    }
    (steps, unsure)
}

impl AgeLimit {
    /// The day the step was done, where its age is beyond the limit: some day since then it ran out.
    fn since(&self, done: Done) -> Option<Date> {
        self.is_over.then_some(done.day)
    }
}

struct StandingStep<'s, 'a> {
    standing: &'s Standing<'a>,
    timeline: &'s Timeline<'a>,
    state: &'s StepState,
}

impl StandingStep<'_, '_> {
    fn stands(&self, ages: &[AgeLimit]) -> StepStanding {
        let machine = self.standing.subject.machine;
        let setup = self.state.setup;
        let setup = setup.and_then(|at| machine.setups.get(usize::from(at)));
        let intervals = match self.state.done() {
            Some(done) => self.intervals(ages, done),
            None => Vec::new(),
        };
        StepStanding {
            step: self.state.step,
            setup: setup.map(|setup| setup.name.value.clone()),
            done: self.state.done(),
            state: self.first_that_fits(&intervals),
            intervals,
            bring: (self.state.step.procedure().bring)(machine),
        }
    }

    fn first_that_fits(&self, intervals: &[HeldAgainst]) -> State {
        let state = self.state;
        match state.last {
            Last::Never => return State::NeverDone,
            Last::Unreadable(record) => return State::UnreadVisit(record),
            Last::On(_) => {}
        }
        if let Some(void) = &state.void {
            return State::Void(self.undone_by(void));
        }
        if let Some(failing) = &state.failing {
            return State::Failing {
                finding: failing.finding,
                place: failing.place,
            };
        }
        let overdue = intervals.iter().enumerate().filter(|(_, one)| one.is_over);
        if let Some((first, _)) = overdue.min_by_key(|(_, one)| one.due) {
            return State::Overdue(first);
        }
        if let Some(recheck) = &state.recheck {
            return State::Recheck(self.undone_by(recheck));
        }
        match state.unread_work {
            Some(record) => State::UnreadWork(record),
            None => State::Current,
        }
    }

    fn undone_by(&self, undone: &Undone) -> UndoneBy {
        UndoneBy {
            work: self.standing.work_of(undone),
            nozzles: self.standing.nozzles(&undone.nozzles),
            undone: undone.clone(),
        }
    }

    /// The step against each interval in force, in the order calendar, hours, applications.
    fn intervals(&self, ages: &[AgeLimit], done: Done) -> Vec<HeldAgainst> {
        let own = |age: &&AgeLimit| age.step == self.state.step && age.setup == self.state.setup;
        let mut own: Vec<&AgeLimit> = ages.iter().filter(own).collect();
        let order = [STEP_AGE, STEP_HOURS, STEP_APPLICATIONS];
        own.sort_by_key(|age| order.iter().position(|figure| *figure == age.figure));
        let against = own.into_iter().filter_map(|age| match age.figure {
            STEP_AGE => Self::by_calendar(age, done),
            STEP_HOURS => self.by_hours(age, done),
            _ => self.by_applications(age, done),
        });
        against.collect()
    }

    fn by_calendar(age: &AgeLimit, done: Done) -> Option<HeldAgainst> {
        let period = age.limit.bound.quantity().and_then(Period::from_quantity);
        let due = period.and_then(|period| period.after(done.day));
        Some(HeldAgainst {
            due: due.or(age.since(done))?,
            is_over: age.is_over,
            limit: age.limit.clone(),
            used: Used::Calendar,
        })
    }

    fn by_hours(&self, age: &AgeLimit, done: Done) -> Option<HeldAgainst> {
        let wanted = age.limit.bound.most()?;
        let (then, now) = self.state.used.hours?;
        let used = self.timeline.hours_between(&then, &now);
        let due = if age.is_over {
            let beyond = self.timeline.first_hours_beyond(&wanted, &then, done.day);
            beyond.map_or(done.day, |reading| reading.day)
        } else {
            let left = wanted - used.clone();
            let days = left / self.timeline.use_a_day(self.standing.today)?;
            let days = days.floor().to_integer().to_u32()?;
            Period::Days(days).after(now.day)?
        };
        let hours = (used / Exact::from_integer(3_600.into())).to_f64()?;
        Some(HeldAgainst {
            due,
            is_over: age.is_over,
            limit: age.limit.clone(),
            used: Used::Hours { hours, now },
        })
    }

    /// Nobody knows when the next application will be: it is due once the interval is used up.
    fn by_applications(&self, age: &AgeLimit, done: Done) -> Option<HeldAgainst> {
        let wanted = age
            .limit
            .bound
            .quantity()?
            .exact()
            .to_integer()
            .to_usize()?;
        let made = self.state.used.applications;
        let today = self.standing.today;
        let used_up = self
            .timeline
            .nth_application_since(self.state, today, wanted);
        Some(HeldAgainst {
            due: used_up.or(age.since(done))?,
            is_over: age.is_over,
            limit: age.limit.clone(),
            used: Used::Applications {
                made,
                is_used_up: made == wanted,
            },
        })
    }
}
