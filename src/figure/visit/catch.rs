//! Catches made ready: the first run as found, all runs put together as left.

use super::assumed::{self, Assumed};
use super::instrument::{Bench, Used, rectangular, rectangular_step};
use super::stages::Stages;
use super::subject::Subject;
use crate::diagnostic::Diagnostic;
use crate::figure::number::KeptFlows;
use crate::figure::primitive::{PrimitiveId, What};
use crate::fleet::{Laid, Nozzle};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::step::step_of;
use crate::quantity::unit::Unit;
use crate::record::calibration::{CatchTest, Caught, Cell, Reading};
use crate::record::machine::Setup;
use crate::record::{Calibration, Repeats};
use crate::source::{Place, Span, Spanned};
use std::collections::BTreeMap;

/// One catch over the boom.
#[derive(Debug)]
pub struct Catch {
    /// Where its readings stand: the key they are listed under.
    pub place: Place,
    /// The working pressure.
    pub pressure: Option<Pressure>,
    /// The setup's rated flow.
    pub rated: Option<RatedFlow>,
    /// Every nozzle of the boom, from the left.
    pub nozzles: Vec<CaughtNozzle>,
    /// Their flows.
    pub flows: KeptFlows,
}

/// A pressure: what the gauge shows, and the gauge's error.
#[derive(Debug, Clone, Copy)]
pub struct Pressure {
    /// As written.
    pub quantity: Quantity,
    /// The reading.
    pub reading: PrimitiveId,
    /// The gauge's error.
    pub error: PrimitiveId,
    /// Where it stands.
    pub place: Place,
}

/// A nozzle's rated flow at its rated pressure.
#[derive(Debug, Clone, Copy)]
pub struct RatedFlow {
    /// The flow.
    pub flow: PrimitiveId,
    /// The pressure it holds at.
    pub pressure: PrimitiveId,
    /// As written.
    pub quantity: Quantity,
    /// Where the machine sheet has it.
    pub place: Place,
}

/// What was caught of one nozzle.
#[derive(Debug)]
pub struct CaughtNozzle {
    /// Which.
    pub nozzle: Nozzle,
    /// Where its readings stand; none where nothing is said of it.
    pub place: Option<Place>,
    /// Its readings; none where it was missed.
    pub readings: Repeats<FlowReading>,
    /// Whether something stands there that could not be read.
    pub unreadable: bool,
}

/// One reading, to become a flow.
#[derive(Debug, Clone, Copy)]
pub struct FlowReading {
    /// As written.
    pub quantity: Quantity,
    /// What was caught: a volume, a weight, or a flow.
    pub amount: PrimitiveId,
    /// The scale of what it was read with.
    pub scale: PrimitiveId,
    /// The density that makes a volume of a weight.
    pub density: Option<PrimitiveId>,
    /// The time collected and the error of this timing; none where a flow is read.
    pub time: Option<(PrimitiveId, PrimitiveId)>,
    /// The time as written.
    pub duration: Option<Quantity>,
}

pub(super) fn stages(
    bench: &mut Bench<'_>,
    subject: &Subject<'_>,
    setup: Option<(u16, &Setup)>,
    calibration: &Calibration,
    problems: &mut Vec<Diagnostic>,
) -> Stages<Catch> {
    let Some(layout) = &subject.layout else {
        return Stages::default();
    };
    let mut laid: Vec<(&CatchTest, Laid<'_>)> = Vec::new();
    for test in &calibration.catch_tests {
        // A catch that does not fit the boom has a finding, and nothing is made of the others:
        // what it should have replaced cannot be known.
        let Some(fits) = layout.lay(calibration.file, test, problems) else {
            return Stages::default();
        };
        laid.push((test, fits));
    }
    if laid.is_empty() {
        return Stages::default();
    }
    let rated = setup.and_then(|(_, setup)| rated_flow(bench, setup));
    let steps = steps(bench, &calibration.catch_tests);
    let mut runs: Vec<Run<'_>> = laid
        .iter()
        .map(|(test, laid)| Run::new(bench, test, laid, &steps))
        .collect();
    let catch = |run: &Run<'_>, cells: Vec<Option<CellOf>>| Catch {
        place: bench.place(run.key),
        pressure: run.pressure,
        rated,
        nozzles: cells
            .into_iter()
            .zip(layout.nozzles())
            .map(|(cell, nozzle)| caught_nozzle(*nozzle, cell))
            .collect(),
        flows: KeptFlows::default(),
    };
    let base = runs.iter().rposition(|run| run.is_complete).unwrap_or(0);
    let mut left = std::mem::take(&mut runs[base].cells);
    let found = match base {
        0 if runs.len() == 1 => Vec::new(),
        0 => left.clone(),
        _ => std::mem::take(&mut runs[0].cells),
    };
    let mut is_composed = base > 0;
    for again in base + 1..runs.len() {
        if runs[again].is_at_pressure_of(&runs[base]) {
            is_composed = true;
            let caught_again = std::mem::take(&mut runs[again].cells);
            for (cell, caught_again) in left.iter_mut().zip(caught_again) {
                if caught_again.is_some() {
                    *cell = caught_again;
                }
            }
        }
    }
    Stages {
        found: is_composed.then(|| catch(&runs[0], found)),
        left: Some(catch(&runs[base], left)),
    }
}

/// One cell with its readings made ready.
#[derive(Clone)]
struct CellOf {
    place: Place,
    readings: Repeats<FlowReading>,
    unreadable: bool,
}

struct Run<'r> {
    key: Span,
    test: &'r CatchTest,
    pressure: Option<Pressure>,
    cells: Vec<Option<CellOf>>,
    is_complete: bool,
}

impl<'r> Run<'r> {
    fn new(bench: &mut Bench<'_>, test: &'r CatchTest, laid: &Laid<'r>, steps: &Steps) -> Self {
        let mut instruments = CatchInstruments::new(bench, test, steps);
        Self {
            key: test.caught.as_ref().map_or(test.span, |caught| caught.key),
            test,
            pressure: test.pressure.as_ref().map(|read| {
                let gauge = bench.used("gauge", test.gauge.as_ref());
                pressure(bench, &gauge, read)
            }),
            cells: laid
                .cells
                .iter()
                .map(|cell| cell.map(|cell| instruments.cell(bench, cell)))
                .collect(),
            is_complete: laid.is_complete(),
        }
    }

    fn is_at_pressure_of(&self, other: &Self) -> bool {
        match (&self.test.pressure, &other.test.pressure) {
            (Some(one), Some(other)) => one.value.has_value_of(&other.value),
            (None, _) | (_, None) => true,
        }
    }
}

/// The boom-end pressure; its gauge is another than that of the catch unless the record or the fleet says so.
pub(super) fn boom_end(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    read: &Spanned<Quantity>,
) -> Pressure {
    let gauge = bench.used("gauge", calibration.boom_end_gauge.as_ref());
    pressure(
        bench,
        &gauge.of_its_own("the gauge at the boom's end"),
        read,
    )
}

fn pressure(bench: &mut Bench<'_>, gauge: &Used<'_>, read: &Spanned<Quantity>) -> Pressure {
    let half_width = gauge.gauge_half_width();
    let error = bench.shared(What::Gauge, gauge, |primitives, place| {
        primitives.error(What::Gauge, rectangular(half_width), place)
    });
    let place = bench.place(read.span);
    Pressure {
        quantity: read.value,
        reading: bench.declared(read.value, place),
        error,
        place,
    }
}

fn rated_flow(bench: &mut Bench<'_>, setup: &Setup) -> Option<RatedFlow> {
    let rated = setup.rated.as_ref()?;
    Some(RatedFlow {
        flow: bench.declared(rated.flow.value, rated.flow.place),
        pressure: bench.declared(rated.pressure.value, rated.pressure.place),
        quantity: rated.flow.value,
        place: rated.flow.place,
    })
}

fn caught_nozzle(nozzle: Nozzle, cell: Option<CellOf>) -> CaughtNozzle {
    let place = cell.as_ref().map(|cell| cell.place);
    let (readings, unreadable) = cell.map_or_else(
        || (Repeats::Several(Vec::new()), false),
        |cell| (cell.readings, cell.unreadable),
    );
    CaughtNozzle {
        nozzle,
        place,
        readings,
        unreadable,
    }
}

/// The step of all that was read off one instrument in one unit, in that unit.
type Steps = BTreeMap<(Option<String>, Unit), f64>;

/// The step of each instrument of a visit's catches: one for all that was read off it.
fn steps(bench: &Bench<'_>, tests: &[CatchTest]) -> Steps {
    let mut readings: BTreeMap<(Option<String>, Unit), Vec<Decimal>> = BTreeMap::new();
    for test in tests {
        let Some(unit) = &test.unit else {
            continue; // What cannot be made a flow has no step.
        };
        let instrument = ReadWith::of(bench, test, unit.value).used.name;
        let of_instrument = readings.entry((instrument, unit.value)).or_default();
        of_instrument.extend(test.caught.iter().flat_map(Caught::decimals));
    }
    let steps = readings.into_iter();
    steps.map(|(of, read)| (of, step_of(&read))).collect()
}

fn is_weighed(unit: Unit) -> bool {
    [Dimension::MASS, Dimension::WEIGHED_FLOW].contains(&unit.dimension())
}

/// What a catch was read with.
struct ReadWith<'a> {
    used: Used<'a>,
    reading: What,
    scale: What,
    assumed: &'static Assumed,
}

impl<'a> ReadWith<'a> {
    fn of(bench: &Bench<'a>, test: &CatchTest, unit: Unit) -> Self {
        if is_weighed(unit) {
            return Self {
                used: bench.used("scale", test.scale.as_ref()),
                reading: What::ScaleReading,
                scale: What::ScaleScale,
                assumed: &assumed::SCALE,
            };
        }
        if unit.dimension() == Dimension::VOLUME {
            return Self {
                used: bench.used("jug", test.jug.as_ref()),
                reading: What::JugReading,
                scale: What::JugScale,
                assumed: &assumed::JUG,
            };
        }
        Self {
            used: Used::undeclared(),
            reading: What::FlowReading,
            scale: What::FlowScale,
            assumed: &assumed::FLOW_INSTRUMENT,
        }
    }
}

/// What all readings of one catch share.
struct CatchInstruments {
    unit: Option<Unit>,
    step: Option<f64>,
    reading: What,
    scale: Option<PrimitiveId>,
    density: Option<PrimitiveId>,
    duration: Option<(Quantity, PrimitiveId, Place)>,
    timing: f64,
    timed_together: Option<PrimitiveId>,
}

impl CatchInstruments {
    fn new(bench: &mut Bench<'_>, test: &CatchTest, steps: &Steps) -> Self {
        let watch = bench.used("stopwatch", test.stopwatch.as_ref());
        let timing = watch.timing();
        let duration = test.duration.as_ref().map(|read| {
            let place = bench.place(read.span);
            let id = bench
                .primitives
                .written(What::CollectionTime, read.value, 0.0, place);
            (read.value, id, place)
        });
        let timed_together = test.timed_together.then(|| {
            let place = duration.as_ref().map(|&(_, _, place)| place);
            bench.primitives.error(What::Timing, timing, place)
        });
        let mut instruments = Self {
            unit: None,
            step: None,
            reading: What::JugReading,
            scale: None,
            density: None,
            duration,
            timing,
            timed_together,
        };
        if let Some(unit) = &test.unit {
            instruments.read_with(bench, test, unit.value, steps);
        }
        instruments
    }

    fn read_with(&mut self, bench: &mut Bench<'_>, test: &CatchTest, unit: Unit, steps: &Steps) {
        let ReadWith {
            used,
            reading,
            scale,
            assumed,
        } = ReadWith::of(bench, test, unit);
        let one = Quantity {
            decimal: Decimal::whole(1),
            unit,
        };
        let undeclared = || Some(steps.get(&(used.name.clone(), unit))? * unit.factor());
        self.unit = Some(unit);
        self.step = used.graduation(&one).or_else(undeclared);
        self.reading = reading;
        self.scale = Some(bench.scale(scale, &used, assumed));
        self.density = is_weighed(unit).then(|| bench.density_of_water());
        let dimension = unit.dimension();
        if dimension == Dimension::FLOW || dimension == Dimension::WEIGHED_FLOW {
            self.duration = None;
        }
    }

    fn cell(&mut self, bench: &mut Bench<'_>, cell: &Cell) -> CellOf {
        let mut unreadable = false;
        let readings = cell.readings.iter().filter_map(|reading| match reading {
            Reading::Caught(decimal) => {
                let reading = self.flow_reading(bench, decimal);
                unreadable |= reading.is_none();
                reading
            }
            Reading::Missed(_) => None,
            Reading::Unreadable(_) => {
                unreadable = true;
                None
            }
        });
        let readings = readings.collect();
        CellOf {
            place: bench.place(cell.span),
            readings,
            unreadable,
        }
    }

    /// None where the catch lacks a unit, or a duration that its unit asks for.
    fn flow_reading(
        &mut self,
        bench: &mut Bench<'_>,
        decimal: &Spanned<Decimal>,
    ) -> Option<FlowReading> {
        let quantity = Quantity {
            decimal: decimal.value,
            unit: self.unit?,
        };
        let needs_time = matches!(quantity.dimension(), Dimension::VOLUME | Dimension::MASS);
        if needs_time && self.duration.is_none() {
            return None;
        }
        let step = self.step.unwrap_or_else(|| quantity.resolution());
        let place = bench.place(decimal.span);
        let amount =
            bench
                .primitives
                .written(self.reading, quantity, rectangular_step(step), place);
        let time = self.duration.map(|(_, duration, place)| {
            let timing = self.timed_together.unwrap_or_else(|| {
                bench
                    .primitives
                    .error(What::Timing, self.timing, Some(place))
            });
            (duration, timing)
        });
        Some(FlowReading {
            quantity,
            amount,
            scale: self.scale?,
            density: self.density,
            time,
            duration: self.duration.map(|(quantity, ..)| quantity),
        })
    }
}
