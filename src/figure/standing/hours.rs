//! The use between two readings of the hour meter, counted on over the meters a machine had.

use crate::figure::number::Number;
use crate::figure::primitive::Primitives;
use crate::figure::visit::Shown;
use crate::figure::visit::instrument::Bench;
use crate::fleet::{HourMeter, HourMeters};
use crate::quantity::Quantity;
use crate::source::Place;

/// The use between two readings of the hour meter.
#[derive(Debug, Clone)]
pub struct HoursUsed {
    /// The first reading.
    pub then: Shown,
    /// The second.
    pub now: Shown,
    /// What the old and the new meter read at each change between the two.
    changes: Vec<(Shown, Shown)>,
}

impl HoursUsed {
    pub(super) fn between(
        bench: &mut Bench<'_>,
        meters: &HourMeters,
        then: &HourMeter,
        now: &HourMeter,
    ) -> Self {
        let mut declared = |quantity: Quantity, place: Place| Shown {
            quantity,
            id: bench.declared(quantity, place),
            place,
        };
        let changes = meters.changes_between(then, now).iter();
        Self {
            then: declared(then.quantity, then.place),
            now: declared(now.quantity, now.place),
            changes: changes
                .map(|change| {
                    [change.before, change.after].map(|read| declared(read.value, read.place))
                })
                .map(|[before, after]| (before, after))
                .collect(),
        }
    }

    /// The seconds between them; below zero where the hour meter went back.
    pub(in crate::figure) fn value<N: Number>(&self, primitives: &Primitives) -> N {
        let input = |shown: &Shown| N::input(primitives, shown.id);
        let shown = input(&self.now).minus(&input(&self.then));
        let mut changes = self.changes.iter();
        changes.by_ref().fold(shown, |used, (before, after)| {
            used.plus(&input(before).minus(&input(after)))
        })
    }
}

/// A value, or none where it is below.
pub(in crate::figure) fn at_least_none<N: Number>(value: N) -> N {
    let none = N::whole(0);
    if value.compare(&none).is_lt() {
        none
    } else {
        value
    }
}
