//! How far the true speed over the course is off the speed of the setup.

use super::catalogue::{Compute, Entry, Family, Formula, ShownAs};
use super::course;
use super::describe::{in_unit, percent};
use super::number::{Measure, Number, Rational};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::unit::Unit;

/// The figure.
pub(super) static FIGURE: Entry = Entry {
    id: "speed-off-setup",
    title: "how far the mean true speed of the runs is off the speed the setup works at",
    formula: "mean(course / elapsed) / speed of the setup - 1; mph = ft x 60 / (s x 88), km/h = 3.6 x m/s",
    source: "by definition of the units",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
    compute: Compute::Readings(Formula {
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: true_speed,
        held_against: "meant to be",
        units: |visit, key| units(visit, key).unwrap_or_default(),
        slots: &[
            ("true-speed", true_speed),
            ("setup-speed", |visit, _| {
                Some(visit.ground.speed?.quantity.to_string())
            }),
        ],
    }),
};

fn mean<N: Number>(visit: &Visit<'_>, key: &Key) -> Option<N> {
    let speeds = course::speeds::<N>(visit, visit.speed.at(key.stage?)?).ok()?;
    let speeds: Vec<N> = speeds.into_iter().map(|(_, speed)| speed).collect();
    Some(N::mean(&speeds))
}

/// No member where the visit's setup, or its speed, is not known: a course serves the whole machine.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(meant) = visit.ground.speed else {
        return Vec::new();
    };
    visit
        .speed
        .each()
        .map(|(stage, course)| {
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            let place = course.length.map_or(course.place, |length| length.place);
            match course::speeds::<N>(visit, course) {
                Ok(speeds) => {
                    let speeds: Vec<N> = speeds.into_iter().map(|(_, speed)| speed).collect();
                    let off = N::mean(&speeds).off(&N::input(&visit.primitives, meant.id));
                    Member::new(key, off, place).against(meant.place)
                }
                Err(because) => Member::unavailable(key, because, Some(course.place), place),
            }
        })
        .collect()
}

fn true_speed(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let unit = visit.ground.speed?.quantity.unit;
    Some(in_unit(mean::<Measure>(visit, key)?.value(), unit))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let course = visit.speed.at(key.stage?)?;
    let meant = visit.ground.speed?.quantity;
    let off = mean::<Measure>(visit, key)?.value() / meant.si() - 1.0;
    Some(format!(
        "{} in {} on average = {}; / {meant} - 1 = {}",
        course.length?.quantity,
        crate::words::phrases::plural(course::speeds::<Measure>(visit, course).ok()?.len(), "run"),
        true_speed(visit, key)?,
        percent(off),
    ))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let length = visit.speed.at(key.stage?)?.length?.quantity.unit;
    Some((Some(length), Some(visit.ground.speed?.quantity.unit)))
}
