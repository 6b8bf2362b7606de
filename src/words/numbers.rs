//! Numbers as they are printed: how many digits, and rounded how.
//!
//! The only place that rounds. Nothing is compared after it came from here.

use crate::quantity::unit::Unit;

/// The most decimal places printed, whatever it takes to tell two numbers apart.
const MOST_DECIMALS: usize = 9;

/// How many significant digits an uncertainty gets.
const UNCERTAINTY_DIGITS: usize = 2;

/// How many significant digits a number without uncertainty gets.
const DIGITS_WITHOUT_UNCERTAINTY: usize = 4;

/// How many decimal places a value is printed with.
///
/// Two significant digits of the uncertainty, at most `most`; without an uncertainty, `most`, and without
/// either, four significant digits of the value. Then as many more as it takes for the value and each of
/// `apart_from` to print differently, up to nine: numbers that nine places cannot tell apart are taken
/// for equal.
pub fn decimals_for(
    uncertainty: Option<f64>,
    most: Option<usize>,
    value: f64,
    apart_from: &[f64],
) -> usize {
    let supported = uncertainty
        .filter(|uncertainty| uncertainty.is_finite() && 0.0 < *uncertainty)
        .map(|uncertainty| decimals_showing(UNCERTAINTY_DIGITS, uncertainty));
    let start = match (supported, most) {
        (Some(supported), Some(most)) => supported.min(most),
        (Some(supported), None) => supported,
        (None, Some(most)) => most,
        (None, None) => decimals_showing(DIGITS_WITHOUT_UNCERTAINTY, value),
    }
    .min(MOST_DECIMALS);
    let tells_apart = |other: f64| {
        (start..=MOST_DECIMALS)
            .find(|&decimals| number(value, decimals) != number(other, decimals))
            .unwrap_or(start)
    };
    apart_from
        .iter()
        .map(|&other| tells_apart(other))
        .max()
        .unwrap_or(start)
}

/// The decimal places that show so many significant digits of a value, after rounding to them.
fn decimals_showing(significant: usize, value: f64) -> usize {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    let (digits, exponent) = fifteen_digits(value);
    let (kept, dropped) = digits.split_at(significant);
    let gains_a_digit =
        kept.iter().all(|digit| *digit == 9) && dropped.first().is_some_and(|digit| 5 <= *digit);
    let exponent = exponent + i32::from(gains_a_digit);
    usize::try_from(i32::try_from(significant).unwrap_or(0) - 1 - exponent).unwrap_or(0)
}

/// The decimal places that a value has, as far as `most` of them show.
pub fn decimals_needed(value: f64, most: usize) -> usize {
    let printed = number(value, most);
    let digits = printed.trim_end_matches('0');
    match digits.split_once('.') {
        Some((_, decimals)) => decimals.len(),
        None => 0,
    }
}

/// The decimal places of three digits of an amount, as finely as a jug or a gauge is read: at most four.
pub fn decimals_of_three_digits(amount: f64) -> usize {
    let mut decimals = 0;
    let mut bound = 100.0;
    while amount < bound && decimals < 4 {
        decimals += 1;
        bound /= 10.0;
    }
    decimals
}

/// A number with at least so many significant digits; whole digits are never cut.
pub fn significant(value: f64, digits: usize) -> String {
    if value.abs() <= 0.0 {
        return "0".to_owned();
    }
    let mut decimals = digits.saturating_sub(1);
    let mut bound = 10.0;
    while decimals > 0 && value.abs() >= bound {
        decimals -= 1;
        bound *= 10.0;
    }
    let mut small = 1.0;
    while value.abs() < small && decimals < 12 {
        decimals += 1;
        small /= 10.0;
    }
    number(value, decimals)
}

/// A number above zero rounded up to so many significant digits: `rounded_up(69.3, 2)` is `70`.
pub fn rounded_up(value: f64, digits: usize) -> String {
    let decimals = decimals_showing(digits, value);
    let exponent = i32::try_from(digits).unwrap_or(0) - 1 - fifteen_digits(value).1;
    let unit = (0..-exponent).fold(1.0, |unit, _| unit * 10.0);
    let unit = (0..exponent).fold(unit, |unit, _| unit / 10.0);
    // A hair less: what is whole already stays.
    number((value / unit - 1e-9).ceil() * unit, decimals)
}

/// A number with so many decimal places, halves away from zero, without thousands separators.
///
/// What is rounded is the value to fifteen significant digits, so that 2.675 gives 2.68 as it does by
/// hand, though the nearest binary number lies below it. Never prints a negative zero.
pub fn number(value: f64, decimals: usize) -> String {
    printed(value, decimals, Rounding::Nearest)
}

/// A low and a high limit with so many decimal places, rounded inward: what is printed is within the limits.
///
/// What is rounded is the value to fifteen significant digits, so that a limit of 32.4 stays 32.4.
pub fn inward((low, high): (f64, f64), decimals: usize) -> (String, String) {
    let toward_zero = |is_so| {
        if is_so {
            Rounding::TowardZero
        } else {
            Rounding::AwayFromZero
        }
    };
    (
        printed(low, decimals, toward_zero(low < 0.0)),
        printed(high, decimals, toward_zero(0.0 <= high)),
    )
}

/// Which way a magnitude is rounded.
#[derive(Clone, Copy)]
enum Rounding {
    Nearest,
    TowardZero,
    AwayFromZero,
}

fn printed(value: f64, decimals: usize, rounding: Rounding) -> String {
    if value.is_nan() {
        return "not a number".to_owned();
    }
    if value.is_infinite() {
        return if value < 0.0 {
            "below any number"
        } else {
            "above any number"
        }
        .to_owned();
    }
    let (digits, exponent) = fifteen_digits(value);
    let printed = rounded(&digits, exponent, decimals, rounding);
    let is_zero = printed.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if value < 0.0 && !is_zero {
        format!("-{printed}")
    } else {
        printed
    }
}

/// The fifteen significant digits of a magnitude, and the power of ten of the first.
fn fifteen_digits(value: f64) -> (Vec<u8>, i32) {
    let text = format!("{:.14e}", value.abs());
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let digits = mantissa
        .bytes()
        .filter(u8::is_ascii_digit)
        .map(|byte| byte - b'0')
        .collect();
    (digits, exponent.parse().unwrap_or(0))
}

fn rounded(digits: &[u8], exponent: i32, decimals: usize, rounding: Rounding) -> String {
    let digit_at = |power: i32| -> u8 {
        usize::try_from(exponent - power)
            .ok()
            .and_then(|at| digits.get(at))
            .copied()
            .unwrap_or(0)
    };
    let last = -i32::try_from(decimals).unwrap_or(i32::MAX);
    let first = exponent.max(0);
    let mut kept: Vec<u8> = (last..=first).rev().map(digit_at).collect();
    let goes_up = match rounding {
        Rounding::Nearest => 5 <= digit_at(last - 1),
        Rounding::TowardZero => false,
        Rounding::AwayFromZero => {
            let mut powers = (0..).map(|at| exponent - at).zip(digits);
            powers.any(|(power, digit)| power < last && *digit != 0)
        }
    };
    if goes_up {
        carry(&mut kept);
    }
    let mut text: String = kept.iter().map(|&digit| char::from(b'0' + digit)).collect();
    if 0 < decimals {
        text.insert(text.len() - decimals, '.');
    }
    text
}

/// Adds one to the last digit.
fn carry(digits: &mut Vec<u8>) {
    for digit in digits.iter_mut().rev() {
        if *digit < 9 {
            *digit += 1;
            return;
        }
        *digit = 0;
    }
    digits.insert(0, 1);
}

/// A number with its sign, also where it is positive: `+5.4`, `-5.4`; what rounds to zero has none.
pub fn signed(value: f64, decimals: usize) -> String {
    let printed = number(value, decimals);
    let is_zero = printed.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if 0.0 < value && !is_zero {
        format!("+{printed}")
    } else {
        printed
    }
}

/// A ratio in percent: `percent(0.125, 1)` is `12.5%`.
pub fn percent(ratio: f64, decimals: usize) -> String {
    format!("{}%", number(ratio * 100.0, decimals))
}

/// A ratio in percent with its sign: `signed_percent(0.125, 1)` is `+12.5%`.
pub fn signed_percent(ratio: f64, decimals: usize) -> String {
    format!("{}%", signed(ratio * 100.0, decimals))
}

/// A printed number with the name of its unit, which may be none: `15 gal`, `5%`.
pub fn with_unit(number: &str, unit: &str) -> String {
    match unit {
        "" | "%" => format!("{number}{unit}"),
        _ => format!("{number} {unit}"),
    }
}

/// A value with so many decimal places and its uncertainty with two significant digits at most: `11.6 ± 1.1`.
///
/// An uncertainty has two significant digits at most (JCGM 100:2008, 7.2.6), also beside a value that needs
/// more to differ from something else: `5.0003 ± 0.67`. One too small to show is printed as one unit of the last
/// place: rounding it to nothing would claim more than is known.
pub fn with_uncertainty(value: f64, uncertainty: f64, decimals: usize) -> String {
    format!(
        "{} ± {}",
        number(value, decimals),
        printed_uncertainty(uncertainty, decimals)
    )
}

/// Two significant digits: more decimal places than those tell the value from a limit, and are not known
/// of the uncertainty.
fn printed_uncertainty(uncertainty: f64, decimals: usize) -> String {
    let supported = decimals_showing(UNCERTAINTY_DIGITS, uncertainty);
    if supported == 0 && 100.0 <= uncertainty.abs() && uncertainty.is_finite() {
        let unit = (2..=fifteen_digits(uncertainty).1).fold(1.0, |unit, _| unit * 10.0);
        return number((uncertainty.abs() / unit).round() * unit, 0);
    }
    let decimals = decimals.min(supported);
    let printed = number(uncertainty.abs(), decimals);
    let is_zero = printed.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    if is_zero && uncertainty.abs() > 0.0 {
        let mut least = printed;
        least.pop();
        least.push('1');
        least
    } else {
        printed
    }
}

/// A value given in SI units, printed in `unit`: `36.4 fl oz`, `1 day`.
pub fn in_unit(value_si: f64, unit: Unit, decimals: usize) -> String {
    let printed = number(crate::quantity::Quantity::in_unit(value_si, unit), decimals);
    unit.behind(&printed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn halves_go_away_from_zero() {
        for (value, decimals, printed) in [
            (36.45, 1, "36.5"),
            (-36.45, 1, "-36.5"),
            (2.675, 2, "2.68"),
            (1.005, 2, "1.01"),
            (0.5, 0, "1"),
            (1.5, 0, "2"),
            (2.5, 0, "3"),
            (-0.5, 0, "-1"),
            (36.449_999_999_999_996, 1, "36.5"),
            (36.449, 1, "36.4"),
            (9.995, 2, "10.00"),
            (99.95, 1, "100.0"),
            (0.0, 0, "0"),
            (-0.0, 2, "0.00"),
            (-0.004, 2, "0.00"),
            (-0.005, 2, "-0.01"),
            (0.000_012_3, 6, "0.000012"),
            (1e-300, 3, "0.000"),
            (1_234_567.891, 1, "1234567.9"),
            (123_456_789_012_345.0, 0, "123456789012345"),
            (1e21, 0, "1000000000000000000000"),
            (7.0, 3, "7.000"),
            (f64::NAN, 2, "not a number"),
            (f64::INFINITY, 2, "above any number"),
            (f64::NEG_INFINITY, 2, "below any number"),
        ] {
            assert_eq!(number(value, decimals), printed, "{value}");
        }
    }

    #[test]
    fn limits_go_inward_and_an_exact_one_stays() {
        for (limits, decimals, low, high) in [
            ((32.4, 39.6), 1, "32.4", "39.6"),
            // As they come of 36 less and more 10%, in binary.
            ((36.0 * 0.9, 36.0 * 1.1), 1, "32.4", "39.6"),
            // A thousandth of a step inside.
            ((32.400_1, 39.599_9), 1, "32.5", "39.5"),
            ((32.786_4, 40.072_4), 1, "32.8", "40.0"),
            ((9.995, 10.0), 2, "10.00", "10.00"),
            ((0.000_1, 0.999_9), 0, "1", "0"),
            ((-1.25, -0.25), 1, "-1.2", "-0.3"),
            ((1e-9, f64::INFINITY), 1, "0.1", "above any number"),
        ] {
            let expected = (low.to_owned(), high.to_owned());
            assert_eq!(inward(limits, decimals), expected, "{limits:?}");
        }
    }

    #[test]
    fn digits_follow_the_uncertainty_and_then_what_must_differ() {
        for (uncertainty, most, value, apart_from, decimals) in [
            // Two significant digits of the uncertainty.
            (Some(1.1), None, 11.62, vec![], 1),
            (Some(0.99), None, 11.62, vec![], 2),
            (Some(0.0996), None, 11.62, vec![], 2),
            (Some(0.995), None, 11.62, vec![], 1),
            (Some(12.0), None, 84.857, vec![], 0),
            (Some(300.0), None, 8485.7, vec![], 0),
            (Some(1e-30), None, 1.0, vec![], 9),
            // At most what the record supports.
            (Some(0.099), Some(2), 36.733, vec![], 2),
            (Some(0.099), Some(5), 36.733, vec![], 3),
            // No uncertainty.
            (None, Some(2), 36.733, vec![], 2),
            (None, None, 36.733, vec![], 2),
            (None, None, 0.019_7, vec![], 5),
            (None, None, 1164.3, vec![], 0),
            (Some(0.0), None, 36.733, vec![], 2),
            (Some(f64::NAN), Some(1), 36.733, vec![], 1),
            (None, None, 0.0, vec![], 0),
            (None, None, f64::NAN, vec![], 0),
            (None, None, f64::INFINITY, vec![1.0], 0),
            // What was found must not look like the limit.
            (Some(1.1), None, 10.04, vec![10.0], 2),
            (Some(1.1), Some(1), 10.000_4, vec![10.0], 4),
            (Some(1.1), None, 10.3, vec![10.0, 10.32], 2),
            (Some(1.1), None, 10.0, vec![10.0], 1),
            (Some(1.1), None, 5.000_000_000_000_004, vec![5.0], 1),
        ] {
            assert_eq!(
                decimals_for(uncertainty, most, value, &apart_from),
                decimals,
                "{uncertainty:?} {most:?} {value} {apart_from:?}"
            );
        }
    }

    #[test]
    fn signs_percentages_and_uncertainties() {
        assert_eq!(
            [15.0, 14.7, 1e-9, 100.0].map(|value| decimals_needed(value, 3)),
            [0, 1, 0, 0]
        );
        assert_eq!(signed(5.46, 1), "+5.5");
        assert_eq!(signed(-5.46, 1), "-5.5");
        assert_eq!(signed(0.01, 1), "0.0");
        assert_eq!(percent(0.116_25, 1), "11.6%");
        assert_eq!(percent(1.15 - 1.0, 1), "15.0%");
        assert_eq!(signed_percent(-0.054_6, 2), "-5.46%");
        assert_eq!(with_uncertainty(11.62, 1.1, 1), "11.6 ± 1.1");
        assert_eq!(with_uncertainty(11.62, 0.004, 1), "11.6 ± 0.1");
        assert_eq!(with_uncertainty(5.000_3, 0.672_860_8, 4), "5.0003 ± 0.67");
        assert_eq!(with_uncertainty(9.996, 12.4, 3), "9.996 ± 12");
        assert_eq!(with_uncertainty(84.857, 0.3, 0), "85 ± 1");
        assert_eq!(with_uncertainty(15.0, 0.0, 0), "15 ± 0");
        // More places may tell the value from a limit; the uncertainty is not known to them.
        assert_eq!(
            with_uncertainty(5.000_000_1, 0.672_860_8, 7),
            "5.0000001 ± 0.67"
        );
        assert_eq!(with_uncertainty(5.000_1, 9.96, 4), "5.0001 ± 10");
        assert_eq!(with_uncertainty(8_486.2, 123.4, 0), "8486 ± 120");
        assert_eq!(with_uncertainty(8_486.2, 1_996.0, 0), "8486 ± 2000");
        assert_eq!(
            in_unit(Unit::FLUID_OUNCE.factor() * 36.43, Unit::FLUID_OUNCE, 2),
            "36.43 fl oz"
        );
        assert_eq!(in_unit(86_400.0, Unit::DAY, 0), "1 day");
        assert_eq!(in_unit(15.0, Unit::ONE, 0), "15");
    }

    #[test]
    fn rounded_up_never_falls_short() {
        for (value, digits, printed) in [
            (69.3, 2, "70"),
            (70.0, 2, "70"),
            (51.2, 2, "52"),
            (1.02, 2, "1.1"),
            (204.0, 2, "210"),
            (0.043_1, 2, "0.044"),
            (99.5, 2, "100"),
        ] {
            assert_eq!(rounded_up(value, digits), printed, "{value}");
        }
    }

    proptest! {
        #[test]
        fn a_printed_number_is_within_half_a_unit_of_its_last_place(value in -1e7..1e7, decimals in 0_usize..6) {
            let printed: f64 = number(value, decimals).parse().unwrap();
            let half: f64 = format!("0.{:0>1$}", 51, decimals + 2).parse().unwrap();
            prop_assert!((printed - value).abs() <= half, "{value} {printed}");
        }

        #[test]
        fn a_decimal_printed_with_its_own_places_is_itself(text in r"-?[1-9][0-9]{0,6}\.[0-9]{1,6}") {
            let decimals = text.len() - text.find('.').unwrap() - 1;
            prop_assert_eq!(number(text.parse().unwrap(), decimals), text);
        }

        #[test]
        fn negation_only_changes_the_sign(value in 0.0..1e9, decimals in 0_usize..9) {
            let positive = number(value, decimals);
            let negative = number(-value, decimals);
            prop_assert_eq!(negative.trim_start_matches('-'), &positive);
        }

        #[test]
        fn what_differs_prints_differently(value in -1e3..1e3, other in -1e3..1e3) {
            let decimals = decimals_for(Some(1.0), Some(1), value, &[other]);
            let differ = number(value, 9) != number(other, 9);
            prop_assert_eq!(number(value, decimals) != number(other, decimals), differ);
        }

        #[test]
        fn any_number_prints(value in any::<f64>(), decimals in 0_usize..20) {
            prop_assert!(!number(value, decimals).starts_with("-0.0") || number(value, decimals).contains(|digit| ('1'..='9').contains(&digit)));
        }
    }
}
