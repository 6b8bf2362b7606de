//! The readings of one visit made ready for formulas: each with its primitives, as found and as left.

use super::bounds::{Bounds, bounds};
use super::catch::{self, Catch, Pressure, Retest};
use super::continuity::{self, Continued};
use super::flow::{self, Meter, MeterFactor};
use super::ground::{Ground, ground};
use super::instrument::Bench;
use super::records::Records;
use super::sections_off::{self, Balance, SectionsOff};
use super::shown::Shown;
use super::speed::{self, Course, SpeedFactor};
use super::stages::Stages;
use super::subject::Subject;
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::figure::primitive::{PrimitiveId, Primitives, What};
use crate::figure::view::{Stratum, View};
use crate::fleet::{Event, Layout, Moment, no_such_setup};
use crate::history::{FailingTests, Undone, Until};
use crate::outcome::{Key, Part, Stage};
use crate::procedure::Step;
use crate::record::Calibration;
use crate::record::machine::{Machine, Setup};
use crate::record::service::NOZZLES_FITTED;
use crate::source::{FileId, Place, Span};
use jiff::civil::Date;

/// Figures from readings.
#[derive(Debug)]
pub enum ReadingsStratum {}

impl Stratum for ReadingsStratum {
    type View<'v> = Visit<'v>;
}

/// The readings of one visit.
#[derive(Debug)]
pub struct Visit<'a> {
    /// The machine.
    pub subject: Subject<'a>,
    /// The record.
    pub calibration: &'a Calibration,
    /// The record with those it is compared with.
    pub records: Records<'a>,
    /// The day of the check.
    pub today: Date,
    /// The setup tested, with its place in the machine file.
    pub setup: Option<(u16, &'a Setup)>,
    /// What the machine file declares of the ground covered.
    pub ground: Ground,
    /// The speed of the setup as an earlier visit measured it, and when.
    pub measured_speed: Option<(PrimitiveId, Date)>,
    /// Every source of error.
    pub primitives: Primitives,
    /// The catch, as found and as left.
    pub catch: Stages<Catch>,
    /// Catches at another pressure than the catch they belong to.
    pub retests: Vec<Retest>,
    /// The meter test, as found and as left.
    pub flow: Stages<Meter>,
    /// The speed test, as found and as left.
    pub speed: Stages<Course>,
    /// The pressure at the end of the boom.
    pub boom_end: Option<Pressure>,
    /// Corrections of the flow factor, by test.
    pub flow_factors: Vec<(u16, MeterFactor)>,
    /// Corrections of the speed factor, by test.
    pub speed_factors: Vec<(u16, SpeedFactor)>,
    /// The factor each step begins with, where it is on record.
    pub begun: Vec<(Step, Shown)>,
    /// Each factor a visit begins with, beside the one the last visit left.
    pub continued: Vec<Continued>,
    /// Steps corrected and not tested again.
    pub not_tested_again: Vec<(Step, Place)>,
    /// The section balance.
    pub balance: Balance,
    /// Readings beside the most there can be.
    pub bounds: Bounds,
}

impl<'a> Visit<'a> {
    /// Makes the readings ready; what they do not fit is told in `problems`.
    pub fn new(
        subject: Subject<'a>,
        records: Records<'a>,
        today: Date,
        problems: &mut Vec<Diagnostic>,
    ) -> Self {
        let calibration = records.calibration;
        let setup = setup_of(subject.machine, calibration, problems);
        let mut bench = Bench::new(subject.fleet, calibration.file);
        let (catch, retests) = catch::stages(&mut bench, &subject, setup, calibration, problems);
        let mut not_tested_again = Vec::new();
        let (flow, flow_factors) = flow::stages(&mut bench, calibration, &mut not_tested_again);
        let (speed, speed_factors) = speed::stages(&mut bench, calibration, &mut not_tested_again);
        let boom_end = calibration.boom_end_pressure.as_ref();
        let boom_end = boom_end.map(|read| catch::boom_end(&mut bench, calibration, read));
        let begun = continuity::begun(&mut bench, calibration);
        let continued = continuity::factors(&mut bench, &records, &begun);
        let balance = sections_off::balance(&mut bench, &subject, calibration, problems);
        let measured_speed = records.measured_speed.map(|speed| {
            let what = What::CalibratedRate;
            let primitives = &mut bench.primitives;
            let id = primitives.worked_out(what, speed.value, speed.uncertainty, speed.place);
            (id, speed.day)
        });
        let bounds = bounds(&mut bench, calibration, subject.machine);
        let ground = ground(&mut bench, subject.machine, setup);
        Self {
            subject,
            calibration,
            records,
            today,
            setup,
            ground,
            measured_speed,
            primitives: bench.primitives,
            catch,
            retests,
            flow,
            speed,
            boom_end,
            flow_factors,
            speed_factors,
            begun,
            continued,
            not_tested_again,
            balance,
            bounds,
        }
    }

    /// The nozzles fitted one by one since the last whole catch, by number, by its service records.
    pub fn fitted(&self) -> Vec<u16> {
        let void = self.catch_undone();
        void.map(|void| void.nozzles).unwrap_or_default()
    }

    /// The same; none where work since the last catch was on the whole boom.
    pub fn fitted_since(&self) -> Option<Vec<u16>> {
        match self.catch_undone() {
            Some(void) if void.nozzles.is_empty() => None,
            Some(void) => Some(void.nozzles),
            None => Some(Vec::new()),
        }
    }

    /// The nozzles that have a reading as left, by number.
    pub fn caught(&self) -> Vec<u16> {
        let nozzles = self.catch.left.iter().flat_map(|catch| &catch.nozzles);
        let caught = nozzles.filter(|nozzle| !nozzle.readings.is_empty());
        caught.map(|nozzle| nozzle.nozzle.number).collect()
    }

    /// The nozzles whose tips were fitted since the last catch, by number; none where other work undid it.
    pub fn new_tips(&self) -> Vec<u16> {
        let undone = self.catch_undone();
        let Some(fitted) = undone.filter(|undone| undone.work == NOZZLES_FITTED) else {
            return Vec::new();
        };
        let all = self.subject.layout.iter().flat_map(Layout::nozzles);
        let all = all.map(|nozzle| nozzle.number);
        if fitted.nozzles.is_empty() {
            return all.collect();
        }
        fitted.nozzles
    }

    /// The work that undid the last catch before this visit.
    fn catch_undone(&self) -> Option<Undone> {
        let moment = self.moment()?; // A record without a date has no place in time.
        let setup = self.setup.map(|(index, _)| index);
        let timeline = self.records.timeline;
        let until = Until::Before(moment);
        let state = timeline.state(Step::Catch, setup, until, &FailingTests::default());
        state.void
    }

    /// The key of a step of this visit.
    pub fn key(&self, step: Step, stage: Option<Stage>, part: Part) -> Key {
        Key {
            machine: self.subject.index,
            record: Some(self.calibration.file),
            step: Some(step),
            setup: step.setup(self.subject.machine, self.setup.map(|(index, _)| index)),
            stage,
            part,
        }
    }

    /// The key of what several steps of this visit make together.
    pub fn key_of_steps(&self, stage: Stage) -> Key {
        Key {
            record: Some(self.calibration.file),
            stage: Some(stage),
            ..Key::of_machine(self.subject.index)
        }
    }

    /// When it was; none without a readable date.
    pub fn moment(&self) -> Option<Moment> {
        let date = self.calibration.date?.value;
        let hours = self.calibration.hours.as_ref();
        let meters = self.records.hour_meters;
        Some(meters.moment(date, self.calibration.file, hours, Event::Visit))
    }

    /// A place in this visit's record.
    pub fn place(&self, span: Span) -> Place {
        place(self.calibration.file, span)
    }

    /// A place in the machine file.
    pub fn machine_file_place(&self, span: Span) -> Place {
        place(self.subject.machine.file, span)
    }
}

impl View for Visit<'_> {
    fn subject(&self) -> &Subject<'_> {
        &self.subject
    }

    fn primitives(&self) -> &Primitives {
        &self.primitives
    }

    fn setup_name(&self, key: &Key) -> Option<&str> {
        self.subject.setup_name(key)
    }

    fn day(&self, _: &Key) -> Date {
        self.calibration.date.map_or(self.today, |date| date.value)
    }

    fn sprayed_before(&self, key: &Key) -> Option<Fact> {
        let timeline = self.records.timeline;
        let (count, since) = timeline.sprayed_before(key.step?, key.setup, &self.moment()?)?;
        let noun = "application";
        let applications = Fact::Count { count, noun };
        Some(match since {
            Some(since) => Fact::phrase("{} since {}", [applications, Fact::Date(since)]),
            None => Fact::phrase("{} before it", [applications]),
        })
    }

    fn part(&self, key: &Key) -> Fact {
        let Part::SectionsOff(index) = key.part else {
            return self.subject.part(key);
        };
        let mut sections_off = self.balance.sections_off.iter();
        let sections_off = sections_off.find(|sections_off| sections_off.index == index);
        sections_off.map_or(Fact::Words("sections"), SectionsOff::named)
    }
}

fn place(file: FileId, span: Span) -> Place {
    Place { file, span }
}

/// The setup a visit tests; a name the machine file does not have is a finding.
fn setup_of<'a>(
    machine: &'a Machine,
    calibration: &Calibration,
    problems: &mut Vec<Diagnostic>,
) -> Option<(u16, &'a Setup)> {
    if let Some(index) = machine.setup_index(calibration.setup.as_ref()) {
        return Some((index, machine.setups.get(usize::from(index))?));
    }
    let named = calibration.setup.as_ref();
    if named.is_some() || !machine.setups.is_empty() {
        let at = named.or(calibration.machine.as_ref())?.span;
        problems.push(no_such_setup(machine, calibration.file, at, named));
    }
    None
}
