//! What a cause says: its mends as data, its texts, and where its numbers come from.

use super::value::Of;
use crate::schema::Source;
use std::collections::BTreeMap;

/// A cause: one thing that is not as written, or not as it should be.
#[derive(Clone, Debug)]
pub struct Cause {
    /// Its name, stable, and never a rule's.
    pub id: String,
    /// The version that brought it.
    pub since: String,
    /// Whether it is ever told; `healthy` and `unlisted` are not, and where they win nothing is.
    pub told: bool,
    /// What a visit would be with it put right, each kind with a prior of its own.
    pub mends: Vec<Mend>,
    /// The causes under whose names a mend goes that makes the same record.
    pub gives_way_to: Vec<String>,
    /// What it is of.
    pub about: About,
    /// What it is, in one line.
    pub title: String,
    /// What a finding says, with slots.
    pub message: String,
    /// What to do next, likeliest and cheapest first.
    pub next: Vec<String>,
    /// What parts it from another cause, by the name of that one.
    pub told_apart: BTreeMap<String, String>,
    /// Why it is a cause.
    pub why: String,
    /// Where prior, size and ratios come from.
    pub sources: Vec<Source>,
}

impl Cause {
    /// The sum of its mends' priors.
    pub fn prior(&self) -> f64 {
        self.mends.iter().map(|mend| mend.prior).sum()
    }
}

/// What a cause is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// A value that is written wrong.
    Record,
    /// A part of the machine.
    Machine,
    /// An instrument.
    Instrument,
    /// How the test was done: it is to be done again.
    Test,
    /// Neither: `healthy` and `unlisted`.
    Nothing,
}

impl About {
    /// The word in files of causes.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Record => "record",
            Self::Machine => "machine",
            Self::Instrument => "instrument",
            Self::Test => "test",
            Self::Nothing => "nothing",
        }
    }
}

/// One kind of mend with its prior, which all its hypotheses share alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// How probable it is before anything is read, in 0..1.
    pub prior: f64,
    /// What is mended, and by how much.
    pub kind: Kind,
}

/// The kinds of mend: what is code; their parameters are data.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// `scale-value`: a value is written as so many times the true one.
    Scale {
        /// The kinds of value that may be.
        of: Vec<Of>,
        /// How much of a list.
        reach: Reach,
        /// What the true value was multiplied by, or a size of its own.
        by: By,
    },
    /// `change-unit`: a value is written in another unit than it was read in; which ones are taken for each other is in the table
    /// of units.
    Unit {
        /// The kinds of value that may be.
        of: Vec<Of>,
        /// How much of a list.
        reach: Reach,
    },
    /// `slip-point`: the decimal point is one place off.
    Point {
        /// The kinds of value that may be.
        of: Vec<Of>,
    },
    /// `swap-digits`: two neighboring digits are exchanged.
    Digits {
        /// The kinds of value that may be.
        of: Vec<Of>,
    },
    /// `exchange`: two values stand in each other's place.
    Exchange {
        /// Which ones may.
        pairs: Vec<Pair>,
    },
    /// `match-setup`: the value is the setup's.
    AsSetup,
    /// `turn-factor`: the correction was applied the wrong way round.
    FactorTurned,
    /// `scale-nozzles`: what nozzles put out, all of a part of the boom alike.
    Flow {
        /// Which part.
        part: Part,
        /// By how much.
        effect: Effect,
    },
    /// `tilt`: output falls along the boom.
    Tilt {
        /// By how much at its end.
        effect: Effect,
    },
    /// `change-size`: the nozzles of a part of the boom are of another size.
    Size {
        /// Which part; `Sheet` where the sheet is wrong of the whole set, at this visit and the last one.
        part: Part,
        /// How many of the nearest sizes.
        nearest: usize,
    },
    /// `add-constant`: a constant was weighed or caught with each reading.
    Tare {
        /// Its share of a usual reading.
        effect: Effect,
    },
    /// `other-instrument`: another jug or scale from a nozzle on.
    From {
        /// How far apart the two are.
        effect: Effect,
    },
    /// `one-against-all`: one instrument is off and whatever is read off it.
    Instrument {
        /// Which one.
        of: Of,
        /// By how much; of a gauge, in the flow it stands for.
        effect: Effect,
    },
    /// `one-of-setup`: one of the values of a setup does not fit the others.
    SheetSum {
        /// By how much.
        effect: Effect,
    },
    /// `turn-bypass`: as left is farther off than as found.
    BypassTurned {
        /// By how much as found.
        effect: Effect,
    },
    /// `recatch-other`: the retest is of a nozzle that was not out.
    OtherNozzle {
        /// How often somebody catches a good nozzle again, of their own will, and leaves the one that is out.
        chance: f64,
    },
    /// `copy`: the readings are those of the last visit.
    Copied,
    /// `nothing`: a boom within scatter.
    Nothing,
    /// `reading-off`: one reading, or those of one step, off by any amount.
    Reading {
        /// By how much.
        effect: Effect,
    },
    /// `scatter`: all nozzles scattered wider.
    Scatter {
        /// The relative standard deviation that is added.
        deviation: f64,
    },
}

impl Kind {
    /// Whether it is a value of a record or of a machine file that it mends, and not a part of the machine or an instrument.
    pub fn is_of_record(&self) -> bool {
        match self {
            Self::Scale { .. }
            | Self::Unit { .. }
            | Self::Point { .. }
            | Self::Digits { .. }
            | Self::Exchange { .. }
            | Self::AsSetup
            | Self::SheetSum { .. } => true,
            Self::Size { part, .. } => *part != Part::Nozzle,
            Self::Instrument { of, .. } => *of == Of::Pressure,
            Self::FactorTurned
            | Self::Flow { .. }
            | Self::Tilt { .. }
            | Self::Tare { .. }
            | Self::From { .. }
            | Self::BypassTurned { .. }
            | Self::OtherNozzle { .. }
            | Self::Copied
            | Self::Nothing
            | Self::Reading { .. }
            | Self::Scatter { .. } => false,
        }
    }
}

/// How a scaled value is off.
#[derive(Clone, Debug, PartialEq)]
pub enum By {
    /// By one of these: written over true.
    Ratios(Vec<f64>),
    /// By any amount.
    Effect(Effect),
}

/// How much of a list of readings is wrong in one go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// `all`: the value, and every reading of a list alike.
    All,
    /// `one`: one reading of a list.
    One,
    /// `from`: every reading of a list from one on, or up to one.
    From,
}

/// A part of the boom.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// `nozzle`.
    Nozzle,
    /// `section`.
    Section,
    /// `set`: all of them.
    Set,
    /// `sheet`: all of them, at the last visit too.
    Sheet,
    /// `supply`: all of them, and the pressure that reaches the end of the boom.
    Supply,
}

/// Two values that stand in each other's place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pair {
    /// `known-and-shown`.
    KnownShown,
    /// `before-and-after`: the flow factor's.
    BeforeAfter,
    /// `speed-before-and-after`.
    SpeedBeforeAfter,
    /// `sections`: the readings of two sections of as many nozzles.
    Sections,
    /// `left-and-right`: the whole boom mirrored.
    LeftRight,
}

/// How far an effect of unknown size may go: the logarithm of a ratio.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Effect {
    /// Either way, normal with this deviation.
    Either(f64),
    /// More only: half normal.
    More(f64),
    /// Less only: half normal.
    Less(f64),
}

impl Effect {
    /// Whether it goes one way, to more: wear.
    pub const fn is_more(self) -> bool {
        matches!(self, Self::More(_))
    }

    /// The deviation of the normal distribution it is, or is half of.
    pub const fn deviation(self) -> f64 {
        match self {
            Self::Either(deviation) | Self::More(deviation) | Self::Less(deviation) => deviation,
        }
    }
}
