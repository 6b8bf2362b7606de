//! Round speeds on both sides of one.

use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::words::numbers::number;

/// So many round speeds are told on each side (our choice).
const EACH_SIDE: u32 = 2;

/// The round multiples next to a speed, with the speed between them; the speed alone where it is no usual number.
pub(super) fn around(speed: Quantity) -> Vec<Quantity> {
    let own = speed.decimal.to_f64();
    let Some((step, decimals)) = step(own) else {
        return vec![speed];
    };
    let written = |multiple: f64| {
        let decimal = Decimal::parse(&number(multiple * step, decimals)).ok()?;
        Some(Quantity {
            decimal,
            unit: speed.unit,
        })
    };
    // A hair more: a multiple that is written has a last digit that binary numbers miss.
    let (below, above) = ((own / step - 1e-6).floor(), (own / step + 1e-6).ceil());
    let lower = (0..EACH_SIDE).rev().map(|n| below - f64::from(n));
    let lower = lower.filter(|multiple| 0.5 < *multiple);
    let higher = (0..EACH_SIDE).map(|n| above + f64::from(n));
    let lower = lower.filter_map(written);
    lower
        .chain([speed])
        .chain(higher.filter_map(written))
        .collect()
}

/// The least of 1, 2 or 5 times a power of ten that is about a tenth of a speed or more, and its decimals.
fn step(speed: f64) -> Option<(f64, usize)> {
    const STEPS: [(f64, usize); 10] = [
        (0.01, 2),
        (0.02, 2),
        (0.05, 2),
        (0.1, 1),
        (0.2, 1),
        (0.5, 1),
        (1.0, 0),
        (2.0, 0),
        (5.0, 0),
        (10.0, 0),
    ];
    let mut steps = STEPS.into_iter();
    steps
        .find(|(step, _)| speed / 10.0 <= *step)
        .filter(|_| 0.05 < speed)
}

#[cfg(test)]
mod tests {
    use super::around;
    use crate::quantity::Quantity;
    use crate::quantity::dimension::Dimension;

    #[test]
    fn round_speeds_lie_on_both_sides() {
        for (speed, all) in [
            ("4.2 mph", "3.5 mph, 4.0 mph, 4.2 mph, 4.5 mph, 5.0 mph"),
            ("4.0 mph", "3.0 mph, 3.5 mph, 4.0 mph, 4.5 mph, 5.0 mph"),
            ("6.2 km/h", "5 km/h, 6 km/h, 6.2 km/h, 7 km/h, 8 km/h"),
            ("1.7 m/s", "1.4 m/s, 1.6 m/s, 1.7 m/s, 1.8 m/s, 2.0 m/s"),
            ("0.1 mph", "0.08 mph, 0.09 mph, 0.1 mph, 0.11 mph, 0.12 mph"),
            ("0.01 mph", "0.01 mph"),
            ("900 mph", "900 mph"),
        ] {
            let quantity = Quantity::parse(speed, &[Dimension::SPEED]).unwrap();
            let found = around(quantity).into_iter().map(|one| one.to_string());
            assert_eq!(found.collect::<Vec<_>>().join(", "), all, "{speed}");
        }
    }
}
