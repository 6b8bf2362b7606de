//! How a machine stands on a day: what figures of state are computed from.

use super::primitive::{PrimitiveId, Primitives, What};
use super::visit::{Shown, Subject};
use crate::history::StepState;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::Machine;
use crate::source::{Place, Span};
use jiff::civil::Date;

/// How a machine stands on a day.
#[derive(Debug)]
pub struct Standing<'a> {
    /// The machine.
    pub subject: Subject<'a>,
    /// The day.
    pub today: Date,
    /// The state of every step it has.
    pub steps: Vec<StepState>,
    /// The sections whose width the console has.
    pub sections: Vec<SheetSection>,
    /// The mixes of setups that are not about as dense as water.
    pub mixes: Vec<Mix>,
    /// Every source of error.
    pub primitives: Primitives,
}

/// A section as the sheet has it.
#[derive(Debug, Clone, Copy)]
pub struct SheetSection {
    /// Its place from the left, from 0.
    pub index: u16,
    /// Its width as the console has it.
    pub entered: Shown,
    /// From nozzle to nozzle.
    pub spacing: Shown,
    /// How many nozzles it carries.
    pub nozzles: u32,
}

/// The mix of a setup.
#[derive(Debug, Clone, Copy)]
pub struct Mix {
    /// The setup, by its place in the sheet.
    pub setup: u16,
    /// Its density.
    pub density: Shown,
    /// The factor set for it.
    pub factor: Option<Shown>,
    /// The density of water.
    pub water: PrimitiveId,
}

impl<'a> Standing<'a> {
    /// The machine on a day, with the state of its steps.
    pub fn new(subject: Subject<'a>, today: Date, steps: Vec<StepState>) -> Self {
        let mut declaring = Declaring {
            machine: subject.machine,
            primitives: Primitives::default(),
        };
        let sections = declaring.sections();
        let mixes = declaring.mixes();
        Self {
            primitives: declaring.primitives,
            subject,
            today,
            steps,
            sections,
            mixes,
        }
    }
}

struct Declaring<'a> {
    machine: &'a Machine,
    primitives: Primitives,
}

impl Declaring<'_> {
    fn declared(&mut self, quantity: Quantity, span: Span) -> Shown {
        let place = Place {
            file: self.machine.file,
            span,
        };
        Shown {
            quantity,
            id: self
                .primitives
                .written(What::Declared, quantity, 0.0, place),
            place,
        }
    }

    fn sections(&mut self) -> Vec<SheetSection> {
        let boom = &self.machine.boom;
        let Some(spacing) = &boom.spacing else {
            return Vec::new();
        };
        let spacing = self.declared(spacing.value, spacing.span);
        (0_u16..)
            .zip(&boom.sections)
            .filter_map(|(index, section)| {
                let entered = section.entered_width.as_ref()?;
                Some(SheetSection {
                    index,
                    entered: self.declared(entered.value, entered.span),
                    spacing,
                    nozzles: section.nozzles.as_ref()?.value,
                })
            })
            .collect()
    }

    fn mixes(&mut self) -> Vec<Mix> {
        (0_u16..)
            .zip(&self.machine.setups)
            .filter_map(|(index, setup)| {
                let density = setup.density.as_ref()?;
                let factor = setup.density_factor.as_ref().map(|factor| {
                    let quantity = Quantity {
                        decimal: factor.value,
                        unit: Unit::ONE,
                    };
                    self.declared(quantity, factor.span)
                });
                let water = self.primitives.standard(What::Density, water()?);
                Some(Mix {
                    setup: index,
                    density: self.declared(density.value, density.span),
                    factor,
                    water,
                })
            })
            .collect()
    }
}

/// Water as the trade takes it: 8.34 lb to the US gallon (Nebraska `CropWatch` 2016, table 1).
fn water() -> Option<Quantity> {
    Some(Quantity {
        decimal: Decimal::parse("8.34").ok()?,
        unit: Unit::parse("lb/gal", &[Dimension::DENSITY]).ok()?,
    })
}
