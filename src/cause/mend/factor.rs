//! The correction of a factor was applied the wrong way round.

use super::places::LEAST;
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::Value;

/// The flow factor, and the speed factor: before times the ratio, where it should be divided by it.
pub(super) fn turned(seen: &Seen<'_>) -> Vec<Hypothesis> {
    let factors = [
        (Value::FactorBefore, Value::FactorAfter),
        (Value::SpeedFactorBefore, Value::SpeedFactorAfter),
    ];
    let turned = factors.into_iter().filter_map(|(before, after)| {
        let ratio = seen.readings.get(after)? / seen.readings.get(before)?;
        (libm::log(ratio).abs() > LEAST).then(|| {
            Hypothesis::new(
                At::Value(after),
                Change::Ratios(vec![(after, ratio * ratio)]),
            )
        })
    });
    turned.collect()
}
