//! A reading as written: a decimal and its unit.

use super::decimal::Decimal;
use super::dimension::Dimension;
use super::exact::Exact;
use super::unit::Unit;
use std::fmt;

/// A reading: the decimal as written and its unit.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Quantity {
    /// The number, with the digits that were written.
    pub decimal: Decimal,
    /// The unit.
    pub unit: Unit,
}

impl Quantity {
    /// A plain whole number.
    pub const fn whole(n: u32) -> Self {
        Self {
            decimal: Decimal::whole(n),
            unit: Unit::ONE,
        }
    }

    /// The value in SI units; in months where it is a period of the calendar.
    pub fn si(&self) -> f64 {
        self.decimal.to_f64() * self.unit.factor()
    }

    /// The same as [`Quantity::si`], as an exact fraction.
    pub fn exact(&self) -> Exact {
        let (number, factor) = (self.decimal.to_exact(), self.unit.exact_factor());
        if number.is_integer() && factor.is_integer() {
            // Nothing to reduce, which is most of the work otherwise.
            return Exact::from_integer(number.numer() * factor.numer());
        }
        number * factor
    }

    /// Whether both have the very same value, however they are written.
    pub fn has_value_of(&self, other: &Self) -> bool {
        if self.unit == other.unit {
            self.decimal.in_last_places() == other.decimal.in_last_places()
        } else {
            self.dimension() == other.dimension() && self.exact() == other.exact()
        }
    }

    /// One unit of the last digit written, in SI units.
    pub fn resolution(&self) -> f64 {
        self.decimal.resolution() * self.unit.factor()
    }

    /// The same in its unit times a positive ratio; none where no decimal is that large.
    pub fn scaled(&self, ratio: f64) -> Option<Self> {
        Some(Self {
            decimal: self.decimal.scaled(ratio)?,
            unit: self.unit,
        })
    }

    /// A value in SI units, in `unit`.
    pub fn in_unit(value_si: f64, unit: Unit) -> f64 {
        value_si / unit.factor()
    }

    /// What it measures.
    pub fn dimension(&self) -> Dimension {
        self.unit.dimension()
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.unit.behind(&self.decimal.to_string()))
    }
}
