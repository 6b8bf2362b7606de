//! How far a tank was filled beyond what it holds.

use super::beyond;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::figure::visit::Bounded;
use crate::outcome::Key;
use crate::working::Working;

/// The figure.
pub(crate) struct FilledBeyondTank;

static ABOUT: About = About {
    id: "filled-beyond-tank",
    title: "how far the fullest tank of an application is beyond what the tank holds",
    formula: "water / tank - 1, or none where it is less",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for FilledBeyondTank {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v Bounded;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("reading", |_, bounded| Some(beyond::read(bounded))),
        ("most", |_, bounded| Some(beyond::most(bounded))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v Bounded>> {
        let sprayings = standing.sprayings.iter();
        let members = sprayings.filter_map(|spraying| {
            let key = Key {
                record: Some(spraying.application.file),
                ..Key::of_machine(standing.subject.index)
            };
            Some(beyond::member(key, spraying.filled.as_ref()?))
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, filled: &&'v Bounded) -> Option<N> {
        Some(beyond::value(&standing.primitives, filled))
    }

    fn working<'v>(&self, _: &'v Standing<'v>, filled: &&'v Bounded) -> Option<Working> {
        beyond::working(filled)
    }

    fn read<'v>(&self, _: &'v Standing<'v>, filled: &&'v Bounded) -> Option<Fact> {
        Some(beyond::read(filled))
    }

    fn held_against(&self) -> &'static str {
        "holds this"
    }

    fn units<'v>(&self, _: &'v Standing<'v>, filled: &&'v Bounded) -> Units {
        beyond::units(filled)
    }
}
