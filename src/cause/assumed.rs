//! What is assumed of instruments and people where the readings declare no error: each once, relative standard deviations, our choice.

use super::readings::Readings;
use super::value::{Of, Value};

/// What a flow meter scatters by from one use to the next.
pub(super) const METER: f64 = 0.015;
/// What a speed sensor does.
pub(super) const SPEED_SENSOR: f64 = 0.01;
/// What the flow of a boom differs by between catch and volume test.
pub(super) const BETWEEN_TESTS: f64 = 0.01;
/// What the pressure at the boom's end differs by from that at the gauge: lines, and the other gauge.
pub(super) const BOOM_END: f64 = 0.03;
/// What one shown distance differs by from the next.
pub(super) const SHOWN_DISTANCE: f64 = 0.003;
/// What a driver holds a speed by, from run to run.
pub(super) const RUN: f64 = 0.01;
/// What the speed of a course differs by from the setup's.
pub(super) const DRIVEN: f64 = 0.03;
/// The same where no setup's speed is known: any speed.
pub(super) const ANY_SPEED: f64 = 0.5;
/// What the rate of a setup is rounded by.
pub(super) const ROUNDED_RATE: f64 = 0.015;
/// What the sum of a setup leaves besides.
pub(super) const SHEET_SUM: f64 = 0.005;
/// What an entered width is rounded by.
pub(super) const WIDTH: f64 = 0.005;
/// What a catch is off the setup's pressure by.
pub(super) const PRESSURE: f64 = 0.03;
/// What the rate shown differs by with a section off.
pub(super) const SECTION_OFF: f64 = 0.015;
/// What a factor that was changed differs by from the one computed.
pub(super) const FACTOR: f64 = 0.005;
/// What a factor found differs by from the one left last.
pub(super) const FACTOR_LEFT: f64 = 0.003;
/// What the tips of a boom wear by from one visit to the next, all alike.
pub(super) const WEAR: f64 = 0.02;
/// The same for each by itself.
pub(super) const WEAR_OF_ONE: f64 = 0.01;

/// What the flow is known by that a reading of 0 counts as: it is there to be told as none, not to be measured.
pub(super) const NOTHING: f64 = 0.1;

/// How many nozzles can be said to scatter.
pub(super) const FEWEST_THAT_SCATTER: usize = 4;

/// What several cross-checks share.
pub(super) fn shared(readings: &Readings) -> Vec<(Vec<(Value, f64)>, f64)> {
    let of =
        |kind: Of| -> Vec<(Value, f64)> { readings.each(kind).map(|value| (value, 1.0)).collect() };
    let driven = if readings.get(Value::SetupSpeed).is_some() {
        DRIVEN
    } else {
        ANY_SPEED
    };
    vec![
        (of(Of::Elapsed), driven),
        (of(Of::ShownDistance), SPEED_SENSOR),
        (vec![(Value::SetupRate, 1.0)], ROUNDED_RATE),
        (of(Of::Before), WEAR),
    ]
}

/// From how many standard uncertainties on a nozzle is out, to judge whether the right one was caught again.
pub(super) const OUT: f64 = 3.0;
