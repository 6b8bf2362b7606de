//! What a machine file declares that figures of state hold against each other: widths, mixes, setups.

use super::super::primitive::{Primitives, What};
use super::super::visit::Shown;
use super::super::visit::density::{self, MixDensity};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::Machine;
use crate::record::machine::{Control, Setup};
use crate::source::{Place, Placed};

/// A section as the machine file has it.
#[derive(Debug, Clone, Copy)]
pub struct DeclaredSection {
    /// Its place from the left, from 0.
    pub index: u16,
    /// Its width as the console has it.
    pub entered: Shown,
    /// From nozzle to nozzle.
    pub spacing: Shown,
    /// How many nozzles it carries.
    pub nozzles: u32,
}

/// A setup whose nozzles, pressure, speed and rate are all declared, with the spacing of the boom.
#[derive(Debug, Clone)]
pub struct DeclaredSetup {
    /// Its place in the machine file.
    pub index: u16,
    /// The rated flow of its nozzles.
    pub rated_flow: Shown,
    /// The pressure that flow holds at.
    pub rated_pressure: Shown,
    /// The ISO 10625 size, where the rating was written as one.
    pub size: Option<String>,
    /// The working pressure.
    pub pressure: Shown,
    /// The working speed.
    pub speed: Shown,
    /// The target rate.
    pub rate: Shown,
    /// From nozzle to nozzle.
    pub spacing: Shown,
    /// The density of its mix, where nothing but the pressure allows for it.
    pub mix: Option<MixDensity>,
    /// The density factor beside, for a setup that declares no density.
    pub density_factor: Option<Shown>,
}

/// Makes primitives of what a machine file declares.
pub(super) struct Declaring<'a> {
    pub(super) machine: &'a Machine,
    pub(super) primitives: Primitives,
}

impl Declaring<'_> {
    fn declared(&mut self, quantity: Quantity, place: Place) -> Shown {
        Shown {
            quantity,
            id: self
                .primitives
                .written(What::Declared, quantity, 0.0, place),
            place,
        }
    }

    fn placed(&mut self, read: Placed<Quantity>) -> Shown {
        self.declared(read.value, read.place)
    }

    pub(super) fn sections(&mut self) -> Vec<DeclaredSection> {
        let boom = &self.machine.boom;
        let Some(spacing) = boom.spacing else {
            return Vec::new();
        };
        let spacing = self.placed(spacing);
        (0_u16..)
            .zip(&boom.sections)
            .filter_map(|(index, section)| {
                let entered = section.entered_width.as_ref()?;
                Some(DeclaredSection {
                    index,
                    entered: self.declared(entered.value, entered.place),
                    spacing,
                    nozzles: section.nozzles.as_ref()?.value,
                })
            })
            .collect()
    }

    pub(super) fn mixes(&mut self) -> Vec<(u16, MixDensity)> {
        (0_u16..)
            .zip(&self.machine.setups)
            .filter_map(|(index, setup)| Some((index, self.mix(setup)?)))
            .collect()
    }

    fn mix(&mut self, setup: &Setup) -> Option<MixDensity> {
        let density = setup.density.as_ref()?;
        let factor = self.density_factor(setup);
        let water = self.primitives.standard(What::Density, density::water()?);
        Some(MixDensity {
            density: self.declared(density.value, density.place),
            water,
            factor,
        })
    }

    fn density_factor(&mut self, setup: &Setup) -> Option<Shown> {
        let factor = setup.density_factor.as_ref()?;
        let quantity = Quantity {
            decimal: factor.value,
            unit: Unit::ONE,
        };
        Some(self.declared(quantity, factor.place))
    }

    /// The setups that declare all of what makes their rate.
    pub(super) fn setups(&mut self) -> Vec<DeclaredSetup> {
        let Some(spacing) = self.machine.boom.spacing else {
            return Vec::new();
        };
        let spacing = self.placed(spacing);
        let control = self.machine.control.map(|control| control.value);
        // A console that holds the rate counts the mix itself.
        let is_rate_held = control == Some(Control::Flow);
        (0_u16..)
            .zip(&self.machine.setups)
            .filter_map(|(index, setup)| {
                let rated = setup.rated.as_ref()?;
                let (pressure, speed) = (setup.pressure?, setup.speed?);
                let rate = setup.rate?;
                let mix = if is_rate_held { None } else { self.mix(setup) };
                let density_factor = if is_rate_held || mix.is_some() {
                    None
                } else {
                    self.density_factor(setup)
                };
                Some(DeclaredSetup {
                    index,
                    rated_flow: self.placed(rated.flow),
                    rated_pressure: self.placed(rated.pressure),
                    size: rated.size.clone(),
                    pressure: self.placed(pressure),
                    speed: self.placed(speed),
                    rate: self.placed(rate),
                    spacing,
                    mix,
                    density_factor,
                })
            })
            .collect()
    }
}
