//! The cross-checks of a stage: each a product of values to powers that is one where all is well.

/// One cross-check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CrossCheck {
    /// A nozzle's flow over rated at the pressure written.
    Nozzle(u16),
    /// The same of a repeat, by its number.
    Repeat(u16),
    /// A nozzle's flow in the last good visit over rated.
    Before(u16),
    /// A retest's flow over rated, by its number.
    Again(u16),
    /// The known volume over the boom's flow by the catch for as long.
    KnownOverCatch,
    /// The shown volume over the known one.
    ShownOverKnown,
    /// The flow factor left over the one that the test makes.
    FactorOverComputed,
    /// The flow factor found over the one left last time.
    FactorOverLast,
    /// The speed factor left over the one that the runs make.
    SpeedFactorOverComputed,
    /// The speed factor found over the one left last time.
    SpeedFactorOverLast,
    /// The speed of a run over the setup's, or over the mean where there is none.
    Run(u16),
    /// The distance shown of a run over the course.
    ShownOverCourse(u16),
    /// The rate by the catch at the setup's speed over the setup's rate.
    RateByCatch,
    /// The rate that the setup's tip, pressure, spacing and speed make over its rate.
    SheetSum,
    /// The width entered of a section over spacing times nozzles.
    Width(u16),
    /// The pressure of the catch over the setup's.
    PressureOverSetup,
    /// The pressure at the boom's end over that of the catch.
    BoomEnd,
    /// What is shown with a section off over all on, as found.
    BypassFound(u16),
    /// The same as left.
    BypassLeft(u16),
}

use super::assumed;
use super::boom::Boom;
use super::readings::Readings;
use super::value::{Of, Value};
use std::collections::BTreeSet;

/// A cross-check as a product of values to powers.
#[derive(Debug)]
pub(super) struct Check {
    pub(super) of: CrossCheck,
    pub(super) of_values: Vec<(Value, f64)>,
    /// The power of the boom's flow.
    pub(super) of_flow: f64,
    /// What it scatters by of its own, relative.
    pub(super) own: f64,
    /// A number it is multiplied by, as a logarithm.
    plus: f64,
}

impl Check {
    fn new(of: CrossCheck, of_values: &[(Value, f64)], own: f64) -> Self {
        Self {
            of,
            of_values: of_values.to_vec(),
            of_flow: 0.0,
            own,
            plus: 0.0,
        }
    }

    fn with_flow(mut self, power: f64) -> Self {
        self.of_flow = power;
        self
    }

    fn over(mut self, number: f64) -> Self {
        self.plus = -libm::log(number);
        self
    }

    fn is_there(&self, readings: &Readings, boom: &Boom) -> bool {
        let mut values = self.of_values.iter();
        let has_flow = self.of_flow == 0.0 || boom.ln_flow().is_some();
        has_flow && values.all(|(value, _)| readings.get(*value).is_some())
    }

    /// The logarithm of the product.
    pub(super) fn value(&self, readings: &Readings, boom: &Boom) -> f64 {
        let of =
            |(value, power): &(Value, f64)| power * readings.get(*value).map_or(0.0, libm::log);
        let flow = if self.of_flow == 0.0 {
            0.0
        } else {
            self.of_flow * boom.ln_flow().unwrap_or_default()
        };
        self.of_values.iter().map(of).sum::<f64>() + flow + self.plus
    }
}

/// Every cross-check that the readings allow; what is missing is left out.
pub(super) fn checks(readings: &Readings, boom: &Boom) -> Vec<Check> {
    let mut all = of_catch(readings, boom);
    all.extend(of_meter(readings));
    all.extend(of_speed(readings));
    all.extend(of_setup(readings, boom));
    all.extend(of_pressure(readings));
    all.retain(|check| check.is_there(readings, boom));
    all
}

/// A flow over rated: flow goes with the square root of pressure.
fn over_rated(caught: Value, collected: Option<Value>, pressure: Value) -> Vec<(Value, f64)> {
    let mut of = vec![
        (caught, 1.0),
        (Value::RatedFlow, -1.0),
        (pressure, -0.5),
        (Value::RatedPressure, 0.5),
    ];
    of.extend(collected.map(|collected| (collected, -1.0)));
    of
}

fn of_catch(readings: &Readings, boom: &Boom) -> Vec<Check> {
    let collected = |nozzle: u16| boom.list(nozzle).map(Value::Collected);
    let own = |caught: Value| {
        if readings.is_zero(caught) {
            assumed::NOTHING
        } else {
            0.0
        }
    };
    let mut all: Vec<Check> = boom
        .nozzles()
        .map(|nozzle| {
            let of = over_rated(Value::Caught(nozzle), collected(nozzle), Value::Pressure);
            Check::new(CrossCheck::Nozzle(nozzle), &of, own(Value::Caught(nozzle)))
        })
        .collect();
    all.extend((0..).zip(&readings.repeats).map(|(number, repeat)| {
        let collected = repeat.list.map(Value::Collected);
        let of = over_rated(Value::Repeat(number), collected, Value::Pressure);
        Check::new(CrossCheck::Repeat(number), &of, own(Value::Repeat(number)))
    }));
    for value in readings.values.keys() {
        if let Value::Before(nozzle) = value {
            let of = [(*value, 1.0), (Value::RatedFlow, -1.0)];
            all.push(Check::new(
                CrossCheck::Before(*nozzle),
                &of,
                assumed::WEAR_OF_ONE,
            ));
        }
    }
    all.extend((0..).zip(&readings.retests).map(|(number, again)| {
        let collected = again.collected.map(|_| Value::CollectedAgain(number));
        let pressure = again
            .pressure
            .map_or(Value::Pressure, |_| Value::PressureAgain(number));
        let of = over_rated(Value::CaughtAgain(number), collected, pressure);
        // A tip that was changed is another one, as good tips are.
        let own = libm::hypot(again.relative, readings.tau);
        Check::new(CrossCheck::Again(number), &of, own)
    }));
    all
}

fn of_meter(readings: &Readings) -> Vec<Check> {
    let mut all = Vec::new();
    if !readings.known.known_by_catch {
        let of = [(Value::KnownVolume, 1.0), (Value::RunTime, -1.0)];
        all.push(
            Check::new(CrossCheck::KnownOverCatch, &of, assumed::BETWEEN_TESTS).with_flow(-1.0),
        );
    }
    let of = [(Value::ShownVolume, 1.0), (Value::KnownVolume, -1.0)];
    all.push(Check::new(CrossCheck::ShownOverKnown, &of, assumed::METER));
    let sign = if readings.known.volume_per_pulse {
        -1.0
    } else {
        1.0
    };
    let of = [
        (Value::FactorAfter, 1.0),
        (Value::FactorBefore, -1.0),
        (Value::ShownVolume, -sign),
        (Value::KnownVolume, sign),
    ];
    if is_changed(readings, Value::FactorBefore, Value::FactorAfter) {
        all.push(Check::new(
            CrossCheck::FactorOverComputed,
            &of,
            assumed::FACTOR,
        ));
    }
    let of = [(Value::FactorBefore, 1.0), (Value::FactorLeftLast, -1.0)];
    all.push(Check::new(
        CrossCheck::FactorOverLast,
        &of,
        assumed::FACTOR_LEFT,
    ));
    all
}

/// Whether a factor was changed: one that was left alone is computed from nothing.
fn is_changed(readings: &Readings, before: Value, after: Value) -> bool {
    let (before, after) = (readings.get(before), readings.get(after));
    before
        .zip(after)
        .is_some_and(|(before, after)| (before - after).abs() > 1e-9 * before)
}

fn of_speed(readings: &Readings) -> Vec<Check> {
    let mut all = Vec::new();
    for run in runs(readings) {
        let mut of = vec![(Value::Course, 1.0), (Value::Elapsed(run), -1.0)];
        let check = if readings.get(Value::SetupSpeed).is_some() {
            of.push((Value::SetupSpeed, -1.0));
            Check::new(CrossCheck::Run(run), &of, assumed::RUN)
        } else {
            Check::new(CrossCheck::Run(run), &of, assumed::RUN).over(mean_speed(readings))
        };
        all.push(check);
        let of = [(Value::ShownDistance(run), 1.0), (Value::Course, -1.0)];
        all.push(Check::new(
            CrossCheck::ShownOverCourse(run),
            &of,
            assumed::SHOWN_DISTANCE,
        ));
    }
    // The factor computed takes the mean of all runs; where one is off it shows by its part.
    let runs: Vec<Value> = readings.each(Of::ShownDistance).collect();
    let part = 1.0 / super::boom::number(runs.len().max(1));
    let sign = if readings.known.distance_per_pulse {
        -1.0
    } else {
        1.0
    };
    let mut of = vec![
        (Value::SpeedFactorAfter, 1.0),
        (Value::SpeedFactorBefore, -1.0),
        (Value::Course, sign),
    ];
    of.extend(runs.iter().map(|run| (*run, -sign * part)));
    if !runs.is_empty() && is_changed(readings, Value::SpeedFactorBefore, Value::SpeedFactorAfter) {
        all.push(Check::new(
            CrossCheck::SpeedFactorOverComputed,
            &of,
            assumed::FACTOR,
        ));
    }
    let of = [
        (Value::SpeedFactorBefore, 1.0),
        (Value::SpeedFactorLeftLast, -1.0),
    ];
    all.push(Check::new(
        CrossCheck::SpeedFactorOverLast,
        &of,
        assumed::FACTOR_LEFT,
    ));
    all
}

/// The numbers of the runs that have a time or a distance shown.
fn runs(readings: &Readings) -> BTreeSet<u16> {
    let numbers = readings.values.keys().filter_map(|value| {
        let (Value::Elapsed(run) | Value::ShownDistance(run)) = value else {
            return None;
        };
        Some(*run)
    });
    numbers.collect()
}

/// The geometric mean of the runs' speeds.
fn mean_speed(readings: &Readings) -> f64 {
    let course = readings.get(Value::Course).unwrap_or(1.0);
    let elapsed = readings.each(Of::Elapsed);
    let runs: Vec<f64> = elapsed.filter_map(|run| readings.get(run)).collect();
    let many = super::boom::number(runs.len().max(1));
    libm::exp(
        runs.iter()
            .map(|elapsed| libm::log(course / elapsed))
            .sum::<f64>()
            / many,
    )
}

fn of_setup(readings: &Readings, boom: &Boom) -> Vec<Check> {
    let by_area = [
        (Value::SetupRate, -1.0),
        (Value::SetupSpeed, -1.0),
        (Value::Spacing, -1.0),
    ];
    let mut sum = by_area.to_vec();
    sum.extend([
        (Value::RatedFlow, 1.0),
        (Value::SetupPressure, 0.5),
        (Value::RatedPressure, -0.5),
    ]);
    let nozzles = super::boom::number(boom.size().max(1));
    let mut all = vec![
        Check::new(CrossCheck::SheetSum, &sum, assumed::SHEET_SUM),
        Check::new(CrossCheck::RateByCatch, &by_area, assumed::SHEET_SUM)
            .with_flow(1.0)
            .over(nozzles),
    ];
    for (section, nozzles) in (0..).zip(&readings.sections) {
        let of = [(Value::EnteredWidth(section), 1.0), (Value::Spacing, -1.0)];
        let check = Check::new(CrossCheck::Width(section), &of, assumed::WIDTH);
        all.push(check.over(f64::from(*nozzles).max(1.0)));
    }
    all
}

fn of_pressure(readings: &Readings) -> Vec<Check> {
    let of = |check, one, other, own| Check::new(check, &[(one, 1.0), (other, -1.0)], own);
    let mut all = vec![
        of(
            CrossCheck::PressureOverSetup,
            Value::Pressure,
            Value::SetupPressure,
            assumed::PRESSURE,
        ),
        of(
            CrossCheck::BoomEnd,
            Value::BoomEndPressure,
            Value::Pressure,
            assumed::BOOM_END,
        ),
    ];
    for section in (0..).zip(&readings.sections).map(|(section, _)| section) {
        let found = Value::BypassFound(section);
        let left = Value::BypassLeft(section);
        all.push(of(
            CrossCheck::BypassFound(section),
            found,
            Value::AllOn,
            assumed::SECTION_OFF,
        ));
        all.push(of(
            CrossCheck::BypassLeft(section),
            left,
            Value::AllOn,
            assumed::SECTION_OFF,
        ));
    }
    all
}
