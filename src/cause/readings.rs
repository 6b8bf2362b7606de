//! What was read at one stage of a visit, with every independent source of error: what the cross-checks are made of.

use super::value::{Of, Value};
use crate::quantity::Quantity;
use std::collections::{BTreeMap, BTreeSet};

/// The readings of a stage of a visit, in SI units.
#[derive(Clone, Debug)]
pub struct Readings {
    /// How many nozzles each section has, left to right.
    pub(super) sections: Vec<u16>,
    /// How far good tips of one set lie apart: a relative standard deviation.
    pub(super) tau: f64,
    pub(super) values: BTreeMap<Value, f64>,
    /// The values that were read as 0 and count as next to nothing.
    zeros: BTreeSet<Value>,
    pub(super) written: BTreeMap<Value, Quantity>,
    /// The list that says how long a nozzle was collected.
    pub(super) list_of: BTreeMap<u16, u16>,
    pub(super) repeats: Vec<Repeat>,
    pub(super) retests: Vec<Again>,
    pub(super) errors: Vec<Shared>,
    /// A nozzle that was caught again though it was good, where one that was out was not.
    pub(super) good_nozzle_caught_again: Option<u16>,
    /// What is known of the visit besides.
    pub known: Known,
}

/// One more reading of a nozzle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Repeat {
    pub(super) nozzle: u16,
    /// The list that says how long it was collected.
    pub(super) list: Option<u16>,
}

/// A retest of one nozzle, whose tip was changed or cleaned in between, or may have been.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Again {
    /// The nozzle, from 0.
    pub nozzle: u16,
    /// What was caught, in cubic meters.
    pub amount: f64,
    /// For how long, in seconds; none where a flow was read.
    pub collected: Option<f64>,
    /// At which pressure, in pascals.
    pub pressure: Option<f64>,
    /// The relative standard uncertainty of its own.
    pub relative: f64,
}

/// One independent source of error and the values that share it.
#[derive(Clone, Debug)]
pub(super) struct Shared {
    pub(super) on: Vec<(Value, f64)>,
    pub(super) relative: f64,
}

/// What is known of a visit besides its values.
#[expect(clippy::struct_excessive_bools, reason = "each is a fact by itself")]
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// Whether the pressure at the boom's end was read off the gauge of the catch.
    pub one_gauge: bool,
    /// Whether the known volume is the catch's flow times the time: then neither speaks for the other.
    pub known_by_catch: bool,
    /// Whether the catch was weighed.
    pub weighed: bool,
    /// Whether the flow factor counts volume for each pulse and not pulses for each volume.
    pub volume_per_pulse: bool,
    /// Whether the speed factor counts distance for each pulse and not pulses for each distance.
    pub distance_per_pulse: bool,
    /// The nozzles whose tips were fitted since the last catch, from 0.
    pub new_tips: Vec<u16>,
    /// The sheet's nozzle size.
    pub size: Option<String>,
    /// How probable it is that honest readings are all those of the last visit; only where they are.
    pub chance_of_copy: Option<f64>,
}

impl Readings {
    /// No readings yet of a boom with so many nozzles in each section, left to right, whose good tips lie `tau` apart.
    pub fn of_boom(sections: &[u16], tau: f64) -> Self {
        Self {
            sections: sections.to_vec(),
            tau,
            values: BTreeMap::new(),
            zeros: BTreeSet::new(),
            written: BTreeMap::new(),
            list_of: BTreeMap::new(),
            repeats: Vec::new(),
            retests: Vec::new(),
            errors: Vec::new(),
            good_nozzle_caught_again: None,
            known: Known::default(),
        }
    }

    /// A value in SI units. What is no positive number is left out.
    pub fn put(&mut self, of: Value, si: f64) {
        if si.is_finite() && si > 0.0 {
            self.values.insert(of, si);
        }
    }

    /// A value as written: its unit and digits are needed to say which unit or digits are meant.
    pub fn put_written(&mut self, of: Value, quantity: Quantity) {
        self.put(of, quantity.si());
        self.written_as(of, quantity);
    }

    /// How a value that is there is written.
    pub fn written_as(&mut self, of: Value, quantity: Quantity) {
        self.written.insert(of, quantity);
    }

    /// A value as written.
    pub fn written(&self, of: Value) -> Option<Quantity> {
        self.written.get(&of).copied()
    }

    /// The list that says how long what was caught of a nozzle was collected, first or in a repeat.
    pub fn list_of(&self, caught: Value) -> Option<u16> {
        if let Value::Caught(nozzle) = caught {
            self.list_of.get(&nozzle).copied()
        } else if let Value::Repeat(number) = caught {
            self.repeats.get(usize::from(number))?.list
        } else {
            None
        }
    }

    /// Whether a value was read as 0.
    pub fn is_zero(&self, of: Value) -> bool {
        self.zeros.contains(&of)
    }

    /// A value in SI units.
    pub fn get(&self, of: Value) -> Option<f64> {
        self.values.get(&of).copied()
    }

    /// The values of a kind that are there, in the order of their numbers; where a reading is missing a number is left out.
    pub(super) fn each(&self, kind: Of) -> impl Iterator<Item = Value> + '_ {
        let all = self.values.keys().copied();
        all.filter(move |value| value.of() == kind)
    }

    /// What was caught of a nozzle in cubic meters, or its flow in cubic meters a second where `collected` is none. Gives the value that
    /// it is: the second of a nozzle is a repeat. Nozzles with the same time share a list. None where it is no positive number.
    pub fn catch(&mut self, nozzle: u16, amount: f64, collected: Option<f64>) -> Option<Value> {
        if !(amount.is_finite() && amount > 0.0) {
            return None;
        }
        let collected = collected.filter(|time| time.is_finite() && *time > 0.0);
        let list = collected.map(|time| self.list(time));
        Some(self.caught(nozzle, amount, list))
    }

    /// That nothing was caught of a nozzle, which counts as a flow in cubic meters a second that is next to none.
    ///
    /// It is in no list: nothing is nothing after any time, as it is in any unit.
    pub fn catch_nothing(&mut self, nozzle: u16, counts_as: f64) -> Option<Value> {
        if !(counts_as.is_finite() && counts_as > 0.0) {
            return None;
        }
        let of = self.caught(nozzle, counts_as, None);
        self.zeros.insert(of);
        Some(of)
    }

    fn caught(&mut self, nozzle: u16, amount: f64, list: Option<u16>) -> Value {
        let first = Value::Caught(nozzle);
        if self.values.contains_key(&first) {
            let number = u16::try_from(self.repeats.len()).unwrap_or(u16::MAX);
            let repeat = Value::Repeat(number);
            self.put(repeat, amount);
            self.repeats.push(Repeat { nozzle, list });
            return repeat;
        }
        self.put(first, amount);
        if let Some(list) = list {
            self.list_of.insert(nozzle, list);
        }
        first
    }

    /// The list that has this time, or a new one.
    fn list(&mut self, collected: f64) -> u16 {
        let mut list = 0;
        while let Some(time) = self.get(Value::Collected(list)) {
            if (time - collected).abs() <= 1e-9 * collected {
                return list;
            }
            list = list.saturating_add(1);
        }
        self.put(Value::Collected(list), collected);
        list
    }

    /// A retest of one nozzle; gives its number.
    pub fn caught_again(&mut self, again: Again) -> u16 {
        let number = u16::try_from(self.retests.len()).unwrap_or(u16::MAX);
        self.put(Value::CaughtAgain(number), again.amount);
        if let Some(collected) = again.collected {
            self.put(Value::CollectedAgain(number), collected);
        }
        if let Some(pressure) = again.pressure {
            self.put(Value::PressureAgain(number), pressure);
        }
        self.retests.push(again);
        number
    }

    /// An independent source of error, with its relative standard uncertainty: each value moves with it to the power given.
    pub fn error(&mut self, on: &[(Value, f64)], relative: f64) {
        let is_finite = relative.is_finite() && on.iter().all(|(_, power)| power.is_finite());
        if !is_finite {
            return;
        }
        self.errors.push(Shared {
            on: on.to_vec(),
            relative,
        });
    }

    /// The same with values multiplied: what a mend makes of them.
    #[must_use]
    pub fn scaled(&self, ratios: &[(Value, f64)]) -> Self {
        let mut mended = self.clone();
        for (value, ratio) in ratios {
            if let Some(si) = mended.values.get_mut(value) {
                *si *= ratio;
            }
            // As it is written it is no longer.
            mended.written.remove(value);
        }
        mended
    }
}
