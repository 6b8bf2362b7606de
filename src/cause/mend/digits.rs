//! Slips of one reading: the point one place off, or two digits exchanged.

use super::places::{LEAST, places};
use super::scale::scaled;
use crate::cause::content::Reach;
use crate::cause::hypothesis::Hypothesis;
use crate::cause::seen::Seen;
use crate::cause::value::{Of, Value};
use crate::quantity::decimal::Decimal;
use crate::quantity::step::step_of;

/// Every reading by itself.
fn readings(seen: &Seen<'_>, of: &[Of]) -> Vec<super::places::Place> {
    of.iter()
        .flat_map(|of| {
            let each = places(seen, *of, Reach::One);
            if each.is_empty() {
                places(seen, *of, Reach::All)
            } else {
                each
            }
        })
        .filter(|(_, on)| on.len() == 1)
        .collect()
}

/// The point is one place off, either way.
pub(super) fn point(seen: &Seen<'_>, of: &[Of]) -> Vec<Hypothesis> {
    let readings = readings(seen, of);
    readings
        .iter()
        .flat_map(|(at, on)| [10.0, 0.1].map(|ratio| scaled(at, on, ratio)))
        .collect()
}

/// Two neighboring digits are exchanged; the point between them does not count.
pub(super) fn swapped(seen: &Seen<'_>, of: &[Of]) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    for (at, on) in readings(seen, of) {
        let value = on.first().map(|(value, _)| *value);
        let Some(written) = value.and_then(|value: Value| seen.readings.written(value)) else {
            continue;
        };
        let step = value.map_or(1.0, |value| step_of_others(seen, value));
        for ratio in swaps(written.decimal, step) {
            if libm::log(ratio).abs() > LEAST {
                all.push(scaled(&at, &on, ratio));
            }
        }
    }
    all
}

/// The step of what the others of a list read, in units of its last digit: readings of a jug that is marked every half ounce end in 0
/// or 5, and what was meant does too. One where there are too few to tell.
fn step_of_others(seen: &Seen<'_>, value: Value) -> f64 {
    const FEWEST: usize = 3;
    let written = |other: Value| Some(seen.readings.written(other)?.decimal);
    let Some(own) = written(value) else {
        return 1.0;
    };
    let others = seen
        .values_in_checks()
        .filter(|other| other.of() == value.of() && *other != value);
    let others = others
        .filter_map(written)
        .filter(|decimal| decimal.places() == own.places());
    let others: Vec<Decimal> = others.collect();
    if others.len() < FEWEST {
        return 1.0;
    }
    (step_of(&others) / own.resolution()).round()
}

/// A number without its point: whole, and exact up to the 15 digits that are read.
fn digits(written: Decimal) -> f64 {
    (written.to_f64() / written.resolution()).round()
}

/// What a number is over each that has two neighboring digits exchanged.
fn swaps(written: Decimal, step: f64) -> Vec<f64> {
    let digits = digits(written);
    let mut ratios = Vec::new();
    let mut place = 1.0;
    while digits / place >= 10.0 {
        let of = |place: f64| (digits / place).floor() % 10.0;
        let (low, high) = (of(place), of(place * 10.0));
        let swapped = digits + (high - low) * place - (high - low) * place * 10.0;
        // Both are whole numbers.
        let is_on_a_mark = swapped % step < 0.5;
        if low.total_cmp(&high).is_ne() && swapped > 0.0 && is_on_a_mark {
            ratios.push(digits / swapped);
        }
        place *= 10.0;
    }
    ratios
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbors_are_exchanged_over_the_point() {
        let of = |text: &str| swaps(Decimal::parse(text).unwrap(), 1.0);
        assert_eq!(of("15.5"), [155.0 / 515.0]);
        assert_eq!(of("51.5"), [515.0 / 551.0, 515.0 / 155.0]);
        assert_eq!(of("55"), [0.0; 0]);
        assert_eq!(of("5"), [0.0; 0]);
    }
}
