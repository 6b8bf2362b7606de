//! What a section balance leaves out, and what hides a drift in it.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::record::calibration::RateControl;
use crate::words;

/// How many sections were never shut alone.
pub(super) static NOT_TESTED_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "sections-not-tested",
        title: "how many sections of the boom were not shut by themselves in a section balance",
        formula: "sections of the boom - sections shut alone",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: Some(Step::Balance),
        cases: &[],
    },
    formula: Formula {
        value: not_tested::<f64>,
        measure: not_tested::<Measure>,
        exact: not_tested::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("sections", |visit, _| {
            Some(words::phrases::list(&missing(visit), "and"))
        })],
    },
};

/// Whether the console held the rate during the test.
pub(super) static AUTOMATIC_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "automatic-control",
        title: "whether automatic rate control was on during a section balance",
        formula: "1 where the record says so",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: Some(Step::Balance),
        cases: &[],
    },
    formula: Formula {
        value: automatic::<f64>,
        measure: automatic::<Measure>,
        exact: automatic::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[],
    },
};

fn missing(visit: &Visit<'_>) -> Vec<String> {
    let Some(balance) = &visit.calibration.section_balance else {
        return Vec::new();
    };
    let alone: Vec<&str> = balance
        .shut
        .iter()
        .filter_map(|shut| match shut.sections.as_slice() {
            [only] => Some(only.value.as_str()),
            _ => None,
        })
        .collect();
    let sections = visit.subject.machine.boom.sections.iter();
    let names = sections.filter_map(|section| section.name.as_ref());
    names
        .map(|name| name.value.clone())
        .filter(|name| !alone.contains(&name.as_str()))
        .collect()
}

fn key(visit: &Visit<'_>) -> Key {
    visit.key(Step::Balance, None, Part::Whole)
}

fn not_tested<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(balance) = &visit.calibration.section_balance else {
        return Vec::new(); // A step absent from a visit is no fault: it only ages.
    };
    let count = u32::try_from(missing(visit).len()).unwrap_or(u32::MAX);
    let place = visit.place(balance.key);
    vec![Member::new(key(visit), N::whole(count), place)]
}

fn automatic<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let balance = visit.calibration.section_balance.as_ref();
    let Some(control) = balance.and_then(|balance| balance.rate_control) else {
        return Vec::new(); // What is not on record is not known.
    };
    let on = control.value == RateControl::Automatic;
    vec![Member::new(
        key(visit),
        N::whole(u32::from(on)),
        visit.place(control.span),
    )]
}
