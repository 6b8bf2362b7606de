//! Instruments in a record that the fleet file does not declare.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part};
use crate::record::Calibration;
use crate::source::Spanned;
use crate::words;

/// Instruments nobody declared.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "unknown-instruments",
        title: "whether the fleet file declares an instrument the record names",
        formula: "1 where it declares instruments and not this one",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: None,
        cases: &[],
    },
    formula: Formula {
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
            ("known", |visit, key| {
                let name = named(key, &instruments_in(visit.calibration))?;
                let known = visit.subject.fleet?.instruments.keys();
                Some(words::spelling::known_names(
                    &name,
                    known.map(String::as_str),
                ))
            }),
        ],
    },
};

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

/// A group that declares no instrument is asked nothing.
fn instruments<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
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
            let unknown = u32::from(!declared.contains_key(&name.value));
            Member::new(key, N::whole(unknown), visit.place(name.span))
        })
        .collect()
}

pub(super) fn named(key: &Key, names: &[&Spanned<String>]) -> Option<String> {
    let Part::Test(index) = key.part else {
        return None;
    };
    Some(names.get(usize::from(index))?.value.clone())
}
