//! An area split into loads of a tank.

use super::measured::whole;

/// More loads than this for one job are taken for a wrong unit (our choice).
pub const MOST_LOADS: f64 = 1_000.0;

/// What is nearer to a whole number of loads than this is one: floating point leaves as much.
const WHOLE_WITHIN: f64 = 1e-9;

/// Loads that are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// How many.
    pub count: u32,
    /// The area of each, in square meters.
    pub area: f64,
}

/// The loads of a tank that cover an area at a rate, all in SI units: full ones, then the part load that is left.
///
/// Loads number = area x rate / tank; area of a full load = tank / rate (SD State Extension, mixing and calibration
/// equations). `equal` makes the fewest loads that are all alike instead (common practice, no source). None where a number
/// makes no sense, or where there would be more than [`MOST_LOADS`].
pub fn shares(area: f64, rate: f64, tank: f64, equal: bool) -> Option<Vec<Share>> {
    let loads = area * rate / tank;
    let is_sound = [area, rate, tank, loads]
        .iter()
        .all(|number| number.is_finite() && 0.0 < *number);
    if !is_sound || MOST_LOADS < loads {
        return None;
    }
    let nearest = loads.round();
    let is_whole = 1.0 <= nearest && (loads - nearest).abs() <= WHOLE_WITHIN * nearest;
    let share = |count: f64, area: f64| Share {
        // From 1 to MOST_LOADS.
        count: u32::try_from(whole(count)).unwrap_or(u32::MAX),
        area,
    };
    let shares = if is_whole || equal {
        let count = if is_whole { nearest } else { loads.ceil() };
        vec![share(count, area / count)]
    } else {
        let (full, covered) = (loads.floor(), tank / rate);
        let part = share(1.0, area - full * covered);
        let full = (1.0 <= full).then(|| share(full, covered));
        full.into_iter().chain([part]).collect()
    };
    // Numbers beyond any job may still run out of what binary numbers hold.
    let is_area = |share: &Share| share.area.is_finite() && 0.0 < share.area;
    shares.iter().all(is_area).then_some(shares)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn full_loads_come_first_and_the_rest_is_one_part_load() {
        let counts = |area, rate, tank, equal| -> Vec<u32> {
            let shares = shares(area, rate, tank, equal).unwrap();
            shares.iter().map(|share| share.count).collect()
        };
        assert_eq!(counts(10.0, 1.0, 4.0, false), [2, 1]);
        assert_eq!(counts(10.0, 1.0, 4.0, true), [3]);
        assert_eq!(counts(12.0, 1.0, 4.0, false), [3]);
        assert_eq!(counts(0.3, 10.0, 1.0, false), [3], "0.3 x 10 is 3 by hand");
        assert_eq!(counts(1.0, 1.0, 4.0, false), [1]);
        assert_eq!(counts(1e-12, 1.0, 4.0, true), [1]);
    }

    #[test]
    fn what_makes_no_sense_has_no_loads() {
        for [area, rate, tank] in [
            [0.0, 1.0, 1.0],
            [-1.0, 1.0, 1.0],
            [f64::NAN, 1.0, 1.0],
            [f64::INFINITY, 1.0, 1.0],
            [1.0, 0.0, 1.0],
            [1.0, 1.0, 0.0],
            [1001.0, 1.0, 1.0],
            [1e30, 1.0, 1.0],
        ] {
            assert_eq!(
                shares(area, rate, tank, false),
                None,
                "{area} {rate} {tank}"
            );
        }
    }
}
