//! Amounts as a jug, a scale, or the marks of a tank are read: whole steps, which add up exactly.

use crate::quantity::unit::Unit;

/// An amount that can be measured out: thousandths of a unit, in whole steps of what it is read on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    thousandths: u64,
    /// The unit.
    pub unit: Unit,
}

/// No step is more than this share of the amount, where the instrument allows it (our choice).
const FINE: f64 = 0.01;

/// As much of a step is floating point.
const NOISE: f64 = 1e-9;

/// The steps that something in a unit is read in, in thousandths, finest first; common practice, no source.
fn steps(unit: Unit) -> &'static [u32] {
    match unit {
        Unit::FLUID_OUNCE | Unit::IMPERIAL_FLUID_OUNCE | Unit::WEIGHT_OUNCE => {
            &[100, 200, 500, 1_000]
        }
        Unit::GALLON | Unit::IMPERIAL_GALLON => &[100, 200, 500, 1_000],
        Unit::LITER => &[500, 1_000, 2_000, 5_000],
        _ => &[1_000, 2_000, 5_000, 10_000, 20_000, 50_000],
    }
}

impl Measured {
    /// The most whole steps that are no more than an amount in SI units.
    pub fn at_most(si: f64, unit: Unit) -> Self {
        Self::stepped(si, unit, |steps| (steps + NOISE).floor())
    }

    /// The fewest whole steps that are no less than an amount in SI units.
    pub fn at_least(si: f64, unit: Unit) -> Self {
        Self::stepped(si, unit, |steps| (steps - NOISE).ceil())
    }

    /// A volume or a weight as it is written, whatever can be read: to a thousandth of the unit, rounded down.
    pub fn as_given(si: f64, unit: Unit) -> Self {
        let thousandths = (si / unit.factor() * 1_000.0 + NOISE).floor();
        Self {
            thousandths: whole(thousandths),
            unit,
        }
    }

    fn stepped(si: f64, unit: Unit, round: fn(f64) -> f64) -> Self {
        let thousandths = si / unit.factor() * 1_000.0;
        let steps = steps(unit);
        let fine = steps.iter().rev();
        let mut fine = fine.filter(|step| f64::from(**step) <= thousandths * FINE);
        let step = *fine.next().unwrap_or(&steps[0]);
        let count = round(thousandths / f64::from(step));
        Self {
            thousandths: whole(count).saturating_mul(step.into()),
            unit,
        }
    }

    /// The smaller of two in the same unit.
    #[must_use]
    pub fn or_less(self, most: Self) -> Self {
        Self {
            thousandths: self.thousandths.min(most.thousandths),
            ..self
        }
    }

    /// So many of it.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        Self {
            thousandths: self.thousandths.saturating_mul(count.into()),
            ..self
        }
    }

    /// Both, in the same unit.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            thousandths: self.thousandths.saturating_add(other.thousandths),
            ..self
        }
    }

    /// What is left of it beside whole multiples of so many units.
    #[must_use]
    pub const fn less_whole(self, units: u64) -> Self {
        Self {
            thousandths: self.thousandths % (units * 1_000),
            ..self
        }
    }

    /// Whether it is nothing.
    pub const fn is_zero(self) -> bool {
        self.thousandths == 0
    }

    /// The number of thousandths of the unit.
    pub const fn thousandths(self) -> u64 {
        self.thousandths
    }

    /// The value in its unit.
    #[expect(
        clippy::cast_precision_loss,
        reason = "what fits in a tank is far below 2^53 thousandths"
    )]
    pub fn value(self) -> f64 {
        self.thousandths as f64 / 1_000.0
    }

    /// The value in SI units.
    pub fn si(self) -> f64 {
        self.value() * self.unit.factor()
    }
}

/// A whole number of steps, or of loads.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole numbers; what is negative or no number becomes nothing, what is too large the largest"
)]
pub(super) const fn whole(number: f64) -> u64 {
    number as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_product_is_rounded_down_and_water_up() {
        let of = |value: f64, unit: Unit| value * unit.factor();
        for (value, unit, down, up) in [
            (5.12, Unit::FLUID_OUNCE, 5_100, 5_200),
            (0.04, Unit::FLUID_OUNCE, 0, 100),
            (40.77, Unit::FLUID_OUNCE, 40_600, 40_800),
            (64.98, Unit::FLUID_OUNCE, 64_500, 65_000),
            (5.1, Unit::FLUID_OUNCE, 5_100, 5_100),
            (1_440.0, Unit::FLUID_OUNCE, 1_440_000, 1_440_000),
            (1_999.0, Unit::MILLILITER, 1_990_000, 2_000_000),
            (56.27, Unit::GALLON, 56_000, 56_500),
            (412.3, Unit::LITER, 412_000, 414_000),
        ] {
            let si = of(value, unit);
            assert_eq!(
                Measured::at_most(si, unit).thousandths(),
                down,
                "{value} {unit}"
            );
            assert_eq!(
                Measured::at_least(si, unit).thousandths(),
                up,
                "{value} {unit}"
            );
        }
    }
}
