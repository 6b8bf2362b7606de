//! What a course and its runs yield: distances shown and true, and speeds. Shared by the figures of speed, factor and
//! rate.

use crate::fact::Fact;
use crate::figure::catch::target::allowed as speeds_allowed;
use crate::figure::number::Number;
use crate::figure::primitive::PrimitiveId;
use crate::figure::visit::{Course, Elapsed, Length, Shown, Visit};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::working::Expression;

const NO_LENGTH: &str = "the speed test has no `distance`";
const NOT_SHOWN: &str = "no run of the speed test has `shown`";
const NO_TIME: &str = "no run of the speed test has `elapsed`";

/// The seconds that a course takes at a speed: course / speed; none where that is no time.
pub fn course_time(course: Quantity, speed: Quantity) -> Option<f64> {
    let seconds = course.si() / speed.si();
    (seconds.is_finite() && 0.0 < seconds).then_some(seconds)
}

/// From where to where the time of a run may be, as multiples of the time at the speed that is meant, where that may be off
/// by `allowed`: the faster, the less time. None where any time is slow enough.
pub fn times_over_target(allowed: f64) -> Option<(f64, f64)> {
    let (slowest, fastest) = speeds_allowed(1.0, allowed);
    (0.0 < slowest).then(|| (1.0 / fastest, 1.0 / slowest))
}

/// A course of known length, with the runs of which it is known what distance the console showed.
pub(crate) struct CourseShown<'v> {
    /// The course.
    pub(crate) course: &'v Course,
    /// Its length.
    pub(crate) length: Length,
    /// One or more.
    runs: Vec<RunShown>,
}

/// What the console showed of a run.
struct RunShown {
    shown: Shown,
    /// The time that makes a distance of a speed; none where a distance is shown.
    elapsed: Option<Elapsed>,
    marks: PrimitiveId,
}

/// A course of known length, with the runs that are timed.
pub(crate) struct CourseTimed {
    /// Its length.
    pub(crate) length: Length,
    /// One or more.
    pub(crate) runs: Vec<RunTimed>,
}

/// A run that is timed.
#[derive(Clone, Copy)]
pub(crate) struct RunTimed {
    /// The time from mark to mark.
    pub(crate) elapsed: Elapsed,
    marks: PrimitiveId,
}

impl<'v> CourseShown<'v> {
    /// Whether the console counted nothing in any run: its sensor is dead, and no factor makes up for it.
    pub(crate) fn is_dead(&self) -> bool {
        let mut runs = self.runs.iter();
        runs.all(|run| run.shown.quantity.decimal.is_zero())
    }

    /// None, with the reason, where something of it is not on record.
    pub(crate) fn of(course: &'v Course) -> Result<Self, &'static str> {
        let length = course.length.ok_or(NO_LENGTH)?;
        let runs = course.runs.iter().filter_map(|run| {
            let shown = run.shown?;
            let is_speed = shown.quantity.dimension() == Dimension::SPEED;
            Some(RunShown {
                shown,
                elapsed: if is_speed { Some(run.elapsed?) } else { None },
                marks: run.marks,
            })
        });
        let runs: Vec<RunShown> = runs.collect();
        if runs.is_empty() {
            // A speed that was shown is a distance only with the time of its run.
            let is_shown = course.runs.iter().any(|run| run.shown.is_some());
            return Err(if is_shown { NO_TIME } else { NOT_SHOWN });
        }
        Ok(Self {
            course,
            length,
            runs,
        })
    }

    /// The mean distance the console showed, and the one that is true.
    pub(crate) fn shown_and_known<N: Number>(&self, visit: &Visit<'_>) -> (N, N) {
        (self.mean_shown(visit), self.length.driven(visit))
    }

    /// The mean distance the console showed, as an expression.
    pub(crate) fn mean(&self, visit: &Visit<'_>) -> Expression {
        Expression::number(self.mean_shown(visit), self.mean_in_unit(visit))
    }

    /// The mean distance the console showed over the runs.
    fn mean_shown<N: Number>(&self, visit: &Visit<'_>) -> N {
        let runs = self.runs.iter();
        let distances: Vec<N> = runs.map(|run| run.distance(visit)).collect();
        N::mean(&distances)
    }

    /// That mean in the unit of the course.
    pub(crate) fn mean_in_unit(&self, visit: &Visit<'_>) -> Fact {
        Fact::computed(self.mean_shown(visit), self.length.quantity.unit)
    }
}

impl RunShown {
    /// The distance shown over the course itself; a speed shown is the distance over the time of the run.
    fn distance<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        let mut distance = input(self.shown.id);
        if let Some(elapsed) = &self.elapsed {
            distance = distance.times(&elapsed.time(visit));
        }
        distance.over(&input(self.marks))
    }
}

impl CourseTimed {
    /// None, with the reason, where something of it is not on record.
    pub(crate) fn of(course: &Course) -> Result<Self, &'static str> {
        let length = course.length.ok_or(NO_LENGTH)?;
        let runs = course.runs.iter().filter_map(|run| {
            Some(RunTimed {
                elapsed: run.elapsed?,
                marks: run.marks,
            })
        });
        let runs: Vec<RunTimed> = runs.collect();
        if runs.is_empty() {
            return Err(NO_TIME);
        }
        Ok(Self { length, runs })
    }

    /// The true speed of a run: mph = ft x 60 / (s x 88), km/h = 3.6 x m/s.
    pub(crate) fn speed<N: Number>(&self, visit: &Visit<'_>, run: &RunTimed) -> N {
        let marks = N::input(&visit.primitives, run.marks);
        let driven = self.length.driven::<N>(visit).times(&marks);
        driven.over(&run.elapsed.time(visit))
    }

    /// The unit a speed is shown in: that of the setup's, else the one that goes with the course.
    pub(crate) fn speed_unit(&self, visit: &Visit<'_>) -> Unit {
        let is_metric = [Unit::METER, Unit::CENTIMETER].contains(&self.length.quantity.unit);
        match visit.ground.speed {
            Some(speed) => speed.quantity.unit,
            None if is_metric => Unit::KILOMETER_PER_HOUR,
            None => Unit::MPH,
        }
    }

    /// The mean true speed of the runs.
    pub(crate) fn mean_speed<N: Number>(&self, visit: &Visit<'_>) -> N {
        let runs = self.runs.iter();
        let speeds: Vec<N> = runs.map(|run| self.speed(visit, run)).collect();
        N::mean(&speeds)
    }
}

impl Length {
    /// The true distance from mark to mark.
    pub(crate) fn driven<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        input(self.id).times(&input(self.scale))
    }

    /// That distance, shown as it is written.
    pub(crate) fn as_written(&self, visit: &Visit<'_>) -> Expression {
        Expression::number(self.driven(visit), Fact::Written(self.quantity))
    }
}

impl Elapsed {
    /// The true time from mark to mark.
    fn time<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        input(self.shown.id).plus(&input(self.error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 300 ft at 4 mph is 300 / (4 x 88 / 60) = 51.14 s (computed).
    #[test]
    fn a_course_takes_its_length_over_the_speed() {
        let parse = |text| Quantity::parse(text, &[]).unwrap();
        let seconds = course_time(parse("300 ft"), parse("4 mph")).unwrap();
        assert!((seconds - 51.136_363).abs() < 1e-5);
        assert_eq!(course_time(parse("300 ft"), parse("0 mph")), None);
        let (low, high) = times_over_target(0.25).unwrap();
        assert!((low - 0.8).abs() < 1e-12 && (high - 4.0 / 3.0).abs() < 1e-12);
        assert_eq!(times_over_target(1.0), None);
    }
}
