//! What a machine's file declares of the ground that a setup covers.

use super::instrument::Bench;
use super::shown::Shown;
use crate::quantity::Quantity;
use crate::record::machine::{Machine, Setup};
use crate::source::Placed;

/// What the machine sheet declares of the ground a setup covers.
#[derive(Debug, Clone, Default)]
pub struct Ground {
    /// From nozzle to nozzle.
    pub spacing: Option<Shown>,
    /// The width the console has for each section.
    pub entered_widths: Vec<Option<Shown>>,
    /// The setup's pressure.
    pub pressure: Option<Shown>,
    /// The setup's speed.
    pub speed: Option<Shown>,
    /// The rate the setup is meant to put down.
    pub rate: Option<Shown>,
}

pub(super) fn ground(
    bench: &mut Bench<'_>,
    machine: &Machine,
    setup: Option<(u16, &Setup)>,
) -> Ground {
    let mut declared = |quantity: &Option<Placed<Quantity>>| {
        let Placed { value, place } = quantity.as_ref().copied()?;
        Some(Shown {
            quantity: value,
            id: bench.declared(value, place),
            place,
        })
    };
    Ground {
        spacing: declared(&machine.boom.spacing),
        entered_widths: machine
            .boom
            .sections
            .iter()
            .map(|section| declared(&section.entered_width))
            .collect(),
        pressure: setup.and_then(|(_, setup)| declared(&setup.pressure)),
        speed: setup.and_then(|(_, setup)| declared(&setup.speed)),
        rate: setup.and_then(|(_, setup)| declared(&setup.rate)),
    }
}
