//! Texts of rules with slots: read once, checked when the rule loads, filled when a finding is told.

use crate::figure::{Entry, Family};
use crate::outcome::Grade;
use crate::words::slots::{self, StrayBrace};
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
/// The case of a value above what it is held against by no more than is worth a note.
pub(super) const HIGH_NOTE: &str = "high-note";
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

    /// The text for a member's own case, else for its direction, else for all others; of a note that is above, its own
    /// before that of all that are above.
    pub fn pick(&self, case: Option<&str>, value: f64, grade: Option<Grade>) -> Option<&Text> {
        let direction = if value < 0.0 { LOW } else { HIGH };
        let is_high_note = direction == HIGH && grade == Some(Grade::Note);
        let note = is_high_note.then_some(HIGH_NOTE);
        case.and_then(|case| self.by_case.get(case))
            .or_else(|| self.by_case.get(note?))
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

/// A slot that is filled with one of two words, by the sign of the value.
#[derive(Debug, PartialEq, Eq)]
pub struct BySign {
    /// Its name.
    pub name: &'static str,
    /// The word above zero.
    pub above: &'static str,
    /// The word below zero.
    pub below: &'static str,
}

const fn by_sign(name: &'static str, above: &'static str, below: &'static str) -> BySign {
    BySign { name, above, below }
}

/// Every slot that the sign of the value fills.
const BY_SIGN: [BySign; 5] = [
    by_sign("more-or-less", "more", "less"),
    by_sign("high-or-low", "high", "low"),
    by_sign("above-or-below", "above", "below"),
    by_sign("over-or-under", "over", "under"),
    by_sign("rises-or-falls", "rises", "falls"),
];

/// What a slot is filled with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Slot {
    /// The value found without its sign, with its uncertainty.
    Found,
    /// The limit it is held against.
    Limit,
    /// One of two words, by the sign of the value.
    BySign(&'static BySign),
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
        if let Some(by_sign) = BY_SIGN.iter().find(|by_sign| by_sign.name == name) {
            return Some(Self::BySign(by_sign));
        }
        Some(match (name, figure.family) {
            ("found", _) => Self::Found,
            ("limit", _) => Self::Limit,
            ("machine", _) => Self::Machine,
            ("nozzle", Family::Nozzle)
            | ("sections", Family::SectionsOff)
            | ("section", Family::Section) => Self::Part,
            (name, _) => Self::Figure(figure.slot_names().into_iter().find(|own| *own == name)?),
        })
    }

    /// Every slot a figure's rules may use.
    pub fn names(figure: &Entry) -> Vec<&'static str> {
        let mut names = vec!["found", "limit", "machine"];
        names.extend(BY_SIGN.iter().map(|by_sign| by_sign.name));
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
        let pieces = slots::pieces(text).map_err(|StrayBrace| TextFault::StrayBrace)?;
        let pieces = pieces.into_iter().map(|piece| match piece {
            slots::Piece::Words(words) => Ok(Piece::Words(words.to_owned())),
            slots::Piece::Slot(name) => Slot::named(name, figure)
                .map(Piece::Slot)
                .ok_or_else(|| TextFault::UnknownSlot(name.to_owned())),
        });
        let pieces = pieces.collect::<Result<_, _>>()?;
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
                Slot::BySign(by_sign) => by_sign.name,
                Slot::Part => "part",
                Slot::Machine => "machine",
                Slot::Figure(name) => name,
            };
            format!("<{}>", name.replace('-', " "))
        })
    }
}
