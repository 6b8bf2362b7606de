//! Text to quantity.
//!
//! Reads what can be meant in one way only; words no fault.

use super::decimal::Decimal;
use super::dimension::Dimension;
use super::exact::finite;
use super::fault::QuantityFault;
use super::number::DecimalFault;
use super::reading::Quantity;
use super::slip;
use super::spelled::{self, is_wanted};
use super::unit::Unit;
use std::ops::Range;

impl Decimal {
    /// Reads a number written with digits, at most one point, and perhaps a sign.
    ///
    /// A leading point gets its zero (`.5` is 0.5), a plus is dropped, and a typographer's minus is one.
    /// Everything else that people write for a number is refused.
    ///
    /// # Errors
    ///
    /// The fault says what is wrong, which bytes of `text` are, and how to write the number.
    ///
    /// ```
    /// use swathlint::quantity::decimal::Decimal;
    ///
    /// let reading = Decimal::parse("36.50").unwrap();
    /// assert_eq!((reading.to_f64(), reading.places()), (36.5, 2));
    /// assert_eq!(Decimal::parse("36,5").unwrap_err().help(), "write `36.5`");
    /// ```
    pub fn parse(text: &str) -> Result<Self, DecimalFault> {
        Self::plain(text.trim()).ok_or_else(|| DecimalFault::of(text))
    }
}

impl Quantity {
    /// Reads a number and a unit of one of the `wanted` dimensions, as people write them.
    ///
    /// Where nothing is wanted in particular, any dimension is read. A number without unit is read only
    /// where a plain number is wanted.
    ///
    /// # Errors
    ///
    /// The fault says what is wrong, which bytes of `text` are, and how to write it.
    ///
    /// ```
    /// use swathlint::quantity::{Quantity, dimension::Dimension};
    ///
    /// let pressure = Quantity::parse("36psi", &[Dimension::PRESSURE]).unwrap();
    /// assert_eq!(pressure.to_string(), "36 psi");
    /// ```
    pub fn parse(text: &str, wanted: &[Dimension]) -> Result<Self, QuantityFault> {
        quantity(text, wanted)
    }
}

impl Unit {
    /// Reads a unit of one of the `wanted` dimensions; of any, where none is wanted in particular.
    ///
    /// # Errors
    ///
    /// The fault says what is wrong, which bytes of `text` are, and how to write it.
    pub fn parse(text: &str, wanted: &[Dimension]) -> Result<Self, QuantityFault> {
        let start = text.len() - text.trim_start().len();
        let trimmed = text.trim();
        if trimmed.is_empty() {
            return Err(QuantityFault::no_unit_at_all(wanted));
        }
        let whole: Range<usize> = 0..trimmed.len();
        let fault = match spelled::read(trimmed, wanted) {
            Ok(unit) if is_wanted(unit, wanted) => return Ok(unit),
            Ok(unit) => QuantityFault::wrong_dimension(trimmed, whole, None, unit, wanted),
            Err(slip) => QuantityFault::of_unit(trimmed, None, slip, wanted),
        };
        Err(fault.moved(start))
    }
}

/// Reads a number and its unit; [`Quantity::parse`] is the way in.
fn quantity(text: &str, wanted: &[Dimension]) -> Result<Quantity, QuantityFault> {
    if let Some(quantity) = as_printed(text).filter(|read| is_wanted(read.unit, wanted)) {
        return Ok(quantity);
    }
    let start = text.len() - text.trim_start().len();
    trimmed_quantity(text.trim(), wanted).map_err(|fault| fault.moved(start))
}

/// A quantity written as it is printed, as most are, so that nothing else it could be is considered.
fn as_printed(text: &str) -> Option<Quantity> {
    let (number, unit) = text.split_once(' ')?;
    Some(Quantity {
        decimal: Decimal::plain(number)?,
        unit: spelled::as_printed(unit)?,
    })
}

fn trimmed_quantity(text: &str, wanted: &[Dimension]) -> Result<Quantity, QuantityFault> {
    let end = slip::number_end(text);
    let unit_part = end + (text[end..].len() - text[end..].trim_start().len())..text.len();
    let unit_text = &text[unit_part.clone()];
    let Some(decimal) = Decimal::plain(&text[..end]) else {
        return Err(without_decimal(text, end, wanted));
    };
    if unit_text.is_empty() {
        return if wanted.contains(&Dimension::COUNT) {
            Ok(Quantity {
                decimal,
                unit: Unit::ONE,
            })
        } else {
            Err(QuantityFault::missing_unit(decimal, 0..end, wanted))
        };
    }
    match spelled::read(unit_text, wanted) {
        Ok(unit) if is_wanted(unit, wanted) => Ok(Quantity { decimal, unit }),
        Ok(unit) => Err(QuantityFault::wrong_dimension(
            text,
            unit_part,
            Some(decimal),
            unit,
            wanted,
        )),
        Err(mut slip) => {
            slip.part = slip.part.start + unit_part.start..slip.part.end + unit_part.start;
            Err(DecimalFault::of_whole(text)
                .map(|fault| QuantityFault::of_number(&fault, "", wanted))
                .or_else(|| two_quantities(text, decimal, unit_text))
                .unwrap_or_else(|| QuantityFault::of_unit(text, Some(decimal), slip, wanted)))
        }
    }
}

/// The fault of a text that does not begin with a plain number.
fn without_decimal(text: &str, end: usize, wanted: &[Dimension]) -> QuantityFault {
    if let Some(fault) = DecimalFault::of_whole(text) {
        let (_, rest) = text.split_at(fault.part.end);
        let rest = rest.trim_start();
        let unit = rest[slip::number_end(rest)..].trim();
        return QuantityFault::of_number(&fault, unit, wanted);
    }
    if end > 0 {
        return QuantityFault::of_number(
            &DecimalFault::of_head(text, end),
            text[end..].trim(),
            wanted,
        );
    }
    let (name, number) = text.rsplit_once(char::is_whitespace).unwrap_or((text, ""));
    let before_number = Decimal::plain(number).zip(spelled::known(name.trim()).ok());
    match (spelled::known(text), before_number) {
        (_, Some((number, unit))) => {
            QuantityFault::missing_number(text, Some(number), unit, wanted)
        }
        (Ok(unit), None) => QuantityFault::missing_number(text, None, unit, wanted),
        (Err(_), None) => QuantityFault::of_number(&DecimalFault::of(text), "", wanted),
    }
}

/// `4 min 30 s` and `5' 6"`, told apart to say what they are in one unit; `36 psi - 38 psi`.
fn two_quantities(text: &str, decimal: Decimal, unit_text: &str) -> Option<QuantityFault> {
    // A person's slip is short; the search below would not be.
    const LONGEST: usize = 40;
    if LONGEST < text.len() {
        return None;
    }
    let mut starts = unit_text
        .char_indices()
        .filter(|(_, letter)| letter.is_ascii_digit());
    starts.find_map(|(at, _)| {
        let (first, second) = unit_text.split_at(at);
        let (first, is_range) = without_joiner(first);
        let first = Quantity {
            decimal,
            unit: spelled::known(first).ok()?,
        };
        let second = quantity(second, &[]).ok()?;
        if is_range {
            return Some(QuantityFault::of_number(
                &DecimalFault::of_range(text),
                "",
                &[],
            ));
        }
        in_one_unit(first, second).map(|whole| QuantityFault::in_two_units(text, &whole))
    })
}

/// The unit before what joins it to another quantity, and whether that makes it a range.
fn without_joiner(unit_text: &str) -> (&str, bool) {
    let unit_text = unit_text.trim();
    let range = ["-", "\u{2013}", "\u{2014}", " to"]
        .iter()
        .find_map(|joiner| unit_text.strip_suffix(joiner));
    let sum = [" and", ",", "+", "&"]
        .iter()
        .find_map(|joiner| unit_text.strip_suffix(joiner));
    (range.or(sum).unwrap_or(unit_text).trim(), range.is_some())
}

/// Two quantities added up in the unit of the second, where they are of one kind.
fn in_one_unit(first: Quantity, second: Quantity) -> Option<String> {
    let unit = match first.unit {
        Unit::METER if second.unit == Unit::SECOND => Unit::MINUTE,
        unit => unit,
    };
    let first = Quantity { unit, ..first };
    if first.dimension() != second.dimension() || first.unit == second.unit {
        return None;
    }
    let total = (first.exact() + second.exact()) / second.unit.exact_factor();
    let number = finite(&total, second.decimal.places().max(first.decimal.places()))?;
    Some(second.unit.behind(&number))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::exact::Exact;
    use crate::quantity::unit::{Id, WORDS};
    use num_bigint::BigInt;
    use num_traits::{FromPrimitive, Signed, Zero};
    use proptest::prelude::*;

    #[test]
    fn blanks_round_a_number_are_passed_over() {
        assert_eq!(Decimal::parse(" 5 "), Ok(Decimal::whole(5)));
    }

    #[test]
    fn every_spelling_is_read() {
        for id in Id::all() {
            for name in id.names() {
                assert_eq!(Unit::parse(name, &[]), Ok(Unit::alone(id)), "{name}");
                assert_eq!(
                    Unit::parse(&name.to_uppercase(), &[])
                        .ok()
                        .filter(|unit| *unit != Unit::alone(id)),
                    None,
                    "{name}"
                );
            }
        }
        for word in &WORDS {
            for name in word.name.iter().chain(word.spellings) {
                assert_eq!(Unit::parse(name, &[]), Ok(word.unit), "{name}");
            }
        }
    }

    #[test]
    fn every_dimension_of_the_trade_has_readable_examples() {
        for id in Id::all() {
            let dimension = Unit::alone(id).dimension();
            for example in dimension.examples() {
                let quantity = Quantity::parse(example, &[dimension]).unwrap();
                assert_eq!(quantity.to_string(), example);
            }
        }
    }

    fn any_unit() -> impl Strategy<Value = Unit> {
        let ids: Vec<Id> = Id::all().collect();
        let one = prop::sample::select(ids.clone()).prop_map(Unit::alone);
        let times = prop::sample::select(vec![1, 10, 100, 1000]);
        let divided = (
            prop::sample::select(ids.clone()),
            times,
            prop::sample::select(ids),
        )
            .prop_map(|(over, times, under)| Unit::over_a_number_of(over, times, under))
            .prop_filter("divided in the trade", |unit| {
                unit.dimension().is_of_the_trade()
            });
        prop_oneof![one, divided]
    }

    proptest! {
        #[test]
        fn printed_and_read_again_is_the_same(unit in any_unit(), number in r"-?(0|[1-9][0-9]{0,5})(\.[0-9]{1,4})?") {
            let quantity = Quantity::parse(&unit.behind(&number), &[unit.dimension()]).unwrap();
            prop_assert_eq!(quantity.unit, unit);
            prop_assert_eq!(quantity.decimal.to_string(), number);
            prop_assert_eq!(Quantity::parse(&quantity.to_string(), &[]), Ok(quantity));
            prop_assert_eq!(Unit::parse(&unit.to_string(), &[]), Ok(unit));
        }

        #[test]
        fn si_value_is_the_exact_one_in_binary(unit in any_unit(), number in r"(0|[1-9][0-9]{0,5})(\.[0-9]{1,4})?") {
            let quantity = Quantity::parse(&unit.behind(&number), &[]).unwrap();
            let exact = quantity.exact();
            let error = (Exact::from_f64(quantity.si()).unwrap() - &exact).abs();
            // Three roundings, each within half a unit of the last of 53 bits.
            prop_assert!(exact.is_zero() || error / exact < Exact::new(4.into(), BigInt::from(1_u64 << 53)));
            let back = Quantity::in_unit(quantity.si(), unit);
            prop_assert!((back - quantity.decimal.to_f64()).abs() <= 1e-12 * back.abs());
        }
    }
}
