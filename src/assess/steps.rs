//! How each step of a machine stands on the day, what makes it so, and what makes it due.
//!
//! Sets no limit: how long a step holds are the limits that its ages were judged by. A date by hours is a forecast from the
//! machine's own use: the last day on which the interval is not exceeded where it is used on as before. Only readings prove
//! a step overdue by hours.

use super::bring::{Aiming, Bring, Target};
use super::context::{Context, whose};
use super::judge::AgeLimit;
use crate::fact::Fact;
use crate::figure::Standing;
use crate::figure::about::{STEP_AGE, STEP_APPLICATIONS, STEP_HOURS};
use crate::finding::Finding;
use crate::fleet::{BrokenMeter, History, HourMeter, Unreadable};
use crate::history::{Done, FORTNIGHT, Lacking, Last, StepState, Timeline, Undone};
use crate::procedure::{Has, Step};
use crate::quantity::Exact;
use crate::quantity::calendar::Period;
use crate::rule::Limit;
use crate::source::{FileId, Place};
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
    /// The last test since that does not count.
    pub not_counted: Option<NotCountedTest>,
    /// How it stands, by the first that fits: never done, perhaps done, void, failing or with a record to correct, overdue, to recheck, current.
    pub state: State,
    /// How it stands against each of its intervals.
    pub intervals: Vec<HeldAgainst>,
    /// Whether it waits: it is not due while its machine is laid up.
    pub waits: bool,
    /// The finding of what the visit that last did it left beyond a limit and a waiver in force lets pass, by its place in
    /// [`super::Assessment::left_failing`], and where it points.
    pub let_pass: Option<(usize, Place)>,
    /// The waivers in force for its state, and for what it was left with.
    pub waived: Vec<WaivedOfStep>,
    /// Why an interval in hours is in force for it and nothing counts it; none where it is counted, or none is in force.
    pub hours_unread: Option<WhyUnread>,
    /// What it takes.
    pub bring: Vec<Bring>,
    /// What it aims at.
    pub target: Option<Target>,
    /// How far off what its test measures may be, relative: the heaviest limit in force; none where no limit is.
    pub allowed: Option<f64>,
    /// How many runs its test takes by the limits in force; none where no limit is, and of a test without runs.
    pub runs: Option<usize>,
}

/// Why the hours of use since a step was done do not make it due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum WhyUnread {
    /// No hours were read since.
    NotRead,
    /// Hours were read, and too few days lie between readings for a forecast.
    NoForecast,
    /// The meter went back or jumped, so nobody knows the hours.
    Broken(BrokenMeter),
}

/// A waiver in force for something about a step.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct WaivedOfStep {
    /// The rule whose finding it lets pass.
    pub rule: String,
    /// The waiver, by its place in the waivers file.
    pub waiver: usize,
}

/// A test of a step that is on record and does not count.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct NotCountedTest {
    /// The day.
    pub day: Date,
    /// Where it stands.
    pub place: Place,
    /// What keeps it from counting, as a sentence; what is to be filled in, where it is only begun.
    pub lacking: Fact,
    /// Whether it is only begun: something in it is not filled in.
    pub is_begun: bool,
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
        /// The day of the visit that found it.
        day: Option<Date>,
        /// The finding, by its place in [`super::Assessment::left_failing`].
        finding: usize,
        /// Where it points.
        place: Place,
    },
    /// The same, and all of it follows from something that is written wrong: the record is to be corrected, not the machine.
    RecordToCorrect {
        /// The day of the visit.
        day: Option<Date>,
        /// The explanation, by its place in [`super::Assessment::left_failing`].
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

impl State {
    /// Whether a step that stands so is not due while its machine is laid up.
    const fn waits_while_laid_up(&self) -> bool {
        match self {
            Self::Void(_) | Self::Failing { .. } | Self::RecordToCorrect { .. } => false,
            Self::NeverDone
            | Self::UnreadVisit(_)
            | Self::Overdue(_)
            | Self::Recheck(_)
            | Self::UnreadWork(_)
            | Self::Current => true,
        }
    }
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
    Calendar {
        /// How many days until it is due are laid up, and do not count.
        laid_up: u32,
    },
    /// By hours of use: how many, and the reading that shows it.
    Hours {
        /// Hours of use since it was done.
        hours: f64,
        /// The hour meter as last read.
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

impl Used {
    /// The figure that is held against an interval of this kind.
    pub const fn figure(&self) -> &'static str {
        match self {
            Self::Calendar { .. } => STEP_AGE,
            Self::Hours { .. } => STEP_HOURS,
            Self::Applications { .. } => STEP_APPLICATIONS,
        }
    }
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

/// What the state of a machine's steps is decided from.
pub(super) struct Deciding<'s, 'a> {
    pub(super) context: &'s Context,
    pub(super) history: &'s History,
    pub(super) standing: &'s Standing<'a>,
    pub(super) timeline: &'s Timeline<'a>,
    /// The limits that the ages of its steps were held against.
    pub(super) ages: &'s [AgeLimit],
    /// What its visits left failing.
    pub(super) left_failing: &'s [Finding],
}

/// Every step of a machine that is in use, and the steps it may have.
pub(super) fn of(deciding: &Deciding<'_, '_>) -> (Vec<StepStanding>, Unsure) {
    let standing = deciding.standing;
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
        steps.push(StandingStep { deciding, state }.stands());
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
    deciding: &'s Deciding<'s, 'a>,
    state: &'s StepState,
}

impl StandingStep<'_, '_> {
    fn stands(&self) -> StepStanding {
        let Deciding {
            context,
            history,
            standing,
            timeline,
            ages,
            left_failing,
        } = *self.deciding;
        let machine = standing.subject.machine;
        let step = self.state.step;
        let setup = self.state.setup;
        let setup = setup.and_then(|at| machine.setups.get(usize::from(at)));
        let intervals = match self.state.done() {
            Some(done) => self.intervals(ages, done),
            None => Vec::new(),
        };
        let state = self.first_that_fits(&intervals);
        let let_pass = self.state.let_pass.as_deref();
        let found = self.state.failing.as_deref().or(let_pass);
        let aiming = Aiming {
            context,
            history,
            timeline,
            standing,
            step,
            setup: setup.map(|setup| &**setup),
            is_void: matches!(state, State::Void(_)),
            found: found.and_then(|failing| left_failing.get(failing.finding)),
        };
        let (bring, target, allowed) = (aiming.bring(), aiming.target(), aiming.allowed());
        StepStanding {
            step,
            setup: setup.map(|setup| setup.name.value.clone()),
            done: self.state.done(),
            not_counted: self.state.not_counted.as_ref().map(|test| NotCountedTest {
                day: test.day,
                place: test.place,
                lacking: standing.lacking(&test.lacking),
                is_begun: matches!(test.lacking, Lacking::NotFilledIn(_)),
            }),
            waits: standing.is_laid_up() && state.waits_while_laid_up(),
            let_pass: let_pass.map(|failing| (failing.finding, failing.place)),
            waived: self.waived(),
            hours_unread: self.hours_unread(&intervals),
            state,
            intervals,
            bring,
            target,
            allowed,
            runs: aiming.runs(),
        }
    }

    /// The waivers in force for what the step was left with.
    fn waived(&self) -> Vec<WaivedOfStep> {
        let today = self.deciding.standing.today;
        let let_pass = self.state.let_pass.iter();
        let waivers = let_pass.flat_map(|failing| {
            let in_force = failing.let_pass.iter();
            let first = in_force.filter(|period| period.holds_on(today)).take(1);
            first.map(|period| WaivedOfStep {
                rule: failing.rule.clone(),
                waiver: period.waiver,
            })
        });
        waivers.collect()
    }

    /// Why an interval in hours that is in force does not make it due.
    fn hours_unread(&self, intervals: &[HeldAgainst]) -> Option<WhyUnread> {
        let Deciding {
            context,
            history,
            standing,
            ..
        } = *self.deciding;
        let done = self.state.done()?; // Else it is due, whatever the hours are.
        let is_counted = |one: &HeldAgainst| matches!(one.used, Used::Hours { .. });
        if intervals.iter().any(is_counted) {
            return None;
        }
        let used = self.state.used.hours;
        let is_long_ago = FORTNIGHT <= standing.lay_ups.days_that_count(done.day, standing.today);
        let key = standing.step_key(self.state);
        let machine = standing.subject.machine;
        context.heaviest_limit(STEP_HOURS, whose(standing, &key), machine, standing.today)?;
        let is_read_since = used.is_some_and(|(then, now)| then.place != now.place);
        if !is_read_since
            && let Some(broken) = history.hour_meters.first_broken(done.day, standing.today)
        {
            return Some(WhyUnread::Broken(broken));
        }
        match used {
            Some(_) if !is_long_ago => None,
            Some(_) if is_read_since => Some(WhyUnread::NoForecast),
            Some(_) | None => Some(WhyUnread::NotRead),
        }
    }

    /// The day of a visit, by its record.
    fn day_of(&self, record: FileId) -> Option<Date> {
        let mut visits = self.deciding.history.calibrations.iter();
        let visit = visits.find(|visit| visit.file == record)?;
        Some(visit.date?.value)
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
            let (day, finding) = (self.day_of(failing.record), failing.finding);
            let left = self.deciding.left_failing.get(finding);
            let place = left.map_or(failing.place, Finding::place);
            return match left {
                Some(Finding::Explained(explained)) if explained.is_of_record() => {
                    State::RecordToCorrect {
                        day,
                        finding,
                        place,
                    }
                }
                _ => State::Failing {
                    day,
                    finding,
                    place,
                },
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
        let standing = self.deciding.standing;
        UndoneBy {
            work: standing.work_of(undone),
            nozzles: standing.nozzles(&undone.nozzles),
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
            STEP_AGE => self.by_calendar(age, done),
            STEP_HOURS => self.by_hours(age, done),
            _ => self.by_applications(age, done),
        });
        against.collect()
    }

    fn by_calendar(&self, age: &AgeLimit, done: Done) -> Option<HeldAgainst> {
        let period = age.limit.bound.quantity().and_then(Period::from_quantity);
        let end = period.and_then(|period| period.after(done.day));
        let lay_ups = &self.deciding.standing.lay_ups;
        let due = end.and_then(|end| {
            let days = u32::try_from(end.since(done.day).ok()?.get_days()).ok()?;
            lay_ups.last_day(done.day, days)
        });
        let due = due.or(age.since(done))?;
        Some(HeldAgainst {
            due,
            is_over: age.is_over,
            limit: age.limit.clone(),
            used: Used::Calendar {
                laid_up: lay_ups.days_laid_up(done.day, due),
            },
        })
    }

    fn by_hours(&self, age: &AgeLimit, done: Done) -> Option<HeldAgainst> {
        let Deciding {
            standing, timeline, ..
        } = *self.deciding;
        let wanted = age.limit.bound.most()?;
        let (then, now) = self.state.used.hours?;
        let used = timeline.hours_between(&then, &now);
        let due = if age.is_over {
            let beyond = timeline.first_hours_beyond(&wanted, &then, done.day);
            beyond.map_or(done.day, |reading| reading.day)
        } else {
            let left = wanted - used.clone();
            let days = left / timeline.use_a_day(standing.today)?;
            let days = days.floor().to_integer().to_u32()?;
            standing.lay_ups.last_day(now.day, days)?
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
        let today = self.deciding.standing.today;
        let used_up = self
            .deciding
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
