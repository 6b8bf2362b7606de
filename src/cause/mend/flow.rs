//! Parts of the machine: what nozzles truly put out, alone, in a section, all, or along the boom.

use crate::cause::check::CrossCheck;
use crate::cause::content::{Effect, Part};
use crate::cause::hypothesis::{At, Change, Hypothesis, Toward};
use crate::cause::seen::Seen;
use crate::cause::value::Value;

/// The parts of the boom of a kind, with the nozzles of each; a section of one nozzle is that nozzle.
pub(super) fn parts(seen: &Seen<'_>, part: Part) -> Vec<(At, Vec<u16>)> {
    match part {
        Part::Nozzle => seen
            .boom
            .nozzles()
            .map(|nozzle| (At::Nozzle(nozzle), vec![nozzle]))
            .collect(),
        Part::Section => {
            let sections: Vec<_> = seen.boom.sections().collect();
            // The only section is the whole boom.
            if sections.len() < 2 {
                return Vec::new();
            }
            let several = sections
                .into_iter()
                .filter(|(_, nozzles)| nozzles.len() > 1);
            several
                .map(|(section, nozzles)| (At::Section(section), nozzles))
                .collect()
        }
        Part::Set | Part::Sheet | Part::Supply => {
            let all: Vec<u16> = seen.boom.nozzles().collect();
            if all.is_empty() {
                Vec::new()
            } else {
                vec![(At::All, all)]
            }
        }
    }
}

/// The nozzles of a part put out more or less, all alike.
pub(super) fn hypotheses(seen: &Seen<'_>, part: Part, effect: Effect) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    for (at, nozzles) in parts(seen, part) {
        if effect.is_more() && nozzles.iter().all(|nozzle| seen.is_new(*nozzle)) {
            continue; // No tip wears in no time.
        }
        let nozzles: Vec<(u16, f64)> = nozzles.into_iter().map(|nozzle| (nozzle, 1.0)).collect();
        for mut on in with_and_without_volume(seen, part, flow_of(seen, &nozzles)) {
            // Flow goes with the root of the pressure that is left.
            if part == Part::Supply {
                on.push((Value::BoomEndPressure, 2.0));
            }
            all.push(Hypothesis::new(at.clone(), Change::Effect { on, effect }));
        }
    }
    all
}

/// What was out in the catch may have been put right before the volume test, or may have come loose by itself; a whole set is not.
pub(super) fn with_and_without_volume(
    seen: &Seen<'_>,
    part: Part,
    on: Vec<(Value, f64)>,
) -> Vec<Vec<(Value, f64)>> {
    let is_volume = |value: Value| matches!(value, Value::KnownVolume | Value::ShownVolume);
    if matches!(part, Part::Set | Part::Sheet | Part::Supply)
        || seen.one(CrossCheck::KnownOverCatch).is_none()
    {
        return vec![on];
    }
    let catch_alone = on.iter().filter(|(value, _)| !is_volume(*value));
    let catch_alone = catch_alone.copied().collect();
    vec![on, catch_alone]
}

/// Output falls along the boom: to the right, to the left, and to both ends.
///
/// An effect that goes either way is about the middle: as much more on one side as less on the other, where the pressure was set there.
/// Which end the boom's end pressure was read at is not known: it may fall with the output there, and twice as far, or not at all.
pub(super) fn tilt(seen: &Seen<'_>, effect: Effect) -> Vec<Hypothesis> {
    let nozzles: Vec<u16> = seen.boom.nozzles().collect();
    let [_, .., last] = nozzles.as_slice() else {
        return Vec::new();
    };
    let along = |nozzle: u16| f64::from(nozzle) / f64::from((*last).max(1));
    let (middle, effect) = match effect {
        Effect::Either(deviation) => (0.5, Effect::More(deviation)),
        Effect::More(_) | Effect::Less(_) => (0.0, effect),
    };
    let falls = [Toward::Right, Toward::Left, Toward::BothEnds];
    let mut all = Vec::new();
    for toward in falls {
        let power = |nozzle: u16| match toward {
            Toward::Right => -along(nozzle),
            Toward::Left => along(nozzle) - 1.0,
            Toward::BothEnds => -(2.0 * along(nozzle) - 1.0).abs(),
        };
        let tilted = nozzles
            .iter()
            .map(|nozzle| (*nozzle, middle + power(*nozzle)));
        let tilted: Vec<(u16, f64)> = tilted.collect();
        let mut add = |on| {
            all.push(Hypothesis::new(
                At::Toward(toward),
                Change::Effect { on, effect },
            ));
        };
        for on in with_and_without_volume(seen, Part::Section, flow_of(seen, &tilted)) {
            let mut with_end = on.clone();
            // Flow goes with the root of pressure.
            with_end.push((Value::BoomEndPressure, 2.0 * (middle - 1.0)));
            add(on);
            if seen.is_checked(Value::BoomEndPressure) {
                add(with_end);
            }
        }
    }
    all
}

/// What moves with the true flow of nozzles, and is there.
fn flow_of(seen: &Seen<'_>, nozzles: &[(u16, f64)]) -> Vec<(Value, f64)> {
    let group: Vec<u16> = nozzles.iter().map(|(nozzle, _)| *nozzle).collect();
    let parts = seen.boom.parts(&group);
    seen.boom.flow_of(nozzles, &parts)
}

/// The same for a ratio that is known: what each is over what it should be.
pub(super) fn flow_ratios(seen: &Seen<'_>, nozzles: &[u16], ratio: f64) -> Vec<(Value, f64)> {
    let nozzles: Vec<(u16, f64)> = nozzles.iter().map(|nozzle| (*nozzle, 1.0)).collect();
    let off = flow_of(seen, &nozzles);
    let is_whole = |value: Value| matches!(value, Value::KnownVolume | Value::ShownVolume);
    let mut ratios: Vec<(Value, f64)> = off
        .iter()
        .filter(|(value, _)| !is_whole(*value))
        .map(|(value, _)| (*value, ratio))
        .collect();
    let whole = libm::exp(seen.boom.ln_flow_off(&ratios));
    ratios.push((Value::KnownVolume, whole));
    ratios.push((Value::ShownVolume, whole));
    ratios
}
