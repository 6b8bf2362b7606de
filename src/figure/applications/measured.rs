//! Applications that tell area, volume and the rate they were meant to put down.

use crate::figure::number::Number;
use crate::figure::standing::{Amount, Spraying, Standing};
use crate::figure::visit::Shown;

/// An application with all that its rate needs.
#[derive(Clone, Copy)]
pub(crate) struct Measured<'v> {
    pub(super) spraying: &'v Spraying<'v>,
    pub(super) area: Amount,
    pub(super) volume: Amount,
    pub(super) rate: Shown,
}

impl<'v> Measured<'v> {
    /// None where one of them is not on record.
    pub(super) fn of(spraying: &'v Spraying<'v>) -> Option<Self> {
        Some(Self {
            spraying,
            area: spraying.area?,
            volume: spraying.volume?,
            rate: spraying.rate?,
        })
    }

    /// The area covered.
    pub(super) fn area<N: Number>(&self, standing: &Standing<'_>) -> N {
        amount(standing, self.area)
    }

    /// The volume put down.
    pub(super) fn volume<N: Number>(&self, standing: &Standing<'_>) -> N {
        amount(standing, self.volume)
    }
}

fn amount<N: Number>(standing: &Standing<'_>, amount: Amount) -> N {
    let input = |id| N::input(&standing.primitives, id);
    input(amount.reading.id).times(&input(amount.scale))
}
