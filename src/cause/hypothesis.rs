//! A hypothesis: one mend at one place, and what it makes of the values.

use super::content::Effect;
use super::readings::Readings;
use super::value::{Of, Value};
use crate::quantity::unit::Unit;

/// One mend at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    /// Where.
    pub at: At,
    /// What it changes.
    pub change: Change,
    /// What is meant, where a ratio alone does not say.
    pub meant: Option<Meant>,
}

impl Hypothesis {
    /// A mend whose change says everything.
    pub(super) const fn new(at: At, change: Change) -> Self {
        Self {
            at,
            change,
            meant: None,
        }
    }
}

/// What is meant instead of what is written.
#[derive(Clone, Debug, PartialEq)]
pub enum Meant {
    /// The number is in this unit.
    Unit(Unit),
    /// The tips are of this size.
    Size(&'static str),
}

/// Where a hypothesis holds.
#[derive(Clone, Debug, PartialEq)]
pub enum At {
    /// Everywhere or nowhere: a cause without a place.
    All,
    /// A nozzle.
    Nozzle(u16),
    /// Several of them.
    Nozzles(Vec<u16>),
    /// A section.
    Section(u16),
    /// Every nozzle from this one to the right end.
    FromNozzle(u16),
    /// Every nozzle from the left end to this one.
    ToNozzle(u16),
    /// Falls towards a part of the boom.
    Toward(Toward),
    /// Every value of a kind.
    Every(Of),
    /// One value.
    Value(Value),
    /// Two values.
    Values(Value, Value),
}

/// Where the output falls to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Toward {
    /// The right end.
    Right,
    /// The left end.
    Left,
    /// Both ends.
    BothEnds,
}

/// What a hypothesis says of the values as written.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Nothing is off.
    None,
    /// Each of these is so many times what it should be: the ratio, written over mended.
    Ratios(Vec<(Value, f64)>),
    /// Each of these is off by an effect of unknown size, to the power given.
    Effect {
        /// What is off, and to which power.
        on: Vec<(Value, f64)>,
        /// How far the effect may go.
        effect: Effect,
    },
    /// A constant is in each of these: the effect is its share of a usual reading, and each has so much of a usual reading.
    Constant {
        /// The readings, each as a share of a usual one.
        of: Vec<(Value, f64)>,
        /// How large the constant may be, as a share of a usual reading.
        effect: Effect,
    },
    /// All nozzles scatter wider by this relative standard deviation.
    Scatter(f64),
    /// The readings are those of the last visit, with the chance that honest ones are.
    Copied(f64),
    /// The retest is of this nozzle and not of one of those that are out.
    OtherNozzle {
        /// Which nozzle was caught again.
        caught: u16,
        /// How probable that is without a mistake.
        chance: f64,
    },
}

impl Change {
    /// How far its effect may go; none where the size is known, or there is none.
    pub(super) const fn effect(&self) -> Option<Effect> {
        match self {
            Self::Effect { effect, .. } | Self::Constant { effect, .. } => Some(*effect),
            Self::None
            | Self::Ratios(_)
            | Self::Scatter(_)
            | Self::Copied(_)
            | Self::OtherNozzle { .. } => None,
        }
    }

    /// The logarithm of the chance of what it explains and no value shows; that is certain under it.
    pub(super) fn ln_chance(&self) -> f64 {
        match self {
            Self::Copied(chance) | Self::OtherNozzle { chance, .. } => libm::log(*chance),
            Self::None
            | Self::Ratios(_)
            | Self::Effect { .. }
            | Self::Constant { .. }
            | Self::Scatter(_) => 0.0,
        }
    }

    /// How far each value is off for one unit of the effect, as a logarithm; of a constant, to first order.
    pub(super) fn pattern(&self) -> Vec<(Value, f64)> {
        match self {
            Self::Effect { on, .. } => on.clone(),
            Self::Constant { of, .. } => of
                .iter()
                .map(|(value, share)| (*value, 1.0 / share))
                .collect(),
            Self::None
            | Self::Ratios(_)
            | Self::Scatter(_)
            | Self::Copied(_)
            | Self::OtherNozzle { .. } => Vec::new(),
        }
    }

    /// What each written value is multiplied by to mend it, for an effect of this size. What has no place in a record, a part of the
    /// machine or an instrument, is among them.
    pub fn ratios(&self, size: f64) -> Vec<(Value, f64)> {
        match self {
            Self::Ratios(ratios) => ratios
                .iter()
                .map(|(value, ratio)| (*value, 1.0 / ratio))
                .collect(),
            Self::Effect { on, .. } => on
                .iter()
                .map(|(value, power)| (*value, libm::exp(-power * size)))
                .collect(),
            Self::Constant { of, .. } => of
                .iter()
                .map(|(value, share)| (*value, (1.0 - size / share).max(f64::EPSILON)))
                .collect(),
            Self::None | Self::Scatter(_) | Self::Copied(_) | Self::OtherNozzle { .. } => {
                Vec::new()
            }
        }
    }

    /// The readings as mended, for an effect of this size.
    pub fn applied(&self, readings: &Readings, size: f64) -> Readings {
        let mut mended = readings.scaled(&self.ratios(size));
        self.forgotten(&mut mended);
        mended
    }

    /// Takes from readings what this explains and no value shows.
    pub(super) fn forgotten(&self, readings: &mut Readings) {
        match self {
            Self::Copied(_) => readings.known.chance_of_copy = None,
            Self::OtherNozzle { .. } => readings.good_nozzle_caught_again = None,
            Self::None
            | Self::Ratios(_)
            | Self::Effect { .. }
            | Self::Constant { .. }
            | Self::Scatter(_) => {}
        }
    }
}
