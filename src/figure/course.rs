//! What a course and its runs yield: distances shown and true, and speeds. Shared by the speed figures.

use super::number::Number;
use super::visit::{Course, CourseRun, Length, Visit};
use crate::quantity::dimension::Dimension;

/// The length of a course.
pub(super) fn length<N: Number>(visit: &Visit<'_>, length: &Length) -> N {
    N::input(&visit.primitives, length.id).times(&N::input(&visit.primitives, length.scale))
}

/// The mean distance the console showed over the runs, and the length of the course.
///
/// A speed shown is the distance shown over the time of the run.
pub(super) fn shown_and_true<N: Number>(
    visit: &Visit<'_>,
    course: &Course,
) -> Result<(N, N), &'static str> {
    let on_record = course
        .length
        .ok_or("the speed test gives no course length")?;
    let input = |id| N::input(&visit.primitives, id);
    let shown: Vec<N> = course
        .runs
        .iter()
        .filter_map(|run| {
            let shown = run.shown?;
            let mut distance = input(shown.id);
            if shown.quantity.dimension() == Dimension::SPEED {
                let elapsed = run.elapsed?;
                distance = distance.times(&input(elapsed.shown.id).plus(&input(elapsed.error)));
            }
            Some(distance.minus(&input(run.marks)))
        })
        .collect();
    if shown.is_empty() {
        return Err("what the console showed on the course is not on record");
    }
    Ok((N::mean(&shown), length(visit, &on_record)))
}

/// The true speed of each timed run: mph = ft x 60 / (s x 88), km/h = 3.6 x m/s.
pub(super) fn speeds<'c, N: Number>(
    visit: &Visit<'_>,
    course: &'c Course,
) -> Result<Vec<(&'c CourseRun, N)>, &'static str> {
    let on_record = course
        .length
        .ok_or("the speed test gives no course length")?;
    let input = |id| N::input(&visit.primitives, id);
    let speeds: Vec<(&CourseRun, N)> = course
        .runs
        .iter()
        .filter_map(|run| {
            let elapsed = run.elapsed?;
            let time = input(elapsed.shown.id).plus(&input(elapsed.error));
            let driven = length::<N>(visit, &on_record).plus(&input(run.marks));
            Some((run, driven.over(&time)))
        })
        .collect();
    if speeds.is_empty() {
        return Err("no run of the speed test is timed");
    }
    Ok(speeds)
}
