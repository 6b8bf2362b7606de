//! What a machine's file declares of the ground that a setup covers.

use super::assumed;
use super::density::{MixDensity, water};
use super::instrument::{Bench, rectangular};
use super::shown::Shown;
use crate::figure::primitive::{PrimitiveId, What};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::machine::{Machine, Setup};
use crate::source::{Place, Placed};

/// What the machine file declares of the ground a setup covers.
#[derive(Debug, Clone, Default)]
pub struct Ground {
    /// From nozzle to nozzle, as it was measured.
    pub spacing: Option<Shown>,
    /// The width the console has for each section.
    pub entered_widths: Vec<Option<Shown>>,
    /// The setup's pressure.
    pub pressure: Option<Shown>,
    /// The setup's speed.
    pub speed: Option<Shown>,
    /// What is driven while spraying, as a multiple of that speed, where no speed test says.
    pub speed_held: Option<PrimitiveId>,
    /// The rate the setup is meant to put down.
    pub rate: Option<Shown>,
    /// By how much the setup divides the flow of water to allow for the density of its mix.
    pub density_factor: Option<Shown>,
    /// That density, which makes it so whatever the setup's factor is.
    pub mix: Option<MixDensity>,
}

pub(super) fn ground(
    bench: &mut Bench<'_>,
    machine: &Machine,
    setup: Option<(u16, &Setup)>,
) -> Ground {
    let setup = setup.map(|(_, setup)| setup);
    let spacing_tolerance = machine.boom.spacing_tolerance.as_ref();
    let spacing = machine.boom.spacing.map(|Placed { value, place }| Shown {
        quantity: value,
        id: bench.primitives.written(
            What::Spacing,
            value,
            rectangular(
                spacing_tolerance.map_or(assumed::SPACING.size, |within| within.value.si()),
            ),
            place,
        ),
        place,
    });
    let speed_held = setup.map(|setup| {
        let declared = setup.speed_tolerance.as_ref();
        let within = declared.map_or(assumed::SPEED.size, |within| within.value.si());
        // As an instrument's tolerance, it points at the name of what declares it.
        let place = declared.map(|_| Place {
            file: machine.file,
            span: setup.name.span,
        });
        bench
            .primitives
            .factor(What::Speed, rectangular(within), place)
    });
    let mut declared = |quantity: Option<Placed<Quantity>>| {
        let Placed { value, place } = quantity?;
        Some(Shown {
            quantity: value,
            id: bench.declared(value, place),
            place,
        })
    };
    let factor = setup
        .and_then(|setup| setup.density_factor)
        .map(|factor| Placed {
            value: Quantity {
                decimal: factor.value,
                unit: Unit::ONE,
            },
            place: factor.place,
        });
    let density_factor = declared(factor);
    let density = setup.and_then(|setup| declared(setup.density));
    let pressure = setup.and_then(|setup| declared(setup.pressure));
    let speed = setup.and_then(|setup| declared(setup.speed));
    let rate = setup.and_then(|setup| declared(setup.rate));
    let entered_widths = machine.boom.sections.iter();
    let entered_widths = entered_widths
        .map(|section| declared(section.entered_width))
        .collect();
    let mix = density.and_then(|density| {
        Some(MixDensity {
            density,
            water: bench.primitives.standard(What::Density, water()?),
            factor: density_factor,
        })
    });
    Ground {
        spacing,
        entered_widths,
        pressure,
        speed,
        speed_held,
        rate,
        density_factor,
        mix,
    }
}
