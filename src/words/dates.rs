//! Dates as they are written and read: year, month, day.

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

/// Reads a date written year-month-day, and nothing else.
///
/// # Errors
///
/// The fault says what is wrong and how to write the date that was probably meant.
pub fn parse_date(text: &str) -> Result<Date, DateFault> {
    let bytes = text.as_bytes();
    let has_shape = bytes.len() == 10
        && bytes.iter().enumerate().all(|(at, byte)| match at {
            4 | 7 => *byte == b'-',
            _ => byte.is_ascii_digit(),
        });
    text.parse()
        .ok()
        .filter(|_| has_shape)
        .ok_or_else(|| DateFault {
            message: format!("`{text}` is no date"),
            help: "write the date as year-month-day, as in `2026-03-09`".to_owned(),
        })
}
