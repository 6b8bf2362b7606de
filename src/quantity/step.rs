//! The step an instrument was read to, from the numbers written down: one for all that was read off it.

use super::decimal::Decimal;
use std::collections::BTreeSet;

/// Readings that share a step by chance no more often than one time in so many show it (our choice).
const RARE: i128 = 20;

/// No step is coarser than this part of the largest reading: nobody reads such marks (our choice).
const COARSEST: i128 = 10;

/// The step of a list of readings, in their unit.
///
/// The most decimals anybody wrote say how fine it is: `1` among `1.04` and `1.03` is `1.00`. Where all
/// readings are multiples of 2, 2.5, 5 or 10 in some place, and so many of them differ that they are
/// hardly so by chance, that is the step: `36.5`, `36.0`, `37.5` were read to `0.5`. A reading of 0 is
/// a multiple of everything and shows nothing.
pub fn step_of(readings: &[Decimal]) -> f64 {
    let is_shown = |reading: &&Decimal| !reading.is_zero();
    if readings.is_empty() {
        return 0.0;
    }
    let last_place = last_place_of(readings);
    let in_last_place = |reading: &Decimal| reading.in_last_places() / last_place.in_last_places();
    let different: BTreeSet<i128> = readings
        .iter()
        .filter(is_shown)
        .map(in_last_place)
        .collect();
    let n_different = u32::try_from(different.len()).unwrap_or(u32::MAX);
    let divisor = different.iter().copied().fold(0, greatest_common_divisor);
    let coarsest = different.last().map_or(0, |largest| largest / COARSEST);
    let steps = steps_up_to(coarsest).filter(|step| {
        let by_chance = step.checked_pow(n_different);
        1 < n_different && divisor % step == 0 && by_chance.is_none_or(|n| RARE <= n)
    });
    as_f64(steps.max().unwrap_or(1)) * last_place.resolution()
}

/// One in the last place that anybody wrote in a list of readings; of zeros only where all are.
pub fn last_place_of(readings: &[Decimal]) -> Decimal {
    let is_shown = |reading: &&Decimal| !reading.is_zero();
    let places = |reading: &Decimal| reading.places();
    let shown = readings.iter().filter(is_shown).map(places).max();
    let places = shown.or_else(|| readings.iter().map(places).max());
    Decimal::one_in_place(places.unwrap_or(0))
}

/// 2, 5, 10, 25 and ten, a hundred times as much: what marks are apart.
fn steps_up_to(coarsest: i128) -> impl Iterator<Item = i128> {
    let tens = std::iter::successors(Some(1_i128), |ten| ten.checked_mul(10));
    let tens = tens.take_while(move |ten| *ten <= coarsest);
    let steps = tens.flat_map(|ten| {
        [2, 5, 10, 25]
            .into_iter()
            .filter_map(move |n| ten.checked_mul(n))
    });
    steps.filter(move |step| *step <= coarsest)
}

fn greatest_common_divisor(one: i128, other: i128) -> i128 {
    let (mut one, mut other) = (one, other);
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one.abs()
}

#[expect(
    clippy::cast_precision_loss,
    reason = "one of 2, 5, 10 and 25 times a power of ten far below 10^22, which is exact in binary"
)]
fn as_f64(step: i128) -> f64 {
    step as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn step(readings: &str) -> f64 {
        let readings: Vec<Decimal> = readings
            .split(' ')
            .map(|reading| Decimal::plain(reading).unwrap())
            .collect();
        step_of(&readings)
    }

    #[test]
    fn all_readings_of_a_list_have_one_step() {
        for (readings, wanted) in [
            // The most decimals written; a `1` among them is as fine as they are.
            ("1.04 1.03 1", 0.01),
            ("36.5 36 37.2", 0.1),
            ("1190 1214 1205 1187", 1.0),
            // What all of them are multiples of.
            ("36.5 36.0 36.5", 0.5),
            ("36.5 36 37.5 41", 0.5),
            ("1200 1180 1220 1160", 20.0),
            ("770 780 790", 10.0),
            ("36.25 36.50 37.00 36.75", 0.25),
            ("12.4 12.8 12.2 12.6 13.0", 0.2),
            // 0 says nothing, neither of decimals nor of multiples.
            ("36.5 36.0 0 37.5", 0.5),
            ("37 36 0.00 38", 1.0),
            ("0 0.0", 0.1),
            ("0", 1.0),
            // Too few that differ to say anything.
            ("36", 1.0),
            ("1200 1200 1200", 1.0),
            ("36 38", 1.0),
            ("12.4 12.8 12.2", 0.1),
            // One nozzle that gives half of what the others give makes no jug with two marks.
            ("40 40 40 20", 1.0),
            ("1200 1000", 100.0),
        ] {
            assert_eq!(step(readings).to_bits(), f64::to_bits(wanted), "{readings}");
        }
        assert!(step_of(&[]).abs() <= 0.0);
    }

    proptest! {
        #[test]
        fn every_reading_is_a_multiple_of_the_step(readings in prop::collection::vec(r"[0-9]{1,4}(\.[0-9]{1,3})?", 1..8)) {
            let readings: Vec<Decimal> = readings.iter().filter_map(|reading| Decimal::plain(reading)).collect();
            let step = step_of(&readings);
            for reading in readings {
                let steps = reading.to_f64() / step;
                prop_assert!((steps - steps.round()).abs() < 1e-6, "{reading} of {step}");
            }
        }
    }
}
