//! The last good catch of the tips that are fitted, for the next visit to be held against.

use super::amount::Amount;
use super::errors::{Error, Errors};
use crate::cause::Value;
use crate::figure::{Visit, flow_at};

/// What each tip put out in the last good catch.
#[derive(Debug, Clone)]
pub(in crate::assess) struct LastCatch {
    /// By nozzle from 0, in cubic meters a second at the rated pressure.
    pub(super) flows: Vec<(u16, f64)>,
    /// What they are uncertain by.
    pub(super) errors: Vec<Error>,
}

impl LastCatch {
    /// The catch that a visit leaves; none where a nozzle, the pressure or the rated flow is lacking.
    pub(in crate::assess) fn of(visit: &Visit<'_>) -> Option<Self> {
        let left = visit.catch.left.as_ref()?;
        let (_, setup) = visit.setup?;
        let rated = setup.rated.as_ref()?.pressure.value.si();
        let all = &visit.primitives;
        let mut errors = Errors::default();
        let mut flows = Vec::new();
        for (nozzle, caught) in (0_u16..).zip(&left.nozzles) {
            let pressure = caught.scaled.map(|scaled| scaled.from).or(left.pressure)?;
            let reading = caught.readings.first()?;
            let caught = Amount::of(reading, all).flow();
            let flow = flow_at(&caught, &pressure.quantity.si(), &rated);
            let of = Value::Before(nozzle);
            flows.push((nozzle, flow));
            errors.of(of, reading.amount, 1.0, all);
            errors.of(of, reading.scale, 1.0, all);
            if let Some(density) = reading.density {
                errors.of(of, density, -1.0, all);
            }
            if let Some((time, timing)) = reading.time {
                errors.added_to(of, timing, -1.0, all.get(time).value, all);
            }
            errors.added_to(of, pressure.error, -0.5, pressure.quantity.si(), all);
        }
        let errors = errors.into_list();
        (!flows.is_empty()).then_some(Self { flows, errors })
    }

    /// The same without tips that were fitted since.
    pub(in crate::assess) fn without(&self, fitted: &[u16]) -> Self {
        let mut left = self.clone();
        left.flows
            .retain(|(nozzle, _)| !fitted.contains(&(nozzle + 1)));
        left
    }
}
