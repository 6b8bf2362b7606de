//! One instrument against all others, a constant in each reading, and another instrument from a place on.

use super::places::{from as from_places, whole_catch};
use crate::cause::boom::number;
use crate::cause::check::CrossCheck;
use crate::cause::content::Effect;
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::{Of, Value};

/// One instrument is off, and whatever is read off it.
pub(super) fn one_against_all(seen: &Seen<'_>, of: Of, effect: Effect) -> Vec<Hypothesis> {
    let Some((at, on)) = read_off(seen, of) else {
        return Vec::new();
    };
    vec![Hypothesis::new(
        At::Value(at),
        Change::Effect { on, effect },
    )]
}

#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "every other kind of value is no instrument"
)]
fn read_off(seen: &Seen<'_>, of: Of) -> Option<(Value, Vec<(Value, f64)>)> {
    let sign = if seen.readings.known.volume_per_pulse {
        -1.0
    } else {
        1.0
    };
    let of_kind = |of: Of| {
        seen.values_in_checks()
            .filter(move |value| value.of() == of)
            .map(|value| (value, 1.0))
    };
    let caught = whole_catch(seen);
    match of {
        Of::Jug if !caught.is_empty() => {
            let mut on = vec![(Value::Jug, 1.0)];
            on.extend(caught);
            on.extend(of_kind(Of::CaughtAgain));
            Some((Value::Jug, on))
        }
        // A wrong gauge lets the whole machine run at another pressure: true flows are other ones, in every test.
        Of::Gauge if !caught.is_empty() && seen.is_checked(Value::Pressure) => {
            let mut on = vec![(Value::Gauge, 1.0)];
            on.extend(caught);
            on.extend(of_kind(Of::CaughtAgain));
            on.extend([(Value::KnownVolume, 1.0), (Value::ShownVolume, 1.0)]);
            if !seen.readings.known.one_gauge {
                on.push((Value::BoomEndPressure, 2.0));
            }
            Some((Value::Gauge, on))
        }
        Of::Meter if seen.is_checked(Value::ShownVolume) => {
            let mut on = vec![(Value::Meter, 1.0), (Value::ShownVolume, 1.0)];
            on.extend(corrected(
                seen,
                CrossCheck::FactorOverComputed,
                Value::FactorAfter,
                sign,
            ));
            Some((Value::Meter, on))
        }
        Of::FillMeter
            if seen.is_checked(Value::KnownVolume) && !seen.readings.known.known_by_catch =>
        {
            let mut on = vec![(Value::FillMeter, 1.0), (Value::KnownVolume, 1.0)];
            on.extend(corrected(
                seen,
                CrossCheck::FactorOverComputed,
                Value::FactorAfter,
                -sign,
            ));
            Some((Value::FillMeter, on))
        }
        Of::SpeedSensor => {
            let mut on: Vec<(Value, f64)> = of_kind(Of::ShownDistance).collect();
            if on.is_empty() {
                return None;
            }
            let sign = if seen.readings.known.distance_per_pulse {
                -1.0
            } else {
                1.0
            };
            on.push((Value::SpeedSensor, 1.0));
            on.extend(corrected(
                seen,
                CrossCheck::SpeedFactorOverComputed,
                Value::SpeedFactorAfter,
                sign,
            ));
            Some((Value::SpeedSensor, on))
        }
        _ => None,
    }
}

/// A factor that was corrected was corrected by what was read; one that was left alone stays.
fn corrected(seen: &Seen<'_>, check: CrossCheck, after: Value, power: f64) -> Option<(Value, f64)> {
    seen.one(check).map(|_| (after, power))
}

/// A scale that was not set to zero: the same weight in each reading. A jug holds no such constant.
pub(super) fn tare(seen: &Seen<'_>, effect: Effect) -> Vec<Hypothesis> {
    if !seen.readings.known.weighed {
        return Vec::new();
    }
    let caught: Vec<(Value, f64)> = whole_catch(seen)
        .into_iter()
        .filter_map(|(value, _)| Some((value, seen.readings.get(value)?)))
        .collect();
    if caught.is_empty() {
        return Vec::new();
    }
    let usual = caught.iter().map(|(_, amount)| amount).sum::<f64>() / number(caught.len());
    vec![Hypothesis::new(
        At::Value(Value::Jug),
        Change::Constant {
            of: caught
                .into_iter()
                .map(|(value, amount)| (value, amount / usual))
                .collect(),
            effect,
        },
    )]
}

/// Another jug or scale from each nozzle on, or up to it.
pub(super) fn from(seen: &Seen<'_>, effect: Effect) -> Vec<Hypothesis> {
    let nozzles: Vec<u16> = seen.nozzles_with_flow().collect();
    let places = from_places(&nozzles, 1.0).into_iter();
    places
        .map(|(at, on)| Hypothesis::new(at, Change::Effect { on, effect }))
        .collect()
}
