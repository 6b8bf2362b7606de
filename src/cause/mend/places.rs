//! Where a value of a kind stands: alone, once in a list, all over it, or from one place on.

use crate::cause::content::Reach;
use crate::cause::hypothesis::At;
use crate::cause::seen::Seen;
use crate::cause::value::{Of, Value};

/// The values that are off together, each to a power, and where that is.
pub(super) type Place = (At, Vec<(Value, f64)>);

/// Ratios closer to one than this tell nothing: no reading is known better. Our choice.
pub(super) const LEAST: f64 = 0.01;

/// Every place of a kind of value.
pub(super) fn places(seen: &Seen<'_>, of: Of, reach: Reach) -> Vec<Place> {
    let values: Vec<Value> = seen
        .values_in_checks()
        .filter(|value| value.of() == of && !seen.readings.is_zero(*value))
        .collect();
    if values.is_empty() {
        return Vec::new();
    }
    match (of, reach) {
        (Of::Caught, Reach::All) => vec![(At::Every(of), whole_catch(seen))],
        (Of::Caught, Reach::One) => seen
            .nozzles_with_flow()
            .map(|nozzle| (At::Nozzle(nozzle), vec![(Value::Caught(nozzle), 1.0)]))
            .collect(),
        // The time of one nozzle shows in what was caught of it.
        (Of::Collected, Reach::One) => timed(seen)
            .map(|nozzle| (At::Nozzle(nozzle), vec![(Value::Caught(nozzle), -1.0)]))
            .collect(),
        (Of::Caught, Reach::From) => from(&seen.nozzles_with_flow().collect::<Vec<_>>(), 1.0),
        (Of::Collected, Reach::From) => from(&timed(seen).collect::<Vec<_>>(), -1.0),
        (_, Reach::From)
        | (Of::CaughtAgain | Of::CollectedAgain | Of::PressureAgain, Reach::One) => Vec::new(),
        (Of::CaughtAgain | Of::CollectedAgain | Of::PressureAgain, Reach::All) => values
            .iter()
            .map(|value| (At::Value(*value), vec![(*value, 1.0)]))
            .collect(),
        // One of one is the whole list.
        (_, Reach::One) => values
            .iter()
            .filter(|_| values.len() > 1)
            .map(|value| (At::Value(*value), vec![(*value, 1.0)]))
            .collect(),
        (_, Reach::All) => match values.as_slice() {
            [value] => vec![(At::Value(*value), vec![(*value, 1.0)])],
            values => vec![(
                At::Every(of),
                values.iter().map(|value| (*value, 1.0)).collect(),
            )],
        },
    }
}

/// Everything that was caught, repeats as well; nothing caught stays nothing, whatever is wrong with how it was read.
pub(super) fn whole_catch(seen: &Seen<'_>) -> Vec<(Value, f64)> {
    let caught = seen
        .values_in_checks()
        .filter(|value| matches!(value.of(), Of::Caught | Of::Repeat))
        .filter(|value| !seen.readings.is_zero(*value));
    caught.map(|value| (value, 1.0)).collect()
}

fn timed<'s>(seen: &'s Seen<'_>) -> impl Iterator<Item = u16> + 's {
    seen.nozzles_with_flow()
        .filter(|nozzle| seen.boom.list(*nozzle).is_some())
}

/// The fewest nozzles on either side of a place from which something changes: one alone is a nozzle by itself.
const FEWEST: usize = 2;

/// From each nozzle to the right end, and from the left end to each.
pub(super) fn from(nozzles: &[u16], power: f64) -> Vec<Place> {
    let mut all = Vec::new();
    let of = |nozzles: &[u16]| {
        nozzles
            .iter()
            .map(|nozzle| (Value::Caught(*nozzle), power))
            .collect()
    };
    for at in FEWEST..nozzles.len().saturating_sub(FEWEST - 1) {
        let (left, right) = nozzles.split_at(at);
        if let ([.., last], [first, ..]) = (left, right) {
            all.push((At::FromNozzle(*first), of(right)));
            all.push((At::ToNozzle(*last), of(left)));
        }
    }
    all
}
