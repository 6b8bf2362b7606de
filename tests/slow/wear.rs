//! Wear forecasts against seeded histories: how often the interval holds the hours at which a set of
//! nozzles truly reaches the limit.
//!
//! Each history is records that people would have written of one boom that wears evenly. Instruments err
//! by what they are declared for, or by what is taken where they are not; the program sees the records only.

use crate::chance::Chance;
use crate::repository::Repository;
use jiff::civil::{Date, date};
use std::fmt::Write;

const TODAY: Date = date(2026, 6, 1);

/// Size 06 at 36 psi, in fluid ounces caught in 30 s: 0.6 gpm x root of 36/40.
const RATED: f64 = 36.429_439;

/// How far a visit is off by chance as a whole, as a ratio: the pressure as set, the water, the hour.
const SCATTER: f64 = 0.002;

/// What a kind of instrument is declared to be, and how it errs.
#[derive(Clone, Copy)]
enum Instruments {
    /// True.
    True,
    /// Declared, the same at each visit.
    Declared,
    /// Declared, two jugs in turn and one gauge.
    TwoJugs,
    /// Not declared; in truth the same at each visit.
    Undeclared,
    /// Declared, another jug at each visit.
    JugForEach,
}

/// Histories of one kind.
struct Kind {
    name: &'static str,
    instruments: Instruments,
    catches: u32,
    nozzles: u32,
    /// From mark to mark of the jug, in fluid ounces.
    graduation: f64,
    /// The hours at the last catch, of about 400 until the limit.
    last: f64,
}

const KINDS: [Kind; 10] = [
    kind("scatter only", Instruments::True, 8, 280.0),
    kind("scatter only, few visits", Instruments::True, 4, 280.0),
    kind("one jug, one gauge", Instruments::Declared, 8, 280.0),
    kind("the same, three visits", Instruments::Declared, 3, 280.0),
    kind("the same, four visits", Instruments::Declared, 4, 280.0),
    kind("the same, many visits", Instruments::Declared, 20, 280.0),
    kind("two jugs in turn", Instruments::TwoJugs, 8, 280.0),
    kind("another jug each time", Instruments::JugForEach, 8, 280.0),
    kind("nothing declared", Instruments::Undeclared, 8, 160.0),
    Kind {
        nozzles: 6,
        graduation: 1.0,
        ..kind(
            "a small boom, coarse marks",
            Instruments::Declared,
            6,
            280.0,
        )
    },
];

const fn kind(name: &'static str, instruments: Instruments, catches: u32, last: f64) -> Kind {
    Kind {
        name,
        instruments,
        catches,
        nozzles: 15,
        graduation: 0.5,
        last,
    }
}

/// The half widths of a jug's scale error as a ratio and of a gauge's error in psi.
fn half_widths(instruments: Instruments) -> (f64, f64) {
    match instruments {
        Instruments::True => (0.0, 0.0),
        Instruments::Declared | Instruments::TwoJugs | Instruments::JugForEach => {
            (0.005, 0.016 * 60.0)
        }
        // 1%, and class 2.5 on 10 bar.
        Instruments::Undeclared => (0.01, 0.25 * 14.503_77),
    }
}

impl Kind {
    /// The records of one history, and how many hours were truly left at the last catch.
    fn history(&self, chance: &mut Chance) -> (Repository, f64) {
        let (of_jug, of_gauge) = half_widths(self.instruments);
        let gauge = chance.within(of_gauge);
        let by_pressure = ((36.0 + gauge) / 36.0).sqrt();
        let jugs: Vec<f64> = (0..self.catches).map(|_| chance.within(of_jug)).collect();
        let as_new = chance.within(0.01);
        let life = 400.0 + chance.within(40.0);
        let tips: Vec<f64> = (0..self.nozzles).map(|_| chance.normal(0.015)).collect();
        let n_nozzles = f64::from(self.nozzles);
        let mean_tip = tips.iter().sum::<f64>() / n_nozzles;
        let mut hours = 0.0;
        let mut files = Vec::new();
        for nth in 0..self.catches {
            let evenly = 10.0 + (self.last - 10.0) * f64::from(nth) / f64::from(self.catches - 1);
            hours = ((evenly + chance.within(4.0)) * 10.0).round() / 10.0;
            let worn = 1.0 + as_new + (0.1 - as_new) * hours / life;
            let (jug, name) = match self.instruments {
                Instruments::TwoJugs => (jugs[nth as usize % 2], nth % 2),
                Instruments::JugForEach => (jugs[nth as usize], nth),
                Instruments::True | Instruments::Declared | Instruments::Undeclared => (jugs[0], 0),
            };
            let boom = RATED * worn * by_pressure * (1.0 + chance.normal(SCATTER)) / (1.0 + jug);
            let caught: Vec<String> = tips
                .iter()
                .map(|tip| {
                    let timing = (30.0 + chance.normal(0.10)) / 30.0;
                    let amount = boom * (1.0 + tip - mean_tip) * timing;
                    format!(
                        "{:.1}",
                        (amount / self.graduation).round() * self.graduation
                    )
                })
                .collect();
            let (year, month) = (2020 + nth / 4, 3 + 2 * (nth % 4));
            let mut text = format!(
                "record: calibration\nmachine: heron\ndate: {year}-{month:02}-02\nby: rm\nhours: {hours:.1} h\n\
                 setup: fairways\ncatch-tests:\n  - pressure: 36 psi\n    duration: 30 s\n    unit: fl oz\n"
            );
            if !matches!(self.instruments, Instruments::Undeclared) {
                writeln!(text, "    jug: jug-{name}\n    gauge: gauge-1").unwrap();
            }
            writeln!(text, "    caught: [{}]", caught.join(", ")).unwrap();
            files.push((
                format!("calibrations/heron/{year}-{month:02}-02.yaml"),
                text,
            ));
        }
        files.push(("fleet.yaml".to_owned(), self.fleet()));
        files.push(("machines/heron.yaml".to_owned(), self.machine()));
        let repository = Repository {
            files: files.into_iter().collect(),
        };
        (repository, life - hours)
    }

    fn fleet(&self) -> String {
        let mut text = "record: fleet\nname: Saltmere\n".to_owned();
        let (jug, class) = match self.instruments {
            Instruments::Undeclared => return text,
            Instruments::True => ("0.001%", "0.01"),
            Instruments::Declared | Instruments::TwoJugs | Instruments::JugForEach => {
                ("0.5%", "1.6")
            }
        };
        text += "instruments:\n";
        writeln!(
            text,
            "  gauge-1: {{type: gauge, span: 60 psi, class: \"{class}\"}}"
        )
        .unwrap();
        for jug_number in 0..self.catches {
            let graduation = self.graduation;
            writeln!(
                text,
                "  jug-{jug_number}: {{type: jug, graduation: {graduation} fl oz, tolerance: {jug}}}"
            )
            .unwrap();
        }
        text
    }

    fn machine(&self) -> String {
        let nozzles = self.nozzles;
        format!(
            "record: machine\nid: heron\nkind: boom-sprayer\nin-service: 2019-03-01\ncontrol: flow\n\
             boom: {{spacing: 20 in, nozzles: {nozzles}}}\nsetups:\n  fairways: {{nozzle: {{size: \"06\", material: ceramic}}, \
             pressure: 36 psi, speed: 4.2 mph, rate: 42 gal/acre}}\n"
        )
    }

    /// In how many of all histories nothing is foretold, and in how many of the others the true hours lie
    /// before, within and after the interval.
    fn outcome(&self, histories: u32) -> (u32, [f64; 3]) {
        let mut chance = Chance::seeded(10);
        let mut untold = 0;
        let mut lies = [0; 3];
        for _ in 0..histories {
            let (repository, left) = self.history(&mut chance);
            let told = repository.measured(TODAY, &|figure| figure == "wear-hours-left");
            let interval = told.first().and_then(|member| {
                member.value.as_ref().ok()?;
                let interval = member.slots.iter().find(|(slot, _)| *slot == "interval")?;
                let (low, high) = interval
                    .1
                    .as_ref()?
                    .strip_suffix(" h")?
                    .split_once(" to ")?;
                let hours = |of: &str| of.replace(',', "").parse::<f64>().unwrap();
                Some((hours(low), hours(high)))
            });
            let Some((low, high)) = interval else {
                untold += 1;
                continue;
            };
            // The interval is told in whole hours, and begins now at the earliest.
            let side = usize::from(low - 0.5 <= left) + usize::from(high + 0.5 < left);
            lies[side] += 1;
        }
        let n_told = f64::from((histories - untold).max(1));
        (untold, lies.map(|n: u32| f64::from(n) / n_told))
    }

    /// Holds the share of intervals that hold the truth between bounds.
    fn holds(&self, histories: u32, [at_least, at_most]: [f64; 2]) {
        let (untold, [before, within, after]) = self.outcome(histories);
        println!(
            "{}: {within:.3} within, {before:.3} before, {after:.3} after; nothing foretold in {untold} of {histories}",
            self.name
        );
        assert!(
            untold * 4 <= histories,
            "{}: mostly nothing is foretold",
            self.name
        );
        assert!(
            at_least <= within && within <= at_most,
            "{}: {within}",
            self.name
        );
    }
}

/// Of so few histories chance alone makes 1.1% either way; the run below is the measurement.
#[test]
fn the_interval_holds_the_truth_as_often_as_it_says() {
    for kind in &KINDS {
        kind.holds(400, [0.905, 0.99]);
    }
}

/// `cargo test --release --test slow -- --ignored --nocapture 2000_histories`
#[test]
#[ignore = "takes minutes; the same of fewer histories is in the suite"]
fn the_interval_holds_the_truth_in_2000_histories_of_each_kind() {
    for kind in &KINDS {
        kind.holds(2_000, [0.93, 0.97]);
    }
}
