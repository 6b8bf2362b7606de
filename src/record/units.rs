//! The units in which a machine and one of its setups are worked.

use super::machine::{Machine, Rated, Setup};
use super::size::RatedIn;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::source::Placed;

/// The units of what is read of a setup: as the machine file writes it, else as the trade of its units does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SetupUnits {
    /// How sizes are rated.
    pub rated_in: RatedIn,
    /// Of the flow of a nozzle.
    pub flow: Unit,
    /// Of a pressure.
    pub pressure: Unit,
    /// Of an application rate.
    pub rate: Unit,
    /// Of a speed.
    pub speed: Unit,
    /// Of a distance that is driven, which goes with the speed.
    pub length: Unit,
    /// Of what a jug holds, which goes with the pressure.
    pub catch: Unit,
    /// Of what the tank holds: where its size is not written, it goes with the pressure.
    pub tank: Unit,
}

impl SetupUnits {
    /// Those of a setup of a machine. A file that writes none of its units is taken to be in US units.
    pub fn of(machine: &Machine, setup: &Setup) -> Self {
        let rated = setup.rated.as_ref();
        let written = |placed: Option<Placed<Quantity>>| placed.map(|placed| placed.value.unit);
        let pressure_of = |rated: &Rated| rated.pressure.value.unit;
        let rated_at = rated.map(pressure_of);
        // A size is a number on the tip, and says nothing of the units that people read in.
        let written_at = rated.filter(|rated| rated.size.is_none()).map(pressure_of);
        let pressure = written(setup.pressure);
        let is_us = match (written_at.or(pressure), written(machine.boom.spacing)) {
            (Some(unit), _) => unit == Unit::PSI,
            (None, Some(unit)) => [Unit::INCH, Unit::FOOT].contains(&unit),
            (None, None) => true,
        };
        let [rated_in_us, rated_in_si] = [RatedIn::GallonsAt40Psi, RatedIn::LitersAt3Bar];
        let either = |us, si| if is_us { us } else { si };
        let pressure = pressure
            .or(written_at)
            .unwrap_or(either(Unit::PSI, Unit::BAR));
        // Volumes are read in the units that pressures are, whatever the tips are rated in.
        let volume = |us, si| if pressure == Unit::PSI { us } else { si };
        let speed = written(setup.speed).unwrap_or(either(Unit::MPH, Unit::KILOMETER_PER_HOUR));
        Self {
            rated_in: if rated_at.map_or(is_us, |unit| unit == Unit::PSI) {
                rated_in_us
            } else {
                rated_in_si
            },
            flow: rated.map_or(either(Unit::GPM, Unit::LITER_PER_MINUTE), |rated| {
                rated.flow.value.unit
            }),
            pressure,
            rate: written(setup.rate)
                .unwrap_or(either(Unit::GALLON_PER_ACRE, Unit::LITER_PER_HECTARE)),
            speed,
            length: length_with(speed),
            catch: volume(Unit::FLUID_OUNCE, Unit::MILLILITER),
            tank: written(machine.tank).unwrap_or(volume(Unit::GALLON, Unit::LITER)),
        }
    }
}

/// The unit of a distance that goes with the unit of a speed.
pub fn length_with(speed: Unit) -> Unit {
    if speed == Unit::MPH {
        Unit::FOOT
    } else {
        Unit::METER
    }
}
