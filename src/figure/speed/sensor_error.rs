//! How far the speed sensor is off a measured course.

use super::course::CourseShown;
use crate::fact::Fact;
use crate::figure::about::{About, COMPUTED_FACTOR, Family, ShownAs};
use crate::figure::factor::asked_for::{asked_for, computed};
use crate::figure::factor::console_factor::ConsoleFactor;
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Course, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::source::Place;
use crate::working::Working;

/// The figure.
pub(crate) struct SensorError;

static ABOUT: About = About {
    id: "sensor-error",
    title: "how far the distance the console shows is off the measured course, the mean of the runs",
    formula: "mean(shown) / course - 1; a speed shown is a distance over the time of the run",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

impl Figure for SensorError {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = CourseShown<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("correction", |visit, course| {
            let both = course.shown_and_known::<f64>(visit);
            Some(asked_for(
                visit,
                ConsoleFactor::Speed,
                both,
                place(course.course),
            ))
        }),
        (COMPUTED_FACTOR, |visit, course| {
            let both = course.shown_and_known::<f64>(visit);
            computed(visit, ConsoleFactor::Speed, both, place(course.course))
        }),
        ("shown", |visit, course| Some(course.mean_in_unit(visit))),
        ("course", |_, course| {
            Some(Fact::Written(course.length.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<CourseShown<'v>>> {
        let courses = visit.speed.each();
        courses
            .map(|(stage, course)| {
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                let place = place(course);
                match CourseShown::of(course) {
                    Ok(shown) => {
                        let length = shown.length.place;
                        Member::new(key, shown, place).against(length)
                    }
                    Err(because) => Member::unavailable(key, because, Some(course.place), place),
                }
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, course: &CourseShown<'v>) -> Option<N> {
        let (shown, known) = course.shown_and_known::<N>(visit);
        Some(shown.off(&known))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, course: &CourseShown<'v>) -> Option<Working> {
        let (shown, length) = (course.mean(visit), course.length.as_written(visit));
        Some(Working::deviation(shown.off(length)))
    }

    fn read<'v>(&self, visit: &'v Visit<'v>, course: &CourseShown<'v>) -> Option<Fact> {
        let mean = course.mean_in_unit(visit);
        Some(Fact::phrase("mean shown {}", [mean]))
    }

    fn held_against(&self) -> &'static str {
        "measured"
    }
}

/// The first run's reading stands for all of them.
fn place(course: &Course) -> Place {
    let mut shown = course.runs.iter().filter_map(|run| run.shown);
    shown.next().map_or(course.place, |shown| shown.place)
}
