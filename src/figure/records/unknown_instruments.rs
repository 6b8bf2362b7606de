//! Instruments in a record that the fleet file does not declare.

use super::instruments::instruments_in;
use super::named::Named;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Key, Part};

/// The figure.
pub(crate) struct UnknownInstruments;

static ABOUT: About = About {
    id: "unknown-instruments",
    title: "whether the fleet file declares an instrument the record names",
    formula: "1 where it declares instruments and not this one",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: None,
    cases: &[],
};

impl Figure for UnknownInstruments {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Named<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("instrument", |_, named| Some(named.name())),
        ("known", |visit, named| {
            Some(named.known(&visit.subject.fleet?.instruments))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A group that declares no instrument is asked nothing.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Named<'v>>> {
        let declared = visit.subject.fleet.map(|fleet| &fleet.instruments);
        let Some(declared) = declared.filter(|declared| !declared.is_empty()) else {
            return Vec::new();
        };
        (0_u16..)
            .zip(instruments_in(visit.calibration))
            .map(|(index, name)| {
                let key = Key {
                    record: Some(visit.calibration.file),
                    part: Part::Test(index),
                    ..Key::of_machine(visit.subject.index)
                };
                let named = Named::among(declared, &name.value);
                Member::new(key, named, visit.place(name.span))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, named: &Named<'v>) -> Option<N> {
        Some(named.unknown())
    }
}
