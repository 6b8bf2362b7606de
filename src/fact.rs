//! What a finding or figure tells, as typed data, before any language has put words to it.
//!
//! A fixed English text in a fact is its own name, as messages are in a catalog of translations.

use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::unit::Unit;
use crate::words::phrases::MOST_NAMED;
use crate::words::spelling::nearest_first;
use jiff::civil::Date;

/// One thing that a text may tell.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Fact {
    /// Text of a record or rule: a product, an instrument, a person.
    Name(String),
    /// The path of a file below the records' root.
    Path(String),
    /// A value of a record, of whatever kind: its beginning is shown.
    Value(String),
    /// A day.
    Date(Date),
    /// A quantity as written.
    Written(Quantity),
    /// A number as written, without its unit.
    Decimal(Decimal),
    /// A computed value in a unit.
    Computed {
        /// In SI units.
        si: f64,
        /// The unit it is shown in.
        unit: Unit,
        /// How many digits are shown.
        digits: Digits,
    },
    /// A computed number.
    Number {
        /// Its value.
        value: f64,
        /// How many digits are shown.
        digits: Digits,
    },
    /// A ratio in percent.
    Percent {
        /// The ratio.
        ratio: f64,
        /// How many decimals of the percentage are shown.
        decimals: usize,
        /// Whether a plus sign is shown.
        is_signed: bool,
    },
    /// So many of something.
    Count {
        /// How many.
        count: usize,
        /// Of what, in the singular.
        noun: &'static str,
    },
    /// A place in a row, from 1.
    Ordinal(usize),
    /// A nozzle of the boom.
    Nozzle(NozzleName),
    /// A step, with its setup where the machine has several.
    Step {
        /// The step.
        step: Step,
        /// The setup's name.
        setup: Option<String>,
    },
    /// Several facts, and how many more there are.
    List {
        /// Those that are named.
        named: Vec<Fact>,
        /// How many more there are.
        more: usize,
    },
    /// As many of the first of so many as a paragraph holds, and how many more there are.
    AsManyAsFit {
        /// The first of them.
        first: Vec<Fact>,
        /// How many there are.
        of: usize,
    },
    /// A fixed text.
    Words(&'static str),
    /// A fixed text with a `{}` for each fact in it.
    Phrase(&'static str, Vec<Fact>),
}

/// How many digits of a computed number are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Digits {
    /// So many significant ones at least; whole digits are never cut.
    Significant(usize),
    /// So many behind the point.
    Decimals(usize),
}

/// A nozzle as people count it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NozzleName {
    /// Its number over the boom, from 1.
    pub number: u16,
    /// How many nozzles the boom has.
    pub of: usize,
    /// Its section by name and its place in it, from 1, where the section has a name.
    pub in_section: Option<(String, u16)>,
}

impl Fact {
    /// A computed value in a unit, to four significant digits.
    pub const fn computed(si: f64, unit: Unit) -> Self {
        Self::Computed {
            si,
            unit,
            digits: Digits::Significant(4),
        }
    }

    /// A value to set an instrument to, to three significant digits: no gauge is set finer.
    pub const fn to_set(si: f64, unit: Unit) -> Self {
        Self::Computed {
            si,
            unit,
            digits: Digits::Significant(3),
        }
    }

    /// A number to so many significant digits.
    pub const fn significant(value: f64, digits: usize) -> Self {
        Self::Number {
            value,
            digits: Digits::Significant(digits),
        }
    }

    /// A number to so many decimals.
    pub const fn number(value: f64, decimals: usize) -> Self {
        Self::Number {
            value,
            digits: Digits::Decimals(decimals),
        }
    }

    /// A whole number.
    pub fn whole(value: usize) -> Self {
        Self::number(u32::try_from(value).map_or(f64::INFINITY, f64::from), 0)
    }

    /// A deviation in percent with its sign, as a working ends with.
    pub const fn deviation(ratio: f64) -> Self {
        Self::Percent {
            ratio,
            decimals: 2,
            is_signed: true,
        }
    }

    /// A ratio in percent.
    pub const fn percent(ratio: f64, decimals: usize) -> Self {
        Self::Percent {
            ratio,
            decimals,
            is_signed: false,
        }
    }

    /// A fixed text with a `{}` for each of `facts`.
    pub fn phrase(text: &'static str, facts: impl Into<Vec<Self>>) -> Self {
        Self::Phrase(text, facts.into())
    }

    /// The first few of `facts`, and how many more there are.
    pub fn list_some(facts: impl IntoIterator<Item = Self>) -> Self {
        let mut named: Vec<Self> = facts.into_iter().collect();
        let more = named.len().saturating_sub(MOST_NAMED);
        named.truncate(MOST_NAMED);
        Self::List { named, more }
    }

    /// Known names: all of a few, of many those that are spelled most like `word`.
    pub fn names_like<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Self {
        let known = nearest_first(word, known);
        Self::list_some(known.into_iter().map(|name| Self::Name(name.to_owned())))
    }

    /// All of `facts`, none left out.
    pub fn list(facts: impl IntoIterator<Item = Self>) -> Self {
        Self::List {
            named: facts.into_iter().collect(),
            more: 0,
        }
    }
}
