//! Two values stand in each other's place.

use super::places::LEAST;
use crate::cause::content::Pair;
use crate::cause::hypothesis::{At, Change, Hypothesis};
use crate::cause::seen::Seen;
use crate::cause::value::Value;

/// Each pair that is there and differs.
pub(super) fn hypotheses(seen: &Seen<'_>, pairs: &[Pair]) -> Vec<Hypothesis> {
    pairs.iter().flat_map(|pair| of_pair(seen, *pair)).collect()
}

fn of_pair(seen: &Seen<'_>, pair: Pair) -> Vec<Hypothesis> {
    let two = |one, other| {
        exchanged(seen, At::Values(one, other), &[(one, other)])
            .into_iter()
            .collect()
    };
    match pair {
        Pair::KnownShown => two(Value::KnownVolume, Value::ShownVolume),
        Pair::BeforeAfter => two(Value::FactorBefore, Value::FactorAfter),
        Pair::SpeedBeforeAfter => two(Value::SpeedFactorBefore, Value::SpeedFactorAfter),
        Pair::Sections => sections(seen),
        Pair::LeftRight => left_right(seen).into_iter().collect(),
    }
}

/// Two values in each other's place; none where they are alike, as that changes nothing.
fn exchanged(seen: &Seen<'_>, at: At, pairs: &[(Value, Value)]) -> Option<Hypothesis> {
    let mut ratios = Vec::new();
    // What is caught of a nozzle that was read as 0 counts as a flow, and is no amount to exchange.
    let is_zero = |value: Value| seen.readings.is_zero(value);
    let pairs = pairs
        .iter()
        .filter(|(one, other)| !is_zero(*one) && !is_zero(*other));
    for (one, other) in pairs {
        let ratio = seen.readings.get(*one)? / seen.readings.get(*other)?;
        ratios.push((*one, ratio));
        ratios.push((*other, 1.0 / ratio));
    }
    let differs = ratios
        .iter()
        .any(|(_, ratio)| libm::log(*ratio).abs() > LEAST);
    differs.then_some(Hypothesis::new(at, Change::Ratios(ratios)))
}

/// Only the last visit tells which readings are whose.
fn is_known_of_last_visit(seen: &Seen<'_>, nozzles: &[u16]) -> bool {
    let mut nozzles = nozzles.iter();
    nozzles.all(|nozzle| seen.is_checked(Value::Before(*nozzle)))
}

fn sections(seen: &Seen<'_>) -> Vec<Hypothesis> {
    let sections: Vec<(u16, Vec<u16>)> = seen.boom.sections().collect();
    let mut all = Vec::new();
    for (at, (_, one)) in sections.iter().enumerate() {
        for (_, other) in sections.iter().skip(at + 1) {
            if one.len() != other.len() || !is_known_of_last_visit(seen, one) {
                continue;
            }
            let pairs = one
                .iter()
                .zip(other)
                .map(|(one, other)| (Value::Caught(*one), Value::Caught(*other)));
            let nozzles = one.iter().chain(other).copied().collect();
            all.extend(exchanged(
                seen,
                At::Nozzles(nozzles),
                &pairs.collect::<Vec<_>>(),
            ));
        }
    }
    all
}

fn left_right(seen: &Seen<'_>) -> Option<Hypothesis> {
    let nozzles: Vec<u16> = seen.boom.nozzles().collect();
    if nozzles.len() < 2 || !is_known_of_last_visit(seen, &nozzles) {
        return None;
    }
    let pairs = nozzles
        .iter()
        .zip(nozzles.iter().rev())
        .take(nozzles.len() / 2);
    let pairs: Vec<_> = pairs
        .map(|(one, other)| (Value::Caught(*one), Value::Caught(*other)))
        .collect();
    exchanged(seen, At::All, &pairs)
}
