//! People in a record that the fleet file does not declare.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::unknown_instruments::named;
use super::{Member, Standing};
use crate::outcome::{Key, Part};
use crate::words;

/// People nobody declared.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "unknown-people",
        title: "whether the fleet file declares a person the record names",
        formula: "1 where it declares people and not this one",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: people::<f64>,
        measure: people::<Measure>,
        exact: people::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("person", |standing, key| {
                named(key, &standing.record(key.record?)?.people)
            }),
            ("known", |standing, key| {
                let name = named(key, &standing.record(key.record?)?.people)?;
                let known = standing.subject.fleet?.people.keys();
                Some(words::spelling::known_names(
                    &name,
                    known.map(String::as_str),
                ))
            }),
        ],
    },
};

/// A group that declares nobody is asked nothing.
fn people<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let declared = standing.subject.fleet.map(|fleet| &fleet.people);
    let Some(declared) = declared.filter(|declared| !declared.is_empty()) else {
        return Vec::new();
    };
    let records = standing.records.iter();
    let named = records.flat_map(|record| {
        let numbered = (0_u16..).zip(&record.people);
        numbered.map(move |(index, name)| (record, index, *name))
    });
    named
        .map(|(record, index, name)| {
            let key = Key {
                part: Part::Test(index),
                ..standing.key_of(record)
            };
            let unknown = u32::from(!declared.contains_key(&name.value));
            Member::new(key, N::whole(unknown), record.place(name.span))
        })
        .collect()
}
