//! Names in a record that the fleet file does not declare: people and instruments.

use super::catalogue::{Compute, Entry, Family, Formula, ShownAs};
use super::number::{Measure, Number, Rational};
use super::{Member, Visit};
use crate::outcome::{Key, Part};
use crate::record::Calibration;
use crate::record::fleet::Fleet;
use crate::source::Spanned;
use crate::words;

/// People nobody declared.
pub(super) static PEOPLE_FIGURE: Entry = Entry {
    id: "unknown-people",
    title: "whether the fleet file declares a person the record names",
    formula: "1 where it declares people and not this one",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: None,
    cases: &[],
    compute: Compute::Readings(Formula {
        value: people::<f64>,
        measure: people::<Measure>,
        exact: people::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("person", |visit, key| {
                named(key, &people_in(visit.calibration))
            }),
            ("known", |visit, _| {
                Some(declared(visit, |fleet| fleet.people.keys()))
            }),
        ],
    }),
};

/// Instruments nobody declared.
pub(super) static INSTRUMENTS_FIGURE: Entry = Entry {
    id: "unknown-instruments",
    title: "whether the fleet file declares an instrument the record names",
    formula: "1 where it declares instruments and not this one",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: None,
    cases: &[],
    compute: Compute::Readings(Formula {
        value: instruments::<f64>,
        measure: instruments::<Measure>,
        exact: instruments::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("instrument", |visit, key| {
                named(key, &instruments_in(visit.calibration))
            }),
            ("known", |visit, _| {
                Some(declared(visit, |fleet| fleet.instruments.keys()))
            }),
        ],
    }),
};

fn people_in(visit: &Calibration) -> Vec<&Spanned<String>> {
    [&visit.by, &visit.checked_by]
        .into_iter()
        .flatten()
        .collect()
}

/// Every instrument a record names, in the order of the record.
pub(super) fn instruments_in(visit: &Calibration) -> Vec<&Spanned<String>> {
    let catches = visit
        .catch_tests
        .iter()
        .flat_map(|test| [&test.jug, &test.gauge, &test.stopwatch, &test.scale]);
    let meters = visit
        .meter_tests
        .iter()
        .flat_map(|test| [&test.refill_meter, &test.scale]);
    let courses = visit
        .speed_tests
        .iter()
        .flat_map(|test| [&test.measured_by, &test.stopwatch]);
    let balance = visit.section_balance.iter().map(|balance| &balance.gauge);
    let all = catches.chain(meters).chain(courses).chain(balance);
    all.flatten().collect()
}

/// Members are numbered by their place among the names of their kind.
fn members<N: Number>(
    visit: &Visit<'_>,
    names: &[&Spanned<String>],
    is_known: impl Fn(&str) -> bool,
) -> Vec<Member<N>> {
    (0_u16..)
        .zip(names)
        .map(|(index, name)| {
            let key = Key {
                record: Some(visit.calibration.file),
                part: Part::Test(index),
                ..Key::of_machine(visit.subject.index)
            };
            let unknown = u32::from(!is_known(&name.value));
            Member::new(key, N::whole(unknown), visit.place(name.span))
        })
        .collect()
}

/// A group that declares nobody is asked nothing.
fn people<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let declared = visit.subject.fleet.map(|fleet| &fleet.people);
    let Some(declared) = declared.filter(|declared| !declared.is_empty()) else {
        return Vec::new();
    };
    let named = people_in(visit.calibration);
    members(visit, &named, |name| declared.contains_key(name))
}

/// A group that declares no instrument is asked nothing.
fn instruments<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let declared = visit.subject.fleet.map(|fleet| &fleet.instruments);
    let Some(declared) = declared.filter(|declared| !declared.is_empty()) else {
        return Vec::new();
    };
    let named = instruments_in(visit.calibration);
    members(visit, &named, |name| declared.contains_key(name))
}

fn named(key: &Key, names: &[&Spanned<String>]) -> Option<String> {
    let Part::Test(index) = key.part else {
        return None;
    };
    Some(names.get(usize::from(index))?.value.clone())
}

fn declared<'v, 'a: 'v, I>(visit: &'v Visit<'a>, names: impl FnOnce(&'v Fleet) -> I) -> String
where
    I: Iterator<Item = &'v String>,
{
    let names: Vec<&String> = visit
        .subject
        .fleet
        .map(names)
        .into_iter()
        .flatten()
        .collect();
    words::phrases::list(&names, "and")
}
