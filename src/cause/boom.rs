//! The flow of the boom by its catch, and which part of it each nozzle has.

use super::readings::Readings;
use super::value::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The boom by its catch.
#[derive(Debug)]
pub(super) struct Boom {
    /// The flow of each nozzle that was caught.
    flows: BTreeMap<u16, f64>,
    /// The number of the list that says how long each was collected.
    lists: BTreeMap<u16, u16>,
    /// The nozzles of repeats, by number.
    repeats: Vec<u16>,
    /// The section of each nozzle.
    sections: Vec<Vec<u16>>,
}

/// Which part of the boom's flow each nozzle has.
pub(super) struct Parts {
    parts: BTreeMap<u16, f64>,
    by_list: BTreeMap<u16, f64>,
}

impl Parts {
    /// How the boom's flow moves with a value.
    pub(super) fn of(&self, value: Value) -> f64 {
        if let Value::Caught(nozzle) = value {
            self.nozzle(nozzle)
        } else if let Value::Collected(list) = value {
            -self.by_list.get(&list).copied().unwrap_or_default()
        } else {
            0.0
        }
    }

    /// The part of one nozzle.
    pub(super) fn nozzle(&self, nozzle: u16) -> f64 {
        self.parts.get(&nozzle).copied().unwrap_or_default()
    }
}

impl Boom {
    pub(super) fn of(readings: &Readings) -> Self {
        let mut flows = BTreeMap::new();
        for (value, amount) in &readings.values {
            let Value::Caught(nozzle) = value else {
                continue;
            };
            let list = readings.list_of.get(nozzle);
            let collected = list.and_then(|list| readings.get(Value::Collected(*list)));
            flows.insert(*nozzle, amount / collected.unwrap_or(1.0));
        }
        let mut next = 0_u16;
        let sections = readings.sections.iter().map(|many| {
            let first = next;
            next = next.saturating_add(*many);
            (first..next).collect()
        });
        Self {
            sections: sections.collect(),
            flows,
            lists: readings.list_of.clone(),
            repeats: readings
                .repeats
                .iter()
                .map(|repeat| repeat.nozzle)
                .collect(),
        }
    }

    /// The nozzles that were caught, left to right.
    pub(super) fn nozzles(&self) -> impl Iterator<Item = u16> + '_ {
        self.flows.keys().copied()
    }

    /// How many nozzles the boom has.
    pub(super) fn size(&self) -> usize {
        self.sections.iter().map(Vec::len).sum()
    }

    /// The nozzles of each section that were caught, with the section's number; sections without any are left out.
    pub(super) fn sections(&self) -> impl Iterator<Item = (u16, Vec<u16>)> + '_ {
        (0..).zip(&self.sections).filter_map(|(number, nozzles)| {
            let caught = nozzles
                .iter()
                .copied()
                .filter(|nozzle| self.flows.contains_key(nozzle));
            let caught: Vec<u16> = caught.collect();
            (!caught.is_empty()).then_some((number, caught))
        })
    }

    /// The list that says how long a nozzle was collected.
    pub(super) fn list(&self, nozzle: u16) -> Option<u16> {
        self.lists.get(&nozzle).copied()
    }

    /// The logarithm of the whole boom's flow: nozzles that were not caught put out the mean of those that were.
    pub(super) fn ln_flow(&self) -> Option<f64> {
        let caught = number(self.flows.len());
        let whole = number(self.size().max(self.flows.len()));
        (caught > 0.0).then(|| libm::log(self.flows.values().sum::<f64>() * whole / caught))
    }

    /// By how much that is off where values are written as so many times what they are.
    pub(super) fn ln_flow_off(&self, ratios: &[(Value, f64)]) -> f64 {
        let mut of_nozzle: BTreeMap<u16, f64> = BTreeMap::new();
        let mut of_list: BTreeMap<u16, f64> = BTreeMap::new();
        for (value, ratio) in ratios {
            if let Value::Caught(nozzle) = value {
                of_nozzle.insert(*nozzle, *ratio);
            } else if let Value::Collected(list) = value {
                of_list.insert(*list, *ratio);
            }
        }
        if of_nozzle.is_empty() && of_list.is_empty() {
            return 0.0;
        }
        let mended = self.flows.iter().map(|(nozzle, flow)| {
            let caught = of_nozzle.get(nozzle).copied().unwrap_or(1.0);
            let time = self
                .list(*nozzle)
                .and_then(|list| of_list.get(&list).copied());
            flow / caught * time.unwrap_or(1.0)
        });
        let mended: f64 = mended.sum();
        let written: f64 = self.flows.values().sum();
        if mended > 0.0 {
            libm::log(written / mended)
        } else {
            0.0
        }
    }

    /// The parts of the boom's flow where a group of nozzles is off by as much as it reads.
    ///
    /// A nozzle far out has another part of the flow as written than as it should be; what counts is by how much the whole moves if
    /// the group comes back to the others' middle.
    pub(super) fn parts(&self, group: &[u16]) -> Parts {
        let total: f64 = self.flows.values().sum();
        let group: BTreeSet<u16> = group
            .iter()
            .copied()
            .filter(|nozzle| self.flows.contains_key(nozzle))
            .collect();
        let others = self
            .flows
            .iter()
            .filter(|(nozzle, _)| !group.contains(nozzle));
        let mut others: Vec<f64> = others.map(|(_, flow)| *flow).collect();
        let as_read = || self.with(|flow| flow / total);
        if group.is_empty() || others.is_empty() {
            return as_read();
        }
        others.sort_by(f64::total_cmp);
        let middle = others.get(others.len() / 2).copied().unwrap_or(1.0);
        let of_group = |nozzle: &u16| self.flows.get(nozzle).copied().unwrap_or(middle);
        let off: f64 = group
            .iter()
            .map(|nozzle| libm::log(of_group(nozzle) / middle))
            .sum::<f64>()
            / number(group.len());
        if off.abs() < 0.01 {
            return as_read();
        }
        let factor = libm::exp(-off) - 1.0;
        let brought_back: f64 = group.iter().map(|nozzle| of_group(nozzle) * factor).sum();
        let share = (libm::log(total) - libm::log(total + brought_back)) / off;
        let mut parts = as_read();
        for nozzle in &group {
            parts.parts.insert(*nozzle, share / number(group.len()));
        }
        parts
    }

    /// The parts where all nozzles put out alike.
    pub(super) fn alike(&self) -> Parts {
        let caught = number(self.flows.len());
        self.with(|_| 1.0 / caught)
    }

    fn with(&self, part: impl Fn(f64) -> f64) -> Parts {
        let parts: BTreeMap<u16, f64> = self
            .flows
            .iter()
            .map(|(nozzle, flow)| (*nozzle, part(*flow)))
            .collect();
        let mut by_list = BTreeMap::new();
        for (nozzle, part) in &parts {
            if let Some(list) = self.list(*nozzle) {
                *by_list.entry(list).or_insert(0.0) += part;
            }
        }
        Parts { parts, by_list }
    }

    /// What moves where nozzles truly put out more or less, each to a power: what is caught of them, and what the whole boom sprays
    /// out of a known volume.
    pub(super) fn flow_of(&self, nozzles: &[(u16, f64)], parts: &Parts) -> Vec<(Value, f64)> {
        let mut on = Vec::new();
        let mut whole = 0.0;
        for (nozzle, power) in nozzles {
            on.push((Value::Nozzle(*nozzle), *power));
            on.push((Value::Caught(*nozzle), *power));
            let repeats = (0..).zip(&self.repeats).filter(|(_, of)| *of == nozzle);
            on.extend(repeats.map(|(number, _)| (Value::Repeat(number), *power)));
            whole += power * parts.nozzle(*nozzle);
        }
        on.push((Value::KnownVolume, whole));
        on.push((Value::ShownVolume, whole));
        on
    }

    /// An error of readings with what it does to repeats: what is shared holds for them too, and what is a reading's own is another
    /// one for each.
    pub(super) fn with_repeats(&self, on: &[(Value, f64)]) -> Vec<Vec<(Value, f64)>> {
        let repeats = |nozzle: u16, power: f64| {
            let of = (0..)
                .zip(&self.repeats)
                .filter(move |(_, of)| **of == nozzle);
            of.map(move |(number, _)| (Value::Repeat(number), power))
        };
        if let [(Value::Caught(nozzle), power)] = on {
            let mut each = vec![on.to_vec()];
            each.extend(repeats(*nozzle, *power).map(|repeat| vec![repeat]));
            return each;
        }
        let mut all = on.to_vec();
        for (value, power) in on {
            if let Value::Caught(nozzle) = value {
                all.extend(repeats(*nozzle, *power));
            }
        }
        vec![all]
    }
}

/// How many there are, as a number.
pub(super) fn number(of: usize) -> f64 {
    f64::from(u32::try_from(of).unwrap_or(u32::MAX))
}
