//! Flows as their catch would have read them, and the units of its readings.

use crate::fact::Fact;
use crate::figure::visit::{Catch, FlowReading};
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::working::Expression;

/// In kg/m³.
const DENSITY_OF_WATER: f64 = 1000.0;

impl FlowReading {
    /// How much is caught of a flow in the time of the reading.
    fn amount(&self, flow: f64) -> f64 {
        let volume = self.duration.map_or(flow, |duration| flow * duration.si());
        match self.density {
            Some(_) => volume * DENSITY_OF_WATER,
            None => volume,
        }
    }
}

impl Catch {
    /// A flow as the catch would have read it: `36.73 fl oz`, for the duration of the first reading.
    pub(crate) fn as_caught(&self, flow: f64) -> Option<Expression> {
        let amount = self.first_reading()?.amount(flow);
        Some(Expression::number(amount, self.shown_as_caught(flow)?))
    }

    /// The same for a label.
    pub(crate) fn shown_as_caught(&self, flow: f64) -> Option<Fact> {
        let reading = self.first_reading()?;
        Some(Fact::computed(reading.amount(flow), reading.quantity.unit))
    }

    /// The unit of its readings.
    pub(crate) fn caught_in(&self) -> Option<Unit> {
        Some(self.first_reading()?.quantity.unit)
    }

    /// The unit a nozzle's flow is shown in, after the unit of its readings.
    pub(crate) fn flow_unit(&self) -> Option<Unit> {
        let reading = self.first_reading()?;
        let unit = reading.quantity.unit;
        if unit.dimension() == Dimension::FLOW {
            return Some(unit);
        }
        let metric = [Unit::MILLILITER, Unit::LITER].contains(&unit) || reading.density.is_some();
        Some(if metric {
            Unit::LITER_PER_MINUTE
        } else {
            Unit::GPM
        })
    }

    fn first_reading(&self) -> Option<&FlowReading> {
        let mut nozzles = self.nozzles.iter();
        nozzles.find_map(|nozzle| nozzle.readings.first())
    }
}
