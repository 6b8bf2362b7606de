//! What is true of a machine on the day of a visit, and the visit as somebody reads it off.

use super::draw::Draw;
use super::machine::{EndGauge, Machine, Reading};

/// Spread of good tips of one set about their rated flow (our choice, as the program has it).
const GOOD_TIPS: f64 = 0.015;

/// A tip farther off is out, and no longer good (our choice).
const MOST: f64 = 0.045;

/// One US fluid ounce in mL.
const FL_OZ: f64 = 29.573_53;

/// One avoirdupois ounce in g.
const WT_OZ: f64 = 28.349_52;

/// Ratios to what is right, all one where nothing is wrong.
#[derive(Clone, Debug)]
pub(super) struct World {
    /// Flow of each tip over its rated flow.
    pub(super) tips: Vec<f64>,
    /// How the feed of each nozzle lowers its flow.
    pub(super) feed: Vec<f64>,
    /// True pressure over what the gauge reads; and the end of the boom over the gauge's place.
    pub(super) gauge: f64,
    pub(super) end: f64,
    pub(super) end_gauge: f64,
    /// True pressure of the catch alone over the one that was set.
    pub(super) catch_pressure: f64,
    /// What the jug reads over what is in it, by nozzle, and what an empty one adds, in mL.
    pub(super) jug: Vec<f64>,
    pub(super) tare: f64,
    pub(super) fill_meter: f64,
    pub(super) meter: f64,
    pub(super) sensor: f64,
    /// Section, and what its bypass changed as found and as left.
    pub(super) bypass: Option<(usize, f64, f64)>,
    /// The nozzle that was caught again.
    pub(super) recaught: Option<usize>,
    pub(super) is_flow_factor_corrected: bool,
}

impl World {
    /// A machine in order, with honest errors of instruments: bounds over the root of 3, the rest our choice.
    pub(super) fn drawn(machine: &Machine, draw: &mut Draw) -> Self {
        let n = machine.nozzles();
        let span = if machine.is_si { 6.0 } else { 60.0 };
        let class = 0.016 * span / machine.pressure.number;
        let jug = if machine.is_weighed { 0.001 } else { 0.005 } / 3.0_f64.sqrt();
        let jug = 1.0 + draw.normal(jug);
        Self {
            tips: (0..n)
                .map(|_| 1.0 + draw.normal(GOOD_TIPS).clamp(-MOST, MOST))
                .collect(),
            feed: vec![1.0; n],
            gauge: 1.0 + draw.within(class),
            end: 0.98,
            end_gauge: 1.0 + draw.within(class),
            catch_pressure: 1.0,
            jug: vec![jug; n],
            tare: 0.0,
            fill_meter: 1.0 + draw.normal(0.003),
            meter: 1.0 + draw.normal(0.007),
            sensor: 1.0 + draw.normal(0.005),
            bypass: None,
            recaught: None,
            is_flow_factor_corrected: false,
        }
    }

    /// What changes from one visit to the next without any fault.
    pub(super) fn pass_a_year(&mut self, draw: &mut Draw) {
        self.meter *= 1.0 + draw.normal(0.005);
        self.sensor *= 1.0 + draw.normal(0.004);
        for tip in &mut self.tips {
            *tip *= 1.0 + draw.normal(0.002);
        }
    }

    /// Takes the tips another world has.
    pub(super) fn tips_as_fitted(&mut self, other: &Self) {
        self.tips.clone_from(&other.tips);
    }

    /// Flow of a nozzle over the rated flow at the pressure the gauge reads.
    fn flow(&self, nozzle: usize) -> f64 {
        self.tips[nozzle] * self.feed[nozzle] * self.gauge.sqrt()
    }
}

/// A catch of one nozzle again.
#[derive(Clone, Debug)]
pub(crate) struct Retest {
    pub(crate) nozzle: usize,
    pub(crate) caught: Reading,
}

/// A test of a volume.
#[derive(Clone, Debug)]
pub(crate) struct VolumeTest {
    pub(crate) known: Reading,
    pub(crate) duration: Reading,
    pub(crate) shown: Option<Reading>,
    /// Factor before and after.
    pub(crate) factor: Option<(Reading, Reading)>,
}

/// A test of the speed.
#[derive(Clone, Debug)]
pub(crate) struct SpeedTest {
    pub(crate) distance: Reading,
    pub(crate) runs: Vec<(Reading, Option<Reading>)>,
    pub(crate) factor: Option<(Reading, Reading)>,
}

/// Pressures with sections off.
#[derive(Clone, Debug)]
pub(crate) struct Balance {
    pub(crate) all_on: Reading,
    /// By section: as found, and as left where its bypass was turned.
    pub(crate) off: Vec<(Reading, Option<Reading>)>,
}

/// A visit as it is written.
#[derive(Clone, Debug)]
pub(crate) struct Visit {
    pub(crate) pressure: Reading,
    pub(crate) duration: Reading,
    pub(crate) unit: &'static str,
    pub(crate) caught: Vec<Reading>,
    pub(crate) retest: Option<Retest>,
    pub(crate) volume: Option<VolumeTest>,
    pub(crate) speed: Option<SpeedTest>,
    pub(crate) balance: Option<Balance>,
    pub(crate) end: Option<Reading>,
}

/// A value to the nearest step.
fn to(step: f64, value: f64) -> f64 {
    (value / step).round() * step
}

impl Visit {
    pub(super) fn read(machine: &Machine, world: &World, draw: &mut Draw) -> Self {
        let rated = machine.rated();
        let duration = if rated < 25.0 { 60.0 } else { 30.0 };
        let unit = match (machine.is_si, machine.is_weighed) {
            (true, true) => "g",
            (true, false) => "mL",
            (false, true) => "wt oz",
            (false, false) => "fl oz",
        };
        let mut catch = |nozzle: usize| {
            let time = duration + draw.normal(0.1);
            let flow = rated * world.flow(nozzle) * world.catch_pressure.sqrt();
            let amount = flow * time * world.jug[nozzle] + world.tare;
            match unit {
                "g" => Reading::of(amount, 0, ""),
                "mL" => Reading::of(to(5.0, amount), 0, ""),
                "wt oz" => Reading::of(amount / WT_OZ, 1, ""),
                _ => Reading::of(to(0.5, amount / FL_OZ), 1, ""),
            }
        };
        let caught: Vec<Reading> = (0..machine.nozzles()).map(&mut catch).collect();
        let retest = world.recaught.map(|nozzle| Retest {
            nozzle,
            caught: catch(nozzle),
        });
        let flow: f64 = (0..machine.nozzles())
            .map(|nozzle| world.flow(nozzle))
            .sum();
        let volume = machine
            .has_volume
            .then(|| VolumeTest::read(machine, world, rated * flow, draw));
        let speed = machine
            .has_speed
            .then(|| SpeedTest::read(machine, world, draw));
        let steps = |value: f64, draw: &mut Draw| {
            let value = value * (1.0 + draw.normal(0.004));
            if machine.is_si {
                Reading::of(to(0.02, value), 2, "bar")
            } else {
                Reading::of(to(0.5, value), 1, "psi")
            }
        };
        let pressure = machine.pressure.number;
        let balance = machine.has_bypass.then(|| {
            let all_on = steps(pressure, draw);
            let rows = (0..machine.sections.len()).map(|section| match world.bypass {
                Some((turned, found, left)) if turned == section => (
                    steps(pressure * found, draw),
                    Some(steps(pressure * left, draw)),
                ),
                _ => (steps(pressure, draw), None),
            });
            let off = rows.collect();
            Balance { all_on, off }
        });
        let end = match machine.end_gauge {
            EndGauge::Nowhere => None,
            EndGauge::Same => Some(pressure * world.end),
            EndGauge::Other => Some(pressure * world.end * world.gauge * world.end_gauge),
        };
        let end = end.map(|end| {
            if machine.is_si {
                Reading::of(end, 1, "bar")
            } else {
                Reading::of(end, 0, "psi")
            }
        });
        Self {
            pressure: machine.pressure.clone(),
            duration: Reading::of(duration, 0, "s"),
            unit,
            caught,
            retest,
            volume,
            speed,
            balance,
            end,
        }
    }
}

impl VolumeTest {
    /// A run of some minutes at this flow, in mL/s.
    fn read(machine: &Machine, world: &World, flow: f64, draw: &mut Draw) -> Self {
        let minutes = 6.0;
        let flow = flow * (1.0 + draw.normal(0.007));
        let (unit, ml) = if machine.is_si {
            ("L", 1000.0)
        } else {
            ("gal", 3785.412)
        };
        let volume = flow * (minutes * 60.0 + draw.normal(0.1)) / ml;
        let shown = machine
            .has_console
            .then(|| Reading::of(volume * world.meter, 1, unit));
        let known = Reading::of(volume * world.fill_meter, 1, unit);
        let before: f64 = if machine.is_si { 164.0 } else { 620.0 };
        let factor = shown.as_ref().map(|shown| {
            let after = if world.is_flow_factor_corrected {
                before * shown.number / known.number
            } else {
                before
            };
            (Reading::of(before, 1, ""), Reading::of(after, 1, ""))
        });
        Self {
            known,
            duration: Reading::of(minutes, 1, "min"),
            shown,
            factor,
        }
    }
}

impl SpeedTest {
    fn read(machine: &Machine, world: &World, draw: &mut Draw) -> Self {
        // km/h in m/s, and mph in ft/s.
        let (distance, speed, unit) = if machine.is_si {
            (60.0, machine.speed.number / 3.6, "m")
        } else {
            (200.0, machine.speed.number * 88.0 / 60.0, "ft")
        };
        let speed = speed * (1.0 + draw.normal(0.006));
        let runs = (0..3).map(|_| {
            let elapsed = distance / speed * (1.0 + draw.normal(0.003)) + draw.normal(0.1);
            let shown = distance * world.sensor * (1.0 + draw.normal(0.001));
            let shown = machine.has_console.then(|| Reading::of(shown, 1, unit));
            (Reading::of(elapsed, 1, "s"), shown)
        });
        let factor = if machine.is_si { 98.5 } else { 1180.0 };
        let factor = Reading::of(factor, 1, "");
        Self {
            distance: Reading::of(distance, 0, unit),
            runs: runs.collect(),
            factor: machine.has_console.then(|| (factor.clone(), factor)),
        }
    }
}
