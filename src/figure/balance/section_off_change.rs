//! How far the rate changes while sections are off.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::catch::target::allowed as allowed_of;
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::quantity::dimension::Dimension;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct SectionOffChange;

static ABOUT: About = About {
    id: "section-off-change",
    title: "how far the rate changes with sections off, from the rate or the pressure shown",
    formula: "off / all on - 1 by rate; sqrt(off / all on) - 1 by pressure",
    source: "square-root law of a fixed orifice",
    shown_as: ShownAs::Percent,
    family: Family::SectionsOff,
    step: Some(Step::Balance),
    cases: &[],
};

/// Two readings of one dimension.
pub(crate) struct Change {
    sections_off: Shown,
    all_on: Shown,
}

impl Change {
    /// What is read.
    fn dimension(&self) -> Dimension {
        self.sections_off.quantity.dimension()
    }
}

/// From where to where a reading with a section off may be, as multiples of the one with all on, where the rate may change
/// by `allowed`: by pressure its square, as the figure takes the root.
pub fn sections_off_over_all_on(read: Dimension, allowed: f64) -> (f64, f64) {
    let of_read = |rate: f64| {
        if read == Dimension::PRESSURE {
            rate * rate
        } else {
            rate
        }
    };
    let (low, high) = allowed_of(1.0, allowed);
    (of_read(low.max(0.0)), of_read(high))
}

impl Figure for SectionOffChange {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Change;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("reading", |_, change| {
            Some(Fact::Written(change.sections_off.quantity))
        }),
        ("all-on", |_, change| {
            Some(Fact::Written(change.all_on.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Change>> {
        let mut members = Vec::new();
        for sections_off in &visit.balance.sections_off {
            for (stage, &reading) in sections_off.readings.each() {
                let key = visit.key(
                    Step::Balance,
                    Some(stage),
                    Part::SectionsOff(sections_off.index),
                );
                members.push(match visit.balance.all_on {
                    None => {
                        let because = "the section balance gives no reading with all sections on";
                        Member::unavailable(key, because, None, reading.place)
                    }
                    Some(all_on) if all_on.quantity.dimension() != reading.quantity.dimension() => {
                        let because = "one reading is a rate and the other a pressure";
                        Member::unavailable(key, because, Some(all_on.place), reading.place)
                    }
                    Some(all_on) => {
                        let sections_off = reading;
                        Member::new(
                            key,
                            Change {
                                sections_off,
                                all_on,
                            },
                            reading.place,
                        )
                        .against(all_on.place)
                    }
                });
            }
        }
        members
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, change: &Change) -> Option<N> {
        let input = |shown: Shown| N::input(&visit.primitives, shown.id);
        let ratio = input(change.sections_off).over(&input(change.all_on));
        let ratio = if change.dimension() == Dimension::PRESSURE {
            ratio.root()
        } else {
            ratio
        };
        Some(ratio.minus(&N::whole(1)))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, change: &Change) -> Option<Working> {
        let ratio = change
            .sections_off
            .as_written()
            .over(change.all_on.as_written());
        let ratio = if change.dimension() == Dimension::PRESSURE {
            ratio.root()
        } else {
            ratio
        };
        Some(Working::deviation(ratio.minus(Expression::whole(1))))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, change: &Change) -> Option<Fact> {
        Some(Fact::Written(change.sections_off.quantity))
    }

    fn held_against(&self) -> &'static str {
        "all on"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rate 5% off is sqrt(off / all on) = 0.95 or 1.05, so the pressure is 0.9025 or 1.1025 of all on.
    #[test]
    fn a_pressure_may_change_by_the_square_of_what_the_rate_may() {
        let off = |read, allowed| sections_off_over_all_on(read, allowed);
        let is = |(low, high): (f64, f64), of: (f64, f64)| {
            assert!((low - of.0).abs() < 1e-12 && (high - of.1).abs() < 1e-12);
        };
        is(off(Dimension::PRESSURE, 0.05), (0.9025, 1.1025));
        is(off(Dimension::RATE, 0.05), (0.95, 1.05));
        is(off(Dimension::PRESSURE, 1.5), (0.0, 6.25));
    }
}
