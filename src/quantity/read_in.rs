//! The units that a jug, a scale and a tank are read in, for amounts that are written in any unit.
//!
//! Stays within the system that somebody writes in: US, imperial or SI; a liquid stays a liquid, a weight a weight.

use super::dimension::{Dimension, Kind};
use super::unit::Unit;

const US_VOLUMES: [Unit; 4] = [
    Unit::FLUID_OUNCE,
    Unit::of("pt"),
    Unit::of("qt"),
    Unit::GALLON,
];

const IMPERIAL_VOLUMES: [Unit; 4] = [
    Unit::IMPERIAL_FLUID_OUNCE,
    Unit::of("imp pt"),
    Unit::of("imp qt"),
    Unit::IMPERIAL_GALLON,
];

impl Unit {
    /// Ounces by weight.
    pub const WEIGHT_OUNCE: Self = Self::of("wt oz");
    /// Grams.
    pub const GRAM: Self = Self::of("g");
    /// Kilograms.
    pub const KILOGRAM: Self = Self::of("kg");

    /// What a jug or a scale is read in, for an amount in this unit; none where it is neither a volume nor a weight.
    pub fn of_jug_or_scale(self) -> Option<Self> {
        match self.dimension() {
            Dimension::Plain(Kind::Volume) if US_VOLUMES.contains(&self) => Some(Self::FLUID_OUNCE),
            Dimension::Plain(Kind::Volume) if IMPERIAL_VOLUMES.contains(&self) => {
                Some(Self::IMPERIAL_FLUID_OUNCE)
            }
            Dimension::Plain(Kind::Volume) => Some(Self::MILLILITER),
            Dimension::Plain(Kind::Mass) if [Self::POUND, Self::WEIGHT_OUNCE].contains(&self) => {
                Some(Self::WEIGHT_OUNCE)
            }
            Dimension::Plain(Kind::Mass) => Some(Self::GRAM),
            Dimension::Plain(_) | Dimension::Per(..) => None,
        }
    }

    /// The larger unit that ounces are counted up to, and how many make one; none of other units.
    pub fn counted_up(self) -> Option<(Self, u64)> {
        let larger = match self {
            Self::FLUID_OUNCE => Self::GALLON,
            Self::IMPERIAL_FLUID_OUNCE => Self::IMPERIAL_GALLON,
            Self::WEIGHT_OUNCE => Self::POUND,
            _ => return None,
        };
        let times = larger.exact_factor() / self.exact_factor();
        Some((larger, u64::try_from(times.to_integer()).ok()?))
    }

    /// What a tank is filled by, for a volume in this unit.
    #[must_use]
    pub fn of_tank(self) -> Self {
        match self.of_jug_or_scale() {
            Some(Self::FLUID_OUNCE) => Self::GALLON,
            Some(Self::IMPERIAL_FLUID_OUNCE) => Self::IMPERIAL_GALLON,
            _ => Self::LITER,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_system_keeps_its_jug_its_scale_and_its_tank() {
        for (written, jug, tank) in [
            ("fl oz", "fl oz", "gal"),
            ("pt", "fl oz", "gal"),
            ("gal", "fl oz", "gal"),
            ("imp pt", "imp fl oz", "imp gal"),
            ("L", "mL", "L"),
            ("cL", "mL", "L"),
        ] {
            let unit = Unit::of(written);
            assert_eq!(unit.of_jug_or_scale().unwrap().to_string(), jug);
            assert_eq!(unit.of_tank().to_string(), tank);
        }
        for (written, scale) in [("lb", "wt oz"), ("wt oz", "wt oz"), ("kg", "g"), ("g", "g")] {
            let unit = Unit::of(written).of_jug_or_scale().unwrap();
            assert_eq!(unit.to_string(), scale);
        }
        assert_eq!(Unit::MPH.of_jug_or_scale(), None);
        for (ounce, larger, times) in [
            (Unit::FLUID_OUNCE, Unit::GALLON, 128),
            (Unit::IMPERIAL_FLUID_OUNCE, Unit::IMPERIAL_GALLON, 160),
            (Unit::WEIGHT_OUNCE, Unit::POUND, 16),
        ] {
            assert_eq!(ounce.counted_up(), Some((larger, times)));
        }
        assert_eq!(Unit::GRAM.counted_up(), None);
    }
}
