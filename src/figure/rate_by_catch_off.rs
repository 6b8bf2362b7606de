//! How far the rate that follows from the catch is off the rate the setup is meant to put down.

use super::about::{About, Family, ShownAs};
use super::describe::{in_unit, percent, to_set};
use super::legacy::{Formula, Legacy};
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Catch, Ground, Shown};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::unit::Unit;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "rate-by-catch-off",
        title: "how far the rate by catch, at the setup's speed, is off the setup's rate",
        formula: "sum(q) / (speed x spacing x nozzles) / rate - 1; gal/acre = 5940 x gpm / (mph x in), L/ha = 600 x L/min / (km/h x m)",
        source: "Missouri Extension G1270A; SD State Extension, mixing and calibration equations",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, key| rate_in_words(visit, key),
        held_against: "meant to be",
        units: |visit, key| units(visit, key).unwrap_or_default(),
        slots: &[
            ("rate", rate_in_words),
            ("wanted-rate", wanted_rate),
            ("running-pressure", running_pressure),
            ("catch-pressure", catch_pressure),
        ],
    },
};

/// The rate itself.
pub(super) static RATE_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "rate-by-catch",
        title: "the rate the catch makes at the setup's speed",
        formula: "sum(q) / (speed x spacing x nozzles)",
        source: "Missouri Extension G1270A; SD State Extension, mixing and calibration equations",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: absolute::<f64>,
        measure: absolute::<Measure>,
        exact: absolute::<Rational>,
        working: |_, _| None,
        read: |visit, key| rate_in_words(visit, key),
        held_against: "",
        units: |visit, _| (visit.ground.rate.map(|rate| rate.quantity.unit), None),
        slots: &[],
    },
};

/// What the rate needs beside the catch.
#[derive(Clone, Copy)]
struct Needed {
    spacing: Shown,
    speed: Shown,
    rate: Shown,
}

fn needed(visit: &Visit<'_>) -> Result<Needed, &'static str> {
    let ground: &Ground = &visit.ground;
    let (spacing, speed, rate) = (ground.spacing, ground.speed, ground.rate);
    Ok(Needed {
        spacing: spacing.ok_or("the machine sheet gives no nozzle spacing")?,
        speed: speed.ok_or("the setup gives no speed")?,
        rate: rate.ok_or("the setup gives no rate")?,
    })
}

/// The rate in volume per area: the mean flow over the ground a nozzle covers in a second.
///
/// None where a nozzle was not caught: then the boom's flow is not known.
fn rate<N: Number>(visit: &Visit<'_>, catch: &Catch, needed: Needed) -> Option<N> {
    let flows = Flows::<N>::of(visit, catch);
    let input = |shown: Shown| N::input(&visit.primitives, shown.id);
    let covered = input(needed.speed).times(&input(needed.spacing));
    Some(N::mean(flows.of_boom()?).over(&covered))
}

/// The rate by catch of each stage, or why there is none.
fn rates<'v, N: Number>(
    visit: &'v Visit<'_>,
) -> impl Iterator<Item = (Key, &'v Catch, Result<(N, Shown), &'static str>)> {
    visit.catch.each().map(|(stage, catch)| {
        let key = visit.key(Step::Catch, Some(stage), Part::Whole);
        let needed = match (visit.setup, needed(visit)) {
            (None, _) => Err("the setup tested is not known"),
            (Some(_), needed) => needed,
        };
        let value = needed.and_then(|needed| {
            let rate = rate::<N>(visit, catch, needed)
                .ok_or("not every nozzle was caught, so the boom's flow is not known")?;
            Ok((rate, needed.rate))
        });
        (key, catch, value)
    })
}

pub(super) fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    rates::<N>(visit)
        .map(|(key, catch, rate)| match rate {
            Ok((rate, meant)) => {
                let off = rate.off(&N::input(&visit.primitives, meant.id));
                Member::new(key, off, catch.place).against(meant.place)
            }
            Err(because) => Member::unavailable(key, because, Some(catch.place), catch.place),
        })
        .collect()
}

fn absolute<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    rates::<N>(visit)
        .map(|(key, catch, rate)| match rate {
            Ok((rate, _)) => Member::new(key, rate, catch.place),
            Err(because) => Member::unavailable(key, because, Some(catch.place), catch.place),
        })
        .collect()
}

fn found<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<(&'v Catch, Needed, f64)> {
    let catch = visit.catch.at(key.stage?)?;
    let needed = needed(visit).ok()?;
    let rate = rate::<f64>(visit, catch, needed)?;
    Some((catch, needed, rate))
}

fn rate_in_words(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (_, needed, rate) = found(visit, key)?;
    Some(in_unit(rate, needed.rate.quantity.unit))
}

fn wanted_rate(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (_, needed, _) = found(visit, key)?;
    Some(needed.rate.quantity.to_string())
}

/// The pressure at which the boom puts down the wanted rate: P2 = P1 x (rate2 / rate1)^2.
fn running_pressure(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (catch, needed, rate) = found(visit, key)?;
    let gauge = &catch.pressure.as_ref()?.quantity;
    let ratio = needed.rate.quantity.si() / rate;
    Some(to_set(gauge.si() * ratio * ratio, gauge.unit))
}

fn catch_pressure(visit: &Visit<'_>, key: &Key) -> Option<String> {
    Some(
        visit
            .catch
            .at(key.stage?)?
            .pressure
            .as_ref()?
            .quantity
            .to_string(),
    )
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (catch, needed, rate) = found(visit, key)?;
    let flows = nozzle_flow::measured(visit, catch);
    let count = u32::try_from(flows.caught().count()).ok()?;
    let total: f64 = flows.caught().map(|(_, flow)| flow).sum();
    let unit = nozzle_flow::flow_unit(catch)?;
    Some(format!(
        "{} a nozzle at {} on {} spacing = {}; {} / {} - 1 = {}",
        in_unit(total / f64::from(count), unit),
        needed.speed.quantity,
        needed.spacing.quantity,
        in_unit(rate, needed.rate.quantity.unit),
        in_unit(rate, needed.rate.quantity.unit),
        needed.rate.quantity,
        percent(rate / needed.rate.quantity.si() - 1.0),
    ))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let catch = visit.catch.at(key.stage?)?;
    Some((
        nozzle_flow::caught_in(catch),
        Some(visit.ground.rate?.quantity.unit),
    ))
}
