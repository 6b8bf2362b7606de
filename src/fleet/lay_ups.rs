//! The days on which a machine is laid up: the calendar of its calibration stands still.

use crate::record::machine::LaidUp;
use jiff::ToSpan;
use jiff::civil::Date;

/// The days on which a machine is laid up.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LayUps {
    /// First and last days, earliest first; no two meet.
    periods: Vec<(Date, Date)>,
}

impl LayUps {
    /// The days of all lay-ups; a day in two of them is one.
    pub fn of(laid_up: &[LaidUp]) -> Self {
        let mut all: Vec<(Date, Date)> = laid_up
            .iter()
            .map(|one| (one.from.value, one.to.value))
            .collect();
        all.sort_unstable();
        let mut periods: Vec<(Date, Date)> = Vec::new();
        for (from, to) in all {
            match periods.last_mut() {
                Some((_, last)) if from <= next_day(*last) => *last = to.max(*last),
                _ => periods.push((from, to)),
            }
        }
        Self { periods }
    }

    /// Those in which none of these days lies: nobody knows from when a machine that sprayed was laid up.
    #[must_use]
    pub fn without(&self, days: impl Iterator<Item = Date>) -> Self {
        let mut periods = self.periods.clone();
        for day in days {
            let next = periods.partition_point(|(from, _)| *from <= day);
            if let Some(at) = next.checked_sub(1).filter(|&at| day <= periods[at].1) {
                periods.remove(at);
            }
        }
        Self { periods }
    }

    /// The lay-up that a day is in: its first and its last day.
    pub fn on(&self, day: Date) -> Option<(Date, Date)> {
        let mut periods = self.periods.iter();
        periods
            .find(|(from, to)| *from <= day && day <= *to)
            .copied()
    }

    /// How many days count from one day to another: those after the first, up to the last, that are not laid up.
    pub fn days_that_count(&self, from: Date, to: Date) -> u32 {
        days(from, to) - self.days_laid_up(from, to)
    }

    /// How many of the days after one day and up to another are laid up.
    pub fn days_laid_up(&self, from: Date, to: Date) -> u32 {
        let laid_up = self.periods.iter().map(|&(first, last)| {
            let before_first = first.yesterday().unwrap_or(Date::MIN);
            days(before_first.max(from), last.min(to))
        });
        laid_up.sum()
    }

    /// The last day on which no more than so many days that count are gone since a day; none past the last year.
    pub fn last_day(&self, since: Date, count: u32) -> Option<Date> {
        let mut last = since.checked_add(i64::from(count).days()).ok()?;
        for &(first, end) in self.periods.iter().filter(|(_, end)| since < *end) {
            if next_day(last) < first {
                break;
            }
            let first = first.max(next_day(since));
            let laid_up = days(first, end) + 1;
            last = last.checked_add(i64::from(laid_up).days()).ok()?;
        }
        Some(last)
    }
}

/// The days from one day to another; none where that is earlier.
fn days(from: Date, to: Date) -> u32 {
    let days = to.since(from).map_or(0, |span| span.get_days());
    u32::try_from(days).unwrap_or(0)
}

fn next_day(day: Date) -> Date {
    day.tomorrow().unwrap_or(Date::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn lay_ups(periods: &[(Date, Date)]) -> LayUps {
        use crate::source::{Span, Spanned};
        let span = Span::new(0, 0);
        let spanned = |value| Spanned { value, span };
        let all: Vec<LaidUp> = periods
            .iter()
            .map(|&(from, to)| LaidUp {
                span,
                from: spanned(from),
                to: spanned(to),
            })
            .collect();
        LayUps::of(&all)
    }

    /// Every day by itself, over two winters, one of them written in two parts that overlap.
    #[test]
    fn days_are_those_counted_one_by_one() {
        let winters = lay_ups(&[
            (date(2026, 12, 24), date(2027, 1, 10)),
            (date(2025, 12, 1), date(2026, 1, 31)),
            (date(2026, 12, 20), date(2026, 12, 31)),
            (date(2027, 1, 11), date(2027, 1, 12)),
        ]);
        let is_laid_up = |day: Date| {
            (date(2025, 12, 1) <= day && day <= date(2026, 1, 31))
                || (date(2026, 12, 20) <= day && day <= date(2027, 1, 12))
        };
        let all: Vec<Date> = date(2025, 11, 20)
            .series(1.day())
            .take_while(|day| *day <= date(2027, 2, 10))
            .collect();
        for (at, from) in all.iter().enumerate().step_by(7) {
            let mut counted = 0;
            for to in &all[at..] {
                counted += u32::from(to != from && !is_laid_up(*to));
                assert_eq!(winters.days_that_count(*from, *to), counted, "{from} {to}");
                assert_eq!(winters.on(*to).is_some(), is_laid_up(*to), "{to}");
                let last = winters.last_day(*from, counted).unwrap();
                assert!(*to <= last, "{from} {to} {last}");
                assert_eq!(winters.days_that_count(*from, last), counted, "{from} {to}");
                let next = last.tomorrow().unwrap();
                assert_eq!(
                    winters.days_that_count(*from, next),
                    counted + 1,
                    "{from} {to}"
                );
            }
        }
        assert_eq!(winters.last_day(Date::MAX, 1), None);
        assert_eq!(
            winters.on(date(2026, 12, 25)),
            Some((date(2026, 12, 20), date(2027, 1, 12)))
        );
    }
}
