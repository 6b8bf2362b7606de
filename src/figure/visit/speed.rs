//! Speed tests made ready: the course, its runs, and each correction of the factor.

use super::Shown;
use super::flow::{corrected_at, correction};
use super::instrument::{self, Bench, rectangular};
use crate::figure::primitive::{PrimitiveId, What};
use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::record::Calibration;
use crate::record::calibration::{Run, SpeedTest};
use crate::source::Place;

/// A measured course with its runs.
#[derive(Debug, Clone)]
pub struct Course {
    /// Where the test stands.
    pub place: Place,
    /// Its length as written.
    pub quantity: Quantity,
    /// Its length.
    pub length: PrimitiveId,
    /// The scale of what measured it.
    pub scale: PrimitiveId,
    /// Where its length stands.
    pub length_place: Place,
    /// The runs whose reading of the console is on record.
    pub runs: Vec<CourseRun>,
}

/// One run over the course.
#[derive(Debug, Clone, Copy)]
pub struct CourseRun {
    /// What the console showed: a distance or a speed.
    pub shown: Shown,
    /// The time from mark to mark; needed where the console shows a speed.
    pub elapsed: Option<(PrimitiveId, PrimitiveId)>,
    /// By how much the run missed the course's ends.
    pub marks: PrimitiveId,
}

/// A correction of the speed factor.
#[derive(Debug, Clone)]
pub struct SpeedFactor {
    /// The course it was driven on; none where its length is not on record.
    pub course: Option<Course>,
    /// The factor during the test.
    pub before: Shown,
    /// The factor as left.
    pub after: Shown,
}

pub(super) fn factors(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    not_tested_again: &mut Vec<(Step, Place)>,
) -> Vec<(u16, SpeedFactor)> {
    let tests = &calibration.speed_tests;
    if let Some(span) = tests
        .last()
        .and_then(|test| corrected_at(test.factor.as_ref()))
    {
        not_tested_again.push((Step::Speed, bench.place(span)));
    }
    (0_u16..)
        .zip(tests)
        .filter_map(|(index, test)| {
            let (before, after) = correction(bench, test.factor.as_ref())?;
            let factor = SpeedFactor {
                course: course(bench, test),
                before,
                after,
            };
            Some((index, factor))
        })
        .collect()
}

fn course(bench: &mut Bench<'_>, test: &SpeedTest) -> Option<Course> {
    let distance = test.distance.as_ref()?;
    let measured_by = bench.used("distance", test.measured_by.as_ref());
    // A class II tape: 0.3 mm and 0.2 mm a metre (Directive 2014/32/EU, annex X, chapter I).
    let tape = 0.0002 + 0.0003 / distance.value.si();
    let scale = bench.scale(What::CourseLength, &measured_by, tape);
    let length_place = bench.place(distance.span);
    Some(Course {
        place: bench.place(test.span),
        quantity: distance.value,
        length: bench.declared(distance.value, length_place),
        scale,
        length_place,
        runs: test
            .runs
            .iter()
            .filter_map(|run| course_run(bench, test, run))
            .collect(),
    })
}

/// None where the console's reading is not on record: many consoles compute for themselves.
fn course_run(bench: &mut Bench<'_>, test: &SpeedTest, run: &Run) -> Option<CourseRun> {
    let shown = bench.shown(run.shown.as_ref()?);
    let watch = bench.used("stopwatch", test.stopwatch.as_ref());
    let elapsed = run.elapsed.as_ref().map(|elapsed| {
        let place = bench.place(elapsed.span);
        let error = bench
            .primitives
            .error(What::RunTiming, watch.timing(), Some(place));
        (bench.declared(elapsed.value, place), error)
    });
    let end = rectangular(instrument::ON_THE_MARK);
    let marks = bench.primitives.error(
        What::CourseMarks,
        (2.0 * end * end).sqrt(),
        Some(shown.place),
    );
    Some(CourseRun {
        shown,
        elapsed,
        marks,
    })
}
