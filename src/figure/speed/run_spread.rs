//! How far the runs over a course lie apart.

use super::course::{CourseTimed, RunTimed};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Course, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct RunSpread;

static ABOUT: About = About {
    id: "run-spread",
    title: "how far the fastest and the slowest run lie apart, relative to their mean",
    formula: "(fastest - slowest) / mean(speed)",
    source: "our choice",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

/// A course with its fastest and slowest run.
pub(crate) struct Extremes {
    timed: CourseTimed,
    fastest: RunTimed,
    slowest: RunTimed,
}

impl Extremes {
    /// One run has no spread.
    fn of(visit: &Visit<'_>, course: &Course) -> Option<Self> {
        let timed = CourseTimed::of(course).ok()?;
        if timed.runs.len() < 2 {
            return None;
        }
        let speed = |run: &RunTimed| timed.speed::<f64>(visit, run);
        let by_speed = |one: &&RunTimed, other: &&RunTimed| speed(one).total_cmp(&speed(other));
        let (fastest, slowest) = (
            *timed.runs.iter().max_by(by_speed)?,
            *timed.runs.iter().min_by(by_speed)?,
        );
        Some(Self {
            timed,
            fastest,
            slowest,
        })
    }

    /// A run as the length of the course over its time.
    fn speed_of(&self, visit: &Visit<'_>, run: &RunTimed) -> Expression {
        let length = self.timed.length.as_written(visit);
        length.over(run.elapsed.shown.as_written())
    }
}

impl Figure for RunSpread {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Extremes;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where fewer than two runs are timed.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Extremes>> {
        let courses = visit.speed.each();
        courses
            .filter_map(|(stage, course)| {
                let extremes = Extremes::of(visit, course)?;
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                let place = |run: &RunTimed| run.elapsed.shown.place;
                let (fastest, slowest) = (place(&extremes.fastest), place(&extremes.slowest));
                Some(Member::new(key, extremes, fastest).against(slowest))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, extremes: &Extremes) -> Option<N> {
        let Extremes {
            timed,
            fastest,
            slowest,
        } = extremes;
        let apart = timed.speed::<N>(visit, fastest);
        let apart = apart.minus(&timed.speed(visit, slowest));
        Some(apart.over(&timed.mean_speed(visit)))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, extremes: &Extremes) -> Option<Working> {
        let timed = &extremes.timed;
        let fastest = extremes.speed_of(visit, &extremes.fastest);
        let slowest = extremes.speed_of(visit, &extremes.slowest);
        let mean = timed.mean_speed(visit);
        let shown = Fact::computed(mean, timed.speed_unit(visit));
        let count = Fact::whole(timed.runs.len());
        let mean = Expression::number(mean, Fact::phrase("{} (mean of {})", [shown, count]));
        Some(Working::deviation(fastest.minus(slowest).over(mean)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Extremes) -> Option<Fact> {
        Some(Fact::Words("fastest"))
    }

    fn held_against(&self) -> &'static str {
        "slowest"
    }
}
