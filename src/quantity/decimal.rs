//! A decimal number exactly as somebody wrote it.
//!
//! Computes nothing beyond its own value: 32.0 and 32 are different readings here, because the last
//! digit written says how finely the instrument was read. What people write instead of a decimal is
//! told apart in [`super::number`].

use super::exact::Exact;
use num_bigint::BigInt;
use std::fmt;

/// A decimal as written: its digits, its sign and how many digits stand after the point.
///
/// At most [`Decimal::MOST_DIGITS`] significant digits and as many decimal places: no instrument of the
/// trade shows more, and within that bound the value in binary is correctly rounded.
///
/// Equality is that of the writing: 32.0 and 32 have the same value and are not equal.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Decimal {
    negative: bool,
    digits: u64,
    places: u8,
}

impl Decimal {
    /// The most significant digits, and the most decimal places, that are read.
    pub const MOST_DIGITS: usize = 15;

    /// The last decimal place that is read: as many places as digits.
    const FINEST: u32 = 15;

    /// The whole number `n`, as if written without a point.
    pub const fn whole(n: u32) -> Self {
        Self {
            negative: false,
            digits: n as u64,
            places: 0,
        }
    }

    /// One in the last of so many decimal places: 0.01 for 2.
    pub(super) const fn one_in_place(places: u8) -> Self {
        Self {
            negative: false,
            digits: 1,
            places,
        }
    }

    /// The decimal a text is, where it is one and nothing more.
    pub(super) fn plain(text: &str) -> Option<Self> {
        let (negative, unsigned) = split_sign(text);
        let (mut digits, mut significant, mut point) = (0_u64, 0, None);
        for (at, byte) in unsigned.bytes().enumerate() {
            match byte {
                b'0'..=b'9' => {
                    significant += usize::from(digits > 0 || byte > b'0');
                    if significant > Self::MOST_DIGITS {
                        return None;
                    }
                    digits = digits * 10 + u64::from(byte - b'0');
                }
                b'.' if point.is_none() => point = Some(at),
                _ => return None,
            }
        }
        let whole = point.unwrap_or(unsigned.len());
        let places = point.map_or(0, |point| unsigned.len() - point - 1);
        let has_leading_zero = whole > 1 && unsigned.starts_with('0');
        let ends_in_point = point.is_some() && places == 0;
        if unsigned.is_empty() || has_leading_zero || ends_in_point || places > Self::MOST_DIGITS {
            return None;
        }
        Some(Self {
            negative,
            digits,
            places: u8::try_from(places).ok()?,
        })
    }

    /// The value in binary, correctly rounded.
    #[expect(
        clippy::cast_precision_loss,
        reason = "digits and scale are at most 10^15, below 2^53"
    )]
    pub fn to_f64(self) -> f64 {
        let magnitude = self.digits as f64 / self.scale() as f64;
        if self.negative { -magnitude } else { magnitude }
    }

    /// The value as an exact fraction.
    pub fn to_exact(self) -> Exact {
        let digits = BigInt::from(self.digits);
        let signed = if self.negative { -digits } else { digits };
        match self.places {
            0 => Exact::from_integer(signed),
            _ => Exact::new(signed, BigInt::from(self.scale())),
        }
    }

    /// The value in units of the last place that is read, of which every decimal is a whole number.
    ///
    /// Two decimals have the same value, however written, where these are the same.
    pub const fn in_last_places(self) -> i128 {
        let finer = Self::FINEST - self.places as u32;
        let magnitude = self.digits as i128 * 10_i128.pow(finer);
        if self.negative { -magnitude } else { magnitude }
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

    /// Whether it is written with a minus sign: `-0` is too, and nobody reads that off an instrument.
    pub const fn is_sign_negative(self) -> bool {
        self.negative
    }

    /// The number times a positive ratio, written with as many places or with five significant digits, whichever is finer;
    /// none where no decimal is that large.
    pub fn scaled(self, ratio: f64) -> Option<Self> {
        let wanted = self.to_f64().abs() * ratio;
        if self.is_zero() {
            return Some(self);
        }
        let (mut places, mut scale) = (0, 1.0);
        let is_fine =
            |places: u8, scale: f64| self.places <= places && Self::FIVE_DIGITS <= wanted * scale;
        while u32::from(places) < Self::FINEST && !is_fine(places, scale) {
            places += 1;
            scale *= 10.0;
        }
        let digits = (wanted * scale).round();
        (digits.is_finite() && (0.0..Self::MOST).contains(&digits)).then(|| Self {
            negative: self.negative,
            digits: to_whole(digits),
            places,
        })
    }

    /// The least whole number of five digits.
    const FIVE_DIGITS: f64 = 1e4;

    /// Above every whole number of [`Decimal::MOST_DIGITS`] digits.
    const MOST: f64 = 1e15;

    const fn scale(self) -> u64 {
        10_u64.pow(self.places as u32)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole, not negative, and below 10^15"
)]
const fn to_whole(digits: f64) -> u64 {
    digits as u64
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

/// Whether there is a minus, and what follows the sign.
pub(super) fn split_sign(text: &str) -> (bool, &str) {
    for (sign, negative) in [("-", true), ("\u{2212}", true), ("+", false)] {
        if let Some(unsigned) = text.strip_prefix(sign) {
            return (negative, unsigned);
        }
    }
    (false, text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_written_is_kept() {
        for (text, printed, places, resolution) in [
            ("36.50", "36.50", 2, 0.01),
            ("36.5", "36.5", 1, 0.1),
            ("36", "36", 0, 1.0),
            ("0.0", "0.0", 1, 0.1),
            (".5", "0.5", 1, 0.1),
            ("+5", "5", 0, 1.0),
            ("-0.05", "-0.05", 2, 0.01),
            ("\u{2212}5", "-5", 0, 1.0),
            ("123456789012345", "123456789012345", 0, 1.0),
            ("0.000000000000001", "0.000000000000001", 15, 1e-15),
            ("12345.6789012345", "12345.6789012345", 10, 1e-10),
        ] {
            let decimal = Decimal::plain(text).unwrap();
            assert_eq!(decimal.to_string(), printed, "{text}");
            assert_eq!(decimal.places(), places, "{text}");
            assert_eq!(
                decimal.resolution().to_bits(),
                f64::to_bits(resolution),
                "{text}"
            );
        }
    }

    #[test]
    fn zero_and_sign() {
        for (text, is_zero, is_negative) in [
            ("0", true, false),
            ("-0.00", true, true),
            ("-0.01", false, true),
            ("3", false, false),
        ] {
            let decimal = Decimal::plain(text).unwrap();
            assert_eq!(
                (decimal.is_zero(), decimal.is_sign_negative()),
                (is_zero, is_negative),
                "{text}"
            );
        }
        assert_eq!(Decimal::whole(42), Decimal::plain("42").unwrap());
        assert_ne!(
            Decimal::plain("32.0").unwrap(),
            Decimal::plain("32").unwrap()
        );
    }

    #[test]
    fn scaled_keeps_its_places_and_five_digits() {
        for (text, ratio, printed) in [
            ("25.5", 2.0, "51.000"),
            ("1520", 1.0 / 29.573_53, "51.397"),
            ("40", 1.0, "40.000"),
            ("142327", 0.1, "14233"),
            ("-5", 0.5, "-2.5000"),
            ("0.0", 7.0, "0.0"),
        ] {
            let scaled = Decimal::plain(text).unwrap().scaled(ratio).unwrap();
            assert_eq!(scaled.to_string(), printed, "{text}");
        }
        assert_eq!(Decimal::plain("1").unwrap().scaled(1e16), None);
        assert_eq!(Decimal::plain("1").unwrap().scaled(f64::NAN), None);
    }

    proptest! {
        #[test]
        fn value_is_the_nearest_binary_number(text in r"-?(0|[1-9][0-9]{0,8})(\.[0-9]{1,6})?") {
            let decimal = Decimal::plain(&text).unwrap();
            prop_assert_eq!(decimal.to_f64().to_bits(), text.parse::<f64>().unwrap().to_bits());
        }

        #[test]
        fn small_values_are_the_nearest_binary_number(text in r"0\.[0-9]{1,15}") {
            let decimal = Decimal::plain(&text).unwrap();
            prop_assert_eq!(decimal.to_f64().to_bits(), text.parse::<f64>().unwrap().to_bits());
        }

        #[test]
        fn exact_value_is_digits_over_a_power_of_ten(digits in -99_999_999_i64..=99_999_999, places in 0_u32..=6) {
            let scale = 10_i64.pow(places);
            let sign = if digits < 0 { "-" } else { "" };
            let (whole, fraction) = (digits.abs() / scale, digits.abs() % scale);
            let text = match usize::try_from(places).unwrap() {
                0 => format!("{sign}{whole}"),
                width => format!("{sign}{whole}.{fraction:0width$}"),
            };
            let decimal = Decimal::plain(&text).unwrap();
            prop_assert_eq!(decimal.to_exact(), Exact::new(digits.into(), scale.into()));
            prop_assert_eq!(decimal.to_string(), text);
        }

        #[test]
        fn values_are_the_same_in_last_places_where_they_are_exactly(one in r"-?[0-9]{1,2}\.[0-9]{1,3}", other in r"-?[0-9]{1,2}\.[0-9]{1,3}") {
            if let (Some(one), Some(other)) = (Decimal::plain(&one), Decimal::plain(&other)) {
                prop_assert_eq!(
                    one.in_last_places().cmp(&other.in_last_places()),
                    one.to_exact().cmp(&other.to_exact())
                );
            }
        }

        #[test]
        fn written_and_read_again_is_the_same(text in r"[-+]?[0-9]{0,9}\.?[0-9]{0,9}") {
            if let Some(decimal) = Decimal::plain(&text) {
                prop_assert_eq!(Decimal::plain(&decimal.to_string()).unwrap(), decimal);
            }
        }
    }
}
