//! What of a machine a card stands on.

use crate::figure::Standing;
use crate::figure::standing::{ActualRate, RateBy};
use crate::procedure::is_speed_driven;
use crate::quantity::Quantity;

/// What of a machine a card stands on.
#[derive(Debug)]
pub(super) struct OfMachine {
    pub(super) is_out_of_service: bool,
    pub(super) is_speed_driven: bool,
    pub(super) tank: Option<Quantity>,
    /// The setups, in the order of the machine file.
    pub(super) setups: Vec<Declared>,
    actual: Vec<ActualRate>,
}

/// What the machine file has of a setup.
#[derive(Debug)]
pub(super) struct Declared {
    pub(super) name: String,
    pub(super) rate: Option<Quantity>,
    pub(super) pressure: Option<Quantity>,
    pub(super) speed: Option<Quantity>,
}

impl OfMachine {
    pub(super) fn of(standing: &Standing<'_>) -> Self {
        let machine = standing.subject.machine;
        let setups = machine.setups.iter();
        Self {
            is_out_of_service: machine.out_of_service.is_some(),
            is_speed_driven: is_speed_driven(machine),
            tank: machine.tank.map(|tank| tank.value),
            setups: setups
                .map(|setup| Declared {
                    name: setup.name.value.clone(),
                    rate: setup.rate.map(|rate| rate.value),
                    pressure: setup.pressure.map(|pressure| pressure.value),
                    speed: setup.speed.map(|speed| speed.value),
                })
                .collect(),
            actual: standing.actual.clone(),
        }
    }

    /// The rate of a setup that tests tell.
    pub(super) fn tested_rate(&self, setup: u16) -> Option<&ActualRate> {
        let mut actual = self.actual.iter();
        actual.find(|actual| {
            let is_sound = actual.value.is_finite() && 0.0 < actual.value;
            actual.setup == setup && actual.by != RateBy::Setup && is_sound
        })
    }
}
