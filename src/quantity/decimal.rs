//! A decimal number exactly as somebody wrote it.
//!
//! Computes nothing beyond its own value: 32.0 and 32 are different readings here, because the last
//! digit written says how finely the instrument was read.

use super::Exact;
use num_bigint::BigInt;
use std::fmt;
use std::ops::Range;

/// A decimal as written: its digits, its sign and how many digits stand after the point.
///
/// At most [`Decimal::MOST_DIGITS`] significant digits and as many decimal places: no instrument of the
/// trade shows more, and within that bound the value in binary is correctly rounded.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Decimal {
    negative: bool,
    digits: u64,
    places: u8,
}

impl Decimal {
    /// The most significant digits, and the most decimal places, that are read.
    pub const MOST_DIGITS: usize = 15;

    /// The whole number `n`, as if written without a point.
    pub const fn whole(n: u32) -> Self {
        Self {
            negative: false,
            digits: n as u64,
            places: 0,
        }
    }

    /// Reads a number written with digits, at most one point, and perhaps a sign.
    ///
    /// A leading point gets its zero (`.5` is 0.5) and a plus is dropped; everything else that people
    /// write for a number is refused.
    ///
    /// # Errors
    ///
    /// The fault says what is wrong and which bytes of `text` are.
    pub fn parse(text: &str) -> Result<Self, DecimalFault> {
        let (negative, unsigned, offset) = split_sign(text);
        let fault = |problem, part: Range<usize>| {
            Err(DecimalFault {
                problem,
                part: part.start + offset..part.end + offset,
            })
        };
        let all = 0..unsigned.len();
        let (whole, fraction) = match unsigned.split_once('.') {
            Some((_, "")) => return fault(DecimalProblem::EndsInPoint, all),
            Some((whole, fraction)) => (whole, fraction),
            None => (unsigned, ""),
        };
        let is_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        if unsigned.is_empty() || !is_digits(whole) || !is_digits(fraction) {
            return fault(DecimalProblem::NotANumber, all);
        }
        if whole.len() > 1 && whole.starts_with('0') {
            return fault(DecimalProblem::LeadingZero, all);
        }
        let significant = whole
            .bytes()
            .chain(fraction.bytes())
            .skip_while(|&byte| byte == b'0');
        if significant.clone().count() > Self::MOST_DIGITS || fraction.len() > Self::MOST_DIGITS {
            return fault(DecimalProblem::TooManyDigits, all);
        }
        let digits = significant.fold(0, |digits, byte| digits * 10 + u64::from(byte - b'0'));
        Ok(Self {
            negative,
            digits,
            places: fraction.bytes().fold(0, |places, _| places + 1),
        })
    }

    /// The value in binary, correctly rounded.
    #[expect(
        clippy::cast_precision_loss,
        reason = "at most 15 digits are below 2^53"
    )]
    pub fn to_f64(self) -> f64 {
        let magnitude = self.digits as f64 / self.scale() as f64;
        if self.negative { -magnitude } else { magnitude }
    }

    /// The value as an exact fraction.
    pub fn to_exact(self) -> Exact {
        let digits = BigInt::from(self.digits);
        let signed = if self.negative { -digits } else { digits };
        Exact::new(signed, BigInt::from(self.scale()))
    }

    /// How many digits stand after the point.
    pub const fn places(self) -> u8 {
        self.places
    }

    /// One unit of the last digit written: 0.1 for 32.0, 1 for 32.
    #[expect(
        clippy::cast_precision_loss,
        reason = "a power of ten up to 10^15 is exact in binary"
    )]
    pub fn resolution(self) -> f64 {
        1.0 / self.scale() as f64
    }

    /// Whether the value is zero, however it is written.
    pub const fn is_zero(self) -> bool {
        self.digits == 0
    }

    /// Whether the value is below zero; `-0` is not.
    pub const fn is_negative(self) -> bool {
        self.negative && self.digits != 0
    }

    const fn scale(self) -> u64 {
        10_u64.pow(self.places as u32)
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.negative { "-" } else { "" };
        let width = usize::from(self.places);
        let (whole, fraction) = (self.digits / self.scale(), self.digits % self.scale());
        match width {
            0 => write!(formatter, "{sign}{whole}"),
            _ => write!(formatter, "{sign}{whole}.{fraction:0width$}"),
        }
    }
}

fn split_sign(text: &str) -> (bool, &str, usize) {
    for (sign, negative) in [("-", true), ("\u{2212}", true), ("+", false)] {
        if let Some(unsigned) = text.strip_prefix(sign) {
            return (negative, unsigned, sign.len());
        }
    }
    (false, text, 0)
}

/// Why a text is no decimal number, and which bytes of it are at fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DecimalFault {
    /// What is wrong.
    pub problem: DecimalProblem,
    /// The bytes at fault.
    pub part: Range<usize>,
}

/// What is wrong with a number.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DecimalProblem {
    /// Letters, nothing at all, or signs that belong to no number.
    NotANumber,
    /// A point with nothing after it.
    EndsInPoint,
    /// A zero before other digits, which some programs read as octal.
    LeadingZero,
    /// More digits than any instrument of the trade shows.
    TooManyDigits,
}
