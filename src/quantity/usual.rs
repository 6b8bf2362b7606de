//! Which units a field is usually written in, and how large its numbers are in each.
//!
//! For what a message proposes, and for nothing else: no quantity is refused for its size.

use super::decimal::Decimal;
use super::dimension::Dimension;
use super::spelled::{is_wanted, known};
use super::unit::Unit;

/// A unit that people write in a field, with the numbers that are usual there.
#[derive(Clone, Copy, Debug)]
pub struct Usual {
    /// The unit, as it is printed.
    pub unit: &'static str,
    /// The least number of it.
    pub least: f64,
    /// The greatest.
    pub most: f64,
}

impl Usual {
    /// A unit with its least and its greatest usual number.
    pub const fn new(unit: &'static str, least: f64, most: f64) -> Self {
        Self { unit, least, most }
    }

    /// The unit, where it is of a wanted dimension.
    pub fn unit(&self, wanted: &[Dimension]) -> Option<Unit> {
        known(self.unit)
            .ok()
            .filter(|unit| is_wanted(*unit, wanted))
    }
}

/// The units of one field that are of a wanted dimension, with the sizes that are usual there.
pub(super) struct Sizes(Vec<(Unit, f64, f64)>);

impl Sizes {
    pub(super) fn of(usual: &[Usual], wanted: &[Dimension]) -> Self {
        let rows = usual.iter();
        let rows = rows.filter_map(|row| Some((row.unit(wanted)?, row.least, row.most)));
        Self(rows.collect())
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Every unit.
    pub(super) fn units(&self) -> Vec<Unit> {
        self.0.iter().map(|(unit, _, _)| *unit).collect()
    }

    /// The units in which a number is usual.
    pub(super) fn units_for(&self, number: Decimal) -> Vec<Unit> {
        let number = number.to_f64().abs();
        let fitting = self.0.iter();
        let fitting = fitting.filter(|(_, least, most)| (*least..=*most).contains(&number));
        fitting.map(|(unit, _, _)| *unit).collect()
    }

    /// Whether so much of any unit is usual; without a number, whether its dimension is.
    pub(super) fn hold(&self, number: Option<Decimal>, unit: Unit) -> bool {
        let mut alike = self.0.iter();
        alike.any(|(usual, least, most)| {
            let in_usual = |number: Decimal| number.to_f64().abs() * unit.factor() / usual.factor();
            unit.dimension() == usual.dimension()
                && number.is_none_or(|number| (*least..=*most).contains(&in_usual(number)))
        })
    }
}
