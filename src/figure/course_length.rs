//! How long the course of a speed test is.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "course-length",
        title: "how long the course of a speed test is",
        formula: "as recorded",
        source: "as recorded",
        shown_as: ShownAs::Length,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working: |_, _| None,
        read: |visit, key| Some(visit.speed.at(key.stage?)?.length?.quantity.to_string()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[],
    },
};

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .speed
        .each()
        .filter_map(|(stage, course)| {
            let length = course.length?;
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            Some(Member::new(
                key,
                N::input(&visit.primitives, length.id),
                length.place,
            ))
        })
        .collect()
}
