//! How many runs of a speed test were driven: too few prove less.

use crate::figure::about::{About, Family, RUNS_DRIVEN, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Course, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct RunsDriven;

static ABOUT: About = About {
    id: RUNS_DRIVEN,
    title: "how many runs of a speed test were driven",
    formula: "counting",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

impl Figure for RunsDriven {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = &'v Course;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v Course>> {
        let courses = visit.speed.each();
        courses
            .map(|(stage, course)| {
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                let place = course.runs.first().map_or(course.place, |run| run.place);
                Member::new(key, course, place)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, course: &&'v Course) -> Option<N> {
        Some(N::whole(u32::try_from(course.runs.len()).ok()?))
    }
}
