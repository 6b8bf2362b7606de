//! What a speed test takes in, and how long a course takes.

use super::again::in_round;
use super::making::{Making, entry};
use crate::assess::StepStanding;
use crate::draft::form::{Aim, Entry, Field, ROUNDS};
use crate::draft::typed::Kind;
use crate::figure::course_time;
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::instrument::{InstrumentKind, Purpose};
use crate::record::length_with;

/// A course is driven so often where no limit says how often (our choice).
const RUNS: usize = 3;

/// A form has no more runs than this, whatever a limit wants (our choice).
const MOST_RUNS: usize = 9;

impl Making<'_> {
    pub(super) fn speed(&self, step: &StepStanding) -> Vec<Entry> {
        let is_driven = self.is_driven(step.step);
        let speed = self.setup().speed.as_ref().map(|speed| speed.value);
        let runs = step.runs.unwrap_or(RUNS).clamp(1, MOST_RUNS);
        let course = Field::Speed(0, "distance");
        let course_in = self.last.unit([course], &[Dimension::LENGTH]);
        let course_in = course_in.unwrap_or(self.units().length);
        let by_console = &[Dimension::LENGTH, Dimension::SPEED];
        let of_runs = (0..runs).map(|run| Field::Run(0, run, "shown"));
        let shown_in = self.last.unit(of_runs, by_console);
        let shown_in = shown_in.unwrap_or(course_in);
        let round = |round: usize| {
            let field = |key| Field::Speed(round, key);
            let length = Kind::Quantity(vec![Dimension::LENGTH], course_in);
            let mut distance = entry(field("distance"), "course", length);
            "a long course; `swathlint rules short-speed-course` says how long at least"
                .clone_into(&mut distance.hint);
            let course = self.last.quantity(distance.field);
            distance.usual = course.map(|course| course.to_string());
            let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
            let mut surface = entry(
                field("surface"),
                "surface",
                Kind::Named(words(&["turf", "cart path"])),
            );
            "turf".clone_into(&mut surface.hint);
            let levels = &["half", "full", "empty", "quarter", "three quarters"];
            let mut tank = entry(field("tank"), "tank", Kind::OneOf(levels));
            "half".clone_into(&mut tank.hint);
            let mut entries = vec![distance, surface.optional(), tank.optional()];
            entries.extend(self.instrument(
                field("measured-by"),
                "course measured by",
                Purpose::Distance,
                &[InstrumentKind::MeasuringWheel, InstrumentKind::Tape],
            ));
            entries.extend(self.instrument(
                field("watch"),
                "stopwatch",
                Purpose::Stopwatch,
                &[InstrumentKind::Stopwatch],
            ));
            for run in 0..runs {
                let read = |key| Field::Run(round, run, key);
                let label = format!("run {}, seconds", run + 1);
                let seconds = &[Dimension::TIME];
                let mut elapsed = self.read(read("elapsed"), &label, seconds, Unit::SECOND);
                elapsed.aim = course.zip(speed).and_then(|(course, speed)| {
                    seconds_over(course, speed, self.ratios(step).filter(|_| is_driven))
                });
                entries.push(elapsed);
                if !is_driven {
                    let label = format!("run {}, console shows", run + 1);
                    entries.push(self.read(read("shown"), &label, by_console, shown_in));
                }
            }
            if !is_driven {
                entries.extend(self.factor(Step::Speed, [field("before"), field("after")], round));
            }
            in_round(round, entries)
        };
        (0..ROUNDS).flat_map(round).collect()
    }
}

/// The seconds that a course takes at a speed; none of a speed that is none.
fn seconds_over(course: Quantity, speed: Quantity, ratios: Option<(f64, f64)>) -> Option<Aim> {
    course_time(course, speed).map(|seconds| Aim {
        target: seconds,
        within: ratios.map(|(low, high)| (seconds * low, seconds * high)),
        decimals: 1,
    })
}

/// How long 100 of the units of a speed take at it: `100 ft` and `16.2 s`; none of a speed that is none.
pub fn time_of_a_course(speed: &str) -> Option<(String, String)> {
    let speed = Quantity::parse(speed, &[Dimension::SPEED]).ok()?;
    let length = Quantity {
        decimal: Decimal::whole(100),
        unit: length_with(speed.unit),
    };
    let aim = seconds_over(length, speed, None)?;
    Some((length.to_string(), format!("{} s", aim.target_shown())))
}
