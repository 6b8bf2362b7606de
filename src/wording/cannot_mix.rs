//! Why nothing can be mixed at all, in words.

use crate::tank_mix::{CannotMix, MOST_LOADS, WrongProduct};
use crate::words::phrases;
use std::fmt;

impl CannotMix {
    /// What to do, beginning with a verb.
    pub fn help(&self) -> String {
        let help = match self {
            Self::Unusable(cannot) => return cannot.help(),
            Self::NotRead { .. } => "check who may read it, then run `swathlint check`",
            Self::NoTank { .. } => {
                "add --tank, as in --tank '140 gal', or `tank:` to the machine file"
            }
            Self::TankTooLarge { .. } => "check the unit of the tank",
            Self::NoNominalRate { .. } => "add `rate:` to the setup in the machine file",
            Self::TooManyLoads { .. } => {
                "check the units of --area and of the tank; split a job that is that large"
            }
            Self::Product { because, .. } => match because {
                WrongProduct::Twice => "name each product once, with its whole rate",
                WrongProduct::UnlikeLabel => {
                    "write the rate and the label's rate both by volume, or both by weight, as the label does"
                }
                WrongProduct::MinAboveMax => "read both rates on the label again",
            },
        };
        help.to_owned()
    }
}

impl fmt::Display for CannotMix {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unusable(cannot) => cannot.fmt(out),
            Self::NotRead { path, reason } => write!(out, "could not read {path}: {reason}"),
            Self::NoTank { machine } => {
                let machine = phrases::name(machine);
                write!(
                    out,
                    "the machine file of {machine} does not say how much the tank holds"
                )
            }
            Self::TankTooLarge { tank } => {
                write!(out, "a tank of {tank} is larger than any sprayer's")
            }
            Self::NoNominalRate { setup } => {
                write!(out, "the setup {} has no rate", phrases::name(setup))
            }
            Self::TooManyLoads { area } => {
                write!(out, "{area} takes more than {MOST_LOADS} loads")
            }
            Self::Product { name, because } => {
                let name = phrases::name(name);
                match because {
                    WrongProduct::Twice => write!(out, "the product {name} is named twice"),
                    WrongProduct::UnlikeLabel => write!(
                        out,
                        "the rate of {name} is by volume and its label's by weight, or the other way around"
                    ),
                    WrongProduct::MinAboveMax => {
                        write!(out, "the label minimum of {name} is above its maximum")
                    }
                }
            }
        }
    }
}
