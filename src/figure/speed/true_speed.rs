//! The mean true speed of the runs over a course.

use super::course::CourseTimed;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct TrueSpeed;

static ABOUT: About = About {
    id: "true-speed",
    title: "the mean true speed of the runs over a course",
    formula: "mean(course / elapsed); mph = ft x 60 / (s x 88), km/h = 3.6 x m/s",
    source: "by definition of the units",
    shown_as: ShownAs::Measured,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

impl Figure for TrueSpeed {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = CourseTimed;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<CourseTimed>> {
        let courses = visit.speed.each();
        courses
            .map(|(stage, course)| {
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                let place = course.length.map_or(course.place, |length| length.place);
                match CourseTimed::of(course) {
                    Ok(timed) => Member::new(key, timed, place),
                    Err(because) => Member::unavailable(key, because, Some(course.place), place),
                }
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, timed: &CourseTimed) -> Option<N> {
        Some(timed.mean_speed(visit))
    }

    fn units<'v>(&self, visit: &'v Visit<'v>, timed: &CourseTimed) -> Units {
        (Some(timed.speed_unit(visit)), None)
    }
}
