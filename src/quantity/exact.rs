//! Exact values, and how they are written as decimals.

use num_bigint::BigInt;
use num_traits::Signed;

/// An exact value: a fraction of whole numbers of any size.
pub type Exact = num_rational::BigRational;

/// A value with so many decimal places, where it needs no more.
pub(super) fn finite(value: &Exact, places: u8) -> Option<String> {
    let scaled = value * BigInt::from(10).pow(u32::from(places));
    scaled.is_integer().then(|| rounded(value, places))
}

/// A value rounded to so many decimal places.
pub(super) fn rounded(value: &Exact, places: u8) -> String {
    let scale = BigInt::from(10).pow(u32::from(places));
    let scaled = (value * &scale).round().to_integer();
    let sign = if scaled.is_negative() { "-" } else { "" };
    let (whole, part) = (scaled.abs() / &scale, scaled.abs() % &scale);
    match usize::from(places) {
        0 => format!("{sign}{whole}"),
        width => format!("{sign}{whole}.{:0>width$}", part.to_string()),
    }
}
