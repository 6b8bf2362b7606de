//! A value is written as so many times the true one.

use super::places::{places, whole_catch};
use crate::cause::content::{By, Effect, Reach};
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::{Of, Value};

/// Each place with each ratio, or with an effect of its own.
pub(super) fn hypotheses(seen: &Seen<'_>, of: &[Of], reach: Reach, by: &By) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    for of in of {
        match by {
            By::Ratios(ratios) => {
                for (at, on) in places(seen, *of, reach) {
                    all.extend(ratios.iter().map(|ratio| scaled(&at, &on, *ratio)));
                }
            }
            By::Effect(effect) if *of == Of::Pressure => {
                all.extend(catch_at_another_pressure(seen, *effect));
            }
            By::Effect(effect) => {
                let effect = *effect;
                let places = places(seen, *of, reach).into_iter();
                let off = |(at, on)| Hypothesis::new(at, Change::Effect { on, effect });
                all.extend(places.map(off));
            }
        }
    }
    all
}

/// The catch alone was made at another pressure than the one written, and the machine is as it should be in every other test: the
/// effect is the logarithm of the true pressure over the written one, and flow goes with its square root.
fn catch_at_another_pressure(seen: &Seen<'_>, effect: Effect) -> Option<Hypothesis> {
    let caught = whole_catch(seen).into_iter();
    let on: Vec<(Value, f64)> = caught.map(|(value, power)| (value, power / 2.0)).collect();
    let is_there = !on.is_empty() && seen.is_checked(Value::Pressure);
    is_there.then(|| Hypothesis::new(At::Value(Value::Pressure), Change::Effect { on, effect }))
}

/// Values that are written as so many times what they are, each to a power.
pub(super) fn scaled(at: &At, on: &[(Value, f64)], ratio: f64) -> Hypothesis {
    let ratios = on
        .iter()
        .map(|(value, power)| (*value, libm::exp(power * libm::log(ratio))));
    Hypothesis::new(at.clone(), Change::Ratios(ratios.collect()))
}
