//! How far the rate changes while sections are off.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
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
    /// Whether pressures were read, not rates.
    fn is_by_pressure(&self) -> bool {
        self.sections_off.quantity.dimension() == Dimension::PRESSURE
    }
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
        for sections_off in &visit.sections_off {
            for (stage, &reading) in sections_off.readings.each() {
                let key = visit.key(
                    Step::Balance,
                    Some(stage),
                    Part::SectionsOff(sections_off.index),
                );
                members.push(match sections_off.all_on {
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
        let ratio = if change.is_by_pressure() {
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
        let ratio = if change.is_by_pressure() {
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
