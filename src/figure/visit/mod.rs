//! The readings of one visit made ready for formulas: each with its primitives, as found and as left.
//!
//! Computes no figure. Instruments and their uncertainties enter here and nowhere else.

mod catch;
mod continuity;
mod flow;
pub(super) mod instrument;
mod speed;

pub use catch::{Catch, CaughtNozzle, FlowReading, Pressure, RatedFlow};
pub use continuity::Continued;
pub use flow::{KnownVolume, Meter, MeterFactor};
pub use speed::{Course, CourseRun, Elapsed, Length, SpeedFactor};

use super::primitive::{PrimitiveId, Primitives, What};
use super::view::Stratum;
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::fleet::{Event, Layout, Moment, no_such_setup};
use crate::history::{FailingTests, Timeline, Until};
use crate::outcome::{Key, Part, Stage, Step};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::machine::{Machine, Setup};
use crate::record::{Calibration, Fleet};
use crate::source::{FileId, Place, Placed, Span, Spanned};
use crate::working::Expression;
use instrument::Bench;
use jiff::civil::Date;

/// The machine a figure is about, with what the group declared.
#[derive(Debug)]
pub struct Subject<'a> {
    /// The fleet file, where there is one.
    pub fleet: Option<&'a Fleet>,
    /// The machine as it was on the day.
    pub machine: &'a Machine,
    /// Its name.
    pub id: &'a str,
    /// Its place among the group's machines.
    pub index: u32,
    /// Its nozzles; none where the sheet does not tell.
    pub layout: Option<Layout>,
}

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
    /// The setup tested, with its place in the machine sheet.
    pub setup: Option<(u16, &'a Setup)>,
    /// What the machine sheet declares of the ground covered.
    pub ground: Ground,
    /// Every source of error.
    pub primitives: Primitives,
    /// The catch, as found and as left.
    pub catch: Stages<Catch>,
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
    /// Readings with sections shut.
    pub shut: Vec<Shut>,
}

/// A visit's record and those it is compared with.
#[derive(Debug, Clone, Copy)]
pub struct Records<'a> {
    /// The visit's.
    pub calibration: &'a Calibration,
    /// The machine's visits before it, earliest first.
    pub earlier: &'a [Calibration],
    /// What happened to the machine.
    pub timeline: &'a Timeline<'a>,
}

impl<'a> Records<'a> {
    /// The latest earlier visit that `has` something to compare with.
    ///
    /// An unreadable record of a day between the two may have what is sought: then the answer is why
    /// nothing can be compared, never an older record.
    ///
    /// # Errors
    /// Where such a record lies between.
    pub fn last_with<T>(
        &self,
        has: impl Fn(&'a Calibration) -> Option<T>,
    ) -> Result<Option<T>, &'static str> {
        let mut latest_first = self.earlier.iter().rev();
        let found = latest_first.find_map(|visit| Some((visit, has(visit)?)));
        match found {
            Some((visit, found)) => self.readable_since(visit).map(|()| Some(found)),
            None => Ok(None),
        }
    }

    /// The latest earlier visit with a catch that names the same setup.
    ///
    /// # Errors
    /// As of [`Self::last_with`].
    pub fn last_caught_alike(&self) -> Result<Option<&'a Calibration>, &'static str> {
        let setup = self
            .calibration
            .setup
            .as_ref()
            .map(|setup| setup.value.as_str());
        let last = self.timeline.last_caught(setup, self.earlier.len());
        match last.and_then(|place| self.earlier.get(place)) {
            Some(visit) => self.readable_since(visit).map(|()| Some(visit)),
            None => Ok(None),
        }
    }

    /// Whether every record from an earlier visit on can be read.
    fn readable_since(&self, visit: &Calibration) -> Result<(), &'static str> {
        let (since, until) = (
            visit.date.map(|d| d.value),
            self.calibration.date.map(|d| d.value),
        );
        let until = until.unwrap_or(Date::MIN);
        if self.timeline.unreadable_between(since, until).is_some() {
            return Err("a record that cannot be read may lie between this one and the last");
        }
        Ok(())
    }
}

/// What the machine sheet declares of the ground a setup covers.
#[derive(Debug, Clone, Default)]
pub struct Ground {
    /// From nozzle to nozzle.
    pub spacing: Option<Shown>,
    /// The width the console has for each section.
    pub entered_widths: Vec<Option<Shown>>,
    /// The setup's pressure.
    pub pressure: Option<Shown>,
    /// The setup's speed.
    pub speed: Option<Shown>,
    /// The rate the setup is meant to put down.
    pub rate: Option<Shown>,
}

/// One thing as found and as left.
#[derive(Debug)]
pub struct Stages<T> {
    /// As found, where that differs from as left.
    pub found: Option<T>,
    /// As left; none where it was not tested, or corrected and not tested again.
    pub left: Option<T>,
}

impl<T> Default for Stages<T> {
    fn default() -> Self {
        Self {
            found: None,
            left: None,
        }
    }
}

impl<T> Stages<T> {
    /// The first of several tests as found and the last as left, which nobody knows where the last
    /// one ends with a correction.
    fn of(tests: Vec<T>, corrected_last: bool) -> Self {
        let mut tests = tests.into_iter();
        let (first, last) = (tests.next(), tests.next_back());
        match (last, corrected_last) {
            (_, true) => Self {
                found: first,
                left: None,
            },
            (None, false) => Self {
                found: None,
                left: first,
            },
            (last @ Some(_), false) => Self {
                found: first,
                left: last,
            },
        }
    }

    /// Both, as far as they exist.
    pub fn each(&self) -> impl Iterator<Item = (Stage, &T)> {
        let found = self.found.iter().map(|test| (Stage::AsFound, test));
        found.chain(self.left.iter().map(|test| (Stage::AsLeft, test)))
    }

    /// One of them.
    pub fn at(&self, stage: Stage) -> Option<&T> {
        match stage {
            Stage::AsFound => self.found.as_ref(),
            Stage::AsLeft => self.left.as_ref(),
        }
    }
}

/// A reading with sections shut, as found and as left.
#[derive(Debug)]
pub struct Shut {
    /// Its place in the list, from 0.
    pub index: u16,
    /// The sections, by name.
    pub sections: Vec<String>,
    /// The reading with all sections on.
    pub all_on: Option<Shown>,
    /// The readings with these sections shut.
    pub readings: Stages<Shown>,
}

impl Shut {
    /// Its sections, as people say them.
    pub fn named(&self) -> Fact {
        let names = self.sections.iter();
        let names = names.map(|name| Fact::Name(name.clone()));
        let named = Fact::list_some(names);
        match self.sections.len() {
            1 => Fact::phrase("section {}", [named]),
            _ => Fact::phrase("sections {}", [named]),
        }
    }
}

/// One number as written, with its primitive.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    /// As written.
    pub quantity: Quantity,
    /// Its primitive.
    pub id: PrimitiveId,
    /// Where it stands.
    pub place: Place,
}

impl Shown {
    /// Its value, shown as it is written.
    pub fn as_written(&self) -> Expression {
        Expression::number(self.quantity.si(), Fact::Written(self.quantity))
    }
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
        let catch = catch::stages(&mut bench, &subject, setup, calibration, problems);
        let mut not_tested_again = Vec::new();
        let (flow, flow_factors) = flow::stages(&mut bench, calibration, &mut not_tested_again);
        let (speed, speed_factors) = speed::stages(&mut bench, calibration, &mut not_tested_again);
        let boom_end = calibration.boom_end_pressure.as_ref();
        let boom_end = boom_end.map(|read| catch::boom_end(&mut bench, calibration, read));
        let begun = continuity::begun(&mut bench, calibration);
        let continued = continuity::factors(&mut bench, &records, &begun);
        let shut = shut_readings(&mut bench, &subject, calibration, problems);
        let ground = ground(&mut bench, subject.machine, setup);
        Self {
            subject,
            calibration,
            records,
            today,
            setup,
            ground,
            primitives: bench.primitives,
            catch,
            flow,
            speed,
            boom_end,
            flow_factors,
            speed_factors,
            begun,
            continued,
            not_tested_again,
            shut,
        }
    }

    /// The nozzles fitted one by one since the last whole catch, by number, by its service records.
    pub fn fitted(&self) -> Vec<u16> {
        let Some(moment) = self.moment() else {
            return Vec::new(); // A record without a date has no place in time.
        };
        let setup = self.setup.map(|(index, _)| index);
        let timeline = self.records.timeline;
        let state = timeline.state(
            Step::Catch,
            setup,
            Until::Before(moment),
            &FailingTests::default(),
        );
        state.void.map(|void| void.nozzles).unwrap_or_default()
    }

    /// The key of a step of this visit.
    pub fn key(&self, step: Step, stage: Option<Stage>, part: Part) -> Key {
        Key {
            machine: self.subject.index,
            record: Some(self.calibration.file),
            step: Some(step),
            setup: match step {
                Step::Catch | Step::Balance => self.setup.map(|(index, _)| index),
                Step::Flow | Step::Speed => None,
            },
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
        Some(Moment::new(date, hours, Event::Visit))
    }

    /// A place in this visit's record.
    pub fn place(&self, span: Span) -> Place {
        place(self.calibration.file, span)
    }

    /// A place in the machine sheet.
    pub fn sheet_place(&self, span: Span) -> Place {
        place(self.subject.machine.file, span)
    }
}

fn place(file: FileId, span: Span) -> Place {
    Place { file, span }
}

/// The setup a visit tests; a name the sheet does not have is a finding.
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

fn ground(bench: &mut Bench<'_>, machine: &Machine, setup: Option<(u16, &Setup)>) -> Ground {
    let mut declared = |quantity: &Option<Placed<Quantity>>| {
        let Placed { value, place } = quantity.as_ref().copied()?;
        Some(Shown {
            quantity: value,
            id: bench.declared(value, place),
            place,
        })
    };
    Ground {
        spacing: declared(&machine.boom.spacing),
        entered_widths: machine
            .boom
            .sections
            .iter()
            .map(|section| declared(&section.entered_width))
            .collect(),
        pressure: setup.and_then(|(_, setup)| declared(&setup.pressure)),
        speed: setup.and_then(|(_, setup)| declared(&setup.speed)),
        rate: setup.and_then(|(_, setup)| declared(&setup.rate)),
    }
}

fn shut_readings(
    bench: &mut Bench<'_>,
    subject: &Subject<'_>,
    calibration: &Calibration,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Shut> {
    let Some(balance) = &calibration.section_balance else {
        return Vec::new();
    };
    if let Some(layout) = &subject.layout {
        let named = balance.shut.iter().flat_map(|shut| &shut.sections);
        problems.extend(named.filter_map(|name| layout.unknown_section(calibration.file, name)));
    }
    let all_on = balance.all_on.as_ref().map(|shown| bench.shown(shown));
    (0_u16..)
        .zip(&balance.shut)
        .map(|(index, shut)| {
            let found = shut.as_found.as_ref().map(|shown| bench.shown(shown));
            let left = shut.as_left.as_ref().map(|shown| bench.shown(shown));
            Shut {
                index,
                sections: shut
                    .sections
                    .iter()
                    .map(|name| name.value.clone())
                    .collect(),
                all_on,
                readings: match left {
                    Some(_) => Stages { found, left },
                    None => Stages {
                        found: None,
                        left: found,
                    },
                },
            }
        })
        .collect()
}

impl Bench<'_> {
    /// A time taken by hand, start and stop.
    fn timed(&mut self, duration: &Spanned<Quantity>) -> Shown {
        let watch = self.used("stopwatch", None);
        let place = self.place(duration.span);
        let timing = watch.timing();
        Shown {
            quantity: duration.value,
            id: self
                .primitives
                .written(What::Timing, duration.value, timing, place),
            place,
        }
    }

    /// A number of the console, known to its last digit.
    fn shown(&mut self, shown: &Spanned<Quantity>) -> Shown {
        let digit = shown.value.resolution();
        let place = self.place(shown.span);
        let what = if shown.value.dimension() == Dimension::PRESSURE {
            What::Gauge
        } else {
            What::ConsoleDigit
        };
        Shown {
            quantity: shown.value,
            id: self.primitives.written(
                what,
                shown.value,
                instrument::rectangular_step(digit),
                place,
            ),
            place,
        }
    }
}
