//! Faults as they happen to machines and instruments, each with what is true of it.

use super::draw::Draw;
use super::machine::{Machine, SIZES};
use super::visit::World;
use std::collections::BTreeSet;

/// Each cause, and how often it is what is wrong, of a hundred (our choice: wear and dirt before slips of the pen, and
/// those before instruments).
pub(crate) const FAULTS: [(&str, f64); 24] = [
    ("tip-worn", 12.0),
    ("tip-plugged", 12.0),
    ("tip-other-size", 5.0),
    ("section-starved", 6.0),
    ("section-high", 2.0),
    ("pressure-falls", 3.0),
    ("set-worn", 6.0),
    ("gauge-wrong", 3.0),
    ("jug-wrong", 4.0),
    ("sheet-size-wrong", 3.0),
    ("sheet-sum-wrong", 3.0),
    ("time-misread", 5.0),
    ("unit-mistaken", 5.0),
    ("point-slipped", 4.0),
    ("digits-swapped", 4.0),
    ("values-exchanged", 2.0),
    ("pressure-misread", 4.0),
    ("meter-wrong", 4.0),
    ("fill-meter-wrong", 3.0),
    ("speed-sensor-wrong", 4.0),
    ("factor-turned", 2.0),
    ("bypass-turned-wrong", 2.0),
    ("wrong-nozzle-recaught", 1.0),
    ("copied-from-last-visit", 1.0),
];

/// What is truly wrong, and where.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Truth {
    pub(crate) cause: &'static str,
    /// Nozzles from 1; empty where it is not of nozzles.
    pub(crate) nozzles: BTreeSet<u16>,
    /// From this nozzle to the right end.
    pub(crate) from: Option<u16>,
    pub(crate) section: Option<String>,
    /// How far it moves what it is of: a ratio less one.
    pub(crate) size: f64,
    /// The key of the record that a value written wrong stands under; `setups` for the machine file's.
    pub(crate) key: &'static str,
}

impl Truth {
    pub(super) fn of(cause: &'static str, size: f64) -> Self {
        Self {
            cause,
            nozzles: BTreeSet::new(),
            from: None,
            section: None,
            size,
            key: "catch-tests",
        }
    }

    pub(super) fn under(mut self, key: &'static str) -> Self {
        self.key = key;
        self
    }

    pub(super) fn at(mut self, nozzle: usize) -> Self {
        self.nozzles.insert(numbered(nozzle));
        self
    }

    /// Whether it is a value written wrong, and not a part or an instrument.
    pub(crate) fn is_of_record(&self) -> bool {
        matches!(
            self.cause,
            "time-misread"
                | "unit-mistaken"
                | "point-slipped"
                | "digits-swapped"
                | "values-exchanged"
                | "pressure-misread"
                | "sheet-size-wrong"
                | "sheet-sum-wrong"
                | "copied-from-last-visit"
        )
    }
}

/// A nozzle as people count it.
fn numbered(nozzle: usize) -> u16 {
    u16::try_from(nozzle + 1).unwrap()
}

/// Whether a machine and its visit have what a fault is of.
pub(super) fn can_have(cause: &str, machine: &Machine) -> bool {
    match cause {
        "section-starved" | "section-high" => sections(machine).next().is_some(),
        "values-exchanged" | "meter-wrong" | "factor-turned" => {
            machine.has_volume && machine.has_console
        }
        "fill-meter-wrong" => machine.has_volume,
        "speed-sensor-wrong" => machine.has_speed && machine.has_console,
        "bypass-turned-wrong" => machine.has_bypass,
        "copied-from-last-visit" => machine.has_last,
        _ => true,
    }
}

/// The sections that can be told from a nozzle: of two nozzles or more, with others beside them.
fn sections(machine: &Machine) -> impl Iterator<Item = usize> {
    let n = machine.sections.len();
    (0..n).filter(move |section| n > 1 && machine.sections[*section] > 1)
}

/// What happens to the machine, its instruments, or the way the visit is done; nothing where it is a slip of the pen.
pub(super) fn befall(
    cause: &'static str,
    machine: &Machine,
    world: &mut World,
    draw: &mut Draw,
) -> Vec<Truth> {
    let n = machine.nozzles();
    let nozzle = draw.below(n);
    let truth = match cause {
        "tip-worn" => {
            let size = draw.size(0.15);
            world.tips[nozzle] *= 1.0 + size;
            Truth::of(cause, size).at(nozzle)
        }
        "tip-plugged" => {
            let size = draw.size(0.2).min(0.95);
            world.feed[nozzle] *= 1.0 - size;
            Truth::of(cause, -size).at(nozzle)
        }
        "tip-other-size" => {
            let ratio = other_size(machine, draw);
            world.tips[nozzle] *= ratio;
            Truth::of(cause, ratio - 1.0).at(nozzle)
        }
        "section-starved" | "section-high" => {
            let sections: Vec<usize> = sections(machine).collect();
            let section = draw.one_of(&sections);
            let size = draw.size(0.1).min(0.9) * if cause == "section-high" { 1.0 } else { -1.0 };
            for nozzle in machine.of_section(section) {
                world.feed[nozzle] *= 1.0 + size;
            }
            Truth {
                section: Some(Machine::section_name(section)),
                ..Truth::of(cause, size)
            }
        }
        "pressure-falls" => {
            let size = draw.size(0.06).min(0.3);
            let way = draw.below(3);
            for nozzle in 0..n {
                let x = f64::from(numbered(nozzle) - 1) / f64::from(numbered(n) - 2).max(1.0);
                let falls = match way {
                    0 => x,
                    1 => 1.0 - x,
                    _ => (2.0 * x - 1.0).abs(),
                };
                world.feed[nozzle] *= 1.0 - size * falls;
            }
            // Read at the right end.
            world.end *= if way == 1 {
                1.0
            } else {
                (1.0 - size) * (1.0 - size)
            };
            Truth::of(cause, -size)
        }
        "set-worn" => {
            let size = draw.size(0.1);
            for tip in &mut world.tips {
                *tip *= 1.0 + size;
            }
            Truth::of(cause, size)
        }
        "sheet-size-wrong" => {
            let ratio = other_size(machine, draw);
            for tip in &mut world.tips {
                *tip *= ratio;
            }
            Truth::of(cause, ratio - 1.0).under("setups")
        }
        "gauge-wrong" => {
            let size = draw.size(0.06) * draw.sign();
            world.gauge *= (1.0 + size) * (1.0 + size);
            Truth::of(cause, size)
        }
        "jug-wrong" => jug(machine, world, draw),
        "pressure-misread" if draw.is(0.5) => {
            let ratio = draw.one_of(&[0.6, 0.7, 0.75, 0.8, 1.25, 1.4]);
            world.catch_pressure = ratio;
            Truth::of(cause, ratio - 1.0)
        }
        "meter-wrong" => {
            let size = draw.size(0.08) * draw.sign();
            world.meter *= 1.0 + size;
            Truth::of(cause, size)
        }
        "fill-meter-wrong" => {
            let size = draw.size(0.08) * draw.sign();
            world.fill_meter *= 1.0 + size;
            Truth::of(cause, size)
        }
        "speed-sensor-wrong" => {
            let size = draw.size(0.06) * draw.sign();
            world.sensor *= 1.0 + size;
            Truth::of(cause, size)
        }
        "values-exchanged" | "factor-turned" => {
            world.meter *= 1.0 + draw.sign() * (0.04 + 0.08 * draw.uniform());
            world.is_flow_factor_corrected = true;
            return Vec::new();
        }
        "bypass-turned-wrong" => {
            let section = draw.below(machine.sections.len());
            let found = draw.sign() * (0.04 + 0.05 * draw.uniform());
            world.bypass = Some((section, 1.0 + found, 1.0 + 2.0 * found));
            Truth {
                section: Some(Machine::section_name(section)),
                ..Truth::of(cause, found)
            }
        }
        "wrong-nozzle-recaught" => {
            let size = 0.12 + draw.size(0.06);
            world.tips[nozzle] *= 1.0 + size;
            let other = (nozzle + 1 + draw.below(n - 1)) % n;
            world.recaught = Some(other);
            return vec![
                Truth::of("tip-worn", size).at(nozzle),
                Truth::of(cause, size),
            ];
        }
        _ => return Vec::new(),
    };
    vec![truth]
}

/// A neighboring size of the sheet's, as the ratio of its flow.
fn other_size(machine: &Machine, draw: &mut Draw) -> f64 {
    let other = if draw.is(0.5) {
        machine.size + 1
    } else {
        machine.size - 1
    };
    SIZES[other].1 / SIZES[machine.size].1
}

/// A jug that reads wrong, another jug from a nozzle on, or a scale that counts the jug.
fn jug(machine: &Machine, world: &mut World, draw: &mut Draw) -> Truth {
    const CAUSE: &str = "jug-wrong";
    let n = machine.nozzles();
    if machine.is_weighed {
        world.tare = 80.0 + 200.0 * draw.uniform();
        return Truth::of(CAUSE, world.tare / (machine.rated() * 45.0));
    }
    let size = draw.size(0.08) * draw.sign();
    let from = if draw.is(0.5) {
        0
    } else {
        1 + draw.below(n - 1)
    };
    for jug in &mut world.jug[from..] {
        *jug *= 1.0 + size;
    }
    Truth {
        from: (from > 0).then(|| numbered(from)),
        ..Truth::of(CAUSE, size)
    }
}
