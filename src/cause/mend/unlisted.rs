//! What is no cause that is ever told: a reading off, for whatever reason; and readings that are no readings.

use super::places::whole_catch;
use crate::cause::content::Effect;
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::{Of, Value};

/// Each reading by itself, and the readings of each step together.
pub(super) fn reading(seen: &Seen<'_>, effect: Effect) -> Vec<Hypothesis> {
    let off = |at: At, on: Vec<(Value, f64)>| Hypothesis::new(at, Change::Effect { on, effect });
    let is_reading = |value: &Value| {
        let of = value.of();
        let is_rating = [Of::Before, Of::RatedFlow, Of::RatedPressure].contains(&of);
        // Those of the last visit may be off too, though nothing mends them here.
        !is_rating && (value.is_written() || of.is_of_last_visit())
    };
    let mut all: Vec<Hypothesis> = seen
        .values_in_checks()
        .filter(is_reading)
        .map(|value| off(At::Value(value), vec![(value, 1.0)]))
        .collect();
    let caught = whole_catch(seen);
    if caught.len() > 1 {
        all.push(off(At::Every(Of::Caught), caught));
    }
    for of in [Of::Elapsed, Of::ShownDistance] {
        let step: Vec<(Value, f64)> = seen
            .values_in_checks()
            .filter(|value| value.of() == of)
            .map(|value| (value, 1.0))
            .collect();
        if step.len() > 1 {
            all.push(off(At::Every(of), step));
        }
    }
    all
}

/// The readings are those of the last visit.
pub(super) fn copied(seen: &Seen<'_>) -> Vec<Hypothesis> {
    let Some(chance) = seen
        .readings
        .known
        .chance_of_copy
        .filter(|chance| *chance > 0.0)
    else {
        return Vec::new();
    };
    vec![Hypothesis::new(
        At::Every(Of::Caught),
        Change::Copied(chance),
    )]
}
