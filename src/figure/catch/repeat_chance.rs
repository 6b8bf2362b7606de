//! By what chance an honest catch has the very readings of the one before it.
//!
//! Both catches are of the same tips, so what a tip differs from the others repeats. What does not repeat
//! is where between two marks a reading falls: the watch is stopped anew for each nozzle, and the pressure
//! is set anew for the boom. A nozzle repeats its reading where both fall to the same mark.

use crate::statistics::normal;
use std::collections::BTreeMap;
use std::f64::consts::SQRT_2;

/// How far good tips of one set lie apart, as a standard deviation (our choice).
pub(crate) const TIP_SCATTER: f64 = 0.015;

/// One reading, with what lets another one of the same nozzle fall to another mark; all in one unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reread {
    /// What was read.
    pub(super) amount: f64,
    /// From mark to mark.
    pub(super) step: f64,
    /// The standard deviation of what the nozzle truly gave that time, by its own timing.
    pub(super) own: f64,
}

/// The chance that all readings of a catch repeat; 1 where nothing could make them differ.
///
/// `as_a_whole` is the standard deviation of what moves all readings of one catch together, as a ratio.
pub(super) fn chance(readings: &[Reread], as_a_whole: f64) -> f64 {
    // A plugged nozzle is plugged both times, for all that anybody knows.
    let passing: Vec<&Reread> = readings.iter().filter(|one| 0.0 < one.amount).collect();
    let Ok(n_passing) = u32::try_from(passing.len()) else {
        return 0.0;
    };
    let mean = passing.iter().map(|one| one.amount).sum::<f64>() / f64::from(n_passing.max(1));
    // Many nozzles read alike: each reading is reckoned once, by how many have it.
    let mut alike: BTreeMap<[u64; 3], (Nozzle, u32)> = BTreeMap::new();
    for one in passing {
        let bits = [one.amount, one.step, one.own].map(f64::to_bits);
        let entry = alike.entry(bits);
        let (_, count) = entry.or_insert_with(|| (Nozzle::of(*one, mean), 0));
        *count += 1;
    }
    let repeats_at = |shift: f64| -> f64 {
        let chances = alike.values().map(|(nozzle, count)| {
            let repeats = nozzle.repeats(shift);
            (0..*count).map(|_| repeats).product::<f64>()
        });
        chances.product()
    };
    if as_a_whole <= 0.0 {
        return repeats_at(0.0);
    }
    // Two catches differ by two errors of the same size.
    let between_catches = as_a_whole * SQRT_2;
    let steps = (-SHIFTS..=SHIFTS).map(|step| WIDEST * f64::from(step) / f64::from(SHIFTS));
    let (mut sum, mut weights) = (0.0, 0.0);
    for deviations in steps {
        let weight = normal::likelihood(deviations);
        sum += weight * repeats_at(deviations * between_catches);
        weights += weight;
    }
    sum / weights
}

/// So many standard deviations to each side are looked at.
const WIDEST: f64 = 4.0;

/// In so many steps to each side.
const SHIFTS: i32 = 32;

/// What a nozzle may truly give, at so many places.
const PLACES: u32 = 64;

/// A nozzle by the reading it gave: what it may truly give, and how likely that is.
struct Nozzle {
    reading: Reread,
    truly: Vec<(f64, f64)>,
}

impl Nozzle {
    fn of(reading: Reread, mean: f64) -> Self {
        // A tip farther off than good ones has a fault of its own, which repeats like all else of it.
        let scatter = (TIP_SCATTER * mean).max((reading.amount - mean).abs());
        let reach = reading.step / 2.0 + WIDEST * reading.own;
        let places = (0..PLACES).map(|nth| {
            let part = (f64::from(nth) + 0.5) / f64::from(PLACES);
            let truly = reading.amount + reach * (2.0 * part - 1.0);
            let off = (truly - mean) / scatter;
            (truly, normal::likelihood(off) * reading.is_read(truly))
        });
        Self {
            reading,
            truly: places.collect(),
        }
    }

    /// The chance that it gives the same reading again where all are moved by `shift`, a ratio.
    fn repeats(&self, shift: f64) -> f64 {
        let (mut again, mut once) = (0.0, 0.0);
        for (truly, likely) in &self.truly {
            again += likely * self.reading.is_read(truly * (1.0 + shift));
            once += likely;
        }
        // Where no place is likely at all, nothing speaks against the reading.
        if 0.0 < once { again / once } else { 1.0 }
    }
}

impl Reread {
    /// The chance that a nozzle that truly gives so much is read as this one was.
    fn is_read(&self, truly: f64) -> f64 {
        let half = self.step / 2.0;
        let (below, above) = (self.amount - half - truly, self.amount + half - truly);
        if self.own <= 0.0 {
            return if below <= 0.0 && 0.0 < above {
                1.0
            } else {
                0.0
            };
        }
        normal::from_middle(above / self.own) - normal::from_middle(below / self.own)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn readings(of: &[f64], step: f64, own: f64) -> Vec<Reread> {
        let read = of.iter().map(|&amount| Reread { amount, step, own });
        read.collect()
    }

    /// In fluid ounces of 30 s, read to `step`.
    const BOOM: [f64; 15] = [
        36.5, 36.0, 36.5, 36.0, 37.0, 36.5, 36.5, 36.0, 36.0, 36.5, 37.0, 36.0, 36.5, 36.5, 36.0,
    ];

    #[test]
    fn more_nozzles_and_finer_marks_repeat_more_seldom() {
        let own = 36.4 * 0.1 / 30.0;
        let once_in =
            |count: usize, step: f64| 1.0 / chance(&readings(&BOOM[..count], step, own), 0.0);
        // As a reckoning in another language has it.
        for (count, wanted) in [(5, 4.610_6), (8, 11.313_8), (12, 38.634_3), (15, 94.831_2)] {
            let found = once_in(count, 0.5);
            assert!((found / wanted - 1.0).abs() < 0.03, "{count}: {found}");
        }
        assert!(once_in(15, 1.0) < once_in(15, 0.5));
        assert!(once_in(15, 0.5) < once_in(15, 0.1));
        // A pressure that is set anew moves all readings together.
        let set_anew = 1.0 / chance(&readings(&BOOM, 0.5, own), 0.004);
        assert!(2.0 * once_in(15, 0.5) < set_anew, "{set_anew}");
    }

    #[test]
    fn what_cannot_differ_repeats() {
        for (of, step, own) in [
            (&[][..], 0.5, 0.1),
            (&[0.0, 0.0, 0.0], 0.5, 0.1),
            (&BOOM, 0.5, 0.0),
            (&BOOM, 50.0, 0.01),
        ] {
            let found = chance(&readings(of, step, own), 0.0);
            assert!((found - 1.0).abs() < 1e-6, "{found}");
        }
        // A tip far out, and huge or tiny numbers, are no reason to fail.
        for of in [[1e-9, 40.0, 1e9], [36.5, 36.5, 400.0]] {
            let found = chance(&readings(&of, 0.5, 0.1), 0.004);
            assert!((0.0..=1.0).contains(&found), "{found}");
        }
    }
}
