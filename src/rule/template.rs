//! Texts of rules with slots: read once, checked when the rule loads, filled when a finding is told.

use crate::figure::{Entry, Family};
use std::collections::BTreeMap;

/// One text, or one a case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Texts {
    by_case: BTreeMap<String, Text>,
}

/// The case of all that has no text of its own.
pub(super) const OTHERWISE: &str = "otherwise";
/// The case of a value above what it is held against.
pub(super) const HIGH: &str = "high";
/// The case of a value below what it is held against.
pub(super) const LOW: &str = "low";

impl Texts {
    /// One text for all cases.
    pub fn one(text: Text) -> Self {
        Self {
            by_case: BTreeMap::from([(OTHERWISE.to_owned(), text)]),
        }
    }

    /// A text a case.
    pub fn by_case(by_case: BTreeMap<String, Text>) -> Self {
        Self { by_case }
    }

    /// The text for a member's own case, else for its direction, else for all others.
    pub fn pick(&self, case: Option<&str>, value: f64) -> Option<&Text> {
        let direction = if value < 0.0 { LOW } else { HIGH };
        case.and_then(|case| self.by_case.get(case))
            .or_else(|| self.by_case.get(direction))
            .or_else(|| self.by_case.get(OTHERWISE))
    }

    /// All texts with their cases.
    pub fn all(&self) -> impl Iterator<Item = (&str, &Text)> {
        self.by_case
            .iter()
            .map(|(case, text)| (case.as_str(), text))
    }

    /// Whether some text serves every member: one otherwise, or both directions.
    pub fn is_complete(&self) -> bool {
        let has = |case: &str| self.by_case.contains_key(case);
        has(OTHERWISE) || (has(HIGH) && has(LOW))
    }
}

/// A text with slots.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    Words(String),
    Slot(Slot),
}

/// What a slot is filled with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Slot {
    /// The value found without its sign, with its uncertainty.
    Found,
    /// The limit it is held against.
    Limit,
    /// `more` or `less`.
    MoreOrLess,
    /// `high` or `low`.
    HighOrLow,
    /// `rises` or `falls`.
    RisesOrFalls,
    /// The part the member is about, as people count.
    Part,
    /// The machine.
    Machine,
    /// A text of the figure's own.
    Figure(&'static str),
}

impl Slot {
    /// The slot of this name for a figure.
    pub fn named(name: &str, figure: &Entry) -> Option<Self> {
        Some(match (name, figure.family) {
            ("found", _) => Self::Found,
            ("limit", _) => Self::Limit,
            ("more-or-less", _) => Self::MoreOrLess,
            ("high-or-low", _) => Self::HighOrLow,
            ("rises-or-falls", _) => Self::RisesOrFalls,
            ("machine", _) => Self::Machine,
            ("nozzle", Family::Nozzle)
            | ("sections", Family::SectionsOff)
            | ("section", Family::Section) => Self::Part,
            (name, _) => Self::Figure(figure.slot_names().into_iter().find(|own| *own == name)?),
        })
    }

    /// Every slot a figure's rules may use.
    pub fn names(figure: &Entry) -> Vec<&'static str> {
        let mut names = vec![
            "found",
            "limit",
            "more-or-less",
            "high-or-low",
            "rises-or-falls",
            "machine",
        ];
        match figure.family {
            Family::Nozzle => names.push("nozzle"),
            Family::SectionsOff => names.push("sections"),
            Family::Section => names.push("section"),
            Family::Machine
            | Family::Step
            | Family::Setup
            | Family::Record
            | Family::Visit
            | Family::Test => {}
        }
        names.extend(figure.slot_names());
        names
    }
}

/// Why a text is none: the slot that nobody fills, or a brace without its pair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TextFault {
    /// The figure's rules have no slot of this name.
    UnknownSlot(String),
    /// A brace that opens nothing or closes nothing.
    StrayBrace,
}

impl Text {
    /// Reads a text for a figure.
    ///
    /// # Errors
    /// Where a slot is unknown or a brace is left over.
    pub fn parse(text: &str, figure: &Entry) -> Result<Self, TextFault> {
        let mut pieces = Vec::new();
        let mut rest = text;
        while let Some((words, behind)) = rest.split_once('{') {
            let (name, behind) = behind.split_once('}').ok_or(TextFault::StrayBrace)?;
            if words.contains('}') || name.contains('{') {
                return Err(TextFault::StrayBrace);
            }
            if !words.is_empty() {
                pieces.push(Piece::Words(words.to_owned()));
            }
            let slot = Slot::named(name, figure);
            pieces.push(Piece::Slot(
                slot.ok_or_else(|| TextFault::UnknownSlot(name.to_owned()))?,
            ));
            rest = behind;
        }
        if rest.contains('}') {
            return Err(TextFault::StrayBrace);
        }
        if !rest.is_empty() {
            pieces.push(Piece::Words(rest.to_owned()));
        }
        Ok(Self { pieces })
    }

    /// The text with its slots filled.
    pub fn filled(&self, mut fill: impl FnMut(&Slot) -> String) -> String {
        self.pieces
            .iter()
            .map(|piece| match piece {
                Piece::Words(words) => words.clone(),
                Piece::Slot(slot) => fill(slot),
            })
            .collect()
    }

    /// Whether it has this slot.
    pub fn has(&self, slot: &Slot) -> bool {
        self.pieces
            .iter()
            .any(|piece| matches!(piece, Piece::Slot(own) if own == slot))
    }

    /// The text as written, slots in braces.
    pub fn as_written(&self) -> String {
        self.filled(|slot| {
            let name = match slot {
                Slot::Found => "found",
                Slot::Limit => "limit",
                Slot::MoreOrLess => "more-or-less",
                Slot::HighOrLow => "high-or-low",
                Slot::RisesOrFalls => "rises-or-falls",
                Slot::Part => "part",
                Slot::Machine => "machine",
                Slot::Figure(name) => name,
            };
            format!("<{}>", name.replace('-', " "))
        })
    }
}
