//! How far the runs over a course lie apart.

use super::about::{About, Family, ShownAs};
use super::course;
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Course, CourseRun};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "run-spread",
        title: "how far the fastest and the slowest run lie apart, relative to their mean",
        formula: "(fastest - slowest) / mean(speed)",
        source: "our choice",
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
        read: |_, _| Some("fastest".to_owned()),
        held_against: "slowest",
        units: |_, _| (None, None),
        slots: &[],
    },
};

type Runs<'c, N> = Vec<(&'c CourseRun, N)>;

fn extremes<'r, 'c, N: Number>(runs: &'r Runs<'c, N>) -> Option<[&'r (&'c CourseRun, N); 2]> {
    let fastest = runs.iter().max_by(|one, other| one.1.compare(&other.1))?;
    let slowest = runs.iter().min_by(|one, other| one.1.compare(&other.1))?;
    Some([fastest, slowest])
}

fn spread<N: Number>(runs: &Runs<'_, N>) -> Option<N> {
    let [fastest, slowest] = extremes(runs)?;
    let speeds: Vec<N> = runs.iter().map(|(_, speed)| speed.clone()).collect();
    Some(fastest.1.minus(&slowest.1).over(&N::mean(&speeds)))
}

fn runs<'c, N: Number>(visit: &Visit<'_>, course: &'c Course) -> Option<Runs<'c, N>> {
    course::speeds(visit, course)
        .ok()
        .filter(|runs| runs.len() > 1)
}

/// One run has no spread, and so no member.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .speed
        .each()
        .filter_map(|(stage, course)| {
            let runs = runs::<N>(visit, course)?;
            let [fastest, slowest] = extremes(&runs)?;
            let key = visit.key(Step::Speed, Some(stage), Part::Whole);
            let place = |run: &CourseRun| run.elapsed.map_or(run.place, |e| e.shown.place);
            let member = Member::new(key, spread(&runs)?, place(fastest.0));
            Some(member.against(place(slowest.0)))
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let course = visit.speed.at(key.stage?)?;
    let runs = runs::<f64>(visit, course)?;
    let [fastest, slowest] = extremes(&runs)?;
    Some(format!(
        "{} in {} and in {}: {} of the mean speed apart",
        course.length?.quantity,
        fastest.0.elapsed?.shown.quantity,
        slowest.0.elapsed?.shown.quantity,
        percent(spread(&runs)?),
    ))
}
