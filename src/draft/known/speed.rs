//! What a speed test takes in, and how long a course takes.

use super::again::in_round;
use super::making::{Making, entry};
use crate::assess::StepStanding;
use crate::draft::RUNS;
use crate::draft::form::{Aim, Entry, Field, ROUNDS};
use crate::draft::typed::Kind;
use crate::figure::course_time;
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::instrument::{InstrumentKind, Purpose};

impl Making<'_> {
    pub(super) fn speed(&self, step: &StepStanding) -> Vec<Entry> {
        let is_driven = self.is_driven(step.step);
        let speed = self.setup().speed.as_ref().map(|speed| speed.value);
        let length = self.length_unit();
        let round = |round: usize| {
            let field = |key| Field::Speed(round, key);
            let mut distance = entry(
                field("distance"),
                "course",
                Kind::Quantity(vec![Dimension::LENGTH], length),
            );
            "a long course; `swathlint rules short-speed-course` says how long at least"
                .clone_into(&mut distance.hint);
            distance.usual = self.last.text(field("distance"));
            let course = distance.usual.as_deref();
            let course = course.and_then(|text| Quantity::parse(text, &[Dimension::LENGTH]).ok());
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
            for run in 0..RUNS {
                let seconds = Kind::Quantity(vec![Dimension::TIME], Unit::SECOND);
                let label = format!("run {}, seconds", run + 1);
                let mut elapsed = entry(Field::Run(round, run, "elapsed"), &label, seconds);
                elapsed.aim = course.zip(speed).and_then(|(course, speed)| {
                    seconds_over(course, speed, self.ratios(step).filter(|_| is_driven))
                });
                elapsed.last = self.last.text(elapsed.field);
                entries.push(elapsed);
                if !is_driven {
                    let shown = vec![Dimension::LENGTH, Dimension::SPEED];
                    let label = format!("run {}, console shows", run + 1);
                    let kind = Kind::Quantity(shown, length);
                    let mut shown = entry(Field::Run(round, run, "shown"), &label, kind);
                    shown.last = self.last.text(shown.field);
                    entries.push(shown);
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
    let unit = if speed.unit == Unit::MPH {
        Unit::FOOT
    } else {
        Unit::METER
    };
    let length = Quantity {
        decimal: Decimal::whole(100),
        unit,
    };
    let aim = seconds_over(length, speed, None)?;
    Some((length.to_string(), format!("{} s", aim.target_shown())))
}
