//! The oracle: how every step of a machine stands on a day, worked out from the words of the rules
//! alone, by looking through everything on record again for every question.
//!
//! Shares nothing with the program but the names of steps, and keeps nothing between two questions.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "a kind of work does nothing to a step unless the rules' words name it"
)]

use super::{Cell, Event, Fleet, Interval, Machine, Scope, Visit, What, Work};
use jiff::ToSpan;
use jiff::civil::Date;
use swathlint::outcome::Step;

/// A step of a machine; catch and balance belong to a setup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct StepOf {
    pub(crate) setup: Option<usize>,
    pub(crate) step: Step,
}

/// How a step stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Answer {
    pub(crate) state: &'static str,
    pub(crate) due: Option<Date>,
    pub(crate) by: &'static str,
    pub(crate) last_done: Option<Date>,
}

/// A machine on a day.
pub(crate) struct Looked<'f> {
    pub(crate) fleet: &'f Fleet,
    pub(crate) number: usize,
    pub(crate) today: Date,
}

/// Whether one event is later than another of the same machine.
pub(crate) fn is_later(one: &Event, other: &Event) -> bool {
    if one.day != other.day {
        return one.day > other.day;
    }
    if let (Some(mine), Some(its)) = (one.hours, other.hours)
        && mine != its
    {
        return mine > its;
    }
    match (&other.what, &one.what) {
        (What::Service(_), What::Visit(_))
        | (What::Visit(_), What::Application(..))
        | (What::Application(..), What::Service(_)) => true,
        (What::Service(_), What::Service(_))
        | (What::Visit(_), What::Visit(_))
        | (What::Application(..), What::Application(..)) => one.nth > other.nth,
        _ => false,
    }
}

impl<'f> Looked<'f> {
    pub(super) fn machine(&self) -> &'f Machine {
        &self.fleet.machines[self.number]
    }

    /// What exists on the day.
    fn events(&self) -> impl Iterator<Item = (usize, &'f Event)> {
        let events = self.machine().events.iter().enumerate();
        events.filter(|(_, event)| event.day <= self.today)
    }

    fn visits(&self) -> impl Iterator<Item = (usize, &'f Event, &'f Visit)> {
        self.events().filter_map(|(at, event)| match &event.what {
            What::Visit(visit) => Some((at, event, visit)),
            What::Service(_) | What::Application(..) | What::Broken(..) => None,
        })
    }

    pub(super) fn works(&self) -> impl Iterator<Item = (&'f Event, &'f Work)> {
        self.events().flat_map(|(_, event)| {
            let works: &[Work] = match &event.what {
                What::Service(works) => works,
                What::Visit(_) | What::Application(..) | What::Broken(..) => &[],
            };
            works.iter().map(move |work| (event, work))
        })
    }

    /// Whether the machine is listed at all.
    pub(crate) fn is_in_service(&self) -> bool {
        !self.works().any(|(_, work)| *work == Work::OutOfService)
    }

    /// Every step the machine has or may have.
    pub(crate) fn steps(&self) -> Vec<StepOf> {
        let mut steps = Vec::new();
        for step in Step::all() {
            if self.is_of_a_setup(step) {
                for setup in 0..self.machine().setups {
                    let setup = Some(setup);
                    steps.push(StepOf { setup, step });
                }
            } else {
                steps.push(StepOf { setup: None, step });
            }
        }
        steps
    }

    /// Whether a visit does a step: its figure can be worked out, of a catch for each nozzle, be it that one it left out
    /// was caught later.
    fn does(&self, event: &Event, visit: &Visit, of: StepOf) -> bool {
        if of.setup.is_some_and(|setup| setup != visit.setup) {
            return false;
        }
        if of.step != Step::Catch {
            return self.is_proven(of.step, event, visit) == Some(true);
        }
        let nozzles = || 0..self.machine().nozzles();
        let cells = |nozzle: usize| visit.catches.iter().filter_map(move |catch| catch[nozzle]);
        let is_caught = |nozzle: usize| cells(nozzle).any(|cell| cell != Cell::Missed);
        nozzles().any(is_caught)
            && nozzles().all(|nozzle| {
                let is_said = cells(nozzle).next().is_some();
                is_caught(nozzle) || (is_said && self.is_caught_since(nozzle, of, event))
            })
    }

    /// The visit that last did the step.
    fn last(&self, of: StepOf) -> Option<(usize, &'f Event, &'f Visit)> {
        let mut last: Option<(usize, &Event, &Visit)> = None;
        for (at, event, visit) in self.visits() {
            if self.does(event, visit, of)
                && last.is_none_or(|(_, before, _)| is_later(event, before))
            {
                last = Some((at, event, visit));
            }
        }
        last
    }

    /// How a step stands.
    pub(crate) fn answer(&self, of: StepOf, until: Date) -> Answer {
        let answer = self.answer_in_use(of, until);
        // Of a machine that is laid up nothing is due; what is invalid or bad stays so.
        if self.is_laid_up(self.today) && !["void", "failing", "current"].contains(&answer.state) {
            return Answer {
                state: "waiting",
                ..answer
            };
        }
        answer
    }

    /// Whether the machine is laid up on a day: not in a lay-up, or in several that meet, in which it sprayed by today.
    pub(super) fn is_laid_up(&self, day: Date) -> bool {
        if !self.is_said_laid_up(day) {
            return false;
        }
        let before = |day: &Date| day.yesterday().ok();
        let after = |day: &Date| day.tomorrow().ok();
        let earlier = std::iter::successors(Some(day), before);
        let later = std::iter::successors(Some(day), after);
        let is_in = |day: &Date| self.is_said_laid_up(*day);
        let mut days = earlier.take_while(is_in).chain(later.take_while(is_in));
        !days.any(|day| day <= self.today && self.has_sprayed_on(day))
    }

    fn has_sprayed_on(&self, day: Date) -> bool {
        let mut events = self.machine().events.iter();
        events.any(|event| event.day == day && matches!(event.what, What::Application(..)))
    }

    fn is_said_laid_up(&self, day: Date) -> bool {
        let mut laid_up = self.machine().laid_up.iter();
        laid_up.any(|(from, to)| *from <= day && day <= *to)
    }

    /// How many days that count are gone since a day, on another.
    fn gone(&self, since: Date, on: Date) -> i64 {
        if self.machine().laid_up.is_empty() {
            return days_between(since, on);
        }
        let mut gone = 0;
        let mut day = since;
        while day < on {
            day += 1.days();
            gone += i64::from(!self.is_laid_up(day));
        }
        gone
    }

    /// The last day on which so many days that count are gone since a day.
    fn last_day(&self, since: Date, count: i64) -> Date {
        if self.machine().laid_up.is_empty() {
            return since + count.days();
        }
        let mut day = since;
        let mut gone = 0;
        loop {
            let next = day + 1.days();
            gone += i64::from(!self.is_laid_up(next));
            if gone > count {
                return day;
            }
            day = next;
        }
    }

    /// How a step stands by itself, whether the machine is laid up or not.
    fn answer_in_use(&self, of: StepOf, until: Date) -> Answer {
        let Some((at, event, visit)) = self.last(of) else {
            return Answer {
                state: "never done",
                due: None,
                by: "nothing on record",
                last_done: None,
            };
        };
        let answer = |state, due, by| Answer {
            state,
            due,
            by,
            last_done: Some(event.day),
        };
        if self.is_unread_since(event, "calibrations") {
            return Answer {
                last_done: None,
                ..answer("recheck", None, "finding")
            };
        }
        if let Some(day) = self.void(of, event) {
            return answer("void", Some(day), "work");
        }
        let is_later_bad = || {
            self.visits().any(|(at, later, visit)| {
                of.step == Step::Catch
                    && Some(visit.setup) == of.setup
                    && is_later(later, event)
                    && self.is_failing(of, at, later, visit)
            })
        };
        if self.is_failing(of, at, event, visit) || is_later_bad() {
            return answer("failing", Some(event.day), "finding");
        }
        let dues = self.dues(of, event);
        let first = |dues: Vec<Due>| {
            dues.into_iter()
                .min_by_key(|due| (due.day.unwrap_or(Date::MAX), due.rank))
        };
        let overdue: Vec<Due> = dues.iter().filter(|due| due.is_overdue).copied().collect();
        if let Some(due) = first(overdue) {
            return answer("overdue", due.day, due.by());
        }
        if let Some(day) = self.to_recheck(of, event) {
            return answer("recheck", Some(day), "work");
        }
        if self.is_unread_since(event, "service") {
            return answer("recheck", None, "finding");
        }
        let soon: Vec<Due> = dues
            .iter()
            .filter(|due| due.is_used_up || due.day.is_some_and(|day| day <= until))
            .copied()
            .collect();
        if let Some(due) = first(soon) {
            return answer("coming due", due.day, due.by());
        }
        if self.is_let_pass(of, at, event, visit)
            || self.visits().any(|(at, later, visit)| {
                of.step == Step::Catch
                    && Some(visit.setup) == of.setup
                    && is_later(later, event)
                    && self.is_let_pass(of, at, later, visit)
            })
        {
            return answer("failing, waived", Some(event.day), "finding");
        }
        answer("current", None, "")
    }

    /// The day of the latest work that voids the step.
    fn void(&self, of: StepOf, done: &Event) -> Option<Date> {
        let mut latest = None;
        for (event, work) in self.works() {
            if is_later(event, done) && self.voids(of, event, work) {
                latest = latest.max(Some(event.day));
            }
        }
        latest
    }

    /// The nozzles at positions of sections.
    pub(super) fn places(&self, at: &[(usize, Vec<usize>)]) -> impl Iterator<Item = usize> {
        at.iter().flat_map(|(section, positions)| {
            let positions = positions.iter();
            positions.map(|position| self.machine().place(*section, *position))
        })
    }

    pub(super) fn is_caught_since(&self, nozzle: usize, of: StepOf, work: &Event) -> bool {
        self.visits().any(|(_, event, visit)| {
            Some(visit.setup) == of.setup
                && is_later(event, work)
                && visit
                    .catches
                    .iter()
                    .any(|catch| matches!(catch[nozzle], Some(Cell::Good | Cell::Bad)))
        })
    }

    /// Whether findings on a record of the day are more than notes: of a day that is mistyped, the later one decides.
    fn is_enforced(&self, event: &Event) -> bool {
        let enforce_from = self.fleet.enforce_from;
        enforce_from.is_none_or(|from| from <= event.day) || event.is_misdated
    }

    /// Whether the visit left the step beyond a limit that nobody lets pass today.
    fn is_failing(&self, of: StepOf, at: usize, event: &Event, visit: &Visit) -> bool {
        if !self.is_enforced(event) {
            return false;
        }
        self.is_bad(of, event, visit) && !self.is_waived(of, at)
    }

    /// Whether the visit left the step beyond a limit, and somebody lets that pass today.
    fn is_let_pass(&self, of: StepOf, at: usize, event: &Event, visit: &Visit) -> bool {
        self.is_enforced(event) && self.is_bad(of, event, visit) && self.is_waived(of, at)
    }

    fn is_waived(&self, of: StepOf, at: usize) -> bool {
        self.fleet.waivers.iter().any(|waiver| {
            waiver.step == Some(of.step)
                && waiver.machine == self.number
                && waiver.event.is_none_or(|event| event == at)
                && waiver.from <= self.today
                && self.today <= waiver.until
        })
    }

    /// The day of the latest work that asks for another look.
    fn to_recheck(&self, of: StepOf, done: &Event) -> Option<Date> {
        let mut asks = None;
        for (event, work) in self.works() {
            if is_later(event, done) && self.asks(of, event, work) {
                asks = asks.max(Some(event.day));
            }
        }
        asks
    }

    /// Whether a record of a folder that cannot be read may be later.
    fn is_unread_since(&self, done: &Event, of: &str) -> bool {
        self.machine().events.iter().any(|event| match event.what {
            What::Broken(folder, is_dated) if folder == of => {
                let may_be_later = event.day >= done.day;
                !is_dated || (event.day <= self.today && may_be_later)
            }
            _ => false,
        })
    }

    /// What can make the step due, one a kind of interval.
    fn dues(&self, of: StepOf, done: &Event) -> Vec<Due> {
        let mut dues = Vec::new();
        let calendar = self.interval(of, |interval| {
            matches!(interval, Interval::Months(_) | Interval::Days(_))
        });
        let day = match calendar {
            Some(Interval::Days(days)) => done.day + i64::from(days).days(),
            Some(Interval::Months(months)) => months_after(done.day, months),
            _ => months_after(done.day, 12),
        };
        let day = self.last_day(done.day, days_between(done.day, day));
        dues.push(Due {
            rank: 0,
            day: Some(day),
            is_overdue: self.today > day,
            is_used_up: false,
        });
        let hours = self.interval(of, |interval| matches!(interval, Interval::Hours(_)));
        if let Some(Interval::Hours(interval)) = hours
            && let (Some(now), Some(then)) = (self.reading(self.today), self.reading_when(done))
        {
            let is_overdue = now - then > interval;
            let beyond = self.readings().into_iter();
            let beyond =
                beyond.filter(|(day, reading)| *day >= done.day && *reading > then + interval);
            dues.push(Due {
                rank: 1,
                day: if is_overdue {
                    beyond.map(|(day, _)| day).min()
                } else {
                    self.day_of_reading(then + interval)
                },
                is_overdue,
                is_used_up: false,
            });
        }
        let count = self.interval(of, |interval| matches!(interval, Interval::Applications(_)));
        if let Some(Interval::Applications(allowed)) = count {
            let mut since: Vec<Date> = Vec::new();
            for (_, event) in self.events() {
                // Another setup's nozzles do not wear by it.
                if let What::Application(setup, _) = event.what
                    && of.setup.is_none_or(|own| own == setup)
                    && is_later(event, done)
                {
                    since.push(event.day);
                }
            }
            since.sort();
            dues.push(Due {
                rank: 2,
                day: since.get(allowed - 1).copied(),
                is_overdue: since.len() > allowed,
                is_used_up: since.len() == allowed,
            });
        }
        dues
    }

    /// The most particular interval of a kind; none where nobody set one.
    fn interval(&self, of: StepOf, kind: impl Fn(&Interval) -> bool) -> Option<Interval> {
        let course = self.course();
        let scopes = [
            of.setup
                .map(|setup| Scope::SetupOfMachine(self.number, setup)),
            Some(Scope::Machine(self.number)),
            of.setup.map(Scope::Setup),
            course.map(Scope::Course),
            Some(Scope::Fleet),
        ];
        for scope in scopes.into_iter().flatten() {
            for step in [Some(of.step), None] {
                for setting in &self.fleet.intervals {
                    if setting.scope == scope && setting.step == step {
                        let mut intervals = setting.intervals.iter();
                        if let Some(found) = intervals.find(|interval| kind(interval)) {
                            return Some(*found);
                        }
                    }
                }
            }
        }
        None
    }

    /// Where the machine works on the day.
    fn course(&self) -> Option<usize> {
        let mut course = self.machine().course;
        for (_, work) in self.works() {
            if let Work::Moved(to) = work {
                course = Some(*to);
            }
        }
        course
    }

    /// Every reading of the hour meter with its day.
    fn readings(&self) -> Vec<(Date, i64)> {
        let mut readings = Vec::new();
        for (_, event) in self.events() {
            readings.extend(event.hours.map(|hours| (event.day, hours)));
            if let What::Application(_, Some(after)) = event.what {
                readings.push((event.day, after));
            }
            if let What::Service(works) = &event.what {
                readings.extend(works.iter().filter_map(|work| match work {
                    Work::HourMeter(changed, _) => Some((event.day, *changed)),
                    _ => None,
                }));
            }
        }
        readings
    }

    /// The latest reading up to the end of a day. No hour-meter here goes back.
    fn reading(&self, day: Date) -> Option<i64> {
        let readings = self.readings().into_iter();
        let until = readings.filter(|(on, _)| *on <= day);
        until.map(|(_, reading)| reading).max()
    }

    /// The reading when a step was done: the visit's own, else the last of that day, else the next.
    fn reading_when(&self, done: &Event) -> Option<i64> {
        let readings = self.readings();
        let on = |day: Date| readings.iter().filter(move |(on, _)| *on == day);
        let next = readings.iter().map(|(on, _)| *on);
        let next = next.filter(|on| done.day < *on).min();
        done.hours
            .or_else(|| on(done.day).map(|(_, reading)| *reading).max())
            .or_else(|| on(next?).map(|(_, reading)| *reading).min())
    }

    /// The last day on which the hour meter is not beyond a reading, where the machine is used on as it
    /// was over the year before its last reading.
    fn day_of_reading(&self, reading: i64) -> Option<Date> {
        let readings = self.readings();
        let (last_day, last) = readings.iter().copied().max()?;
        let within_the_year = |(day, _): &(Date, i64)| days_between(*day, last_day) <= 365;
        let (first_day, first) = readings.iter().copied().filter(within_the_year).min()?;
        let (days, used) = (self.gone(first_day, last_day), last - first);
        if days < 14 || used <= 0 {
            return None;
        }
        let ahead = ((reading - last) * days).div_euclid(used);
        // Far beyond any day that is asked for.
        (ahead < 1_500).then(|| self.last_day(last_day, ahead))
    }
}

/// One kind of interval, and when it runs out.
#[derive(Debug, Clone, Copy)]
struct Due {
    /// By calendar, hours or applications.
    rank: usize,
    /// The last day it is good, the day of the first reading beyond it, or of the application that used it up.
    day: Option<Date>,
    is_overdue: bool,
    is_used_up: bool,
}

impl Due {
    fn by(&self) -> &'static str {
        ["calendar", "hours", "applications"][self.rank]
    }
}

fn days_between(from: Date, to: Date) -> i64 {
    i64::from((to - from).get_days())
}

/// The same day of the month, or its last where it is too short.
fn months_after(from: Date, months: u32) -> Date {
    let count =
        i32::from(from.year()) * 12 + i32::from(from.month()) - 1 + i32::try_from(months).unwrap();
    let year = i16::try_from(count.div_euclid(12)).unwrap();
    let month = i8::try_from(count.rem_euclid(12) + 1).unwrap();
    let mut day = from.day();
    loop {
        if let Ok(date) = Date::new(year, month, day) {
            return date;
        }
        day -= 1;
    }
}
