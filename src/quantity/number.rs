//! Why a text is no decimal number, in words.
//!
//! Nothing here becomes a value: a reading that had to be guessed is no reading. The guess goes into
//! the help, for a person to take.

use super::decimal::Decimal;
use super::problem::DecimalProblem;
use super::slip;
use super::spelled::is_unit;
use std::ops::Range;

/// Why a text is no decimal number, and which bytes of it are at fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DecimalFault {
    /// What is wrong.
    pub problem: DecimalProblem,
    /// The bytes at fault.
    pub part: Range<usize>,
    text: String,
    /// How it should probably be written, likeliest first; a time of day brings its unit along.
    meant: Vec<String>,
}

impl DecimalFault {
    /// The fault of a text that [`Decimal::parse`] does not read.
    pub(super) fn of(text: &str) -> Self {
        let trimmed = text.trim();
        let start = text.len() - text.trim_start().len();
        let mut fault = Self::of_whole(trimmed).unwrap_or_else(|| Self::of_odd_number(trimmed));
        fault.part = fault.part.start + start..fault.part.end + start;
        fault
    }

    /// The fault of a trimmed text that no number in it is to blame for.
    pub(super) fn of_whole(trimmed: &str) -> Option<Self> {
        slip::of_whole(trimmed).map(|(part, slip)| Self::new(trimmed, part, slip))
    }

    /// The fault of the number at the head of a trimmed text, which ends at [`slip::number_end`].
    pub(super) fn of_head(trimmed: &str, end: usize) -> Self {
        Self::new(trimmed, 0..end, slip::of_number(&trimmed[..end]))
    }

    /// The fault of a trimmed text in which two quantities mark a range.
    pub(super) fn of_range(trimmed: &str) -> Self {
        Self::new(
            trimmed,
            0..trimmed.len(),
            slip::Slip::unclear(DecimalProblem::FromTo),
        )
    }

    fn of_odd_number(trimmed: &str) -> Self {
        let end = slip::number_end(trimmed);
        let (number, rest) = trimmed.split_at(end);
        let (part, slip) = match Decimal::plain(number) {
            _ if end == trimmed.len() => (0..end, slip::of_number(number)),
            Some(decimal) if is_unit(rest) => (
                trimmed.len() - rest.trim_start().len()..trimmed.len(),
                slip::Slip::meaning(DecimalProblem::HasUnit, decimal.to_string()),
            ),
            Some(_) | None => (
                0..trimmed.len(),
                slip::Slip::unclear(DecimalProblem::NotANumber),
            ),
        };
        Self::new(trimmed, part, slip)
    }

    fn new(text: &str, part: Range<usize>, slip: slip::Slip) -> Self {
        Self {
            problem: slip.problem,
            part,
            text: text.to_owned(),
            meant: slip.meant,
        }
    }

    /// What is wrong, on one line.
    pub fn message(&self) -> String {
        if self.problem == DecimalProblem::Empty {
            return "the value is empty; a number is needed".to_owned();
        }
        format!("{} {}", quoted(&self.text), self.problem.predicate())
    }

    /// How to write it, beginning with a verb.
    pub fn help(&self) -> String {
        self.help_with("")
    }

    /// The same for a number with a unit behind it.
    pub(super) fn help_with(&self, unit: &str) -> String {
        use DecimalProblem as Problem;
        let written = |number: &String| match unit {
            "" => quoted(number),
            unit => quoted(&format!("{number} {unit}")),
        };
        match (self.problem, self.meant.as_slice()) {
            (Problem::ThousandOrDecimalComma, [thousands, decimal]) => {
                format!(
                    "write {} for thousands, or {} for a decimal",
                    written(thousands),
                    written(decimal)
                )
            }
            (Problem::EndsInPoint, [whole, tenths]) => {
                format!(
                    "write {} or {}, with the digits that were read",
                    written(whole),
                    written(tenths)
                )
            }
            (Problem::ClockTime, [minutes, hours]) => {
                format!(
                    "write `{minutes}` for minutes and seconds, or `{hours}` for hours and minutes"
                )
            }
            (Problem::ClockTime, [time]) => format!("write `{time}`"),
            (Problem::Fraction, [decimal]) => {
                format!("write a decimal, as in {}", written(decimal))
            }
            (Problem::Approximate, [reading]) => {
                format!("write the reading alone: {}", written(reading))
            }
            (Problem::HasUnit, [reading]) => {
                format!("write the number alone: {}", written(reading))
            }
            (Problem::NotFinite, _) => {
                "write the number that was read, or leave the line out".to_owned()
            }
            (Problem::FromTo | Problem::TwoNumbers, _) => {
                "write the one number that was read or set".to_owned()
            }
            (Problem::TooManyDigits, _) => "write the digits that the instrument shows".to_owned(),
            (Problem::Invisible, _) => "type it anew, without copying".to_owned(),
            (_, [number]) => format!("write {}", written(number)),
            (_, _) => "write the number in digits with a decimal point, as in `36.5`".to_owned(),
        }
    }
}

/// A text between backticks, on one line and short enough for a message.
pub(super) fn quoted(text: &str) -> String {
    const MOST: usize = 32;
    let mut line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some((cut, _)) = line.char_indices().nth(MOST) {
        line.truncate(cut);
        line.push('\u{2026}');
    }
    format!("`{line}`")
}
