//! What doing a step takes, and what it aims at: the catch of one nozzle, or the factor of the console as it was last left.

use super::context::Context;
use crate::cause::About;
use crate::fact::Fact;
use crate::figure::Standing;
use crate::figure::about::{
    MEAN_OFF_RATED, METER_ERROR, NOZZLE_OFF_RATED, RUNS_DRIVEN, SECTION_OFF_CHANGE, SENSOR_ERROR,
    SPEED_OFF_SETUP,
};
use crate::figure::{allowed, rated_catch};
use crate::finding::Finding;
use crate::fleet::History;
use crate::history::Timeline;
use crate::procedure::{Step, is_speed_driven};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::calibration::CatchTest;
use crate::record::instrument::Purpose;
use crate::record::machine::{Rated, Setup};
use crate::record::{Calibration, SetupUnits};
use crate::rule::{Bound, Whose};
use jiff::civil::Date;
use num_traits::ToPrimitive;
use std::iter;

/// Something to bring.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Bring {
    /// By its name.
    Thing(&'static str),
    /// Tips: as they are rated, and how many the boom has.
    Tips {
        /// The ISO 10625 size, where the machine's file has it.
        size: Option<String>,
        /// The flow they are rated for.
        flow: Quantity,
        /// The pressure they are rated at.
        pressure: Quantity,
        /// How many the boom has; none where its file does not tell.
        count: Option<usize>,
    },
}

/// What a step aims at.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Target {
    /// The catch of one nozzle.
    Catch(CatchTarget),
    /// The factor of the console as the last test left it.
    Factor {
        /// What it is called.
        name: &'static str,
        /// The factor, in the unit that the machine's file gives it.
        factor: Quantity,
        /// The day of the test.
        left: Date,
        /// The factor that this test gives instead, where it found the factor wrong.
        given: Option<Fact>,
    },
}

/// What one nozzle is to be caught with.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct CatchTarget {
    /// The unit of all amounts: a volume, a weight, or a flow.
    pub unit: Unit,
    /// The rated catch.
    pub rated: f64,
    /// The least and the most that the limit in force allows; none where there is no limit.
    pub within: Option<(f64, f64)>,
    /// The same of the average of the boom, which has a limit of its own.
    pub average_within: Option<(f64, f64)>,
    /// How long; none of a flow.
    pub duration: Option<Quantity>,
    /// At which pressure.
    pub pressure: Quantity,
}

/// A catch takes this long where no earlier one says; common practice, no source.
const SECONDS: u32 = 30;

/// How long to catch where the jug would run over; common practice, no source.
const SHORTER_SECONDS: [u32; 3] = [30, 20, 15];

/// A step of a machine whose target is looked for.
pub(super) struct Aiming<'s, 'a> {
    pub(super) context: &'s Context,
    pub(super) history: &'s History,
    pub(super) timeline: &'s Timeline<'a>,
    pub(super) standing: &'s Standing<'a>,
    pub(super) step: Step,
    pub(super) setup: Option<&'s Setup>,
    /// Whether the step is void.
    pub(super) is_void: bool,
    /// What the visit that last did it left beyond a limit, be it let pass or not.
    pub(super) found: Option<&'s Finding>,
}

impl Aiming<'_, '_> {
    /// What it takes.
    pub(super) fn bring(&self) -> Vec<Bring> {
        let subject = &self.standing.subject;
        let things = (self.step.procedure().bring)(subject.machine);
        let things = things.iter().map(|thing| Bring::Thing(thing));
        let tips = self.rated().map(|rated| Bring::Tips {
            size: rated.size.clone(),
            flow: rated.flow.value,
            pressure: rated.pressure.value,
            count: subject.layout.as_ref().map(|layout| layout.nozzles().len()),
        });
        things.chain(tips).collect()
    }

    /// Whether what was found may be a value that is written wrong: then nothing that is written is aimed at.
    fn is_suspected(&self) -> bool {
        match self.found {
            Some(Finding::Explained(explained)) => {
                explained.causes().any(|cause| cause.about == About::Record)
            }
            Some(Finding::Fault(_) | Finding::Judged(_) | Finding::Weak(_)) | None => false,
        }
    }

    /// What it aims at; none where the records do not tell.
    pub(super) fn target(&self) -> Option<Target> {
        self.catch().map(Target::Catch).or_else(|| self.factor())
    }

    /// The tips of the setup; none while the machine file is suspected to have others than are fitted.
    fn rated(&self) -> Option<&Rated> {
        if self.is_suspected() {
            return None;
        }
        let setup = self.setup.filter(|_| self.step == Step::Catch)?;
        setup.rated.as_ref()
    }

    fn catch(&self) -> Option<CatchTarget> {
        let (rated, setup) = (self.rated()?, self.setup?);
        let pressure = setup.pressure?.value;
        let last = self.last_catch();
        let written = last.and_then(|last| last.unit).map(|unit| unit.value);
        let unit = written.unwrap_or_else(|| self.usual_unit(setup));
        let is_flow = [Dimension::FLOW, Dimension::WEIGHED_FLOW].contains(&unit.dimension());
        let within = self.heaviest_limit(NOZZLE_OFF_RATED);
        let most = |duration| {
            let target = rated_catch(rated, pressure, duration, unit);
            within.map_or(target, |off| allowed(target, off).1)
        };
        let duration = duration_of(last, |duration| {
            let capacity = self.capacity_of_jug(last)?;
            let is_of_jug = unit.dimension() == capacity.dimension();
            is_of_jug.then(|| capacity.si() < most(duration) * unit.factor())
        });
        let rated = rated_catch(rated, pressure, duration, unit);
        Some(CatchTarget {
            unit,
            rated,
            within: within.map(|off| allowed(rated, off)),
            average_within: self
                .heaviest_limit(MEAN_OFF_RATED)
                .map(|off| allowed(rated, off)),
            duration: (!is_flow).then_some(duration),
            pressure,
        })
    }

    /// What the jug of the last catch holds, or the usual one.
    fn capacity_of_jug(&self, last: Option<&CatchTest>) -> Option<Quantity> {
        let fleet = self.standing.subject.fleet?;
        let named = last.and_then(|last| last.jug.as_ref());
        let jug = named.or_else(|| fleet.usual.get(&Purpose::Jug))?;
        Some(fleet.instruments.get(&jug.value)?.capacity.as_ref()?.value)
    }

    /// The last catch of the setup, up to the day.
    fn last_catch(&self) -> Option<&CatchTest> {
        let visits = &self.history.calibrations;
        let end = visits.partition_point(|visit| is_by(visit, self.standing.today));
        let name = self.setup.map(|setup| setup.name.value.as_str());
        let is_only = self.standing.subject.machine.setups.len() == 1;
        let named = self.timeline.last_caught(name, end);
        let unnamed = self.timeline.last_caught(None, end).filter(|_| is_only);
        visits.get(named.max(unnamed)?)?.catch_tests.last()
    }

    /// The unit of the marks of the group's usual jug, or the one that goes with the units of the setup.
    fn usual_unit(&self, setup: &Setup) -> Unit {
        let fleet = self.standing.subject.fleet;
        let marks = fleet.and_then(|fleet| {
            let jug = fleet
                .instruments
                .get(&fleet.usual.get(&Purpose::Jug)?.value)?;
            Some(jug.graduation?.value.unit)
        });
        marks.unwrap_or_else(|| SetupUnits::of(self.standing.subject.machine, setup).catch)
    }

    /// How far off what the test of the step measures may be, relative.
    pub(super) fn allowed(&self) -> Option<f64> {
        let is_driven = self.step == Step::Speed && is_speed_driven(self.standing.subject.machine);
        let figure = match self.step {
            Step::Catch => NOZZLE_OFF_RATED,
            Step::Flow => METER_ERROR,
            Step::Speed if is_driven => SPEED_OFF_SETUP,
            Step::Speed => SENSOR_ERROR,
            Step::Balance => SECTION_OFF_CHANGE,
        };
        self.heaviest_limit(figure)
    }

    /// How many runs its test takes: as many as every limit in force wants; none where no limit is.
    pub(super) fn runs(&self) -> Option<usize> {
        let machine = self.standing.subject.machine;
        let (whose, today) = (self.whose(), self.standing.today);
        let limits = self
            .context
            .limits_with_a_value(RUNS_DRIVEN, whose, machine, today);
        let runs = limits.filter_map(|(_, limit)| {
            let Bound::AtLeast(least) = limit.bound else {
                return None;
            };
            least.exact().ceil().to_integer().to_usize()
        });
        runs.filter(|_| self.step == Step::Speed).max()
    }

    /// The limit in force that weighs most of all on a figure, relative.
    fn heaviest_limit(&self, figure: &str) -> Option<f64> {
        let machine = self.standing.subject.machine;
        let (whose, today) = (self.whose(), self.standing.today);
        let limit = self.context.heaviest_limit(figure, whose, machine, today)?;
        Some(limit.bound.quantity()?.si())
    }

    fn whose(&self) -> Whose<'_> {
        let subject = &self.standing.subject;
        Whose {
            machine: subject.id,
            course: subject
                .machine
                .course
                .as_ref()
                .map(|course| course.value.as_str()),
            step: Some(self.step),
            setup: self.setup.map(|setup| setup.name.value.as_str()),
        }
    }

    /// The factor as the last test that tells one left it, up to the day; where that is known to be wrong, the one to enter
    /// instead, and none where that is not known.
    fn factor(&self) -> Option<Target> {
        let given = self.found.and_then(factor_given);
        let is_wrong = self.found.is_some() && given.is_none();
        if is_wrong || self.is_void {
            return None;
        }
        let procedure = self.step.procedure();
        let named = procedure.factor?;
        let visits = self.history.calibrations.iter().rev();
        let mut past = visits.filter(|visit| is_by(visit, self.standing.today));
        let (left, decimal) = past.find_map(|visit| {
            let changes = (procedure.factors)(visit).into_iter().rev();
            let mut left = changes.filter_map(|change| change.after.or(change.before));
            Some((visit.date?.value, left.next()?.value))
        })?;
        let unit = (named.unit)(self.standing.subject.machine).unwrap_or(Unit::ONE);
        Some(Target::Factor {
            name: named.name,
            factor: Quantity { decimal, unit },
            left,
            given,
        })
    }
}

/// How long to catch: as long as the last time, but no less than [`SECONDS`], and less again where the jug runs over.
fn duration_of(last: Option<&CatchTest>, runs_over: impl Fn(Quantity) -> Option<bool>) -> Quantity {
    let seconds = |seconds| Quantity {
        decimal: Decimal::whole(seconds),
        unit: Unit::SECOND,
    };
    let last = last.and_then(|last| last.duration);
    let last = last.map_or(seconds(SECONDS), |duration| duration.value);
    let enough = if last.si() < seconds(SECONDS).si() {
        seconds(SECONDS)
    } else {
        last
    };
    let shorter = SHORTER_SECONDS.map(seconds);
    let shorter = shorter.into_iter().filter(|one| one.si() < enough.si());
    let mut all = iter::once(enough).chain(shorter);
    let fitting = all.find(|duration| runs_over(*duration) != Some(true));
    fitting.unwrap_or(enough)
}

/// The factor of the console that the test of a finding gives; none where it gives none.
fn factor_given(finding: &Finding) -> Option<Fact> {
    let (given, _) = match finding {
        Finding::Judged(judged) => judged.factor_given(),
        Finding::Explained(explained) => explained.factor_given(),
        Finding::Fault(_) | Finding::Weak(_) => None,
    }?;
    Some(given.clone())
}

/// Whether a visit is of a day or before.
fn is_by(visit: &Calibration, day: Date) -> bool {
    visit.date.is_some_and(|date| date.value <= day)
}
