//! Instruments in a record that the fleet file does not declare.

use super::named::Named;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::outcome::{Key, Part};

/// The figure.
pub(crate) struct UnknownInstruments;

static ABOUT: About = About {
    id: "unknown-instruments",
    title: "whether the fleet file declares an instrument the record names",
    formula: "1 where it declares instruments and not this one",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for UnknownInstruments {
    type Stratum = StateStratum;
    type Evidence<'v> = Named<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("instrument", |_, named| Some(named.name())),
        ("known", |standing, named| {
            Some(named.known(&standing.subject.fleet?.instruments))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A group that declares no instrument is asked nothing.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Named<'v>>> {
        let declared = standing.subject.fleet.map(|fleet| &fleet.instruments);
        let Some(declared) = declared.filter(|declared| !declared.is_empty()) else {
            return Vec::new();
        };
        let records = standing.records.iter();
        let instruments = records.flat_map(|record| {
            let numbered = (0_u16..).zip(&record.instruments);
            numbered.map(move |(index, (_, name))| (record, index, *name))
        });
        instruments
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
