//! How far the speed sensor is off a measured course.

use super::about::{About, Family, ShownAs};
use super::asked_for;
use super::course;
use super::describe::{in_unit, percent};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::Course;
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::source::Place;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "sensor-error",
        title: "how far the distance the console shows is off the measured course, the mean of the runs",
        formula: "mean(shown) / course - 1; a speed shown is a distance over the time of the run",
        source: "by definition",
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
        read: |visit, key| Some(format!("mean shown {}", mean_shown(visit, key)?)),
        held_against: "measured",
        units: |_, _| (None, None),
        slots: &[
            ("correction", |visit, key| {
                let course = visit.speed.at(key.stage?)?;
                let (shown, length) = course::shown_and_true::<Measure>(visit, course).ok()?;
                asked_for::in_words(visit, Step::Speed, shown.value() / length.value())
            }),
            ("shown", mean_shown),
            ("course", |visit, key| {
                Some(visit.speed.at(key.stage?)?.length?.quantity.to_string())
            }),
        ],
    },
};

/// The first run's reading stands for all of them.
fn place(course: &Course) -> Place {
    let mut shown = course.runs.iter().filter_map(|run| run.shown);
    shown.next().map_or(course.place, |shown| shown.place)
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .speed
        .each()
        .map(|(stage, course)| {
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            let place = place(course);
            match course::shown_and_true::<N>(visit, course) {
                Ok((shown, length)) => {
                    let member = Member::new(key, shown.off(&length), place);
                    match course.length {
                        Some(length) => member.against(length.place),
                        None => member,
                    }
                }
                Err(because) => Member::unavailable(key, because, Some(course.place), place),
            }
        })
        .collect()
}

fn mean_shown(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let course = visit.speed.at(key.stage?)?;
    let (shown, _) = course::shown_and_true::<f64>(visit, course).ok()?;
    Some(in_unit(shown, course.length?.quantity.unit))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let course = visit.speed.at(key.stage?)?;
    let (shown, length) = course::shown_and_true::<f64>(visit, course).ok()?;
    let off = shown / length - 1.0;
    Some(format!(
        "{} / {} - 1 = {}",
        mean_shown(visit, key)?,
        course.length?.quantity,
        percent(off)
    ))
}
