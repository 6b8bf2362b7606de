//! Numbers as written, with their primitives.

use super::instrument::{Bench, rectangular_step};
use crate::fact::Fact;
use crate::figure::primitive::{PrimitiveId, What};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::step::step_of;
use crate::quantity::unit::Unit;
use crate::record::instrument::Purpose;
use crate::source::{Place, Spanned};
use crate::working::Expression;
use std::collections::BTreeMap;

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
        let watch = self.used(Purpose::Stopwatch, None);
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

    /// A number of the console or a gauge, known to the step that it was read to.
    pub(super) fn shown(&mut self, shown: &Spanned<Quantity>, steps: &ShownSteps) -> Shown {
        let place = self.place(shown.span);
        let what = if shown.value.dimension() == Dimension::PRESSURE {
            What::Gauge
        } else {
            What::ConsoleDigit
        };
        let uncertainty = rectangular_step(steps.of(&shown.value));
        Shown {
            quantity: shown.value,
            id: self
                .primitives
                .written(what, shown.value, uncertainty, place),
            place,
        }
    }
}

/// The step of what one thing showed in a test, by the unit it was written down in.
#[derive(Debug, Default)]
pub(super) struct ShownSteps(BTreeMap<Unit, f64>);

impl ShownSteps {
    /// One step for all that was written down in one unit.
    pub(super) fn among<'q>(shown: impl IntoIterator<Item = &'q Spanned<Quantity>>) -> Self {
        let mut by_unit: BTreeMap<Unit, Vec<Decimal>> = BTreeMap::new();
        for shown in shown {
            let Quantity { decimal, unit } = shown.value;
            by_unit.entry(unit).or_default().push(decimal);
        }
        let steps = by_unit.into_iter();
        Self(steps.map(|(unit, read)| (unit, step_of(&read))).collect())
    }

    /// The step of a reading in SI units: its last digit where it is of no list.
    fn of(&self, shown: &Quantity) -> f64 {
        let step = self.0.get(&shown.unit);
        step.map_or_else(|| shown.resolution(), |step| step * shown.unit.factor())
    }
}
