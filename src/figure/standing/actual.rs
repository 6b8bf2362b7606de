//! The rate that each setup puts down on a day, told as for something that is sprayed at the end of it.

use super::sprayed_rate::{RateBy, Telling};
use crate::figure::number::Measure;
use crate::figure::rate::found::RatesFound;
use crate::figure::visit::Shown;
use crate::figure::visit::instrument::Bench;
use crate::fleet::{Event, Moment};
use crate::quantity::unit::Unit;
use crate::record::machine::Machine;
use jiff::civil::Date;

/// The rate of a setup by its last tests.
#[derive(Debug, Clone, Copy)]
pub struct ActualRate {
    /// The setup, by its place in the machine file.
    pub setup: u16,
    /// What tells it.
    pub by: RateBy,
    /// The rate in SI units: volume per area.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// The unit it is shown in.
    pub unit: Unit,
}

/// What each setup of a machine puts down, as the tests up to a day tell it.
pub(super) fn of(
    bench: &mut Bench<'_>,
    machine: &Machine,
    rates: &RatesFound,
    today: Date,
) -> Vec<ActualRate> {
    // A test of the same day comes before what is sprayed.
    let moment = Moment {
        day: today,
        hours: None,
        event: Event::Application,
    };
    let setups = (0_u16..).zip(&machine.setups);
    setups
        .filter_map(|(index, setup)| {
            let rate = setup.rate.map(|rate| Shown {
                quantity: rate.value,
                id: bench.declared(rate.value, rate.place),
                place: rate.place,
            });
            let telling = Telling {
                machine,
                setup: (index, setup),
                rate,
                rates,
                moment,
            };
            let told = telling.rate(bench)?;
            let measure: Measure = told.value(&bench.primitives);
            Some(ActualRate {
                setup: index,
                by: told.by,
                value: measure.value(),
                uncertainty: measure.standard_uncertainty(&bench.primitives),
                unit: told.unit,
            })
        })
        .collect()
}
