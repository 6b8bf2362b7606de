//! What the sheet says of the setup.

use super::places::LEAST;
use crate::cause::check::CrossCheck;
use crate::cause::content::Effect;
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::Value;

/// The pressure of the catch is the setup's, and another one is written.
pub(super) fn as_setup(seen: &Seen<'_>) -> Vec<Hypothesis> {
    let read = |value| seen.readings.get(value);
    let Some((written, meant)) = read(Value::Pressure).zip(read(Value::SetupPressure)) else {
        return Vec::new();
    };
    let ratio = written / meant;
    if libm::log(ratio).abs() <= LEAST {
        return Vec::new();
    }
    vec![Hypothesis::new(
        At::Value(Value::Pressure),
        Change::Ratios(vec![(Value::Pressure, ratio)]),
    )]
}

/// One of the values that make a setup's rate is off; the tip's size has hypotheses of its own.
pub(super) fn one_of_setup(seen: &Seen<'_>, effect: Effect) -> Vec<Hypothesis> {
    if seen.one(CrossCheck::SheetSum).is_none() {
        return Vec::new();
    }
    let each = [
        Value::SetupPressure,
        Value::SetupSpeed,
        Value::Spacing,
        Value::SetupRate,
    ];
    let off = |value| {
        Hypothesis::new(
            At::Value(value),
            Change::Effect {
                on: vec![(value, 1.0)],
                effect,
            },
        )
    };
    each.into_iter().map(off).collect()
}
