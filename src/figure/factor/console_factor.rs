//! The factors by which a console counts pulses: what each is called, and what it means.

use crate::fact::{Digits, Fact};
use crate::figure::number::Number;
use crate::outcome::Step;
use crate::procedure::FactorTimes;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::machine::Console;

/// A factor of the console.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ConsoleFactor {
    /// Of the flow meter.
    Flow,
    /// Of the speed sensor.
    Speed,
}

/// What a factor means by the machine file.
#[derive(Clone, Copy)]
pub(crate) struct Meaning {
    unit: Unit,
    pub(crate) change: FactorTimes,
}

impl ConsoleFactor {
    /// The factor that a step's test puts right; none where it puts right none.
    pub(crate) fn of(step: Step) -> Option<Self> {
        let mut all = [Self::Flow, Self::Speed].into_iter();
        all.find(|factor| factor.step() == step)
    }

    /// The step whose test puts it right.
    pub(crate) const fn step(self) -> Step {
        match self {
            Self::Flow => Step::Flow,
            Self::Speed => Step::Speed,
        }
    }

    /// What it is called.
    pub(crate) const fn name(self) -> Fact {
        Fact::Words(match self {
            Self::Flow => "flow factor",
            Self::Speed => "speed factor",
        })
    }

    /// What it means; none where the machine file does not tell.
    pub(crate) fn meaning(self, console: &Console) -> Option<Meaning> {
        let (unit, per_amount) = match self {
            Self::Flow => (&console.flow_factor, Dimension::PULSES_PER_VOLUME),
            Self::Speed => (&console.speed_factor, Dimension::PULSES_PER_LENGTH),
        };
        let unit = unit.as_ref()?.value;
        Some(Meaning {
            unit,
            change: if unit.dimension() == per_amount {
                FactorTimes::ShownOverKnown
            } else {
                FactorTimes::KnownOverShown
            },
        })
    }
}

impl Meaning {
    /// What a factor is to be multiplied by, where the console showed one amount and another is true.
    pub(crate) fn change<N: Number>(self, shown: &N, known: &N) -> N {
        match self.change {
            FactorTimes::ShownOverKnown => shown.over(known),
            FactorTimes::KnownOverShown => known.over(shown),
        }
    }

    /// A factor as a number of the console, in SI units.
    pub(crate) fn in_si(self, factor: f64) -> f64 {
        factor * self.unit.factor()
    }

    /// A factor as a number of the console, with its unit: `663.5 pulses/gal`.
    pub(crate) fn with_unit(self, factor: f64, digits: Digits) -> Fact {
        Fact::Computed {
            si: self.in_si(factor),
            unit: self.unit,
            digits,
        }
    }
}
