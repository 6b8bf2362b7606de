//! The cross-checks of a stage with their covariance, and how they move with what is off.

use super::assumed;
use super::boom::{Boom, Parts};
use super::check::{Check, CrossCheck, checks};
use super::content::Effect;
use super::gaussian::{Gaussian, Marginal, Sparse};
use super::readings::Readings;
use super::value::Value;
use std::collections::BTreeMap;

/// How cross-checks are off: for one unit of an effect, or on the whole where there is none.
pub(super) type Off<'o> = (&'o [(CrossCheck, f64)], Option<Effect>);

/// What is seen of a stage.
#[derive(Debug)]
pub(super) struct Seen<'r> {
    pub(super) readings: &'r Readings,
    pub(super) boom: Boom,
    checks: Vec<Check>,
    /// The cross-checks that each value is in, with its power.
    moved_by: BTreeMap<Value, Sparse>,
    /// The cross-checks that the boom's flow is in, with its power.
    moved_by_flow: Sparse,
    values: Vec<f64>,
    gaussian: Gaussian,
}

impl<'r> Seen<'r> {
    /// None where nothing can be held against anything.
    pub(super) fn of(readings: &'r Readings) -> Option<Self> {
        Self::mended(readings, &[])
    }

    /// The same where cross-checks are also off by what is known, and mended by that.
    pub(super) fn mended(readings: &'r Readings, off: &[(CrossCheck, f64)]) -> Option<Self> {
        let boom = Boom::of(readings);
        let checks = checks(readings, &boom);
        if checks.is_empty() {
            return None;
        }
        let mut moved_by: BTreeMap<Value, Sparse> = BTreeMap::new();
        let mut moved_by_flow = Vec::new();
        for (at, check) in checks.iter().enumerate() {
            for (value, power) in &check.of_values {
                moved_by.entry(*value).or_default().push((at, *power));
            }
            if check.of_flow != 0.0 {
                moved_by_flow.push((at, check.of_flow));
            }
        }
        let known = |of: CrossCheck| -> f64 {
            let off = off.iter().filter(|(check, _)| *check == of);
            off.map(|(_, by)| by).sum()
        };
        let values = checks
            .iter()
            .map(|check| check.value(readings, &boom) - known(check.of));
        let values: Vec<f64> = values.collect();
        let moves = Moves {
            by: &moved_by,
            by_flow: &moved_by_flow,
            many: checks.len(),
        };
        let covariance = covariance(readings, &boom, &checks, &moves);
        let gaussian = Gaussian::new(values.clone(), covariance)?;
        Some(Self {
            readings,
            boom,
            checks,
            moved_by,
            moved_by_flow,
            values,
            gaussian,
        })
    }

    fn moves(&self) -> Moves<'_> {
        Moves {
            by: &self.moved_by,
            by_flow: &self.moved_by_flow,
            many: self.checks.len(),
        }
    }

    /// How the cross-checks move where values move, each to a power; a nozzle's part of the boom's flow is as read.
    pub(super) fn pattern(&self, on: &[(Value, f64)]) -> Sparse {
        let group = nozzles(on);
        self.moves().pattern(on, &self.boom.parts(&group))
    }

    /// By how much the cross-checks are off where values are written as so many times what they are, exactly.
    pub(super) fn shift(&self, ratios: &[(Value, f64)]) -> Sparse {
        let mut by = vec![0.0; self.checks.len()];
        for (value, ratio) in ratios {
            self.moves().add(&mut by, *value, libm::log(*ratio));
        }
        let flow = self.boom.ln_flow_off(ratios);
        for (at, power) in &self.moved_by_flow {
            if let Some(entry) = by.get_mut(*at) {
                *entry += power * flow;
            }
        }
        sparse(&by)
    }

    /// The logarithm of the density of the readings where nothing is off.
    pub(super) fn ln_density(&self) -> f64 {
        self.gaussian.ln_density()
    }

    /// The same where they are off by a known shift.
    pub(super) fn shifted(&self, by: &[(usize, f64)]) -> f64 {
        self.gaussian.shifted(by)
    }

    /// The same where they are off along a pattern.
    pub(super) fn effect(&self, pattern: &[(usize, f64)], effect: Effect) -> Marginal {
        self.gaussian.effect(pattern, effect)
    }

    /// The same where several things are off: the density, and the size of each effect. What each does is told by cross-check.
    pub(super) fn effects(&self, of: &[Off<'_>]) -> Option<(f64, Vec<f64>)> {
        let here = |pattern: &[(CrossCheck, f64)]| -> Sparse {
            let place = |of: CrossCheck| self.checks.iter().position(|check| check.of == of);
            pattern
                .iter()
                .filter_map(|(of, by)| Some((place(*of)?, *by)))
                .collect()
        };
        let known = of.iter().filter(|(_, effect)| effect.is_none());
        let known: Sparse = known.flat_map(|(pattern, _)| here(pattern)).collect();
        let unknown = of
            .iter()
            .filter_map(|(pattern, effect)| Some((here(pattern), (*effect)?)));
        self.gaussian.effects(&unknown.collect::<Vec<_>>(), &known)
    }

    /// The same where all nozzles scatter wider.
    pub(super) fn scattered(&self, deviation: f64) -> Option<f64> {
        let of_nozzles = |check: &Check| matches!(check.of, CrossCheck::Nozzle(_));
        let which: Vec<usize> = self
            .checks
            .iter()
            .enumerate()
            .filter(|(_, check)| of_nozzles(check))
            .map(|(at, _)| at)
            .collect();
        if which.len() < assumed::FEWEST_THAT_SCATTER {
            return None;
        }
        self.gaussian.scattered(&which, deviation)
    }

    /// Each cross-check as read, with its standard uncertainty.
    pub(super) fn each(&self) -> impl Iterator<Item = (CrossCheck, f64, f64)> + '_ {
        self.checks
            .iter()
            .zip(&self.values)
            .enumerate()
            .map(|(at, (check, value))| (check.of, *value, self.gaussian.uncertainty(at)))
    }

    /// One cross-check as read, with its standard uncertainty.
    pub(super) fn one(&self, of: CrossCheck) -> Option<(f64, f64)> {
        self.each()
            .find(|(check, ..)| *check == of)
            .map(|(_, value, uncertainty)| (value, uncertainty))
    }

    /// The values that are there and in a cross-check.
    pub(super) fn values_in_checks(&self) -> impl Iterator<Item = Value> + '_ {
        self.moved_by.keys().copied()
    }

    /// Whether a nozzle has a tip that was fitted since the last catch.
    pub(super) fn is_new(&self, nozzle: u16) -> bool {
        self.readings.known.new_tips.contains(&nozzle)
    }

    /// The nozzles of which something was caught, left to right. Of one that was read as 0 no ratio makes anything else.
    pub(super) fn nozzles_with_flow(&self) -> impl Iterator<Item = u16> + '_ {
        let nozzles = self.boom.nozzles();
        nozzles.filter(|nozzle| !self.readings.is_zero(Value::Caught(*nozzle)))
    }

    /// Whether a value is in any cross-check.
    pub(super) fn is_checked(&self, value: Value) -> bool {
        self.moved_by.contains_key(&value)
    }
}

/// How cross-checks move with values and with the boom's flow.
struct Moves<'s> {
    by: &'s BTreeMap<Value, Sparse>,
    by_flow: &'s Sparse,
    many: usize,
}

impl Moves<'_> {
    fn add(&self, to: &mut [f64], value: Value, by: f64) {
        for (at, power) in self.by.get(&value).into_iter().flatten() {
            if let Some(entry) = to.get_mut(*at) {
                *entry += power * by;
            }
        }
    }

    fn pattern(&self, on: &[(Value, f64)], parts: &Parts) -> Sparse {
        let mut by = vec![0.0; self.many];
        let mut flow = 0.0;
        for (value, power) in on {
            self.add(&mut by, *value, *power);
            flow += power * parts.of(*value);
        }
        for (at, power) in self.by_flow {
            if let Some(entry) = by.get_mut(*at) {
                *entry += power * flow;
            }
        }
        sparse(&by)
    }
}

/// The nozzles whose catch is among values.
pub(super) fn nozzles(on: &[(Value, f64)]) -> Vec<u16> {
    on.iter()
        .filter_map(|(value, _)| {
            let Value::Caught(nozzle) = value else {
                return None;
            };
            Some(*nozzle)
        })
        .collect()
}

fn sparse(of: &[f64]) -> Sparse {
    let entries = of.iter().copied().enumerate();
    entries.filter(|(_, by)| *by != 0.0).collect()
}

/// The covariance of the cross-checks: of every source of error declared, of what good tips differ by, and of what instruments of the
/// machine scatter by themselves.
fn covariance(
    readings: &Readings,
    boom: &Boom,
    checks: &[Check],
    moves: &Moves<'_>,
) -> Vec<Vec<f64>> {
    let mut made = vec![vec![0.0; checks.len()]; checks.len()];
    let mut add = |pattern: &Sparse, variance: f64| {
        for (one, by) in pattern {
            let Some(row) = made.get_mut(*one) else {
                continue;
            };
            for (other, and_by) in pattern {
                if let Some(entry) = row.get_mut(*other) {
                    *entry += variance * by * and_by;
                }
            }
        }
    };
    // Good nozzles put out alike.
    let parts = boom.alike();
    for shared in &readings.errors {
        let variance = shared.relative * shared.relative;
        for on in boom.with_repeats(&shared.on) {
            add(&moves.pattern(&on, &parts), variance);
        }
    }
    for nozzle in boom.nozzles() {
        let mut on = boom.flow_of(&[(nozzle, 1.0)], &parts);
        on.push((Value::Before(nozzle), 1.0));
        add(&moves.pattern(&on, &parts), readings.tau * readings.tau);
    }
    for (on, deviation) in assumed::shared(readings) {
        add(&moves.pattern(&on, &parts), deviation * deviation);
    }
    for (at, check) in checks.iter().enumerate() {
        add(&vec![(at, 1.0)], check.own * check.own);
    }
    made
}
