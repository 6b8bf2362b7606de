//! Tips that service records fitted at single places, beside those of their setup.

use super::super::visit::Shown;
use super::super::visit::instrument::Bench;
use crate::fleet::{History, Layout};
use crate::quantity::Quantity;
use crate::record::Service;
use crate::record::machine::Machine;
use crate::record::service::{NozzlesFitted, WorkDone};
use crate::source::Placed;

/// Tips fitted at single places.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// The setup, by its place in the machine file.
    pub setup: u16,
    /// Where, by number over the boom.
    pub nozzles: Vec<u16>,
    /// Their rated flow.
    pub flow: Shown,
    /// The pressure it holds at.
    pub pressure: Shown,
    /// The rated flow of the setup's tips.
    pub setup_flow: Shown,
    /// The pressure it holds at.
    pub setup_pressure: Shown,
}

/// What was fitted with a size, against what the setup had by the end of that day.
pub(super) fn of(bench: &mut Bench<'_>, history: &History) -> Vec<Fitted> {
    let works = history.services.iter().flat_map(|service| {
        let work = service.work.iter();
        work.map(move |work| (&**service, &work.done))
    });
    let fitted = works.filter_map(|(service, done)| {
        let WorkDone::NozzlesFitted(fitted) = done else {
            return None;
        };
        let is_of_places = !fitted.at.is_empty();
        is_of_places.then(|| beside_setup(bench, history, service, fitted))?
    });
    fitted.collect()
}

fn beside_setup(
    bench: &mut Bench<'_>,
    history: &History,
    service: &Service,
    fitted: &NozzlesFitted,
) -> Option<Fitted> {
    let machine = history.machine_on(service.date?.value)?;
    let index = machine.setup_index(fitted.setup.as_ref())?;
    let setup = machine.setups.get(usize::from(index))?;
    let (own, meant) = (fitted.rated.as_ref()?, setup.rated.as_ref()?);
    let mut declared = |read: Placed<Quantity>| Shown {
        quantity: read.value,
        id: bench.declared(read.value, read.place),
        place: read.place,
    };
    Some(Fitted {
        setup: index,
        nozzles: numbers(machine, fitted),
        flow: declared(own.flow),
        pressure: declared(own.pressure),
        setup_flow: declared(meant.flow),
        setup_pressure: declared(meant.pressure),
    })
}

fn numbers(machine: &Machine, fitted: &NozzlesFitted) -> Vec<u16> {
    let Some(layout) = Layout::of(&machine.boom) else {
        return Vec::new();
    };
    let at = fitted.at.iter();
    let positions = at.flat_map(|(section, positions)| {
        let positions = positions.iter();
        positions.map(move |position| (&section.value, position.value))
    });
    let numbers = positions
        .filter_map(|(section, position)| layout.number_of(section, u16::try_from(position).ok()?));
    numbers.collect()
}
