//! The factor a test asks for, in words: what to set it to, or by what to multiply it.

use super::describe::significant;
use super::visit::{Shown, Visit};
use crate::outcome::Step;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::words::numbers::number;

/// `set the flow factor from 620 to 663.5 pulses/gal`, where the factor is on record; else by what to
/// multiply it. `excess` is shown over true.
pub(super) fn in_words(visit: &Visit<'_>, step: Step, excess: f64) -> Option<String> {
    let console = &visit.subject.machine.console;
    let (name, unit, per_amount) = match step {
        Step::Flow => (
            "flow factor",
            console.flow_factor.as_ref(),
            Dimension::PULSES_PER_VOLUME,
        ),
        Step::Speed => (
            "speed factor",
            console.speed_factor.as_ref(),
            Dimension::PULSES_PER_LENGTH,
        ),
        Step::Catch | Step::Balance => return None,
    };
    let Some(unit) = unit.map(|unit| unit.value) else {
        let by = significant(excess, 4);
        return Some(format!(
            "multiply the {name} by {by} if it is pulses per amount, divide by it if not"
        ));
    };
    let change = if unit.dimension() == per_amount {
        excess
    } else {
        1.0 / excess
    };
    Some(match in_the_console(visit, step) {
        Some(now) => set(name, now, change, unit),
        None => format!("multiply the {name} by {}", significant(change, 4)),
    })
}

/// The factor in the console when the visit ended, where it is on record.
fn in_the_console(visit: &Visit<'_>, step: Step) -> Option<Shown> {
    let corrected = match step {
        Step::Flow => visit.flow_factors.last().map(|(_, factor)| factor.after),
        Step::Speed => visit.speed_factors.last().map(|(_, factor)| factor.after),
        Step::Catch | Step::Balance => None,
    };
    let mut begun = visit.begun.iter();
    corrected.or_else(|| begun.find(|(of, _)| *of == step).map(|(_, factor)| *factor))
}

/// To one digit more than the console shows.
fn set(name: &str, now: Shown, change: f64, unit: Unit) -> String {
    let places = usize::from(now.quantity.decimal.places()) + 1;
    let new = number(now.quantity.si() * change, places);
    format!(
        "set the {name} from {} to {new} {unit}",
        now.quantity.decimal
    )
}
