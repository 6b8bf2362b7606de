//! Numbers as written, with their primitives.

use super::instrument::{Bench, rectangular_step};
use crate::fact::Fact;
use crate::figure::primitive::{PrimitiveId, What};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::source::{Place, Spanned};
use crate::working::Expression;

/// One number as written, with its primitive.
#[derive(Debug, Clone, Copy)]
pub struct Shown {
    /// As written.
    pub quantity: Quantity,
    /// Its primitive.
    pub id: PrimitiveId,
    /// Where it stands.
    pub place: Place,
}

impl Shown {
    /// Its value, shown as it is written.
    pub fn as_written(&self) -> Expression {
        Expression::number(self.quantity.si(), Fact::Written(self.quantity))
    }
}

impl Bench<'_> {
    /// A time taken by hand, start and stop.
    pub(super) fn timed(&mut self, duration: &Spanned<Quantity>) -> Shown {
        let watch = self.used("stopwatch", None);
        let place = self.place(duration.span);
        let timing = watch.timing();
        Shown {
            quantity: duration.value,
            id: self
                .primitives
                .written(What::Timing, duration.value, timing, place),
            place,
        }
    }

    /// A number of the console, known to its last digit.
    pub(super) fn shown(&mut self, shown: &Spanned<Quantity>) -> Shown {
        let digit = shown.value.resolution();
        let place = self.place(shown.span);
        let what = if shown.value.dimension() == Dimension::PRESSURE {
            What::Gauge
        } else {
            What::ConsoleDigit
        };
        Shown {
            quantity: shown.value,
            id: self
                .primitives
                .written(what, shown.value, rectangular_step(digit), place),
            place,
        }
    }
}
