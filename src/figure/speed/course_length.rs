//! How long the course of a speed test is.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Length, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct CourseLength;

static ABOUT: About = About {
    id: "course-length",
    title: "how long the course of a speed test is",
    formula: "as recorded",
    source: "as recorded",
    shown_as: ShownAs::Length,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

impl Figure for CourseLength {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Length;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Length>> {
        let courses = visit.speed.each();
        courses
            .filter_map(|(stage, course)| {
                let length = course.length?;
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                Some(Member::new(key, length, length.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, length: &Length) -> Option<N> {
        Some(N::input(&visit.primitives, length.id))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, length: &Length) -> Option<Fact> {
        Some(Fact::Written(length.quantity))
    }
}
