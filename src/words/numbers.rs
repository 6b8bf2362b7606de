//! Numbers as they are printed: how many digits, and rounded how.
//!
//! The only place that rounds. Nothing is compared after it came from here.

use crate::quantity::unit::Unit;

/// The most decimal places printed, whatever it takes to tell two numbers apart.
const MOST_DECIMALS: usize = 9;

/// How many significant digits a number without uncertainty gets.
const DIGITS_WITHOUT_UNCERTAINTY: i32 = 4;

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
        .map(|uncertainty| decimals_showing(2, uncertainty));
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
fn decimals_showing(digits: i32, value: f64) -> usize {
    let digits_after_first = usize::try_from(digits - 1).unwrap_or(0);
    let rounded = format!("{value:.digits_after_first$e}");
    let exponent: i32 = rounded
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse().ok())
        .unwrap_or(0);
    usize::try_from(digits - 1 - exponent).unwrap_or(0)
}

/// A number with so many decimal places, halves away from zero, without thousands separators.
///
/// What is rounded is the value to fifteen significant digits, so that 2.675 gives 2.68 as it does by
/// hand, though the nearest binary number lies below it. Never prints a negative zero.
pub fn number(value: f64, decimals: usize) -> String {
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
    let printed = round_half_up(&digits, exponent, decimals);
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

fn round_half_up(digits: &[u8], exponent: i32, decimals: usize) -> String {
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
    if 5 <= digit_at(last - 1) {
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

/// A ratio in percent: `percent(0.125, 1)` is `12.5 %`.
pub fn percent(ratio: f64, decimals: usize) -> String {
    format!("{} %", number(ratio * 100.0, decimals))
}

/// A ratio in percent with its sign: `signed_percent(0.125, 1)` is `+12.5 %`.
pub fn signed_percent(ratio: f64, decimals: usize) -> String {
    format!("{} %", signed(ratio * 100.0, decimals))
}

/// A value and its uncertainty with the same decimal places: `11.6 ± 1.1`.
///
/// An uncertainty too small to show is printed as one unit of the last place: rounding it to nothing
/// would claim more than is known.
pub fn with_uncertainty(value: f64, uncertainty: f64, decimals: usize) -> String {
    format!(
        "{} ± {}",
        number(value, decimals),
        printed_uncertainty(uncertainty, decimals)
    )
}

fn printed_uncertainty(uncertainty: f64, decimals: usize) -> String {
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
