//! Facts as other programs want them: typed, each beside its text.

use crate::fact::{Fact, NozzleName};
use crate::quantity::Quantity;
use crate::wording::facts;
use crate::words::{dates, phrases};
use serde::Serialize;
use std::borrow::Cow;

/// So many characters of a text of a record are repeated.
const LONGEST_TEXT: usize = 1_000;

/// A fact, and how a sentence tells it.
#[derive(Serialize)]
pub(super) struct FactFields<'a> {
    #[serde(flatten)]
    data: FactData<'a>,
    text: String,
}

#[derive(Serialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
enum FactData<'a> {
    Name {
        value: Cow<'a, str>,
    },
    Path {
        value: Cow<'a, str>,
    },
    Value {
        value: Cow<'a, str>,
    },
    Date {
        value: String,
    },
    Quantity {
        value: Option<f64>,
        unit: String,
    },
    Number {
        value: Option<f64>,
    },
    Count {
        value: usize,
        of: &'static str,
    },
    Ordinal {
        value: usize,
    },
    Nozzle {
        number: u16,
        of: usize,
        section: Option<Cow<'a, str>>,
        position: Option<u16>,
    },
    Step {
        step: &'static str,
        setup: Option<Cow<'a, str>>,
    },
    List {
        named: Vec<FactFields<'a>>,
        more: usize,
    },
    Words,
    Phrase {
        words: &'static str,
        facts: Vec<FactFields<'a>>,
    },
}

impl<'a> FactFields<'a> {
    pub(super) fn new(fact: &'a Fact) -> Self {
        Self {
            data: FactData::new(fact),
            text: text(&facts::fact(fact)).into_owned(),
        }
    }
}

impl<'a> FactData<'a> {
    fn new(fact: &'a Fact) -> Self {
        match fact {
            Fact::Name(name) => Self::Name { value: text(name) },
            Fact::Path(path) => Self::Path { value: text(path) },
            Fact::Value(value) => Self::Value { value: text(value) },
            Fact::Date(day) => Self::Date {
                value: dates::date(*day),
            },
            Fact::Written(Quantity { decimal, unit }) => Self::Quantity {
                value: number(decimal.to_f64()),
                unit: unit.to_string(),
            },
            Fact::Computed {
                si,
                unit,
                digits: _,
            } => Self::Quantity {
                value: number(Quantity::in_unit(*si, *unit)),
                unit: unit.to_string(),
            },
            Fact::Percent {
                ratio,
                decimals: _,
                is_signed: _,
            } => Self::Quantity {
                value: number(100.0 * ratio),
                unit: "%".to_owned(),
            },
            Fact::Decimal(decimal) => Self::Number {
                value: number(decimal.to_f64()),
            },
            Fact::Number { value, digits: _ } => Self::Number {
                value: number(*value),
            },
            Fact::Count { count, noun } => Self::Count {
                value: *count,
                of: noun,
            },
            Fact::Ordinal(nth) => Self::Ordinal { value: *nth },
            Fact::Nozzle(NozzleName {
                number,
                of,
                in_section,
            }) => {
                let (section, position) = in_section
                    .as_ref()
                    .map(|(section, position)| (text(section), *position))
                    .unzip();
                Self::Nozzle {
                    number: *number,
                    of: *of,
                    section,
                    position,
                }
            }
            Fact::Step { step, setup } => Self::Step {
                step: step.test(),
                setup: setup.as_deref().map(text),
            },
            Fact::List { named, more } => Self::List {
                named: named.iter().map(FactFields::new).collect(),
                more: *more,
            },
            Fact::AsManyAsFit { first, of, .. } => Self::List {
                named: first.iter().map(FactFields::new).collect(),
                more: of.saturating_sub(first.len()),
            },
            Fact::Words(_) => Self::Words,
            Fact::Phrase(words, facts) => Self::Phrase {
                words,
                facts: facts.iter().map(FactFields::new).collect(),
            },
        }
    }
}

/// A text of a record, of which no more is repeated than a message would.
pub(super) fn text(raw: &str) -> Cow<'_, str> {
    phrases::shortened(raw, LONGEST_TEXT)
}

/// A number as JSON has it, without a sign where it is nothing; none for what is not finite.
pub(super) fn number(value: f64) -> Option<f64> {
    value.is_finite().then_some(value + 0.0)
}
