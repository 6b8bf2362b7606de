//! People in a record that the fleet file does not declare.

use super::named::Named;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::outcome::{Key, Part};

/// The figure.
pub(crate) struct UnknownPeople;

static ABOUT: About = About {
    id: "unknown-people",
    title: "whether the fleet file declares a person the record names",
    formula: "1 where it declares people and not this one",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for UnknownPeople {
    type Stratum = StateStratum;
    type Evidence<'v> = Named<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("person", |_, named| Some(named.name())),
        ("known", |standing, named| {
            Some(named.known(&standing.subject.fleet?.people))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A group that declares nobody is asked nothing.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Named<'v>>> {
        let declared = standing.subject.fleet.map(|fleet| &fleet.people);
        let Some(declared) = declared.filter(|declared| !declared.is_empty()) else {
            return Vec::new();
        };
        let records = standing.records.iter();
        let people = records.flat_map(|record| {
            let numbered = (0_u16..).zip(&record.people);
            numbered.map(move |(index, name)| (record, index, *name))
        });
        people
            .map(|(record, index, name)| {
                let key = Key {
                    part: Part::Test(index),
                    ..standing.key_of(record)
                };
                let named = Named::among(declared, &name.value);
                Member::new(key, named, record.place(name.span))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, named: &Named<'v>) -> Option<N> {
        Some(named.unknown())
    }
}
