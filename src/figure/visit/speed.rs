//! Speed tests made ready: the course, its runs, and each correction of the factor.

use super::assumed;
use super::correction::{corrected_at, correction};
use super::instrument::{Bench, Used, rectangular_at_two_ends, rectangular_step};
use super::shown::{Shown, ShownSteps};
use super::stages::Stages;
use crate::figure::primitive::{PrimitiveId, What};
use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::record::Calibration;
use crate::record::calibration::{Run, SpeedTest};
use crate::record::instrument::Purpose;
use crate::source::{Place, Spanned};
use crate::statistics::root_sum_square;

/// A measured course with its runs.
#[derive(Debug, Clone)]
pub struct Course {
    /// Where the test stands.
    pub place: Place,
    /// Its length; none where it is not on record.
    pub length: Option<Length>,
    /// Its runs.
    pub runs: Vec<CourseRun>,
    /// What it runs over.
    pub surface: Option<(String, Place)>,
    /// How full the tank was.
    pub tank: Option<(String, Place)>,
}

/// The length of a course.
#[derive(Debug, Clone, Copy)]
pub struct Length {
    /// As written.
    pub quantity: Quantity,
    /// The length as written.
    pub id: PrimitiveId,
    /// The scale of what measured it.
    pub scale: PrimitiveId,
    /// Where it stands.
    pub place: Place,
}

/// One run over the speed course.
#[derive(Debug, Clone, Copy)]
pub struct CourseRun {
    /// Where it stands.
    pub place: Place,
    /// What the console showed: a distance or a speed.
    pub shown: Option<Shown>,
    /// The time from mark to mark.
    pub elapsed: Option<Elapsed>,
    /// What was driven, as a multiple of the course: the run began and ended beside its marks.
    pub marks: PrimitiveId,
}

/// The time of a run.
#[derive(Debug, Clone, Copy)]
pub struct Elapsed {
    /// As written, with its primitive.
    pub shown: Shown,
    /// The error of the timing.
    pub error: PrimitiveId,
}

/// A correction of the speed factor.
#[derive(Debug, Clone)]
pub struct SpeedFactor {
    /// The course it was driven on.
    pub course: Course,
    /// The factor during the test.
    pub before: Shown,
    /// The factor as left.
    pub after: Shown,
}

pub(super) fn stages(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    not_tested_again: &mut Vec<(Step, Place)>,
) -> (Stages<Course>, Vec<(u16, SpeedFactor)>) {
    let tests = &calibration.speed_tests;
    let courses: Vec<Course> = tests.iter().map(|test| course(bench, test)).collect();
    let factors = (0_u16..)
        .zip(tests)
        .zip(&courses)
        .filter_map(|((index, test), course)| {
            let (before, after) = correction(bench, test.factor.as_ref())?;
            let factor = SpeedFactor {
                course: course.clone(),
                before,
                after,
            };
            Some((index, factor))
        })
        .collect();
    let last = tests.last();
    let corrected_last = last.and_then(|test| corrected_at(test.factor.as_ref()));
    if let Some(span) = corrected_last {
        not_tested_again.push((Step::Speed, bench.place(span)));
    }
    (Stages::of(courses, corrected_last.is_some()), factors)
}

fn course(bench: &mut Bench<'_>, test: &SpeedTest) -> Course {
    let length = test.distance.as_ref().map(|distance| {
        let measured_by = bench.used(Purpose::Distance, test.measured_by.as_ref());
        let tape = measured_by.tape_tolerance(distance.value.si());
        let scale = bench.scale_within(What::CourseLength, &measured_by, tape);
        let place = bench.place(distance.span);
        Length {
            quantity: distance.value,
            id: bench
                .primitives
                .written(What::CourseLength, distance.value, 0.0, place),
            scale,
            place,
        }
    });
    let text = |text: &Option<Spanned<String>>| {
        let text = text.as_ref()?;
        Some((text.value.clone(), bench.place(text.span)))
    };
    let (surface, tank) = (text(&test.surface), text(&test.tank));
    let watch = bench.used(Purpose::Stopwatch, test.stopwatch.as_ref());
    let steps = ShownSteps::among(test.runs.iter().filter_map(|run| run.shown.as_ref()));
    Course {
        place: bench.place(test.span),
        length,
        runs: test
            .runs
            .iter()
            .map(|run| course_run(bench, &watch, run, length.as_ref(), &steps))
            .collect(),
        surface,
        tank,
    }
}

fn course_run(
    bench: &mut Bench<'_>,
    watch: &Used<'_>,
    run: &Run,
    length: Option<&Length>,
    steps: &ShownSteps,
) -> CourseRun {
    let place = bench.place(run.span);
    let elapsed = run.elapsed.as_ref().map(|elapsed| {
        let place = bench.place(elapsed.span);
        // A time written in minutes is not known to the tenth of a second of the watch.
        let written = rectangular_step(elapsed.value.resolution());
        let timing = watch.timing();
        let timing = if timing < written {
            root_sum_square(timing, written)
        } else {
            timing
        };
        let error = bench.primitives.error(What::RunTiming, timing, Some(place));
        let shown = Shown {
            quantity: elapsed.value,
            id: bench.declared(elapsed.value, place),
            place,
        };
        Elapsed { shown, error }
    });
    let beside = rectangular_at_two_ends(assumed::ON_THE_MARK.size);
    let length = length.map(|length| length.quantity.si());
    let beside = length
        .filter(|length| 0.0 < *length)
        .map_or(0.0, |length| beside / length);
    CourseRun {
        place,
        shown: run.shown.as_ref().map(|shown| bench.shown(shown, steps)),
        elapsed,
        marks: bench
            .primitives
            .factor(What::CourseMarks, beside, Some(place)),
    }
}
