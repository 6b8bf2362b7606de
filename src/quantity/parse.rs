//! Text to quantity, and what to say where it cannot be read.

use super::Quantity;
use super::decimal::{Decimal, DecimalFault, DecimalProblem};
use super::dimension::Dimension;
use super::unit::{Id, SHORT_NAMES, SHORT_SPELLINGS, Unit};
use std::ops::Range;

/// Why a text is no quantity of the wanted kind, and which bytes of it are at fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct QuantityFault {
    /// What is wrong.
    pub kind: QuantityProblem,
    /// The bytes at fault.
    pub part: Range<usize>,
    text: String,
    wanted: Vec<Dimension>,
}

/// What is wrong with a quantity.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum QuantityProblem {
    /// The number cannot be read.
    Number(DecimalProblem),
    /// A number and nothing else.
    MissingUnit,
    /// A unit that nobody knows.
    UnknownUnit,
    /// A known unit that measures something else.
    WrongDimension(Unit),
}

impl QuantityFault {
    /// What is wrong, on one line.
    pub fn message(&self) -> String {
        let wanted = self
            .wanted
            .first()
            .map_or("a quantity", |wanted| wanted.name());
        match &self.kind {
            QuantityProblem::Number(_) => format!("`{}` is no number", self.text),
            QuantityProblem::MissingUnit => {
                format!("`{}` has no unit; {wanted} is wanted", self.text)
            }
            QuantityProblem::UnknownUnit => {
                format!("`{}` has an unknown unit; {wanted} is wanted", self.text)
            }
            QuantityProblem::WrongDimension(unit) => format!(
                "`{}` is {}; {wanted} is wanted",
                self.text,
                unit.dimension()
            ),
        }
    }

    /// What to do about it, beginning with a verb.
    pub fn help(&self) -> Option<String> {
        let [us, si] = self.wanted.first()?.examples();
        Some(format!(
            "write a number and its unit, as in `{us}` or `{si}`"
        ))
    }
}

/// Reads a number and its unit; [`Quantity::parse`] is the way in.
pub(super) fn quantity(text: &str, wanted: &[Dimension]) -> Result<Quantity, QuantityFault> {
    let fault = |kind, part: Range<usize>| QuantityFault {
        kind,
        part,
        text: text.to_owned(),
        wanted: wanted.to_vec(),
    };
    let start = text.len() - text.trim_start().len();
    let end = text[start..]
        .find(|letter: char| {
            !(letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+' | '\u{2212}'))
        })
        .map_or(text.len(), |at| at + start);
    let decimal = Decimal::parse(&text[start..end]).map_err(|DecimalFault { problem, part }| {
        fault(
            QuantityProblem::Number(problem),
            part.start + start..part.end + start,
        )
    })?;
    let unit = text[end..].trim();
    if unit.is_empty() {
        return if wanted.contains(&Dimension::COUNT) {
            Ok(Quantity {
                decimal,
                unit: Unit::ONE,
            })
        } else {
            Err(fault(QuantityProblem::MissingUnit, start..end))
        };
    }
    let unit_part = text.len() - text[end..].trim_start().len()..end + text[end..].trim_end().len();
    let unit =
        lookup(unit).ok_or_else(|| fault(QuantityProblem::UnknownUnit, unit_part.clone()))?;
    if wanted.is_empty() || wanted.contains(&unit.dimension()) {
        Ok(Quantity { decimal, unit })
    } else {
        Err(fault(QuantityProblem::WrongDimension(unit), unit_part))
    }
}

impl Unit {
    /// Reads a unit of one of the `wanted` dimensions; of any, where none is wanted in particular.
    ///
    /// # Errors
    ///
    /// The fault says what is wrong, which bytes of `text` are, and how to write it.
    pub fn parse(text: &str, wanted: &[Dimension]) -> Result<Self, QuantityFault> {
        let fault = |kind| QuantityFault {
            kind,
            part: 0..text.len(),
            text: text.to_owned(),
            wanted: wanted.to_vec(),
        };
        let unit = lookup(text.trim()).ok_or_else(|| fault(QuantityProblem::UnknownUnit))?;
        if wanted.is_empty() || wanted.contains(&unit.dimension()) {
            Ok(unit)
        } else {
            Err(fault(QuantityProblem::WrongDimension(unit)))
        }
    }
}

fn lookup(text: &str) -> Option<Unit> {
    let lower = text.to_lowercase();
    if let Some((_, unit)) = SHORT_NAMES
        .iter()
        .chain(&SHORT_SPELLINGS)
        .find(|(name, _)| *name == lower)
    {
        return Some(*unit);
    }
    let unit = match text.split_once('/') {
        None => Unit::alone(atom(text)?),
        Some((over, under)) => {
            let under = under.trim_start();
            let digits = under
                .find(|letter: char| !letter.is_ascii_digit())
                .unwrap_or(under.len());
            let times = if digits == 0 {
                1
            } else {
                under[..digits].parse().ok().filter(|&times| times > 0)?
            };
            Unit::over_a_number_of(
                atom(over.trim_end())?,
                times,
                atom(under[digits..].trim_start())?,
            )
        }
    };
    unit.dimension().is_of_the_trade().then_some(unit)
}

fn atom(text: &str) -> Option<Id> {
    let lower = text.to_lowercase();
    Id::all()
        .filter(|id| !id.atom().name.is_empty())
        .find(|id| id.atom().name == text || id.atom().singular == text)
        .or_else(|| {
            Id::all()
                .find(|id| {
                    id.atom().name.to_lowercase() == lower
                        || id.atom().spellings.contains(&lower.as_str())
                })
                .filter(|_| text != "M" && !text.is_empty())
        })
}
