//! How far the true speed over the course is off the speed of the setup.

use super::about::{About, Family, ShownAs};
use super::course;
use super::describe::{in_unit, percent};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::unit::Unit;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "speed-off-setup",
        title: "how far the mean true speed of the runs is off the speed the setup works at",
        formula: "mean(course / elapsed) / speed of the setup - 1; mph = ft x 60 / (s x 88), km/h = 3.6 x m/s",
        source: "by definition of the units",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
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
    },
};

/// The speed itself.
pub(super) static SPEED_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "true-speed",
        title: "the mean true speed of the runs over a course",
        formula: "mean(course / elapsed); mph = ft x 60 / (s x 88), km/h = 3.6 x m/s",
        source: "by definition of the units",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
    formula: Formula {
        value: absolute::<f64>,
        measure: absolute::<Measure>,
        exact: absolute::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |visit, key| (shown_in(visit, key), None),
        slots: &[],
    },
};

/// The unit of the setup's speed, else the one that goes with the course.
fn shown_in(visit: &Visit<'_>, key: &Key) -> Option<Unit> {
    if let Some(speed) = visit.ground.speed {
        return Some(speed.quantity.unit);
    }
    let length = visit.speed.at(key.stage?)?.length?.quantity.unit;
    let metric = [Unit::METRE, Unit::CENTIMETRE].contains(&length);
    Some(if metric {
        Unit::KILOMETRE_PER_HOUR
    } else {
        Unit::MPH
    })
}

fn absolute<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .speed
        .each()
        .map(|(stage, course)| {
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            let place = course.length.map_or(course.place, |length| length.place);
            match mean::<N>(visit, &key) {
                Ok(speed) => Member::new(key, speed, place),
                Err(because) => Member::unavailable(key, because, Some(course.place), place),
            }
        })
        .collect()
}

fn mean<N: Number>(visit: &Visit<'_>, key: &Key) -> Result<N, &'static str> {
    let course = key.stage.and_then(|stage| visit.speed.at(stage));
    let speeds = course::speeds::<N>(visit, course.ok_or("no course was driven")?)?;
    let speeds: Vec<N> = speeds.into_iter().map(|(_, speed)| speed).collect();
    Ok(N::mean(&speeds))
}

/// No member where the visit's setup, or its speed, is not known: a course serves the whole machine.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(meant) = visit.ground.speed else {
        return Vec::new();
    };
    absolute::<N>(visit)
        .into_iter()
        .map(|member| {
            let input = N::input(&visit.primitives, meant.id);
            Member {
                value: member.value.map(|speed| speed.off(&input)),
                ..member
            }
            .against(meant.place)
        })
        .collect()
}

fn true_speed(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let unit = visit.ground.speed?.quantity.unit;
    Some(in_unit(mean::<f64>(visit, key).ok()?, unit))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let course = visit.speed.at(key.stage?)?;
    let meant = visit.ground.speed?.quantity;
    let off = mean::<f64>(visit, key).ok()? / meant.si() - 1.0;
    Some(format!(
        "{} in {} on average = {}; / {meant} - 1 = {}",
        course.length?.quantity,
        crate::words::phrases::plural(course::speeds::<f64>(visit, course).ok()?.len(), "run"),
        true_speed(visit, key)?,
        percent(off),
    ))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let length = visit.speed.at(key.stage?)?.length?.quantity.unit;
    Some((Some(length), Some(visit.ground.speed?.quantity.unit)))
}
