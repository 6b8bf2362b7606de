//! What a setup will stand on before any visit: each source of error that a tip, a gauge, a watch and a jug bring.
//!
//! The readings of the next visit are not there yet; its instruments are those of the last one, else the usual ones.

use super::assumed;
use super::catch::{GaugeSpan, ReadWith, gauge_error, is_weighed};
use super::ground::{Ground, ground};
use super::instrument::{Bench, Used, rectangular, rectangular_step};
use super::subject::Subject;
use crate::figure::primitive::{PrimitiveId, Primitives, What};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::step::step_of;
use crate::quantity::unit::Unit;
use crate::record::calibration::{CatchTest, Caught};
use crate::record::instrument::Purpose;
use crate::record::machine::Setup;

/// The sources of error of a setup before any visit.
#[derive(Debug)]
pub struct Sources {
    /// Each of them.
    pub primitives: Primitives,
    /// What the machine file declares of the ground.
    pub ground: Ground,
    /// The error of the gauge.
    pub gauge: PrimitiveId,
    /// How far the gauge reads, where that is known.
    pub span: Option<GaugeSpan>,
    /// A new tip, as a multiple of its rated flow.
    pub new_tip: PrimitiveId,
    /// What the next catch is read with.
    pub catch: NextCatch,
}

/// What the next catch is read with.
#[derive(Debug, Clone, Copy)]
pub struct NextCatch {
    /// The unit of its readings.
    pub unit: Unit,
    /// How true the jug or the scale is.
    pub scale: PrimitiveId,
    /// Reading it.
    pub reading: PrimitiveId,
    /// Starting and stopping the watch.
    pub timing: PrimitiveId,
    /// The density of water.
    pub water: PrimitiveId,
    /// The most that the jug holds, where that is declared.
    pub capacity: Option<Quantity>,
}

impl Sources {
    /// Those of a setup of a machine; `last` is its last catch, `unit` the one that the next is read in.
    pub fn new(
        subject: &Subject<'_>,
        setup: (u16, &Setup),
        last: Option<&CatchTest>,
        unit: Unit,
    ) -> Self {
        let mut bench = Bench::new(subject.fleet, subject.machine.file);
        let ground = ground(&mut bench, subject.machine, Some(setup));
        let gauge = bench.used(Purpose::Gauge, last.and_then(|last| last.gauge.as_ref()));
        let span = gauge.reads_to();
        let gauge = gauge_error(&mut bench, &gauge);
        let new_tip = rectangular(assumed::NEW_TIP.size);
        let new_tip = bench.primitives.factor(What::NewTip, new_tip, None);
        let catch = next_catch(&mut bench, last, unit);
        Self {
            primitives: bench.primitives,
            ground,
            gauge,
            span,
            new_tip,
            catch,
        }
    }
}

fn next_catch(bench: &mut Bench<'_>, last: Option<&CatchTest>, unit: Unit) -> NextCatch {
    let with = ReadWith::named(bench, last, unit);
    let watch = bench.used(
        Purpose::Stopwatch,
        last.and_then(|last| last.stopwatch.as_ref()),
    );
    let (timing, watch) = (watch.timing(), watch.declared.map(|(_, place)| place));
    let step = rectangular_step(step(&with.used, last, unit));
    let jug = with.used.declared.map(|(_, place)| place);
    let capacity = with.used.capacity().map(|capacity| capacity.value);
    let water = if is_weighed(unit) {
        bench.density_of_water()
    } else {
        bench.primitives.water(0.0)
    };
    NextCatch {
        unit,
        scale: bench.scale(with.scale, &with.used, with.assumed),
        reading: bench.primitives.error(with.reading, step, jug),
        timing: bench.primitives.error(What::Timing, timing, watch),
        water,
        capacity: capacity.filter(|capacity| capacity.dimension() == Dimension::VOLUME),
    }
}

/// How finely it is read, in SI units: to the declared marks, else as the last catch was; nothing where neither tells.
fn step(used: &Used<'_>, last: Option<&CatchTest>, unit: Unit) -> f64 {
    let finest = Decimal::parse("0.0001").ok();
    let declared = finest.and_then(|decimal| used.read_to(&Quantity { decimal, unit }));
    let as_before = || {
        let last = last.filter(|last| last.unit.is_some_and(|read| read.value == unit))?;
        let read: Vec<Decimal> = last.caught.iter().flat_map(Caught::decimals).collect();
        Some(step_of(&read) * unit.factor())
    };
    declared.or_else(as_before).unwrap_or(0.0)
}
