//! One thing told to the user: what, where, how it was worked out, what to do.
//!
//! Renders nothing and decides nothing: severity and words are given.

use crate::source::Place;
use crate::words::phrases;
use std::borrow::Cow;

/// How much a finding weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// The calibration can be relied on, but.
    Warning,
    /// The calibration cannot be relied on.
    Error,
}

impl Severity {
    /// Every severity, worst first.
    pub const ALL: [Self; 3] = [Self::Error, Self::Warning, Self::Note];

    /// The word used in every output, option and rule file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// The name of the note on what is begun in a record and not filled in.
pub const NOT_FILLED_IN: &str = "not-filled-in";

/// A place with a few words on what stands there; record text in it is not yet escaped.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Where.
    pub place: Place,
    /// What is there, in a few words; may be empty.
    pub text: String,
}

impl Label {
    /// A label.
    pub fn new(place: Place, text: impl Into<String>) -> Self {
        Self {
            place,
            text: shortened(text),
        }
    }
}

/// So many characters of a text are told: records and rules may repeat values of any length in it.
const LONGEST_TEXT: usize = 1_000;

fn shortened(text: impl Into<String>) -> String {
    let text = text.into();
    match phrases::shortened(&text, LONGEST_TEXT) {
        Cow::Borrowed(_) => text,
        Cow::Owned(short) => short,
    }
}

/// A finding held back because another one explains it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// Its rule.
    pub rule: String,
    /// How much it weighs by itself.
    pub severity: Severity,
}

/// One finding. Every finding points at bytes of a file: the constructor asks for them.
///
/// Text from records may stand in any string of it and is untrusted until a renderer has cleaned it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    rule: Cow<'static, str>,
    severity: Severity,
    message: String,
    primary: Label,
    related: Vec<Label>,
    derivation: Option<String>,
    help: Option<String>,
    machine: Option<String>,
    held: Vec<Held>,
    held_by_place: Option<String>,
}

impl Diagnostic {
    /// A finding of `rule`; `message` stands alone on one line.
    pub fn new(
        rule: impl Into<Cow<'static, str>>,
        severity: Severity,
        message: impl Into<String>,
        primary: Label,
    ) -> Self {
        Self {
            rule: rule.into(),
            severity,
            message: shortened(message),
            primary,
            related: Vec::new(),
            derivation: None,
            help: None,
            machine: None,
            held: Vec::new(),
            held_by_place: None,
        }
    }

    /// The same with one more place.
    #[must_use]
    pub fn also(mut self, label: Label) -> Self {
        self.related.push(label);
        self
    }

    /// The same with the sum that led to the number, in one line.
    #[must_use]
    pub fn worked_out(mut self, derivation: impl Into<String>) -> Self {
        self.derivation = Some(shortened(derivation));
        self
    }

    /// The same with what to do next; begins with a verb.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(shortened(help));
        self
    }

    /// The same for a machine.
    #[must_use]
    pub fn of_machine(mut self, machine: impl Into<String>) -> Self {
        self.machine = Some(machine.into());
        self
    }

    /// The same, saying more behind its message.
    #[must_use]
    pub fn and(mut self, more: &str) -> Self {
        self.message = shortened(format!("{}; {more}", self.message));
        self
    }

    /// The same, holding back findings that follow from this one.
    #[must_use]
    pub fn holding(mut self, held: Vec<Held>) -> Self {
        self.held = held;
        self
    }

    /// The same, naming what it holds back by rule and place.
    #[must_use]
    pub fn naming_held(mut self, by_place: String) -> Self {
        self.held_by_place = Some(by_place);
        self
    }

    /// The rule's name, or the name of a fault of the text, as written in brackets behind the message.
    pub fn rule(&self) -> &str {
        &self.rule
    }

    /// How much it weighs by itself.
    pub fn severity(&self) -> Severity {
        self.severity
    }

    /// How much it weighs with what it holds back: the most of all.
    pub fn heaviest(&self) -> Severity {
        let held = self.held.iter().map(|held| held.severity);
        held.fold(self.severity, Severity::max)
    }

    /// One line that stands alone: what, found, wanted, with units.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// Where the fault stands.
    pub fn primary(&self) -> &Label {
        &self.primary
    }

    /// What it is held against and what else matters; may lie in other files.
    pub fn related(&self) -> &[Label] {
        &self.related
    }

    /// How the number was worked out, in one line with the numbers in.
    pub fn derivation(&self) -> Option<&str> {
        self.derivation.as_deref()
    }

    /// What to do next, likeliest first.
    pub fn help_text(&self) -> Option<&str> {
        self.help.as_deref()
    }

    /// The machine it concerns, where it concerns one.
    pub fn machine(&self) -> Option<&str> {
        self.machine.as_deref()
    }

    /// The findings that follow from this one and are held back.
    pub fn held(&self) -> &[Held] {
        &self.held
    }

    /// The same by rule and place, where each is named: what a cause explains.
    pub fn held_by_place(&self) -> Option<&str> {
        self.held_by_place.as_deref()
    }
}
