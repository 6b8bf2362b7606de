//! Periods of the calendar: so many months or days after a date.
//!
//! Months are no fixed time: they are counted from the anchor, and where the month is too short the
//! period ends on its last day (EU Regulation 1182/71, article 3(2)(c)). Knows no clock.

use super::Quantity;
use super::dimension::{Dimension, Kind};
use jiff::Span;
use jiff::civil::Date;
use num_traits::ToPrimitive;

/// A period in whole months or whole days.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Period {
    /// Months, counted in the calendar.
    Months(u32),
    /// Days.
    Days(u32),
}

impl Period {
    /// The period a quantity states: months and years, or days and weeks.
    ///
    /// `None` where it is no whole number of months or days, and where it measures something else.
    pub fn from_quantity(quantity: &Quantity) -> Option<Self> {
        let whole = |value: super::Exact| {
            value
                .is_integer()
                .then(|| value.to_integer().to_u32())
                .flatten()
        };
        match quantity.dimension() {
            Dimension::Plain(Kind::Calendar) => whole(quantity.exact()).map(Self::Months),
            Dimension::Plain(Kind::Time) => {
                whole(quantity.exact() / super::unit::Unit::DAY.exact_factor()).map(Self::Days)
            }
            Dimension::Plain(_) | Dimension::Per(_, _) => None,
        }
    }

    /// The date on which a period that begins on `anchor` ends; `None` past the calendar's last year.
    pub fn after(self, anchor: Date) -> Option<Date> {
        let span = match self {
            Self::Months(months) => Span::new().try_months(months),
            Self::Days(days) => Span::new().try_days(days),
        };
        anchor.checked_add(span.ok()?).ok()
    }
}

/// The date `months` months after `anchor`, on the last day of the month where that is too short.
pub fn months_after(anchor: Date, months: u32) -> Option<Date> {
    Period::Months(months).after(anchor)
}
