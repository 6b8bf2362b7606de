//! Slips of one reading: the point one place off, or two digits exchanged.

use super::places::{LEAST, places};
use super::scale::scaled;
use crate::cause::content::Reach;
use crate::cause::hypothesis::Hypothesis;
use crate::cause::seen::Seen;
use crate::cause::value::{Of, Value};
use crate::quantity::decimal::Decimal;

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
        let step = value.map_or(1, |value| step_of_others(seen, value));
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
fn step_of_others(seen: &Seen<'_>, value: Value) -> u64 {
    const FEWEST: usize = 3;
    let written = |other: Value| {
        seen.readings
            .written(other)
            .map(|quantity| quantity.decimal)
    };
    let Some(places) = written(value).map(Decimal::places) else {
        return 1;
    };
    let others = seen
        .values_in_checks()
        .filter(|other| other.of() == value.of() && *other != value);
    let others = others
        .filter_map(written)
        .filter(|decimal| decimal.places() == places);
    let others: Vec<u64> = others.map(|decimal| as_whole(digits(decimal))).collect();
    if others.len() < FEWEST {
        return 1;
    }
    others.into_iter().fold(0, greatest_common_divisor).max(1)
}

const fn greatest_common_divisor(one: u64, other: u64) -> u64 {
    if other == 0 {
        one
    } else {
        greatest_common_divisor(other, one % other)
    }
}

fn is_multiple(of: f64, step: u64) -> bool {
    as_whole(of).is_multiple_of(step)
}

/// A number without its point: whole, and exact up to the 15 digits that are read.
fn digits(written: Decimal) -> f64 {
    (written.to_f64() / written.resolution()).round()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole, positive, and of at most 15 digits"
)]
const fn as_whole(digits: f64) -> u64 {
    digits as u64
}

/// What a number is over each that has two neighboring digits exchanged.
fn swaps(written: Decimal, step: u64) -> Vec<f64> {
    let digits = digits(written);
    let mut ratios = Vec::new();
    let mut place = 1.0;
    while digits / place >= 10.0 {
        let of = |place: f64| (digits / place).floor() % 10.0;
        let (low, high) = (of(place), of(place * 10.0));
        let swapped = digits + (high - low) * place - (high - low) * place * 10.0;
        if low.total_cmp(&high).is_ne() && swapped > 0.0 && is_multiple(swapped, step) {
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
        let of = |text: &str| swaps(Decimal::parse(text).unwrap(), 1);
        assert_eq!(of("15.5"), [155.0 / 515.0]);
        assert_eq!(of("51.5"), [515.0 / 551.0, 515.0 / 155.0]);
        assert_eq!(of("55"), [0.0; 0]);
        assert_eq!(of("5"), [0.0; 0]);
    }
}
