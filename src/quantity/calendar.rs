//! Periods of the calendar: so many months or days after a date.
//!
//! Months are no fixed time: they are counted from the anchor, and where the month is too short the
//! period ends on its last day (EU Regulation 1182/71, article 3(2)(c)). Knows no clock.

use super::dimension::{Dimension, Kind};
use super::exact::Exact;
use super::reading::Quantity;
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
        let whole = |value: Exact| {
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

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn period(text: &str) -> Option<Period> {
        Period::from_quantity(&Quantity::parse(text, &[]).unwrap())
    }

    #[test]
    fn months_end_on_the_last_day_of_a_month_that_is_too_short() {
        for (anchor, months, end) in [
            // EU Regulation 1182/71, article 3(2)(c), as restated: from the anchor, clamped.
            (date(2024, 1, 31), 1, date(2024, 2, 29)),
            (date(2024, 2, 29), 12, date(2025, 2, 28)),
            (date(2023, 8, 31), 6, date(2024, 2, 29)),
            (date(2024, 12, 31), 2, date(2025, 2, 28)),
            // From the anchor, not from month to month.
            (date(2024, 1, 31), 2, date(2024, 3, 31)),
            (date(2026, 3, 9), 12, date(2027, 3, 9)),
            (date(2026, 3, 9), 0, date(2026, 3, 9)),
        ] {
            assert_eq!(
                months_after(anchor, months),
                Some(end),
                "{anchor} + {months}"
            );
        }
        assert_eq!(months_after(date(9999, 12, 1), 1), None);
        assert_eq!(months_after(date(2026, 1, 1), u32::MAX), None);
    }

    #[test]
    fn periods_are_whole_months_or_days() {
        for (text, is) in [
            ("12 months", Some(Period::Months(12))),
            ("1 year", Some(Period::Months(12))),
            ("1.5 years", Some(Period::Months(18))),
            ("0.1 years", None),
            ("90 days", Some(Period::Days(90))),
            ("6 weeks", Some(Period::Days(42))),
            ("48 h", Some(Period::Days(2))),
            ("50 h", None),
            ("-1 days", None),
            ("50 psi", None),
        ] {
            assert_eq!(period(text), is, "{text}");
        }
        assert_eq!(
            period("6 weeks").unwrap().after(date(2026, 3, 9)),
            Some(date(2026, 4, 20))
        );
    }
}
