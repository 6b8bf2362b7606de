//! A limit as written, and on which side of it a value lies.

use crate::figure::ShownAs;
use crate::outcome::Side;
use crate::quantity::calendar::Period;
use crate::quantity::dimension::Dimension;
use crate::quantity::fault::QuantityFault;
use crate::quantity::{Exact, Quantity};
use crate::source::Place;
use jiff::civil::Date;
use num_traits::{Signed, ToPrimitive, Zero};

/// A limit with where it was set.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What it bounds.
    pub bound: Bound,
    /// Where it was set, where that is a file of the fleet.
    pub set_at: Option<SetAt>,
}

/// Where a group set a limit, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAt {
    /// The limit in its file.
    pub place: Place,
    /// Its reason.
    pub because: Option<String>,
    /// For what it holds, in words: `the fleet`, `machine heron`.
    pub scope: String,
}

/// What a limit bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// The value, either way, may be this at most.
    AtMost(Quantity),
    /// The value must be this at least.
    AtLeast(Quantity),
    /// Anything above none is beyond it.
    Any,
    /// The value must be beyond its own uncertainty: told from none.
    Told,
    /// The grade is switched off.
    Off,
}

/// Why a text is no limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LimitFault {
    /// It is no quantity of the figure's dimension.
    Quantity(QuantityFault),
    /// It lies below zero, where no limit can: at most so much would break always, at least so much never.
    BelowZero(String),
}

impl LimitFault {
    /// What is wrong, on one line.
    pub fn message(&self) -> String {
        match self {
            Self::Quantity(fault) => fault.message().to_owned(),
            Self::BelowZero(written) => format!("`{written}` is below zero"),
        }
    }

    /// What to write, beginning with a verb.
    pub fn help(&self) -> &str {
        match self {
            Self::Quantity(fault) => fault.help(),
            Self::BelowZero(_) => "write the limit without a sign, or none to switch the grade off",
        }
    }
}

/// Values within this share of a limit are compared exactly.
const NEAR: f64 = 1e-9;

impl Bound {
    /// Reads a limit of a figure shown in this way.
    ///
    /// # Errors
    /// Where it is neither `any`, `none`, nor a quantity of the figure's dimension that is not below zero.
    pub fn parse(text: &str, shown_as: ShownAs) -> Result<Self, LimitFault> {
        let quantity = |text: &str| match Quantity::parse(text.trim(), shown_as.dimensions()) {
            Ok(quantity) if quantity.si() < 0.0 => Err(LimitFault::BelowZero(quantity.to_string())),
            Ok(quantity) => Ok(quantity),
            Err(fault) => Err(LimitFault::Quantity(fault)),
        };
        Ok(match text.trim() {
            "any" => Self::Any,
            "none" => Self::Off,
            "told from none" => Self::Told,
            other => match (
                other.strip_prefix("at least "),
                other.strip_prefix("at most "),
            ) {
                (Some(least), _) => Self::AtLeast(quantity(least)?),
                (None, Some(most)) => Self::AtMost(quantity(most)?),
                (None, None) => Self::AtMost(quantity(other)?),
            },
        })
    }

    /// The limit in SI units; a limit in months counts from its anchor.
    fn exact(&self, anchor: Option<Date>) -> Option<Exact> {
        match self {
            Self::AtMost(quantity) | Self::AtLeast(quantity) => {
                match (Period::from_quantity(quantity), anchor) {
                    (Some(period @ Period::Months(_)), Some(anchor)) => {
                        let days = period.after(anchor)?.since(anchor).ok()?.get_days();
                        Some(Exact::from_integer((i64::from(days) * 86_400).into()))
                    }
                    (Some(Period::Months(_)), None) => None,
                    (Some(Period::Days(_)) | None, _) => Some(quantity.exact()),
                }
            }
            Self::Any => Some(Exact::zero()),
            Self::Told | Self::Off => None,
        }
    }

    /// The same in floating point, which is enough for all values that do not lie near it.
    fn si(&self, anchor: Option<Date>) -> Option<f64> {
        match self {
            Self::AtMost(quantity) | Self::AtLeast(quantity)
                if quantity.dimension() != Dimension::CALENDAR =>
            {
                Some(quantity.si())
            }
            Self::AtMost(_) | Self::AtLeast(_) => self.exact(anchor)?.to_f64(),
            Self::Any => Some(0.0),
            Self::Told | Self::Off => None,
        }
    }

    /// On which side of the limit a value lies, and how far from it; a tie keeps the limit.
    ///
    /// `expanded` is asked only where the limit is about the uncertainty, `exact` only where floating
    /// point cannot tell. None where the limit is switched off.
    pub fn side(
        &self,
        value: f64,
        expanded: impl FnOnce() -> f64,
        anchor: Option<Date>,
        exact: impl FnOnce() -> Option<Exact>,
    ) -> Option<(Side, f64)> {
        if *self == Self::Told {
            let told = expanded() < value.abs();
            let side = if told { Side::Within } else { Side::Over };
            return Some((side, f64::INFINITY)); // It is about the uncertainty, so never within it.
        }
        let at = self.si(anchor)?;
        let (value, is_lower) = match self {
            Self::AtLeast(_) => (value, true),
            Self::AtMost(_) | Self::Any | Self::Told | Self::Off => (value.abs(), false),
        };
        let distance = (value - at).abs();
        // Readings have 15 digits at most, so what is nothing in floating point is nothing.
        let is_nothing = *self == Self::Any && value <= 0.0;
        let near = !is_nothing && distance <= NEAR * at.abs().max(1.0);
        let over = match near.then(|| exact().zip(self.exact(anchor))).flatten() {
            Some((exact, limit)) if is_lower => exact < limit,
            Some((exact, limit)) => exact.abs() > limit,
            None if is_lower => value < at,
            None => at < value,
        };
        Some((if over { Side::Over } else { Side::Within }, distance))
    }

    /// The limit in the unit it was written in, and that of values compared with it.
    pub fn quantity(&self) -> Option<&Quantity> {
        match self {
            Self::AtMost(quantity) | Self::AtLeast(quantity) => Some(quantity),
            Self::Any | Self::Told | Self::Off => None,
        }
    }

    /// Whether it bounds anything: it is not switched off.
    pub fn is_in_force(&self) -> bool {
        !matches!(self, Self::Off)
    }

    /// The most that keeps it, in SI units, where it is about the value alone: none for a limit that allows none.
    pub fn most(&self) -> Option<Exact> {
        match self {
            Self::AtMost(quantity) => Some(quantity.exact()),
            Self::Any => Some(Exact::zero()),
            Self::AtLeast(_) | Self::Told | Self::Off => None,
        }
    }

    /// As written: `10%`, `12 months`, `none` for a limit that allows none.
    pub fn in_words(&self) -> String {
        match self {
            Self::AtMost(quantity) | Self::AtLeast(quantity) => quantity.to_string(),
            Self::Any => "none".to_owned(),
            Self::Told => "its uncertainty".to_owned(),
            Self::Off => "no limit".to_owned(),
        }
    }

    /// The most it allows either way, in SI units; none where it bounds otherwise.
    pub fn widest(&self) -> Option<f64> {
        match self {
            Self::AtMost(quantity) => Some(quantity.si()),
            Self::AtLeast(_) | Self::Any | Self::Told | Self::Off => None,
        }
    }

    /// With its direction: `at most 10%`, `at least 100 ft`, `none allowed`.
    pub fn in_full(&self) -> String {
        match self {
            Self::AtMost(quantity) => format!("at most {quantity}"),
            Self::AtLeast(quantity) => format!("at least {quantity}"),
            Self::Any => "none allowed".to_owned(),
            Self::Told => "beyond its own uncertainty".to_owned(),
            Self::Off => "no limit".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn side(limit: &str, value: f64, exact: Option<(i64, i64)>) -> Side {
        let shown_as = if limit.contains('s') {
            ShownAs::Seconds
        } else {
            ShownAs::Percent
        };
        let bound = Bound::parse(limit, shown_as).unwrap();
        let exact = exact.map(|(n, d)| Exact::new(n.into(), d.into()));
        bound.side(value, || 0.0, None, || exact).unwrap().0
    }

    #[test]
    fn a_value_at_the_limit_keeps_it_exactly() {
        // JCGM 106:2012: a value at the limit conforms. 1.26 / 1.2 - 1 is 0.05 and more in binary.
        let off = 1.26 / 1.2 - 1.0;
        assert!(0.05 < off);
        assert_eq!(side("5%", off, Some((1, 20))), Side::Within);
        assert_eq!(side("5%", off, None), Side::Over);
        assert_eq!(side("5%", -0.05, Some((-1, 20))), Side::Within);
        assert_eq!(side("5%", 0.050_000_1, None), Side::Over);
        assert_eq!(side("at least 20 s", 19.0, None), Side::Over);
        assert_eq!(side("at least 20 s", 20.0, Some((20, 1))), Side::Within);
    }

    #[test]
    fn months_count_from_the_anchor() {
        let year = Bound::parse("12 months", ShownAs::Days).unwrap();
        let from = |date: &str| Some(date.parse().unwrap());
        let days = |n: f64| n * 86_400.0;
        let exactly = |n: i64| move || Some(Exact::from_integer((n * 86_400).into()));
        // 2024-02-29 + 12 months = 2025-02-28 (metrology: clamped to the month's end), 365 days.
        let (side, _) = year
            .side(days(365.0), || 0.0, from("2024-02-29"), exactly(365))
            .unwrap();
        assert_eq!(side, Side::Within);
        let (side, _) = year
            .side(days(366.0), || 0.0, from("2024-02-29"), exactly(366))
            .unwrap();
        assert_eq!(side, Side::Over);
        // 2023-03-01 + 12 months = 2024-03-01, 366 days.
        let (side, _) = year
            .side(days(366.0), || 0.0, from("2023-03-01"), exactly(366))
            .unwrap();
        assert_eq!(side, Side::Within);
    }

    #[test]
    fn a_limit_has_the_dimension_of_its_figure() {
        assert!(Bound::parse("10 psi", ShownAs::Percent).is_err());
        assert!(Bound::parse("10", ShownAs::Percent).is_err());
        for below_zero in ["-5%", "at most -5%", "at least -0.1%", "\u{2212}5%"] {
            let fault = Bound::parse(below_zero, ShownAs::Percent).unwrap_err();
            assert!(fault.message().ends_with("is below zero"), "{below_zero}");
        }
        assert!(Bound::parse("0%", ShownAs::Percent).is_ok());
        assert_eq!(Bound::parse("any", ShownAs::Count).unwrap(), Bound::Any);
        assert_eq!(Bound::parse("none", ShownAs::Count).unwrap(), Bound::Off);
    }
}
