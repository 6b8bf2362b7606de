//! How far what a visit read lies beyond a jug's capacity, a gauge's span, or the tank.

use super::beyond::{self, NOT_DECLARED};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Bounded, Bounds, ReadingsStratum, Visit};
use crate::outcome::{Key, Part};
use crate::working::Working;

/// The figure of one bound.
pub(crate) struct Beyond {
    bounded: fn(&Bounds) -> &[Bounded],
    held_against: &'static str,
    about: &'static About,
}

/// The fullest catch of each jug.
pub(crate) static BEYOND_JUG: Beyond = Beyond {
    bounded: |bounds| &bounds.jugs,
    held_against: "holds this",
    about: &About {
        id: "beyond-jug",
        title: "how far the fullest catch of a jug is beyond what the jug holds",
        formula: "catch / capacity - 1, or none where it is less",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Visit,
        step: None,
        cases: &[],
    },
};

/// The highest pressure of each gauge.
pub(crate) static BEYOND_GAUGE: Beyond = Beyond {
    bounded: |bounds| &bounds.gauges,
    held_against: "ends here",
    about: &About {
        id: "beyond-gauge",
        title: "how far the highest pressure read on a gauge is beyond its span",
        formula: "pressure / span - 1, or none where it is less; span 10 bar where none is declared",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Visit,
        step: None,
        cases: &[NOT_DECLARED],
    },
};

/// The largest volume of a meter test.
pub(crate) static KNOWN_VOLUME_BEYOND_TANK: Beyond = Beyond {
    bounded: |bounds| &bounds.known_volume,
    held_against: "holds this",
    about: &About {
        id: "known-volume-beyond-tank",
        title: "how far the largest volume sprayed out in a meter test is beyond the tank",
        formula: "known volume / tank - 1, or none where it is less",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Visit,
        step: None,
        cases: &[],
    },
};

impl Figure for Beyond {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = &'v Bounded;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("reading", |_, bounded| Some(beyond::read(bounded))),
        ("most", |_, bounded| Some(beyond::most(bounded))),
        ("instrument", |_, bounded| {
            Some(Fact::Name(bounded.name.clone()?))
        }),
    ];

    fn about(&self) -> &About {
        self.about
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v Bounded>> {
        let numbered = (0_u16..).zip((self.bounded)(&visit.bounds));
        let members = numbered.map(|(index, bounded)| {
            let key = Key {
                record: Some(visit.calibration.file),
                part: Part::Test(index),
                ..Key::of_machine(visit.subject.index)
            };
            beyond::member(key, bounded)
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, bounded: &&'v Bounded) -> Option<N> {
        Some(beyond::value(&visit.primitives, bounded))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, bounded: &&'v Bounded) -> Option<Working> {
        beyond::working(bounded)
    }

    fn read<'v>(&self, _: &'v Visit<'v>, bounded: &&'v Bounded) -> Option<Fact> {
        Some(beyond::read(bounded))
    }

    fn held_against(&self) -> &'static str {
        self.held_against
    }

    fn units<'v>(&self, _: &'v Visit<'v>, bounded: &&'v Bounded) -> Units {
        beyond::units(bounded)
    }
}
