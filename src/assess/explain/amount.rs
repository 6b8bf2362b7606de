//! One reading of a nozzle as a volume and a time, or as a flow.

use crate::figure::Primitives;
use crate::figure::visit::{Catch, FlowReading};

/// What one reading gives: a volume in cubic meters after a time in seconds, or a flow.
pub(super) struct Amount {
    pub(super) amount: f64,
    pub(super) time: Option<f64>,
}

/// What the nozzles of a catch put out, in cubic meters a second.
#[derive(Debug, Clone, Copy)]
pub(super) struct Usual {
    /// On average, without those where 0 was read.
    pub(super) flow: f64,
    /// By the size of the tips at the pressure of the catch.
    pub(super) rated: Option<f64>,
}

/// A reading of 0: what it counts as, and what would be read of a good nozzle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Zero {
    /// In cubic meters a second.
    pub(super) flow: f64,
    /// How long it was collected, in seconds.
    pub(super) time: Option<f64>,
    /// What would be read of a good nozzle, in the unit of the reading.
    pub(super) good: f64,
    usual: f64,
}

/// What a reading of 0 counts as where the graduation is not known, as a part of what is usually read. Our choice.
const NEXT_TO_NOTHING: f64 = 0.02;

impl Zero {
    /// It counts as half a graduation, which may have been caught and not be read.
    pub(super) fn of(reading: &FlowReading, usual: Usual, primitives: &Primitives) -> Self {
        let density = reading.density.map(|density| primitives.get(density).value);
        let time = reading.time.map(|(time, _)| primitives.get(time).value);
        // What is read in SI for one unit of flow.
        let per_flow = density.unwrap_or(1.0) * time.unwrap_or(1.0);
        let graduation = primitives.get(reading.amount).uncertainty * 12.0_f64.sqrt();
        let half = graduation / 2.0 / per_flow;
        let good = usual.rated.unwrap_or(usual.flow);
        Self {
            flow: if half.is_finite() && 0.0 < half {
                half
            } else {
                NEXT_TO_NOTHING * usual.flow
            },
            time,
            good: good * per_flow / reading.quantity.unit.factor(),
            usual: usual.flow,
        }
    }

    /// Whether a mend that multiplies it makes a good nozzle of it rather than one that puts out nothing.
    pub(super) fn is_mended_by(self, ratio: f64) -> bool {
        self.usual < self.flow * ratio * ratio
    }
}

impl Amount {
    pub(super) fn of(reading: &FlowReading, primitives: &Primitives) -> Self {
        let density = reading.density.map(|density| primitives.get(density).value);
        Self {
            amount: reading.quantity.si() / density.unwrap_or(1.0),
            time: reading.time.map(|(time, _)| primitives.get(time).value),
        }
    }

    /// In cubic meters a second.
    pub(super) fn flow(&self) -> f64 {
        self.amount / self.time.unwrap_or(1.0)
    }
}

/// What a nozzle of a catch puts out on average, in cubic meters a second; none is counted where 0 was read.
pub(super) fn usual_flow(catch: &Catch, primitives: &Primitives) -> f64 {
    let nozzles = catch.nozzles.iter();
    let first = nozzles.filter_map(|caught| caught.readings.first());
    let flows = first.map(|reading| Amount::of(reading, primitives).flow());
    let flows: Vec<f64> = flows.filter(|flow| 0.0 < *flow).collect();
    flows.iter().sum::<f64>() / f64::from(u32::try_from(flows.len()).unwrap_or(u32::MAX))
}
