//! What happened to a machine, made ready to be asked how each step stood at a moment.
//!
//! Asks no limit: how long a step holds is for rules and for the list of what is due.

use super::proof::{self, Caught, Lacking, Proof};
use super::state::{Beyond, Done, Failing, Last, NotCounted, StepState, Undone, Use};
use super::voiding::{self, Effect, Reach, Row, When};
use crate::fleet::{self, Event, History, HourMeter, LayUps, Layout, Moment, Unreadable};
use crate::procedure::{DoneFor, Has, PROCEDURES, Step};
use crate::quantity::{Exact, Quantity};
use crate::record::Calibration;
use crate::record::machine::Machine;
use crate::record::service::{NozzlesFitted, WorkDone};
use crate::source::{FileId, Place, Span};
use jiff::civil::Date;
use num_traits::{Signed, ToPrimitive};
use std::collections::{BTreeMap, BTreeSet};
use std::iter;
use std::rc::Rc;

/// What happened to a machine.
///
/// Each list is by day, so that a moment is found without going through all of them.
#[derive(Debug)]
pub struct Timeline<'h> {
    history: &'h History,
    lay_ups: LayUps,
    visits: Vec<Visited>,
    /// The places of visits by what they did: steps of the machine, and of each setup.
    doing: BTreeMap<(Step, Option<u16>), Vec<usize>>,
    /// The places of visits by what they have tests of that do not count, or not yet.
    not_counting: BTreeMap<(Step, Option<u16>), Vec<usize>>,
    /// The places in the history of visits with a catch, by the setup they name.
    caught_with: BTreeMap<Option<&'h str>, Vec<usize>>,
    /// The places of visits by what they caught: all where work concerned single nozzles, else those that did not catch
    /// the whole boom.
    catching: BTreeMap<(Option<u16>, u16), Vec<usize>>,
    works: Vec<Worked>,
    /// The places of works by what they undid: of which setup, and at which nozzle, where it is not the whole boom.
    undoing: BTreeMap<Undoing, Vec<usize>>,
    /// When it sprayed, with the setup.
    sprayed: Vec<(Moment, Option<u16>)>,
    /// The places of these by setup.
    sprayed_with: BTreeMap<Option<u16>, Vec<usize>>,
    /// What could not be read, by what it would have told.
    unread: Vec<(Event, Unread)>,
}

/// So many days of use at least make a forecast (our choice).
pub const FORTNIGHT: u32 = 14;

/// A step, what happened to it, the setup and the nozzle it is of; none for all.
type Undoing = (Step, Effect, Option<u16>, Option<u16>);

/// The places of records that could not be read.
#[derive(Debug, Default)]
struct Unread {
    /// The first of no day.
    of_no_day: Option<usize>,
    /// Those with a day, by day.
    by_day: Vec<(Date, usize)>,
}

impl Unread {
    /// The first that may be of some days.
    fn between(&self, from: Option<Date>, to: Date) -> Option<usize> {
        let at = self.by_day.partition_point(|(day, _)| Some(*day) < from);
        let dated = self.by_day.get(at).filter(|(day, _)| *day <= to);
        let places = self
            .of_no_day
            .into_iter()
            .chain(dated.map(|(_, place)| *place));
        places.min()
    }
}

/// What tests came to: by it alone a record's readings do not tell whether they do a step.
#[derive(Debug, Default)]
pub struct FailingTests {
    /// What visits left failing, and what they did not show to be right again, in the order of the visits.
    of_step: BTreeMap<(Step, Option<u16>), Vec<OfVisit>>,
    /// Why the tests of a step tell nothing, too uncertain or under conditions that cannot be, by the place of the visit.
    proving_nothing: BTreeMap<(Step, usize), Lacking>,
}

/// What a visit leaves open.
#[derive(Debug, Clone, Default)]
pub struct LeftOpen {
    /// The rules of which it is not known whether their limits of an error are kept.
    pub undecided: BTreeSet<Beyond>,
    /// The steps whose tests are more uncertain than the worst limit.
    pub uncertain: BTreeSet<Step>,
    /// The steps whose tests were made under conditions that cannot be.
    pub impossible: BTreeSet<Step>,
}

/// What keeps a test from counting that was made under conditions that cannot be; the finding of them tells which.
const IMPOSSIBLE: Lacking = Lacking::Faulty("its speed, rate, or pressure cannot be of this boom");

/// What each visit leaves open.
pub type Undecided = BTreeMap<FileId, LeftOpen>;

/// The place of a visit, and what it left failing.
type OfVisit = (usize, Rc<Failing>);

/// Up to when is asked.
#[derive(Debug, Clone, Copy)]
pub enum Until {
    /// The end of a day.
    EndOf(Date),
    /// Right before something.
    Before(Moment),
}

impl Until {
    /// Whether something has happened by then.
    pub fn includes(&self, moment: &Moment) -> bool {
        match self {
            Self::EndOf(day) => moment.day <= *day,
            Self::Before(of) => moment.is_before(of),
        }
    }

    /// The last day it includes something of.
    fn day(&self) -> Date {
        match self {
            Self::EndOf(day) => *day,
            Self::Before(of) => of.day,
        }
    }
}

/// What a visit did.
#[derive(Debug)]
struct Visited {
    moment: Moment,
    place: Place,
    setup: Option<u16>,
    /// What its tests are worth, and where they stand.
    steps: Vec<(Step, Proof, Span)>,
    /// What it caught.
    caught: Caught,
    /// The working pressure of its setup.
    working_pressure: Option<Quantity>,
    /// The sections whose balance it tested, by name.
    sections: BTreeSet<String>,
    /// Its reading of the hour meter.
    hours: Option<HourMeter>,
}

/// What one piece of work did to one step.
#[derive(Debug)]
struct Worked {
    moment: Moment,
    place: Place,
    work: &'static str,
    row: &'static Row,
    /// The setup it concerns; none for all.
    setup: Option<u16>,
    /// The nozzles it concerns, by number; none for all.
    nozzles: Option<BTreeSet<u16>>,
}

impl<'h> Timeline<'h> {
    /// What happened to the machine.
    pub fn new(history: &'h History) -> Self {
        let machine_file = history.versions.first().map(|version| &version.machine);
        let mut timeline = Self {
            history,
            lay_ups: machine_file.map_or_else(LayUps::default, |machine_file| {
                LayUps::of(&machine_file.laid_up)
            }),
            visits: Vec::new(),
            doing: BTreeMap::new(),
            not_counting: BTreeMap::new(),
            caught_with: BTreeMap::new(),
            catching: BTreeMap::new(),
            works: Vec::new(),
            undoing: BTreeMap::new(),
            sprayed: Vec::new(),
            sprayed_with: BTreeMap::new(),
            unread: Vec::new(),
        };
        let meters = &history.hour_meters;
        timeline.visits = history
            .calibrations
            .iter()
            .filter_map(|visit| visited(history, visit))
            .collect();
        for service in &history.services {
            let Some(date) = service.date else { continue };
            let hours = service.hours.as_ref();
            let moment = meters.moment(date.value, service.file, hours, Event::Service);
            let Some(machine) = history.machine_at(&moment) else {
                continue; // Without a machine file nothing stands or falls.
            };
            for work in &service.work {
                let place = Place {
                    file: service.file,
                    span: work.span,
                };
                timeline
                    .works
                    .extend(worked(&work.done, machine, moment, place));
            }
        }
        timeline.sprayed = history
            .applications
            .iter()
            .filter_map(|application| {
                let date = application.date?.value;
                let hours = application.hours_from.as_ref();
                let setup = machine_file
                    .and_then(|machine_file| machine_file.setup_index(application.setup.as_ref()));
                let moment = meters.moment(date, application.file, hours, Event::Application);
                Some((moment, setup))
            })
            .collect();
        timeline.sprayed.sort_by_key(|(moment, _)| moment.day);
        for (place, (_, with)) in timeline.sprayed.iter().enumerate() {
            timeline.sprayed_with.entry(*with).or_default().push(place);
        }
        // A history is by day already, as it is read; one made otherwise must be so too.
        timeline.visits.sort_by_key(|visit| visit.moment.day);
        timeline.works.sort_by_key(|worked| worked.moment.day);
        timeline.leave_out_far_pressures();
        timeline.find_places();
        timeline
    }

    /// Takes out what was caught of some nozzles far from the pressure of the catch it belongs to, the last one of the whole
    /// boom before it, and from that of the setup.
    fn leave_out_far_pressures(&mut self) {
        let mut bases: BTreeMap<Option<u16>, Option<Quantity>> = BTreeMap::new();
        for visit in &mut self.visits {
            let mut steps = visit.steps.iter_mut();
            let Some((_, proof, _)) = steps.find(|(step, ..)| *step == Step::Catch) else {
                continue;
            };
            let base = bases.get(&visit.setup);
            let is_base =
                visit.caught.is_whole() || base.is_none() && matches!(proof, Proof::OnceCaught(_));
            if is_base {
                bases.insert(visit.setup, visit.caught.pressure);
                continue;
            }
            let base = base.and_then(Option::as_ref);
            let mut wanted = base.into_iter().chain(&visit.working_pressure).peekable();
            let own = visit.caught.pressure.as_ref();
            let is_far = own.is_some_and(|own| {
                wanted.peek().is_some() && !wanted.any(|wanted| fleet::is_near(own, wanted))
            });
            if is_far && !visit.caught.nozzles.is_empty() {
                visit.caught.nozzles.clear();
                *proof = Proof::Lacks(Lacking::Pressure);
            }
        }
    }

    /// Notes where in the lists what is asked for often stands.
    fn find_places(&mut self) {
        let of_nozzles = self.works.iter().any(|worked| worked.nozzles.is_some());
        for (place, visit) in self.visits.iter().enumerate() {
            let mut is_whole_catch = false;
            for (step, proof, _) in &visit.steps {
                is_whole_catch |= *step == Step::Catch && *proof == Proof::Done;
                for setup in iter::once(None).chain(visit.setup.map(Some)) {
                    let of = (*step, setup);
                    if !matches!(proof, Proof::Lacks(_)) {
                        self.doing.entry(of).or_default().push(place);
                    }
                    if *proof != Proof::Done {
                        self.not_counting.entry(of).or_default().push(place);
                    }
                }
            }
            let is_asked_for = of_nozzles || !is_whole_catch;
            for nozzle in visit.caught.nozzles.iter().filter(|_| is_asked_for) {
                let caught = (visit.setup, *nozzle);
                self.catching.entry(caught).or_default().push(place);
            }
        }
        for (place, visit) in self.history.calibrations.iter().enumerate() {
            if !visit.catch_tests.is_empty() {
                let setup = visit.setup.as_ref().map(|setup| setup.value.as_str());
                self.caught_with.entry(setup).or_default().push(place);
            }
        }
        for (place, worked) in self.works.iter().enumerate() {
            let mut note = |nozzle| {
                let undone = (worked.row.step, worked.row.effect, worked.setup, nozzle);
                self.undoing.entry(undone).or_default().push(place);
            };
            match &worked.nozzles {
                Some(fitted) => fitted.iter().for_each(|nozzle| note(Some(*nozzle))),
                None => note(None),
            }
        }
        for event in [Event::Visit, Event::Service, Event::Application] {
            let all = self.history.unreadable.iter().enumerate();
            let mut unread = Unread::default();
            for (place, record) in all.filter(|(_, record)| record.event == event) {
                match record.day {
                    Some(day) => unread.by_day.push((day, place)),
                    None => unread.of_no_day = unread.of_no_day.or(Some(place)),
                }
            }
            unread.by_day.sort_unstable();
            self.unread.push((event, unread));
        }
    }

    /// The place in the history of the last visit before another one that has a catch and names a setup, or none.
    pub fn last_caught(&self, setup: Option<&str>, before: usize) -> Option<usize> {
        let places = self.caught_with.get(&setup)?;
        let end = places.partition_point(|&place| place < before);
        places[..end].last().copied()
    }

    /// What visits left failing, ready to be asked for; in the order of the visits.
    ///
    /// A visit that does a step leaves failing too what was so before and what its tests do not show to be right again.
    pub fn failing(&self, all: Vec<Failing>, undecided: &Undecided) -> FailingTests {
        let visits = self.visits.iter().enumerate();
        let places: BTreeMap<FileId, usize> = visits
            .map(|(place, visit)| (visit.place.file, place))
            .collect();
        let mut tests = FailingTests::default();
        for failing in all {
            if let Some(place) = places.get(&failing.record) {
                let of = (failing.step, failing.setup);
                tests
                    .of_step
                    .entry(of)
                    .or_default()
                    .push((*place, Rc::new(failing)));
            }
        }
        for (of, own) in &mut tests.of_step {
            let doing = self.doing.get(of).map_or(&[][..], Vec::as_slice);
            *own = self.with_what_stays(std::mem::take(own), doing, undecided);
        }
        let open = undecided
            .iter()
            .filter_map(|(record, open)| Some((*places.get(record)?, open)));
        for (place, open) in open {
            let uncertain = open
                .uncertain
                .iter()
                .map(|step| (*step, Lacking::Certainty));
            // Of a test that cannot be nobody knows how certain it is.
            let impossible = open.impossible.iter().map(|step| (*step, IMPOSSIBLE));
            let proving_nothing = uncertain.chain(impossible);
            let of_visit = proving_nothing.map(|(step, lacking)| ((step, place), lacking));
            tests.proving_nothing.extend(of_visit);
        }
        tests
    }

    /// What visits left failing of a step, with what each visit that did it did not put right.
    fn with_what_stays(
        &self,
        mut own: Vec<OfVisit>,
        doing: &[usize],
        undecided: &Undecided,
    ) -> Vec<OfVisit> {
        own.sort_by_key(|(at, _)| *at);
        let mut all = Vec::with_capacity(own.len());
        let mut open: Vec<Rc<Failing>> = Vec::new();
        let mut own = own.into_iter().peekable();
        for &place in doing {
            while let Some((at, failing)) = own.next_if(|(at, _)| *at < place) {
                let is_new = !open.iter().any(|other| other.is_like(&failing));
                open.extend(is_new.then(|| Rc::clone(&failing)));
                all.push((at, failing));
            }
            open.retain(|failing| !self.ends(place, failing, undecided));
            all.extend(open.iter().map(|failing| (place, Rc::clone(failing))));
        }
        all.extend(own);
        all
    }

    /// Whether a visit that did a step shows that what was failing is right again, or tells of it itself.
    fn ends(&self, place: usize, failing: &Failing, undecided: &Undecided) -> bool {
        let visit = &self.visits[place];
        let undecided = undecided.get(&visit.place.file);
        let is_open = |beyond: &Beyond| undecided.is_some_and(|all| all.undecided.contains(beyond));
        let is_impossible = undecided.is_some_and(|all| all.impossible.contains(&failing.step));
        !matches!(visit.proof(failing.step), Some(Proof::Unproven(_)))
            && !is_impossible
            && failing.sections.is_subset(&visit.sections)
            && !failing.beyond.iter().any(is_open)
    }

    /// The state of every step the machine has, in the order of the procedure.
    pub fn steps(&self, until: Until, failing: &FailingTests) -> Vec<StepState> {
        self.steps_of(until, failing, |_| true)
    }

    /// The same of the steps of the whole machine, and of those of one setup where it is known.
    pub fn steps_with(
        &self,
        setup: Option<u16>,
        until: Until,
        failing: &FailingTests,
    ) -> Vec<StepState> {
        self.steps_of(until, failing, |of| Some(of) == setup)
    }

    fn steps_of(
        &self,
        until: Until,
        failing: &FailingTests,
        is_wanted: impl Fn(u16) -> bool,
    ) -> Vec<StepState> {
        let machine = match &until {
            Until::EndOf(day) => self.history.machine_on(*day),
            Until::Before(of) => self.history.machine_at(of),
        };
        let Some(machine) = machine else {
            return Vec::new();
        };
        let mut states = Vec::new();
        let setups = || (0_u16..).zip(&machine.setups).map(|(setup, _)| setup);
        for procedure in &PROCEDURES {
            if (procedure.has)(machine) == Has::No {
                continue; // What the machine's file leaves out counts as there.
            }
            let step = procedure.step;
            match (procedure.done_for)(machine) {
                DoneFor::Setup => {
                    for setup in setups().filter(|&setup| is_wanted(setup)) {
                        states.push(self.state(step, Some(setup), until, failing));
                    }
                }
                DoneFor::Machine => states.push(self.state(step, None, until, failing)),
            }
        }
        states
    }

    /// How one step stands.
    pub fn state(
        &self,
        step: Step,
        setup: Option<u16>,
        until: Until,
        failing: &FailingTests,
    ) -> StepState {
        let is_certain = |place| !failing.proving_nothing.contains_key(&(step, place));
        let includes = |moment: &Moment| until.includes(moment);
        let done = self.last_done(step, setup, until.day(), includes, is_certain);
        let mut state = StepState {
            step,
            setup,
            last: Last::Never,
            not_counted: match until {
                Until::EndOf(_) => self.not_counted(done, step, setup, until, failing),
                Until::Before(_) => None, // Nobody asks, and there are as many as visits.
            },
            void: None,
            recheck: None,
            unread_work: None,
            failing: None,
            let_pass: None,
            used: Use {
                hours: None,
                applications: 0,
            },
        };
        let Some((place, done)) = done else {
            return state; // Of what cannot be read nobody knows that it did the step.
        };
        let since = done.moment.day;
        if let Some(visit) = self.unreadable_since(since, until, Event::Visit) {
            state.last = Last::Unreadable(visit);
            return state;
        }
        state.last = Last::On(done.done());
        state.unread_work = self.unreadable_since(since, until, Event::Service);
        let proven = self.proven(place, step, setup, until);
        state.void = self.undone(proven, step, setup, until, Effect::Voids);
        state.recheck = self.undone(done, step, setup, until, Effect::Recheck);
        let failing = |let_pass| self.failing_since(done, step, setup, until, failing, let_pass);
        state.failing = failing(false);
        state.let_pass = failing(true);
        if let Some(Proof::Unproven(because)) = done.proof(step)
            && (state.void.is_some() || state.failing.is_some() || state.let_pass.is_some())
        {
            let own = || done.not_counted(step, Lacking::Reading(because));
            state.not_counted = state.not_counted.or_else(own);
        }
        state.used = self.used_since(done, setup, until);
        state
    }

    /// The days on which it is laid up, as known on a day: without the lay-ups in which it sprayed by then.
    pub fn lay_ups_on(&self, day: Date) -> LayUps {
        let sprayed = upto(&self.sprayed, day).iter();
        self.lay_ups.without(sprayed.map(|(moment, _)| moment.day))
    }

    /// The last visit up to a day that did a step, with its place.
    fn last_done(
        &self,
        step: Step,
        setup: Option<u16>,
        day: Date,
        includes: impl Fn(&Moment) -> bool,
        is_certain: impl Fn(usize) -> bool,
    ) -> Option<(usize, &Visited)> {
        let doing = self.upto(&self.doing, (step, setup), day);
        let includes = |moment: &Moment| moment.day <= day && includes(moment);
        let mut places = doing.iter().rev();
        let place = *places.find(|&&place| {
            includes(&self.visits[place].moment)
                && is_certain(place)
                && self.is_done_at(place, step, includes)
        })?;
        Some((place, &self.visits[place]))
    }

    /// The visit since which work undoes a step that a visit did.
    ///
    /// A meter that was taken out is tested only where its error can be calculated. A speed sensor that was taken out cannot
    /// be tested: there a course by stopwatch is all there is.
    fn proven(&self, done: usize, step: Step, setup: Option<u16>, until: Until) -> &Visited {
        let is_proven = |place: usize| {
            let proof = self.visits[place].proof(step);
            step != Step::Flow || !matches!(proof, Some(Proof::Unproven(_)))
        };
        let doing = self.upto(&self.doing, (step, setup), until.day());
        let included = |place: &&usize| until.includes(&self.visits[**place].moment);
        let upto_done = &doing[..doing.partition_point(|&place| place <= done)];
        let mut latest = upto_done.iter().rev();
        let proven = latest.find(|place| is_proven(**place) && included(place));
        let first = || upto_done.iter().find(included);
        &self.visits[proven.or_else(first).copied().unwrap_or(done)]
    }

    /// The places of visits of a step up to a day.
    fn upto<'t>(
        &self,
        all: &'t BTreeMap<(Step, Option<u16>), Vec<usize>>,
        of: (Step, Option<u16>),
        day: Date,
    ) -> &'t [usize] {
        let places = all.get(&of).map_or(&[][..], Vec::as_slice);
        &places[..places.partition_point(|&place| self.visits[place].moment.day <= day)]
    }

    /// Whether a visit did a step, by what was caught since too.
    fn is_done_at(
        &self,
        place: usize,
        step: Step,
        includes: impl Fn(&Moment) -> bool + Copy,
    ) -> bool {
        match self.visits[place].proof(step) {
            Some(Proof::Done | Proof::Unproven(_)) => true,
            Some(Proof::OnceCaught(_)) => self.left_out_at(place, includes).is_empty(),
            Some(Proof::Lacks(_)) | None => false,
        }
    }

    /// The nozzles that a catch of the whole boom left out and that no later visit caught.
    fn left_out_at(&self, place: usize, includes: impl Fn(&Moment) -> bool + Copy) -> Vec<u16> {
        let visit = &self.visits[place];
        let Some(Proof::OnceCaught(left_out)) = visit.proof(Step::Catch) else {
            return Vec::new();
        };
        let is_left = |nozzle: &u16| self.is_uncaught_after(place, *nozzle, includes);
        left_out.iter().copied().filter(is_left).collect()
    }

    /// Whether no visit after another one caught a nozzle of its setup.
    fn is_uncaught_after(
        &self,
        place: usize,
        nozzle: u16,
        includes: impl Fn(&Moment) -> bool,
    ) -> bool {
        let mut later = self.caught_after(place, self.visits[place].setup, nozzle);
        !later.any(|later| includes(&self.visits[later].moment))
    }

    /// What a catch of some nozzles leaves out: what it says was missed, and every other nozzle where none that it caught was
    /// to be caught again.
    fn left_out_of_some(
        &self,
        done: usize,
        place: usize,
        left_out: &[u16],
        failing: &FailingTests,
    ) -> Vec<u16> {
        let visit = &self.visits[place];
        let missed = &visit.caught.missed;
        let is_retest = || self.is_of_nozzles_to_catch_again(done, place, failing);
        if missed.is_empty() && !is_retest() {
            left_out.to_vec()
        } else {
            missed.iter().copied().collect()
        }
    }

    /// Whether a visit caught a nozzle that work undid, or that was found bad or missed, since a visit did the catch.
    fn is_of_nozzles_to_catch_again(
        &self,
        done: usize,
        place: usize,
        failing: &FailingTests,
    ) -> bool {
        let visit = &self.visits[place];
        let until = Until::Before(visit.moment);
        let is_caught = |nozzle: &u16| visit.caught.nozzles.contains(nozzle);
        let undone = [Effect::Voids, Effect::Recheck].into_iter().any(|effect| {
            let undone = self.undone(&self.visits[done], Step::Catch, visit.setup, until, effect);
            undone.is_some_and(|undone| undone.nozzles.iter().any(is_caught))
        });
        let found_bad = || {
            let tests = failing.of_step.get(&(Step::Catch, visit.setup));
            let mut tests = tests.into_iter().flatten();
            tests.any(|(at, failing)| {
                (done..place).contains(at) && failing.nozzles.iter().any(is_caught)
            })
        };
        let missed_since = || {
            let mut since = self.visits[done..place].iter();
            let is_of_setup = |earlier: &&Visited| earlier.setup == visit.setup;
            since
                .any(|earlier| is_of_setup(&earlier) && earlier.caught.missed.iter().any(is_caught))
        };
        undone || found_bad() || missed_since()
    }

    /// The places of visits after another one that caught a nozzle of a setup.
    fn caught_after(
        &self,
        place: usize,
        setup: Option<u16>,
        nozzle: u16,
    ) -> impl Iterator<Item = usize> {
        let caught = self.catching.get(&(setup, nozzle));
        let caught = caught.map_or(&[][..], Vec::as_slice);
        let from = caught.partition_point(|&at| at <= place);
        caught[from..].iter().copied()
    }

    /// Whether visits after one caught each of some nozzles of its setup, or the whole boom, up to the end of a day.
    pub fn is_caught_since(&self, visit: &Calibration, nozzles: &[u16], until: Date) -> bool {
        let Some(date) = visit.date else {
            return false;
        };
        let before = |one: &Visited| one.moment.day < date.value;
        let from = self.visits.partition_point(before);
        let of_the_day = self.visits[from..].iter();
        let at = of_the_day
            .take_while(|one| one.moment.day == date.value)
            .position(|one| one.place.file == visit.file);
        let Some(place) = at.map(|at| from + at) else {
            return false;
        };
        let setup = self.visits[place].setup;
        let is_whole = |at: &usize| self.visits[*at].proof(Step::Catch) == Some(&Proof::Done);
        let catches = self.upto(&self.doing, (Step::Catch, setup), until);
        let since = &catches[catches.partition_point(|at| *at <= place)..];
        let is_caught = |nozzle: &u16| {
            let mut later = self.caught_after(place, setup, *nozzle);
            later.any(|at| self.visits[at].moment.day <= until)
        };
        since.iter().any(is_whole) || nozzles.iter().all(is_caught)
    }

    /// The last tests of a step since it was done that do not count.
    ///
    /// A catch of nozzles that were to be caught again tells of those only, and counts for them.
    fn not_counted(
        &self,
        done: Option<(usize, &Visited)>,
        step: Step,
        setup: Option<u16>,
        until: Until,
        failing: &FailingTests,
    ) -> Option<NotCounted> {
        let includes = |moment: &Moment| until.includes(moment);
        let doing = self
            .upto(&self.doing, (step, setup), until.day())
            .iter()
            .rev();
        let mut doing = doing
            .take_while(|&&place| done.is_none_or(|(done, _)| done < place))
            .filter(|&&place| includes(&self.visits[place].moment));
        let proving_nothing =
            doing.find_map(|&place| Some((place, failing.proving_nothing.get(&(step, place))?)));
        if let Some((place, lacking)) = proving_nothing {
            return self.visits[place].not_counted(step, lacking.clone());
        }
        let places = self.upto(&self.not_counting, (step, setup), until.day());
        let since = places.iter().rev();
        let mut since = since.take_while(|&&place| done.is_none_or(|(done, _)| done < place));
        since.find_map(|&place| {
            let visit = &self.visits[place];
            if !includes(&visit.moment) {
                return None;
            }
            let lacking = match visit.proof(step)? {
                Proof::Done | Proof::Unproven(_) => return None,
                Proof::OnceCaught(_) => Lacking::Nozzles(self.left_out_at(place, includes)),
                Proof::Lacks(lacking) => match (lacking, done) {
                    (Lacking::Nozzles(left_out), Some((done, _))) => {
                        let left_out = self.left_out_of_some(done, place, left_out, failing);
                        let is_left =
                            |nozzle: &u16| self.is_uncaught_after(place, *nozzle, includes);
                        let left: Vec<u16> = left_out.into_iter().filter(is_left).collect();
                        if left.is_empty() {
                            return None;
                        }
                        Lacking::Nozzles(left)
                    }
                    (lacking, _) => lacking.clone(),
                },
            };
            visit.not_counted(step, lacking)
        })
    }

    /// What the visit that did a step, or a later one, left failing of it. A later catch of some nozzles renews nothing, but
    /// what it found bad is bad. Either what a waiver in force lets pass is asked for, or what none does.
    fn failing_since(
        &self,
        done: &Visited,
        step: Step,
        setup: Option<u16>,
        until: Until,
        failing: &FailingTests,
        let_pass: bool,
    ) -> Option<Rc<Failing>> {
        let day = until.day();
        let counts = |visit: &Visited| {
            let of_setup = setup.is_none() || visit.setup == setup;
            let is_later = || until.includes(&visit.moment) && done.moment.is_before(&visit.moment);
            visit.place == done.place || (of_setup && is_later())
        };
        let first = |of: Option<u16>| {
            let tests = failing.of_step.get(&(step, of))?;
            let from =
                tests.partition_point(|&(at, _)| self.visits[at].moment.day < done.moment.day);
            let since = tests[from..].iter();
            let mut since = since.take_while(|&&(at, _)| self.visits[at].moment.day <= day);
            since.find(|&&(at, ref failing)| {
                let is_let_pass = failing.let_pass.iter().any(|period| period.holds_on(day));
                counts(&self.visits[at])
                    && is_let_pass == let_pass
                    && !self.is_caught_again(at, &failing.nozzles, until)
            })
        };
        let setups = iter::once(None).chain(setup.map(Some));
        let all = setups.filter_map(first);
        let first = all.min_by_key(|(at, _)| *at)?;
        Some(Rc::clone(&first.1))
    }

    /// Whether each nozzle that a visit found bad was caught again by later ones, which tell of it themselves.
    ///
    /// A nozzle caught alone is its own average: it must be held against its rated flow, or have been replaced.
    fn is_caught_again(&self, place: usize, nozzles: &[u16], until: Until) -> bool {
        let setup = self.visits[place].setup;
        let is_caught = |nozzle: &u16| {
            let mut later = self.caught_after(place, setup, *nozzle);
            later.any(|at| {
                let visit = &self.visits[at];
                let is_of_whole_boom = matches!(
                    visit.proof(Step::Catch),
                    Some(Proof::Done | Proof::OnceCaught(_))
                );
                until.includes(&visit.moment)
                    && (is_of_whole_boom
                        || visit.caught.is_rated
                        || self.is_fitted_between(place, at, setup, *nozzle))
            })
        };
        !nozzles.is_empty() && nozzles.iter().all(is_caught)
    }

    /// Whether a nozzle was fitted between two visits.
    fn is_fitted_between(&self, one: usize, other: usize, setup: Option<u16>, nozzle: u16) -> bool {
        let (from, to) = (&self.visits[one].moment, &self.visits[other].moment);
        let is_between = |&place: &usize| {
            let fitted = &self.works[place].moment;
            from.is_before(fitted) && fitted.is_before(to)
        };
        [setup, None].iter().any(|of| {
            [Some(nozzle), None].iter().any(|at| {
                let undoing = (Step::Catch, Effect::Voids, *of, *at);
                let places = self.undoing.get(&undoing);
                places.is_some_and(|places| places.iter().any(is_between))
            })
        })
    }

    /// What was sprayed with a setup between the last visit before a moment that did a step and that
    /// moment: how often, and since when; none where nothing was.
    pub fn sprayed_before(
        &self,
        step: Step,
        setup: Option<u16>,
        moment: &Moment,
    ) -> Option<(usize, Option<Date>)> {
        let last = self.last_done(step, setup, moment.day, |at| at.is_before(moment), |_| true);
        let last = last.map(|(_, visit)| visit.moment);
        let since = last.map(|last| last.day);
        let sprayed = between(&self.sprayed, since, moment.day).iter();
        let sprayed = sprayed.filter(|(at, with)| {
            is_with(setup, *with)
                && at.is_before(moment)
                && last.as_ref().is_none_or(|last| last.is_before(at))
        });
        let count = sprayed.count();
        (count > 0).then_some((count, last.map(|last| last.day)))
    }

    /// The hour meter at the end of a day, as last read.
    pub fn hours_on(&self, day: Date) -> Option<HourMeter> {
        upto(self.hours(), day).last().copied()
    }

    /// The seconds of use a day that counts, over the year before the last reading; none where too little is known.
    ///
    /// Days on which it is laid up do not count. At least a [`FORTNIGHT`] must lie between the first and the last reading.
    pub fn use_a_day(&self, day: Date) -> Option<Exact> {
        let last = self.hours_on(day)?;
        let days = |from: Date| last.day.since(from).map_or(0, |span| span.get_days());
        let mut within = self
            .hours()
            .iter()
            .filter(|reading| reading.day <= last.day);
        let first = within.find(|reading| days(reading.day) <= 365)?;
        let used = self.hours_between(first, &last);
        let days = self.lay_ups_on(day).days_that_count(first.day, last.day);
        (FORTNIGHT <= days && used.is_positive()).then(|| used / Exact::from_integer(days.into()))
    }

    /// The hours of use a day in floating point.
    pub fn hours_a_day(&self, day: Date) -> Option<f64> {
        Some(self.use_a_day(day)?.to_f64()? / 3_600.0)
    }

    /// When a setup's nozzles were last fitted by the section or the boom, up to the end of a day, with
    /// the seconds the hour meter read.
    pub fn fitted(&self, setup: u16, until: Date) -> Option<(Moment, Option<f64>)> {
        let works = self.works.iter().rev();
        let mut whole = works.filter(|worked| {
            worked.row.when == When::WholeSection
                && (worked.setup.is_none() || worked.setup == Some(setup))
                && worked.moment.day <= until
        });
        let moment = whole.next()?.moment;
        let read = || Some(self.hours_on(moment.day)?.seconds);
        Some((moment, moment.hours.or_else(read)))
    }

    /// Exactly the seconds of use between two readings of the hour meter.
    pub fn hours_between(&self, one: &HourMeter, later: &HourMeter) -> Exact {
        let meters = &self.history.hour_meters;
        meters.exact(later) - meters.exact(one)
    }

    /// The readings of the hour meter that can be true, by day.
    fn hours(&self) -> &'h [HourMeter] {
        self.history.hour_meters.readings()
    }

    /// The first reading of the hour meter, from a day on, that is beyond some seconds of use since another.
    pub fn first_hours_beyond(
        &self,
        seconds: &Exact,
        since: &HourMeter,
        from: Date,
    ) -> Option<HourMeter> {
        let mut readings = self.hours().iter().filter(|reading| from <= reading.day);
        let found = readings.find(|reading| *seconds < self.hours_between(since, reading));
        found.copied()
    }

    /// The visit that did a step.
    fn visit_of(&self, done: Done) -> Option<&Visited> {
        let of_the_day = self
            .visits
            .partition_point(|visit| visit.moment.day < done.day);
        let mut visits = self.visits[of_the_day..].iter();
        visits.find(|visit| visit.place == done.place)
    }

    /// The day of the nth application since a step was done, up to the end of a day.
    pub fn nth_application_since(&self, state: &StepState, until: Date, n: usize) -> Option<Date> {
        let done = self.visit_of(state.done()?)?;
        let mut since = between(&self.sprayed, Some(done.moment.day), until)
            .iter()
            .filter(|(moment, with)| {
                is_with(state.setup, *with) && moment.day <= until && done.moment.is_before(moment)
            });
        since.nth(n.checked_sub(1)?).map(|(moment, _)| moment.day)
    }

    /// The latest work, after a step was done, that undoes it and has not been made good.
    fn undone(
        &self,
        done: &Visited,
        step: Step,
        setup: Option<u16>,
        until: Until,
        effect: Effect,
    ) -> Option<Undone> {
        let is_left = |worked: &Worked, nozzle: u16| {
            let caught = self.catching.get(&(setup, nozzle));
            let caught = caught.map_or(&[][..], Vec::as_slice);
            let is_earlier = |&place: &usize| self.visits[place].moment.day < worked.moment.day;
            let since = caught[caught.partition_point(is_earlier)..].iter();
            let since = since.map(|&place| &self.visits[place].moment);
            let mut since = since.take_while(|caught| caught.day <= until.day());
            !since.any(|caught| until.includes(caught) && worked.moment.is_before(caught))
        };
        let mut undone: Option<Undone> = None;
        // What was fitted again on a later day is left if it was left then, so each is looked at on one day only.
        let mut looked_at: BTreeMap<u16, Date> = BTreeMap::new();
        for worked in self.undone_since(done, step, setup, until, effect) {
            let day = worked.moment.day;
            let Some(fitted) = &worked.nozzles else {
                let mut latest = undone.unwrap_or_else(|| worked.undone());
                // What earlier work undid is to be made good with it: it stands for all nozzles, but for those
                // that a catch of the whole boom caught since.
                match self.left_since(worked, step, setup, until) {
                    Some(left) => latest.nozzles.extend(left),
                    None => latest.nozzles.clear(),
                }
                latest.nozzles.sort_unstable();
                latest.nozzles.dedup();
                return Some(latest);
            };
            let is_new = |nozzle: &u16| *looked_at.entry(*nozzle).or_insert(day) == day;
            let of_this_day: Vec<u16> = fitted.iter().copied().filter(is_new).collect();
            let left = of_this_day
                .into_iter()
                .filter(|&nozzle| is_left(worked, nozzle));
            let left: Vec<u16> = left.collect();
            if !left.is_empty() {
                let latest = undone.get_or_insert_with(|| worked.undone());
                latest.nozzles.extend(left);
            }
        }
        let mut undone = undone?;
        undone.nozzles.sort_unstable();
        undone.nozzles.dedup();
        Some(undone)
    }

    /// The nozzles that the last catch of the whole boom since some work left out and that nobody caught; none
    /// without such a catch, or where the work concerns no nozzle.
    fn left_since(
        &self,
        worked: &Worked,
        step: Step,
        setup: Option<u16>,
        until: Until,
    ) -> Option<Vec<u16>> {
        if worked.row.reach != Reach::Nozzles {
            return None;
        }
        let includes = |moment: &Moment| until.includes(moment);
        let doing = self.upto(&self.doing, (step, setup), until.day());
        let mut places = doing.iter().rev();
        let place = *places.find(|&&place| {
            let moment = &self.visits[place].moment;
            includes(moment) && worked.moment.is_before(moment)
        })?;
        Some(self.left_out_at(place, includes))
    }

    /// The works that may have undone a step since it was done, the latest first.
    ///
    /// Of a nozzle only those of the last day it was fitted, and so of the whole boom: what was done before stands or
    /// falls with it, and a long history is not walked through.
    fn undone_since(
        &self,
        done: &Visited,
        step: Step,
        setup: Option<u16>,
        until: Until,
        effect: Effect,
    ) -> impl Iterator<Item = &Worked> {
        let moment = |place: usize| &self.works[place].moment;
        let is_since =
            |place: &usize| until.includes(moment(*place)) && done.moment.is_before(moment(*place));
        let all = (step, effect, None, None)..=(step, effect, Some(u16::MAX), Some(u16::MAX));
        let mut latest: BTreeSet<usize> = BTreeSet::new();
        for ((.., of, _), places) in self.undoing.range(all) {
            if of.is_some() && setup.is_some() && *of != setup {
                continue;
            }
            let end = places.partition_point(|place| moment(*place).day <= until.day());
            let mut since = places[..end]
                .iter()
                .rev()
                .take_while(|place| moment(**place).day >= done.moment.day)
                .filter(|place| is_since(place))
                .peekable();
            let last_day = since.peek().map(|place| moment(**place).day);
            latest.extend(since.take_while(|place| Some(moment(**place).day) == last_day));
        }
        latest.into_iter().rev().map(|place| &self.works[place])
    }

    /// The use since a step was done. Where its visit read no hours they count from the last reading of
    /// that day, or from the next one after it, so that no more is counted than is proven.
    fn used_since(&self, done: &Visited, setup: Option<u16>, until: Until) -> Use {
        let day = done.moment.day;
        let of_the_day = || self.hours_on(day).filter(|reading| reading.day == day);
        let after = || {
            let next = self.hours().get(upto(self.hours(), day).len());
            next.filter(|reading| reading.day <= until.day()).copied()
        };
        let then = done.hours.or_else(of_the_day).or_else(after);
        let now = self.hours_on(until.day());
        let used = then
            .zip(now)
            .filter(|(then, now)| then.seconds <= now.seconds);
        Use {
            hours: used,
            applications: self.sprayed_since(done, setup, until),
        }
    }

    /// How many applications with a setup were made since a visit.
    ///
    /// The days between its own and the last are counted, not gone through.
    fn sprayed_since(&self, done: &Visited, setup: Option<u16>, until: Until) -> usize {
        let (first, last) = (done.moment.day, until.day());
        let is_counted = |(moment, with): &&(Moment, Option<u16>)| {
            is_with(setup, *with) && until.includes(moment) && done.moment.is_before(moment)
        };
        let on = |day: Date| between(&self.sprayed, Some(day), day).iter();
        if last <= first {
            return on(first).filter(is_counted).count();
        }
        let on_ends = on(first).chain(on(last)).filter(is_counted).count();
        let from = self.sprayed.partition_point(|(at, _)| at.day <= first);
        let to = self.sprayed.partition_point(|(at, _)| at.day < last);
        let those = |places: &Vec<usize>| {
            let before = |end: usize| places.partition_point(|&place| place < end);
            before(to) - before(from)
        };
        let between_ends = match setup {
            None => to - from,
            Some(_) => [None, setup]
                .iter()
                .filter_map(|with| self.sprayed_with.get(with))
                .map(those)
                .sum(),
        };
        on_ends + between_ends
    }

    /// A record that could not be read and may tell of such an event since a day.
    fn unreadable_since(&self, since: Date, until: Until, event: Event) -> Option<Unreadable> {
        let (_, unread) = self.unread.iter().find(|(of, _)| *of == event)?;
        let place = unread.between(Some(since), until.day())?;
        self.history.unreadable.get(place).copied()
    }

    /// A record of any kind that could not be read and may be of some days.
    pub fn unreadable_between(&self, from: Option<Date>, to: Date) -> Option<Unreadable> {
        let places = self
            .unread
            .iter()
            .filter_map(|(_, unread)| unread.between(from, to));
        self.history.unreadable.get(places.min()?).copied()
    }
}

/// What has a day in a list by day.
trait Dated {
    fn day(&self) -> Date;
}

impl Dated for Visited {
    fn day(&self) -> Date {
        self.moment.day
    }
}

impl Dated for Worked {
    fn day(&self) -> Date {
        self.moment.day
    }
}

impl Dated for (Moment, Option<u16>) {
    fn day(&self) -> Date {
        self.0.day
    }
}

impl Dated for HourMeter {
    fn day(&self) -> Date {
        self.day
    }
}

/// Those up to a day, which is included.
fn upto<T: Dated>(by_day: &[T], day: Date) -> &[T] {
    &by_day[..by_day.partition_point(|one| one.day() <= day)]
}

/// Those from one day to another, both included.
fn between<T: Dated>(by_day: &[T], from: Option<Date>, to: Date) -> &[T] {
    let upto = upto(by_day, to);
    let before = |from| upto.partition_point(|one| one.day() < from);
    &upto[from.map_or(0, before)..]
}

/// A step of the whole machine is used by every application, one of a setup by those with it; one
/// that does not say its setup may be with any.
fn is_with(setup: Option<u16>, with: Option<u16>) -> bool {
    setup.is_none() || with.is_none() || setup == with
}

impl Worked {
    /// What it undid, without its nozzles.
    fn undone(&self) -> Undone {
        Undone {
            day: self.moment.day,
            place: self.place,
            work: self.work,
            because: self.row.because,
            nozzles: Vec::new(),
        }
    }
}

impl Visited {
    /// What its tests are worth for a step; none where it has none.
    fn proof(&self, step: Step) -> Option<&Proof> {
        let mut steps = self.steps.iter();
        let (_, proof, _) = steps.find(|(of, ..)| *of == step)?;
        Some(proof)
    }

    fn done(&self) -> Done {
        Done {
            day: self.moment.day,
            place: self.place,
        }
    }

    /// Its tests of a step as ones that do not count; none where it has none.
    fn not_counted(&self, step: Step, lacking: Lacking) -> Option<NotCounted> {
        let mut steps = self.steps.iter();
        let (_, _, span) = steps.find(|(of, ..)| *of == step)?;
        Some(NotCounted {
            day: self.moment.day,
            place: Place {
                file: self.place.file,
                span: *span,
            },
            lacking,
        })
    }
}

fn visited(history: &History, visit: &Calibration) -> Option<Visited> {
    let date = visit.date?;
    let meters = &history.hour_meters;
    let hours = visit.hours.as_ref();
    let moment = meters.moment(date.value, visit.file, hours, Event::Visit);
    let machine = history.machine_at(&moment)?;
    let caught = proof::caught(visit, machine);
    let steps = Step::all().filter_map(|step| {
        let (proof, span) = proof::of(step, visit, machine, &caught)?;
        Some((step, proof, span))
    });
    let setup = machine.setup_index(visit.setup.as_ref());
    let pressure = setup.and_then(|at| machine.setups.get(usize::from(at))?.pressure.as_ref());
    Some(Visited {
        moment,
        place: Place {
            file: visit.file,
            span: date.span,
        },
        setup,
        working_pressure: pressure.map(|pressure| pressure.value),
        sections: proof::sections_tested(visit, machine),
        steps: steps.collect(),
        caught,
        hours: meters.believed(date.value, visit.file, hours),
    })
}

fn worked(
    done: &WorkDone,
    machine: &Machine,
    moment: Moment,
    place: Place,
) -> impl Iterator<Item = Worked> {
    let setup = machine.setup_index(done.setup());
    let nozzles = if let WorkDone::NozzlesFitted(fitted) = done {
        numbers(fitted, machine)
    } else {
        None
    };
    let work = done.in_words();
    let rows = voiding::rows_of(done, machine).filter(move |row| match row.reach {
        // A setup the machine does not have has a finding, and nobody knows which is meant.
        Reach::Nozzles | Reach::Setup => setup.is_some() || machine.setups.is_empty(),
        Reach::Machine => true,
    });
    rows.map(move |row| Worked {
        moment,
        place,
        work,
        row,
        setup: match row.reach {
            Reach::Nozzles | Reach::Setup => setup,
            Reach::Machine => None,
        },
        nozzles: match row.reach {
            Reach::Nozzles => nozzles.clone(),
            Reach::Setup | Reach::Machine => None,
        },
    })
}

/// The nozzles that were fitted, by number; none for the whole boom.
fn numbers(fitted: &NozzlesFitted, machine: &Machine) -> Option<BTreeSet<u16>> {
    if fitted.at.is_empty() {
        return None;
    }
    let layout = Layout::of(&machine.boom)?;
    let all = fitted.at.iter().flat_map(|(section, positions)| {
        let layout = &layout;
        positions.iter().filter_map(move |position| {
            let position = u16::try_from(position.value).ok()?;
            layout.number_of(&section.value, position)
        })
    });
    Some(all.collect())
}
