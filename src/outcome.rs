//! Where in the fleet a figure holds, and what a rule made of it there.
//!
//! Compares nothing and words nothing: see `rule`, `assess`, and `wording`.

pub use crate::procedure::Step;
use crate::source::{FileId, Place};

/// Before or after what was put right in a visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// As the machine came in; said only where it differs from as left.
    AsFound,
    /// As the machine went out; decides the severity.
    AsLeft,
}

impl Stage {
    /// The word in rule files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::AsFound => "as-found",
            Self::AsLeft => "as-left",
        }
    }
}

/// Which tips a value is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tips {
    /// New ones, at their rated flow.
    New,
    /// Those that are fitted, as the last catch left them on average.
    AsCaught,
}

/// Whether a pressure may be set, and what keeps it from that: the first that does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// It may.
    Within,
    /// The gauge does not show it.
    BeyondGauge,
    /// It is below what the tips are made for.
    BelowTips,
    /// It is above what the tips are made for.
    AboveTips,
    /// It is far from the pressure of the setup.
    FarOff,
}

/// Which part of a machine or of a test.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// All of it.
    Whole,
    /// A section, by its place from the left, from 0.
    Section(u16),
    /// A nozzle: its section, from 0, and its number over the boom, from 1.
    Nozzle {
        /// The section it sits on.
        section: u16,
        /// Counted from the left end of the boom.
        number: u16,
    },
    /// A reading with sections off, by its place in the list, from 0.
    SectionsOff(u16),
    /// A test, by its place in the list, from 0.
    Test(u16),
}

/// Where in the fleet a figure holds; a coordinate left out means all of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Key {
    /// The machine, by its place among the group's machines.
    pub machine: u32,
    /// The visit's record.
    pub record: Option<FileId>,
    /// The step.
    pub step: Option<Step>,
    /// The setup, by its place in the machine file.
    pub setup: Option<u16>,
    /// As found or as left.
    pub stage: Option<Stage>,
    /// The part.
    pub part: Part,
}

impl Key {
    /// The key of a whole machine.
    pub const fn of_machine(machine: u32) -> Self {
        Self {
            machine,
            record: None,
            step: None,
            setup: None,
            stage: None,
            part: Part::Whole,
        }
    }

    /// Whether something holds at both: each coordinate is the same or left out in one of them.
    pub fn overlaps(&self, other: &Self) -> bool {
        fn agree<T: PartialEq>(one: Option<&T>, other: Option<&T>) -> bool {
            match (one, other) {
                (Some(one), Some(other)) => one == other,
                (None, _) | (_, None) => true,
            }
        }
        let Self {
            machine,
            record,
            step,
            setup,
            stage,
            part,
        } = self;
        *machine == other.machine
            && agree(record.as_ref(), other.record.as_ref())
            && agree(step.as_ref(), other.step.as_ref())
            && agree(setup.as_ref(), other.setup.as_ref())
            && agree(stage.as_ref(), other.stage.as_ref())
            && part.overlaps(other.part)
    }

    /// Whether both differ in nothing but the part.
    pub fn is_sibling(&self, other: &Self) -> bool {
        self != other
            && Self {
                part: other.part,
                ..*self
            } == *other
    }

    /// The same place at another stage.
    #[must_use]
    pub const fn at_stage(self, stage: Stage) -> Self {
        Self {
            stage: Some(stage),
            ..self
        }
    }
}

impl Part {
    /// A name for other programs, the same from one version to the next.
    pub fn id(self) -> String {
        match self {
            Self::Whole => "whole".to_owned(),
            Self::Section(at) => format!("section-{}", at + 1),
            Self::Nozzle { section: _, number } => format!("nozzle-{number}"),
            Self::SectionsOff(at) => format!("sections-off-{}", at + 1),
            Self::Test(at) => format!("test-{}", at + 1),
        }
    }

    fn overlaps(self, other: Self) -> bool {
        match (self, other) {
            (Self::Whole, _) | (_, Self::Whole) => true,
            (Self::Section(one), Self::Nozzle { section, .. })
            | (Self::Nozzle { section, .. }, Self::Section(one)) => one == section,
            (
                Self::Section(_) | Self::Nozzle { .. } | Self::SectionsOff(_) | Self::Test(_),
                Self::Section(_) | Self::Nozzle { .. } | Self::SectionsOff(_) | Self::Test(_),
            ) => self == other,
        }
    }
}

/// How much a limit weighs, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Beyond it the calibration cannot be relied on.
    Error,
    /// Beyond it the calibration can be relied on, but.
    Warning,
    /// Beyond it there is something worth knowing.
    Note,
    /// Beyond it the test is weak.
    Weakens,
}

impl Grade {
    /// Every grade, worst first.
    pub const ALL: [Self; 4] = [Self::Error, Self::Warning, Self::Note, Self::Weakens];

    /// The word in rule files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
            Self::Weakens => "weakens",
        }
    }
}

/// On which side of a limit a value lies that cannot be told from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// It keeps the limit.
    Within,
    /// It does not.
    Over,
}

/// What a rule made of one member of its figure's family.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It holds.
    Pass,
    /// It does not, at this grade.
    Fail(Grade),
    /// The limit of this grade lies inside the uncertainty.
    Undecided(Grade, Side),
}

/// Why a figure could not be computed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unavailable {
    /// What was missing, as a fragment that stands alone.
    pub because: String,
    /// Where it should stand.
    pub place: Option<Place>,
}

impl Verdict {
    /// Whether it says that a limit is broken, proven or not; what only weakens a test breaks none.
    pub fn is_over(&self) -> bool {
        match self {
            Self::Fail(grade) => *grade != Grade::Weakens,
            Self::Undecided(_, Side::Over) => true,
            Self::Pass | Self::Undecided(_, Side::Within) => false,
        }
    }
}

impl Unavailable {
    /// Nothing can be said of why.
    pub fn not_computed() -> Self {
        Self {
            because: "it cannot be calculated from what is on record".to_owned(),
            place: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_overlap_where_one_contains_the_other() {
        let visit = Key {
            record: Some(FileId(3)),
            step: Some(Step::Catch),
            ..Key::of_machine(1)
        };
        let nozzle = Key {
            part: Part::Nozzle {
                section: 2,
                number: 7,
            },
            stage: Some(Stage::AsLeft),
            ..visit
        };
        let section = |section| Key {
            part: Part::Section(section),
            ..nozzle
        };
        assert!(visit.overlaps(&nozzle) && nozzle.overlaps(&visit));
        assert!(section(2).overlaps(&nozzle) && !section(1).overlaps(&nozzle));
        assert!(!nozzle.at_stage(Stage::AsFound).overlaps(&nozzle));
        assert!(!Key::of_machine(2).overlaps(&nozzle));
        assert!(section(1).is_sibling(&section(2)) && !nozzle.is_sibling(&nozzle));
    }
}
