//! Which values are plausible: one far off what is entered, or meant, comes of a reading or a slip that is wrong.

/// A factor or a width to enter lies within this factor of the one that is entered, either way (our choice): more comes of
/// a slip. The smallest of a unit, but for the imperial gallon, is km/h for mph, a factor of 1.609.
const MOST_OF_ENTERED: f64 = 1.6;

/// The case of a value that is not advised: readings are to be checked first.
pub(in crate::figure) const CHECK_FIRST: &str = "check-first";

/// Whether what is entered may be changed by a factor.
pub(in crate::figure) fn may_be_entered(change: f64) -> bool {
    (1.0 / MOST_OF_ENTERED..=MOST_OF_ENTERED).contains(&change)
}

/// A value that is as far from what is meant, relative to it, is most likely a slip (our choice). It is only asked for once
/// more: no test is judged by it.
const FAR: f64 = 0.25;

/// Whether a value is so far from what is meant that it is most likely a slip.
pub fn is_far_from(value: f64, meant: f64) -> bool {
    FAR < (value / meant - 1.0).abs()
}
