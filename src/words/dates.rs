//! Dates as they are written and read: year, month, day.
//!
//! Knows no clock and judges no date.

use jiff::civil::Date;

/// A date as records have it: `2026-03-09`.
pub fn date(date: Date) -> String {
    format!("{:04}-{:02}-{:02}", date.year(), date.month(), date.day())
}

/// Why a text is no date.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DateFault {
    /// What is wrong, on one line.
    pub message: String,
    /// How to write it, beginning with a verb.
    pub help: String,
}

/// Reads a date written year-month-day with two digits for month and day, and nothing else.
///
/// # Errors
///
/// The fault says what is wrong and how to write the date that was probably meant.
///
/// ```
/// use swathlint::words::dates::parse_date;
///
/// assert!(parse_date("2026-03-09").is_ok());
/// let fault = parse_date("03/09/2026").unwrap_err();
/// assert_eq!(fault.help, "write `2026-03-09` or `2026-09-03`, whichever is meant");
/// ```
pub fn parse_date(text: &str) -> Result<Date, DateFault> {
    // The date library reads `20260309` and dates with a time as well: the shape comes first.
    let Some([year, month, day]) = in_shape(text) else {
        return Err(out_of_shape(text));
    };
    real(year, month, day).ok_or_else(|| unreal(year, month, day))
}

/// Year, month and day of a text in the one shape that is read; they need not make a date.
fn in_shape(text: &str) -> Option<[u16; 3]> {
    let bytes = text.as_bytes();
    let is_in_shape = bytes.len() == 10
        && bytes.iter().enumerate().all(|(at, byte)| match at {
            4 | 7 => *byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    let part = |from: usize, to: usize| text.get(from..to)?.parse().ok();
    is_in_shape
        .then(|| Some([part(0, 4)?, part(5, 7)?, part(8, 10)?]))
        .flatten()
}

fn real(year: u16, month: u16, day: u16) -> Option<Date> {
    Date::new(
        year.try_into().ok()?,
        month.try_into().ok()?,
        day.try_into().ok()?,
    )
    .ok()
}

/// The fault of a date in the right shape that no calendar has.
fn unreal(year: u16, month: u16, day: u16) -> DateFault {
    let text = format!("{year:04}-{month:02}-{day:02}");
    let first = real(year, month, 1);
    let swapped = real(year, day, month);
    let message = match first {
        Some(first) if day > 0 => {
            let (name, days) = (MONTHS[usize::from(month - 1)], first.days_in_month());
            format!("`{text}` does not exist: {name} {year} has {days} days")
        }
        Some(_) => format!("`{text}` does not exist: days count from 01"),
        None if month == 0 => format!("`{text}` does not exist: months count from 01"),
        None => format!("`{text}` does not exist: a year has 12 months"),
    };
    let help = match swapped {
        Some(swapped) if first.is_none() => format!(
            "write `{}`, if that is meant: the month comes first",
            date(swapped)
        ),
        Some(_) | None => {
            "write the day it was done as year-month-day, as in `2026-03-09`".to_owned()
        }
    };
    DateFault { message, help }
}

/// The fault of a text in any other shape.
fn out_of_shape(text: &str) -> DateFault {
    let meant = meant(text);
    let help = match meant.as_slice() {
        [] => "write the date as year-month-day, as in `2026-03-09`".to_owned(),
        [only] => format!("write `{}`", date(*only)),
        several => {
            let dates: Vec<String> = several
                .iter()
                .map(|day| format!("`{}`", date(*day)))
                .collect();
            format!("write {}, whichever is meant", dates.join(" or "))
        }
    };
    let shown: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let message = match shown.char_indices().nth(32) {
        _ if shown.is_empty() => "the value is empty; a date is needed".to_owned(),
        Some((cut, _)) => format!(
            "`{}\u{2026}` is not a date written year-month-day",
            &shown[..cut]
        ),
        None => format!("`{shown}` is not a date written year-month-day"),
    };
    DateFault { message, help }
}

/// The dates that a text in another shape may mean.
fn meant(text: &str) -> Vec<Date> {
    let words: Vec<&str> = text
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let number = |word: &str| word.parse::<u16>().ok();
    let is_year = |word: &str| word.len() == 4 && number(word).is_some();
    let orders: Vec<[Option<u16>; 3]> = match words.as_slice() {
        [run] if run.len() == 8 && run.is_ascii() => {
            vec![[number(&run[..4]), number(&run[4..6]), number(&run[6..])]]
        }
        // What follows a whole date is a time of day.
        [year, month, day, ..] if is_year(year) => {
            let day = day.split(['T', 't']).next().unwrap_or_default();
            vec![[number(year), month_of(month), number(day)]]
        }
        [one, other, year] if is_year(year) => {
            let month_first = [number(year), month_of(one), number(without_ordinal(other))];
            let day_first = [number(year), month_of(other), number(without_ordinal(one))];
            if text.contains('.') {
                vec![day_first, month_first]
            } else {
                vec![month_first, day_first]
            }
        }
        _ => Vec::new(),
    };
    let mut dates: Vec<Date> = orders
        .into_iter()
        .filter_map(|[year, month, day]| real(year?, month?, day?))
        .collect();
    dates.dedup();
    dates
}

/// A month by its number, name, or the first three letters of it or more.
fn month_of(word: &str) -> Option<u16> {
    let lower = word.to_lowercase();
    let named = MONTHS
        .iter()
        .zip(1..)
        .find(|(name, _)| lower.len() >= 3 && name.to_lowercase().starts_with(&lower));
    word.parse().ok().or(named.map(|(_, month)| month))
}

fn without_ordinal(day: &str) -> &str {
    ["st", "nd", "rd", "th"]
        .iter()
        .find_map(|ending| day.strip_suffix(ending))
        .unwrap_or(day)
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date as day;
    use proptest::prelude::*;

    #[test]
    fn a_date_is_year_month_day() {
        assert_eq!(parse_date("2026-03-09"), Ok(day(2026, 3, 9)));
        assert_eq!(parse_date("2024-02-29"), Ok(day(2024, 2, 29)));
        assert_eq!(date(day(2026, 3, 9)), "2026-03-09");
        assert_eq!(date(day(26, 3, 9)), "0026-03-09");
    }

    #[test]
    fn what_does_not_exist_says_why() {
        for (text, why, help) in [
            (
                "2026-02-29",
                "February 2026 has 28 days",
                "write the day it was done",
            ),
            (
                "2024-02-30",
                "February 2024 has 29 days",
                "write the day it was done",
            ),
            (
                "2026-04-31",
                "April 2026 has 30 days",
                "write the day it was done",
            ),
            (
                "2026-13-03",
                "a year has 12 months",
                "write `2026-03-13`, if that is meant",
            ),
            (
                "2026-13-32",
                "a year has 12 months",
                "write the day it was done",
            ),
            (
                "2026-00-10",
                "months count from 01",
                "write the day it was done",
            ),
            (
                "2026-10-00",
                "days count from 01",
                "write the day it was done",
            ),
        ] {
            let fault = parse_date(text).unwrap_err();
            assert_eq!(fault.message, format!("`{text}` does not exist: {why}"));
            assert!(fault.help.starts_with(help), "{text}: {}", fault.help);
        }
    }

    #[test]
    fn other_ways_to_write_it_are_told_how() {
        for (text, help) in [
            (
                "03/09/2026",
                "write `2026-03-09` or `2026-09-03`, whichever is meant",
            ),
            (
                "3/9/2026",
                "write `2026-03-09` or `2026-09-03`, whichever is meant",
            ),
            ("03/19/2026", "write `2026-03-19`"),
            ("19/03/2026", "write `2026-03-19`"),
            (
                "9.3.2026",
                "write `2026-03-09` or `2026-09-03`, whichever is meant",
            ),
            ("3/3/2026", "write `2026-03-03`"),
            ("2026/03/09", "write `2026-03-09`"),
            ("2026.03.09", "write `2026-03-09`"),
            ("2026-3-9", "write `2026-03-09`"),
            ("20260309", "write `2026-03-09`"),
            ("2026-03-09T10:15", "write `2026-03-09`"),
            ("2026-03-09 10:15:00", "write `2026-03-09`"),
            ("2026\u{2011}03\u{2011}09", "write `2026-03-09`"),
            (" 2026-03-09", "write `2026-03-09`"),
            ("9 March 2026", "write `2026-03-09`"),
            ("Mar 9, 2026", "write `2026-03-09`"),
            ("March 9th, 2026", "write `2026-03-09`"),
            ("2026-Mar-09", "write `2026-03-09`"),
            (
                "26-03-09",
                "write the date as year-month-day, as in `2026-03-09`",
            ),
            (
                "3/9/26",
                "write the date as year-month-day, as in `2026-03-09`",
            ),
            (
                "2026-W10-1",
                "write the date as year-month-day, as in `2026-03-09`",
            ),
            (
                "2026-02-30T10:00",
                "write the date as year-month-day, as in `2026-03-09`",
            ),
            (
                "today",
                "write the date as year-month-day, as in `2026-03-09`",
            ),
            ("", "write the date as year-month-day, as in `2026-03-09`"),
        ] {
            assert_eq!(parse_date(text).unwrap_err().help, help, "{text}");
        }
        assert_eq!(
            parse_date("").unwrap_err().message,
            "the value is empty; a date is needed"
        );
        assert_eq!(
            parse_date("soon").unwrap_err().message,
            "`soon` is not a date written year-month-day"
        );
    }

    proptest! {
        #[test]
        fn a_date_printed_is_read_again(days in 0_i32..80_000) {
            let date_of = day(1900, 1, 1).checked_add(jiff::Span::new().days(days)).unwrap();
            prop_assert_eq!(parse_date(&date(date_of)), Ok(date_of));
        }

        #[test]
        fn any_text_is_read_or_refused_on_one_line(text in any::<String>()) {
            if let Err(fault) = parse_date(&text) {
                prop_assert!(fault.message.chars().count() < 100 && !fault.message.contains('\n'));
                prop_assert!(fault.help.starts_with("write "));
            }
        }

        #[test]
        fn texts_like_dates_never_panic(text in r"[0-9]{0,5}[-/. T][0-9]{0,3}[-/. T]?[0-9]{0,5}") {
            let read = parse_date(&text);
            prop_assert_eq!(read.is_ok(), text.parse::<Date>().is_ok_and(|read| date(read) == text));
        }
    }
}
