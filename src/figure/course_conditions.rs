//! What of a course's conditions makes its speed test prove less: runs, tank, surface.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::Course;
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::source::Place;

/// How many runs were driven.
pub(super) static RUNS_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "runs-driven",
        title: "how many runs of a speed test were driven",
        formula: "counting",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: runs::<f64>,
        measure: runs::<Measure>,
        exact: runs::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[],
    },
};

/// Whether the tank was other than half full.
pub(super) static TANK_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "tank-not-half",
        title: "whether the tank was other than half full on the course",
        formula: "1 where the record says so",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: |visit| conditions(visit, not_half),
        measure: |visit| conditions(visit, not_half),
        exact: |visit| conditions(visit, not_half),
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("tank", |visit, key| {
            Some(course(visit, key)?.tank.as_ref()?.0.clone())
        })],
    },
};

/// Whether the course ran over something harder than turf.
pub(super) static SURFACE_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "surface-hard",
        title: "whether the course ran over something harder than turf",
        formula: "1 where the record names a path, road or pavement",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: |visit| conditions(visit, hard),
        measure: |visit| conditions(visit, hard),
        exact: |visit| conditions(visit, hard),
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("surface", |visit, key| {
            Some(course(visit, key)?.surface.as_ref()?.0.clone())
        })],
    },
};

fn course<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<&'v Course> {
    visit.speed.at(key.stage?)
}

fn runs<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .speed
        .each()
        .map(|(stage, course)| {
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            let count = u32::try_from(course.runs.len()).unwrap_or(u32::MAX);
            let place = course.runs.first().map_or(course.place, |run| run.place);
            Member::new(key, N::whole(count), place)
        })
        .collect()
}

/// A condition: whether the record states it, and where.
type Condition = fn(&Course) -> Option<(bool, Place)>;

/// What the record does not state has no member.
fn conditions<N: Number>(visit: &Visit<'_>, condition: Condition) -> Vec<Member<N>> {
    visit
        .speed
        .each()
        .filter_map(|(stage, course)| {
            let (is_so, place) = condition(course)?;
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            Some(Member::new(key, N::whole(u32::from(is_so)), place))
        })
        .collect()
}

fn not_half(course: &Course) -> Option<(bool, Place)> {
    let (tank, place) = course.tank.as_ref()?;
    Some((tank != "half", *place))
}

fn hard(course: &Course) -> Option<(bool, Place)> {
    const HARD: [&str; 7] = [
        "path", "road", "paved", "pavement", "asphalt", "concrete", "gravel",
    ];
    let (surface, place) = course.surface.as_ref()?;
    let surface = surface.to_lowercase();
    Some((HARD.iter().any(|hard| surface.contains(hard)), *place))
}
