//! Catches made ready: the first run as found, all runs put together as left.

use super::assumed::{self, Assumed};
use super::instrument::{Bench, Used, gauge_span, rectangular, rectangular_step};
use super::stages::Stages;
use super::subject::Subject;
use crate::diagnostic::Diagnostic;
use crate::figure::number::KeptFlows;
use crate::figure::primitive::{PrimitiveId, What};
use crate::fleet::{self, AtPressure, Laid, Nozzle};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::step::{last_place_of, step_of};
use crate::quantity::unit::Unit;
use crate::record::calibration::{CatchTest, Caught, Cell, Reading};
use crate::record::instrument::Purpose;
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
    /// How far the gauge reads; none of a gauge that is declared without its span.
    pub span: Option<GaugeSpan>,
    /// Where it stands.
    pub place: Place,
}

/// How far a gauge reads.
#[derive(Debug, Clone, Copy)]
pub struct GaugeSpan {
    /// The highest pressure it can show.
    pub most: Quantity,
    /// Whether it is declared; else it is what is assumed of a gauge that nobody declared.
    pub is_declared: bool,
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
    /// Where the machine file has it.
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
    /// Where its readings were made at another pressure than the catch.
    pub scaled: Option<Scaled>,
    /// Whether it was caught again after the catch of the whole boom.
    pub is_again: bool,
}

/// Readings made at another pressure than the catch they were put into: their flow is brought to that of the catch.
#[derive(Debug, Clone, Copy)]
pub struct Scaled {
    /// The pressure they were made at. Its error is its own, so that none is shared away with that of the catch.
    pub from: Pressure,
    /// The pressure of the catch.
    pub to: Pressure,
}

/// A catch of some nozzles again at another pressure than the catch it belongs to.
#[derive(Debug, Clone)]
pub struct Retest {
    /// Its place among the catches of the visit, from 0.
    pub index: u16,
    /// The pressures.
    pub pressures: Scaled,
    /// The nozzles caught, by number.
    pub nozzles: Vec<u16>,
    /// Whether its pressure is near enough for it to count.
    pub counts: bool,
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
) -> (Stages<Catch>, Vec<Retest>) {
    let none = || (Stages::default(), Vec::new());
    let Some(layout) = &subject.layout else {
        return none();
    };
    let mut laid: Vec<(&CatchTest, Laid<'_>)> = Vec::new();
    for test in &calibration.catch_tests {
        // A catch that does not fit the boom has a finding, and nothing is made of the others:
        // what it should have replaced cannot be known.
        let Some(fits) = layout.lay(calibration.file, test, problems) else {
            return none();
        };
        laid.push((test, fits));
    }
    if laid.is_empty() {
        return none();
    }
    let rated = setup.and_then(|(_, setup)| rated_flow(bench, setup));
    let steps = steps(bench, &calibration.catch_tests);
    let mut runs: Vec<Run<'_>> = laid
        .iter()
        .map(|(test, laid)| Run::new(bench, test, laid, &steps))
        .collect();
    let base = fleet::base(laid.iter().map(|(_, laid)| laid));
    let mut retests = retests(bench, &runs, base);
    let Composed { found, left } = composed(&mut runs, base, &retests);
    // What an earlier catch of the whole boom found is told as found, at its own pressure.
    retests.retain(|retest| {
        base < usize::from(retest.index) || !runs[usize::from(retest.index)].is_complete
    });
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
    let stages = Stages {
        found: found.map(|found| catch(&runs[0], found)),
        left: Some(catch(&runs[base], left)),
    };
    (stages, retests)
}

/// The catches at another pressure than the one they belong to.
fn retests(bench: &mut Bench<'_>, runs: &[Run<'_>], base: usize) -> Vec<Retest> {
    let mut retests = Vec::new();
    for (index, run) in (0_u16..).zip(runs) {
        let at = fleet::at_pressure(run.test, runs[base].test);
        let (Some(from), Some(to)) = (run.pressure, runs[base].pressure) else {
            continue;
        };
        if at == AtPressure::Same {
            continue;
        }
        let numbers = (1_u16..).zip(&run.cells);
        let caught = numbers.filter(|(_, cell)| cell.as_ref().is_some_and(CellOf::has_reading));
        retests.push(Retest {
            index,
            pressures: Scaled {
                from: from.read_anew(bench, run.test),
                to,
            },
            nozzles: caught.map(|(number, _)| number).collect(),
            counts: at == AtPressure::Near,
        });
    }
    retests
}

/// What stands for each nozzle as found, where that differs, and as left.
struct Composed {
    found: Option<Vec<Option<CellOf>>>,
    left: Vec<Option<CellOf>>,
}

/// As left each nozzle has what was read of it last: in the catch of the whole boom, in one of some nozzles after it, or
/// before it where that left the nozzle out. A nozzle that was missed keeps what was read of it.
fn composed(runs: &mut [Run<'_>], base: usize, retests: &[Retest]) -> Composed {
    let retest_of = |at: usize| retests.iter().find(|one| usize::from(one.index) == at);
    let counts = |at: usize| retest_of(at).is_none_or(|retest| retest.counts);
    let cells_of = |runs: &[Run<'_>], at: usize| {
        let scaled = retest_of(at).map(|retest| retest.pressures);
        let cells = runs[at].cells.iter().cloned();
        let scale = |cell: Option<CellOf>| Some(CellOf { scaled, ..cell? });
        cells.map(scale).collect::<Vec<_>>()
    };
    let found = (runs.len() > 1).then(|| runs[0].cells.clone());
    let mut left = std::mem::take(&mut runs[base].cells);
    let mut is_composed = base > 0;
    for before in (0..base).rev().filter(|&at| counts(at)) {
        for (cell, earlier) in left.iter_mut().zip(cells_of(runs, before)) {
            let is_left_out = !cell.as_ref().is_some_and(CellOf::has_reading);
            if is_left_out && earlier.as_ref().is_some_and(CellOf::has_reading) {
                *cell = earlier;
            }
        }
    }
    for again in (base + 1..runs.len()).filter(|&at| counts(at)) {
        is_composed = true;
        for (cell, again) in left.iter_mut().zip(cells_of(runs, again)) {
            let is_read = again.as_ref().is_some_and(CellOf::has_reading);
            if is_read || (cell.is_none() && again.is_some()) {
                *cell = again.map(|again| CellOf {
                    is_again: true,
                    ..again
                });
            }
        }
    }
    Composed {
        found: found.filter(|_| is_composed),
        left,
    }
}

/// One cell with its readings made ready.
#[derive(Clone)]
struct CellOf {
    place: Place,
    readings: Repeats<FlowReading>,
    unreadable: bool,
    scaled: Option<Scaled>,
    is_again: bool,
}

impl CellOf {
    /// Whether something stands there but that the nozzle was missed.
    fn has_reading(&self) -> bool {
        !self.readings.is_empty() || self.unreadable
    }
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
                let gauge = bench.used(Purpose::Gauge, test.gauge.as_ref());
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
}

impl Pressure {
    /// The same as a reading by itself: the gauge's error is not that of another reading.
    fn read_anew(self, bench: &mut Bench<'_>, test: &CatchTest) -> Self {
        let gauge = bench.used(Purpose::Gauge, test.gauge.as_ref());
        let error = rectangular(gauge.gauge_half_width());
        let place = gauge.declared.map(|(_, place)| place);
        Self {
            error: bench.primitives.error(What::Gauge, error, place),
            ..self
        }
    }
}

/// The boom-end pressure; its gauge is another than that of the catch unless the record or the fleet says so.
pub(super) fn boom_end(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    read: &Spanned<Quantity>,
) -> Pressure {
    let gauge = bench.used(Purpose::Gauge, calibration.boom_end_gauge.as_ref());
    pressure(
        bench,
        &gauge.of_its_own("the gauge at the boom's end"),
        read,
    )
}

impl Used<'_> {
    pub(super) fn reads_to(&self) -> Option<GaugeSpan> {
        let span = self.span();
        let most = match self.declared {
            Some(_) => span?.value,
            None => gauge_span()?,
        };
        Some(GaugeSpan {
            most,
            is_declared: span.is_some(),
        })
    }
}

fn pressure(bench: &mut Bench<'_>, gauge: &Used<'_>, read: &Spanned<Quantity>) -> Pressure {
    let place = bench.place(read.span);
    Pressure {
        quantity: read.value,
        reading: bench.declared(read.value, place),
        error: gauge_error(bench, gauge),
        span: gauge.reads_to(),
        place,
    }
}

/// What all readings of one gauge are off by.
pub(super) fn gauge_error(bench: &mut Bench<'_>, gauge: &Used<'_>) -> PrimitiveId {
    let half_width = gauge.gauge_half_width();
    bench.shared(What::Gauge, gauge, |primitives, place| {
        primitives.error(What::Gauge, rectangular(half_width), place)
    })
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
    let Some(cell) = cell else {
        return CaughtNozzle {
            nozzle,
            place: None,
            readings: Repeats::Several(Vec::new()),
            unreadable: false,
            scaled: None,
            is_again: false,
        };
    };
    CaughtNozzle {
        nozzle,
        place: Some(cell.place),
        readings: cell.readings,
        unreadable: cell.unreadable,
        scaled: cell.scaled,
        is_again: cell.is_again,
    }
}

/// What was read off one instrument in one unit.
type Steps = BTreeMap<(Option<String>, Unit), ReadTo>;

/// How finely numbers were read, in their unit.
#[derive(Clone, Copy)]
struct ReadTo {
    /// The step the numbers show.
    step: f64,
    /// One in the last place that anybody wrote.
    last_place: Decimal,
}

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
    let read_to = |read: Vec<Decimal>| ReadTo {
        step: step_of(&read),
        last_place: last_place_of(&read),
    };
    steps.map(|(of, read)| (of, read_to(read))).collect()
}

/// Whether a catch that is read in a unit is weighed.
pub(crate) fn is_weighed(unit: Unit) -> bool {
    [Dimension::MASS, Dimension::WEIGHED_FLOW].contains(&unit.dimension())
}

/// What a catch was read with.
pub(super) struct ReadWith<'a> {
    pub(super) used: Used<'a>,
    pub(super) reading: What,
    pub(super) scale: What,
    pub(super) assumed: &'static Assumed,
}

impl<'a> ReadWith<'a> {
    fn of(bench: &Bench<'a>, test: &CatchTest, unit: Unit) -> Self {
        Self::named(bench, Some(test), unit)
    }

    /// What the next catch is read with: the instruments of the last one, else the usual ones.
    pub(super) fn named(bench: &Bench<'a>, last: Option<&CatchTest>, unit: Unit) -> Self {
        if is_weighed(unit) {
            let scale = last.and_then(|last| last.scale.as_ref());
            return Self {
                used: bench.used(Purpose::Scale, scale),
                reading: What::ScaleReading,
                scale: What::ScaleScale,
                assumed: &assumed::SCALE,
            };
        }
        if unit.dimension() == Dimension::VOLUME {
            let jug = last.and_then(|last| last.jug.as_ref());
            return Self {
                used: bench.used(Purpose::Jug, jug),
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
        let watch = bench.used(Purpose::Stopwatch, test.stopwatch.as_ref());
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
        let read_to = steps.get(&(used.name.clone(), unit));
        self.unit = Some(unit);
        self.step = read_to.map(|read_to| {
            let written = Quantity {
                decimal: read_to.last_place,
                unit,
            };
            let declared = used.read_to(&written);
            declared.unwrap_or_else(|| read_to.step * unit.factor())
        });
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
            scaled: None,
            is_again: false,
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
