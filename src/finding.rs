//! Findings as data: what was judged, where, with which value against which limit. Words are put to them last.

use crate::cause::About;
use crate::diagnostic::{Diagnostic, Severity};
use crate::fact::Fact;
use crate::figure::ShownAs;
use crate::figure::about::COMPUTED_FACTOR;
use crate::outcome::{Grade, Key, Stage, Verdict};
use crate::procedure::Step;
use crate::quantity::unit::Unit;
use crate::record::Mends;
use crate::rule::{Deciding, Limit};
use crate::source::Place;
use crate::working::Working;
use jiff::civil::Date;

/// The name of the one note a test.
pub const WEAK_TEST: &str = "weak-test";

/// One thing that was found.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub enum Finding {
    /// A fault of a text or of what stands in it, in the words of who found it.
    Fault(Box<Diagnostic>),
    /// A rule that does not hold.
    Judged(Box<Judged>),
    /// What explains rules of a visit that do not hold.
    Explained(Box<Explained>),
    /// What makes a test prove less than it could.
    Weak(Box<WeakTest>),
}

/// Where in the fleet something was judged, by name.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct At {
    /// The machine.
    pub machine: String,
    /// The date of the record, where it belongs to one.
    pub date: Option<Date>,
    /// The step.
    pub step: Option<Step>,
    /// The setup.
    pub setup: Option<String>,
    /// As found or as left.
    pub stage: Option<Stage>,
    /// The part, as people count it.
    pub part: Fact,
    /// Whether that is all of a test or machine.
    pub is_whole: bool,
}

/// What chance alone does to members that are good.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByChance {
    /// How many lie beyond the limit.
    pub beyond: f64,
    /// Of how many.
    pub of: usize,
}

/// A figure held against the limits of a rule.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Judged {
    /// The rule, by its place in the rule set.
    pub rule: usize,
    /// The rule's name.
    pub name: String,
    /// The figure's name.
    pub figure: &'static str,
    /// Where it holds.
    pub key: Key,
    /// The same by name.
    pub at: At,
    /// A case of the figure's own.
    pub case: Option<&'static str>,
    /// What the rule made of it.
    pub verdict: Verdict,
    /// The value in SI units, or as a ratio or count.
    pub value: f64,
    /// Its expanded uncertainty.
    pub expanded: f64,
    /// How the value is shown.
    pub shown_as: ShownAs,
    /// The units of what was read and of what it is held against, where one may be taken for the other.
    pub units: (Option<Unit>, Option<Unit>),
    /// The limit that decides, with its grade.
    pub limit: Option<(Grade, Limit)>,
    /// How far the value lies from it.
    pub distance: f64,
    /// The value as left, of what was put right after it was found.
    pub as_left: Option<f64>,
    /// Whether it was corrected since.
    pub is_put_right: bool,
    /// What would decide a verdict that is undecided.
    pub deciding: Option<Deciding>,
    /// How many good ones like it lie beyond the limit too; none where it cannot be chance.
    pub by_chance: Option<ByChance>,
    /// What was sprayed with what was found.
    pub sprayed: Option<Fact>,
    /// What was read.
    pub subject: Place,
    /// What was read, as a label.
    pub read: Option<Fact>,
    /// What it is held against.
    pub against: Option<Place>,
    /// What it is held against, as a label.
    pub held_against: &'static str,
    /// How the value was worked out.
    pub working: Option<Working>,
    /// What the rule's texts may tell, by slot.
    pub facts: Vec<(&'static str, Option<Fact>)>,
    /// How many other members its family has at the same place.
    pub siblings: usize,
    /// How much it weighs by itself.
    pub severity: Severity,
    /// What follows from it.
    pub held: Vec<Judged>,
    /// What is not told while it stands: what only weakens a test, and what was undecided as found and is so as left.
    pub weak: Vec<Judged>,
}

/// Rules of a visit that do not hold, explained by one thing that is not as written or not as it should be.
///
/// It weighs as much as the heaviest of what it holds back: an explanation never makes a fault lighter.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Explained {
    /// What it most likely is.
    pub likeliest: Suspected,
    /// What it may be as well, where the visit cannot tell the two apart.
    pub rival: Option<Suspected>,
    /// What else is not unlikely, most likely first: the cause's name and how likely it is.
    pub others: Vec<(String, f64)>,
    /// The record and the place of the likeliest, by name.
    pub at: At,
    /// How much it weighs.
    pub severity: Severity,
    /// What follows from it: what is gone once the visit is judged with the cause mended.
    pub held: Vec<Judged>,
    /// Whether the likeliest is a value of the visit's own record: a correction of one that has merged needs an entry.
    pub is_in_record: bool,
    /// How the record and the machine file are mended where the likeliest is the cause.
    pub mends: Mends,
}

/// One cause that may explain a visit.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Suspected {
    /// The cause's name.
    pub id: String,
    /// How likely it is among all causes, from 0 to 1, by its prior and the readings.
    pub share: f64,
    /// What it is about: a value written wrong, a part of the machine, an instrument, or how the test was done.
    pub about: About,
    /// What it is of: the value to correct, or the reading of the part.
    pub subject: Place,
    /// What else is of it.
    pub also: Vec<Place>,
    /// What its texts may tell, by slot.
    pub facts: Vec<(&'static str, Fact)>,
    /// What would be written once it is mended, where it is a value of a record.
    pub implied: Option<Fact>,
    /// The cross-checks that were off and agree once it is mended.
    pub agrees: Vec<CrossChecked>,
    /// Those that are off once it is mended.
    pub denies: Vec<CrossChecked>,
}

/// A cross-check of a visit, as it is and with a cause mended.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct CrossChecked {
    /// What is held against what.
    pub what: Fact,
    /// How far it is off, as a ratio less one.
    pub before: f64,
    /// The same with the cause mended.
    pub after: f64,
    /// The expanded uncertainty of both.
    pub expanded: f64,
}

/// What only weakens a test: one note tells of all.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct WeakTest {
    /// The step whose test it is; none for one of the record.
    pub step: Option<Step>,
    /// How much the note weighs.
    pub severity: Severity,
    /// The first of what weakens it.
    pub first: Judged,
    /// What else does.
    pub more: Vec<Judged>,
}

/// A figure that a rule asked for and that cannot be computed.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct NotComputed {
    /// The rule's name.
    pub rule: String,
    /// The figure's name.
    pub figure: &'static str,
    /// Where it would hold.
    pub at: At,
    /// Why it cannot be computed.
    pub because: String,
    /// Where what is missing should stand, or what it would be of.
    pub place: Place,
    /// Whether something is missing there.
    pub is_lacking: bool,
}

/// A waived finding.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Waived {
    /// The finding.
    pub finding: Finding,
    /// The waiver, by its place in the waivers file.
    pub waiver: usize,
}

impl Finding {
    /// The name of its rule, or of the fault.
    pub fn name(&self) -> &str {
        match self {
            Self::Fault(fault) => fault.rule(),
            Self::Judged(judged) => &judged.name,
            Self::Explained(explained) => &explained.likeliest.id,
            Self::Weak(_) => WEAK_TEST,
        }
    }

    /// How much it weighs by itself.
    pub fn severity(&self) -> Severity {
        match self {
            Self::Fault(fault) => fault.severity(),
            Self::Judged(judged) => judged.severity,
            Self::Explained(explained) => explained.severity,
            Self::Weak(weak) => weak.severity,
        }
    }

    /// The name of what weighs most of it and what it holds back.
    pub fn heaviest_name(&self) -> &str {
        match self {
            Self::Judged(judged) => &judged.heaviest().name,
            Self::Fault(_) | Self::Weak(_) | Self::Explained(_) => self.name(),
        }
    }

    /// Where it points.
    pub fn place(&self) -> Place {
        match self {
            Self::Fault(fault) => fault.primary().place,
            Self::Judged(judged) => judged.subject,
            Self::Explained(explained) => explained.likeliest.subject,
            Self::Weak(weak) => weak.first.subject,
        }
    }

    /// The machine it concerns, where it concerns one.
    pub fn machine(&self) -> Option<&str> {
        match self {
            Self::Fault(fault) => fault.machine(),
            Self::Judged(judged) => Some(&judged.at.machine),
            Self::Explained(explained) => Some(&explained.at.machine),
            Self::Weak(weak) => Some(&weak.first.at.machine),
        }
    }

    /// What it holds back.
    pub fn held(&self) -> &[Judged] {
        match self {
            Self::Judged(judged) => &judged.held,
            Self::Explained(explained) => &explained.held,
            Self::Fault(_) | Self::Weak(_) => &[],
        }
    }
}

fn first_factor<'j>(mut all: impl Iterator<Item = &'j Judged>) -> Option<(&'j Fact, Place)> {
    all.find_map(|judged| Some((judged.fact(COMPUTED_FACTOR)?, judged.subject)))
}

impl Explained {
    /// The first of those that weigh most of what it holds back.
    pub fn heaviest(&self) -> Option<&Judged> {
        // Of several the first; `max_by_key` gives the last.
        self.held.iter().rev().max_by_key(|held| held.severity)
    }

    /// What it may be, likeliest first.
    pub fn causes(&self) -> impl Iterator<Item = &Suspected> {
        std::iter::once(&self.likeliest).chain(&self.rival)
    }

    /// Holds back those of `standing` that it explains.
    pub fn hold_all(&mut self, standing: &mut Vec<Judged>, explains: impl Fn(&Judged) -> bool) {
        let all = std::mem::take(standing).into_iter();
        let (held, others): (Vec<Judged>, Vec<Judged>) = all.partition(|one| explains(one));
        *standing = others;
        self.held
            .extend(held.into_iter().flat_map(Judged::flattened));
        self.weigh();
    }

    /// As much as the heaviest of what it holds back; nothing where it holds nothing.
    pub fn weigh(&mut self) {
        let heaviest = self.held.iter().map(|held| held.heaviest().severity);
        self.severity = heaviest.max().unwrap_or(Severity::Note);
    }

    /// Takes in the same explanation of a later visit: what it holds back, and what speaks for it there if that is more.
    pub fn take_in(&mut self, later: Self) {
        self.held.extend(later.held);
        self.weigh();
        if self.likeliest.share <= later.likeliest.share {
            self.likeliest = later.likeliest;
            self.rival = later.rival;
            self.at = later.at;
            self.mends = later.mends;
        }
    }

    /// Whether a part of the machine is what is wrong, whichever of its causes it is: what was read is right.
    pub fn is_of_machine(&self) -> bool {
        self.causes().all(|cause| cause.about == About::Machine)
    }

    /// As [`Judged::factor_given`]. A factor that is worked out from a value that is suspected is none to aim at.
    pub fn factor_given(&self) -> Option<(&Fact, Place)> {
        first_factor(self.held.iter().filter(|_| self.is_of_machine()))
    }

    /// Whether the record is what is wrong, whichever of its causes it is: it is to be corrected, not the machine.
    pub fn is_of_record(&self) -> bool {
        self.causes().all(|cause| cause.about == About::Record)
    }
}

/// What something judged is of: rule, step, setup and stage.
pub type Of = (
    String,
    Option<&'static str>,
    Option<String>,
    Option<&'static str>,
);

impl Judged {
    /// The one that weighs most of itself and what it holds back: itself, where none of those weighs more.
    pub fn heaviest(&self) -> &Self {
        let heavier = self
            .held
            .iter()
            .filter(|held| self.severity < held.severity);
        // Of several the first; `max_by_key` gives the last.
        heavier
            .rev()
            .max_by_key(|held| held.severity)
            .unwrap_or(self)
    }

    /// It and those it held back, each by itself.
    pub fn flattened(mut self) -> impl Iterator<Item = Self> {
        let held = std::mem::take(&mut self.held);
        std::iter::once(self).chain(held)
    }

    /// What it is of, beside its record and part: the same whatever it is held against.
    pub fn about(&self) -> Of {
        let At {
            step, setup, stage, ..
        } = &self.at;
        (
            self.name.clone(),
            step.map(Step::word),
            setup.clone(),
            stage.map(Stage::word),
        )
    }

    /// A fact of the figure's own, by its slot.
    pub fn fact(&self, slot: &str) -> Option<&Fact> {
        let (_, fact) = self.facts.iter().find(|(name, _)| *name == slot)?;
        fact.as_ref()
    }

    /// The factor that its test gives the console, and where what was read of that test stands; none where it gives none.
    pub fn factor_given(&self) -> Option<(&Fact, Place)> {
        first_factor(std::iter::once(self).chain(&self.held))
    }
}
