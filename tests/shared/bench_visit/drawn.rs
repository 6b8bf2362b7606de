//! Visits drawn at random: honest scatter, and faults among the causes with the truth beside them.

use super::{Visit, quantity};

/// Random numbers that are the same everywhere (`SplitMix64`).
pub(crate) struct Draw(u64);

impl Draw {
    pub(crate) const fn of(seed: u64) -> Self {
        Self(seed)
    }

    #[expect(clippy::cast_precision_loss, reason = "53 bits are exact")]
    pub(crate) fn number(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((mixed ^ (mixed >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn below(&mut self, many: usize) -> usize {
        let many = u32::try_from(many).unwrap();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "small"
        )]
        let drawn = (self.number() * f64::from(many)) as usize;
        drawn
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.number()
    }

    /// A normal value, as the sum of twelve.
    pub(crate) fn normal(&mut self, deviation: f64) -> f64 {
        let sum: f64 = (0..12).map(|_| self.number()).sum();
        (sum - 6.0) * deviation
    }
}

/// The truth of a visit before anybody reads anything.
pub(crate) struct Truth {
    pub(crate) draw: Draw,
    /// Each nozzle's true flow in fluid ounces in 30 s, in the catch.
    pub(crate) flow: Vec<f64>,
    /// What the volume test differs by: faults that it has too.
    pub(crate) volume: f64,
    pub(crate) meter: f64,
    pub(crate) sensor: f64,
    pub(crate) jug: f64,
    pub(crate) fill_meter: f64,
    pub(crate) boom_end: f64,
    pub(crate) last: Vec<f64>,
}

/// What 08 puts out in 30 s at 40 psi, in fluid ounces.
const RATED: f64 = 51.2;

impl Truth {
    pub(crate) fn good(seed: u64) -> Self {
        let mut draw = Draw::of(seed.wrapping_mul(0x1234_5678_9abc_def1));
        // Gauge and wear, as the instruments of the visit allow.
        let level = draw.normal(0.006);
        let tips: Vec<f64> = (0..9).map(|_| draw.normal(0.015)).collect();
        let flow = tips
            .iter()
            .map(|tip| RATED * libm::exp(tip + level))
            .collect();
        let last = tips
            .iter()
            .map(|tip| RATED * libm::exp(tip + level + draw.normal(0.005)))
            .collect();
        Self {
            flow,
            last,
            volume: draw.normal(0.01),
            meter: draw.normal(0.012),
            sensor: draw.normal(0.008),
            jug: draw.between(-0.005, 0.005),
            fill_meter: draw.between(-0.005, 0.005),
            boom_end: 39.0 * libm::exp(draw.normal(0.012)),
            draw,
        }
    }

    /// What is read of it, with honest scatter and graduation.
    pub(crate) fn read(&mut self) -> Visit {
        let mut visit = Visit::good();
        let draw = &mut self.draw;
        let to_half = |value: f64| (value * 2.0).round() / 2.0;
        let mut caught =
            |flow: &f64, jug: f64| to_half(flow * libm::exp(jug) * (1.0 + draw.normal(0.1) / 30.0));
        visit.caught = self
            .flow
            .iter()
            .map(|flow| format!("{:.1} fl oz", caught(flow, self.jug).max(0.5)))
            .collect();
        visit.before = self.last.iter().map(|flow| caught(flow, 0.0)).collect();
        let boom: f64 = self.flow.iter().sum::<f64>() / 128.0 * 14.0;
        let sprayed = boom * libm::exp(self.volume);
        visit.known = format!("{:.1} gal", sprayed * libm::exp(self.fill_meter));
        let shown = sprayed * libm::exp(self.meter);
        visit.shown = format!("{shown:.1} gal");
        visit.boom_end = format!("{:.1} psi", self.boom_end);
        let pace = draw.normal(0.015);
        visit.elapsed = (0..3)
            .map(|_| format!("{:.1} s", 45.45 * libm::exp(pace + draw.normal(0.006))))
            .collect();
        visit.shown_distance = format!("{:.0} ft", 200.0 * libm::exp(self.sensor));
        visit.all_on = 79.2 * libm::exp(draw.normal(0.003));
        visit.found = (0..3)
            .map(|_| 79.2 * libm::exp(draw.normal(0.008)))
            .collect();
        visit
    }
}

/// A visit, and what is truly wrong in it, what was drawn first; where a correction or two volumes are told wrong, the meter is off
/// as well.
pub(crate) struct Drawn {
    pub(crate) visit: Visit,
    pub(crate) truth: &'static [&'static str],
}

/// The faults that are drawn, each about as often as the next.
pub(crate) const FAULTS: [&str; 23] = [
    "time-misread",
    "unit-mistaken",
    "point-slipped",
    "digits-swapped",
    "values-exchanged",
    "pressure-misread",
    "sheet-size-wrong",
    "sheet-sum-wrong",
    "tip-worn",
    "tip-plugged",
    "tip-other-size",
    "section-starved",
    "section-high",
    "pressure-falls",
    "set-worn",
    "jug-wrong",
    "gauge-wrong",
    "meter-wrong",
    "fill-meter-wrong",
    "speed-sensor-wrong",
    "factor-turned",
    "bypass-turned-wrong",
    "unlisted",
];

/// A visit with one fault of a kind.
pub(crate) fn faulty(seed: u64, fault: &'static str) -> Drawn {
    let mut truth = Truth::good(seed);
    let size = truth.draw.between(0.0, 1.0);
    let nozzle = truth.draw.below(9);
    let section = truth.draw.below(3) * 3;
    let which = truth.draw.below(3);
    let sign = if truth.draw.number() < 0.5 { 1.0 } else { -1.0 };
    match fault {
        "tip-worn" => truth.flow[nozzle] *= 1.08 + 0.25 * size,
        "tip-plugged" => truth.flow[nozzle] *= 0.92 - 0.6 * size,
        "tip-other-size" => truth.flow[nozzle] *= [0.625, 0.75, 1.25][which],
        "section-starved" => truth.flow[section..section + 3]
            .iter_mut()
            .for_each(|flow| *flow *= 0.94 - 0.2 * size),
        "section-high" => truth.flow[section..section + 3]
            .iter_mut()
            .for_each(|flow| *flow *= 1.06 + 0.15 * size),
        "pressure-falls" => {
            for (at, flow) in (0_u32..).zip(&mut truth.flow) {
                let along = f64::from(at) / 8.0;
                let along = if sign > 0.0 { along } else { 1.0 - along };
                *flow *= 1.0 - (0.08 + 0.08 * size) * along;
            }
        }
        "set-worn" => truth
            .flow
            .iter_mut()
            .for_each(|flow| *flow *= 1.07 + 0.15 * size),
        "sheet-size-wrong" => truth
            .flow
            .iter_mut()
            .for_each(|flow| *flow *= [0.625, 0.75, 1.25][which]),
        "gauge-wrong" => truth
            .flow
            .iter_mut()
            .for_each(|flow| *flow *= libm::exp(sign * (0.06 + 0.08 * size))),
        "jug-wrong" => truth.jug += sign * (0.05 + 0.12 * size),
        "meter-wrong" => truth.meter += sign * (0.05 + 0.12 * size),
        "fill-meter-wrong" => truth.fill_meter += sign * (0.05 + 0.12 * size),
        "speed-sensor-wrong" => truth.sensor += sign * (0.04 + 0.1 * size),
        _ => {}
    }
    let mut visit = truth.read();
    let times = |text: &str, by: f64, unit: &str, places: usize| {
        let read = quantity(text);
        format!("{:.places$} {unit}", read.decimal.to_f64() * by)
    };
    match fault {
        "time-misread" => match which {
            0 => {
                visit.duration =
                    ["15 s", "60 s", "3.0 s", "30 min"][truth.draw.below(4)].to_owned();
            }
            1 => visit.elapsed[0] = times(&visit.elapsed[0], 1.0, "min", 1),
            _ => {
                visit.run =
                    ["3.5 min", "14.0 min", "7.0 s", "70 min"][truth.draw.below(4)].to_owned();
            }
        },
        "unit-mistaken" => match truth.draw.below(6) {
            0 => {
                visit.caught = visit
                    .caught
                    .iter()
                    .map(|text| times(text, 29.573_53, "fl oz", 0))
                    .collect();
            }
            1 => visit.caught[nozzle] = times(&visit.caught[nozzle], 29.573_53, "fl oz", 0),
            2 => visit.known = times(&visit.known, 3.785_41, "gal", 1),
            3 => visit.course = "200 m".to_owned(),
            4 => visit.pressure = "40 bar".to_owned(),
            _ => visit.spacing = "20 cm".to_owned(),
        },
        "point-slipped" => match which {
            0 => visit.caught[nozzle] = times(&visit.caught[nozzle], 10.0, "fl oz", 0),
            1 => visit.known = times(&visit.known, 0.1, "gal", 2),
            _ => visit.course = "20 ft".to_owned(),
        },
        "digits-swapped" => {
            // 51.5 as 15.5, 52.0 as 25.0; but 50.5 as 55.0.
            let mut swapped: Vec<char> = visit.caught[nozzle].chars().collect();
            match swapped[1] {
                '0' => swapped.swap(1, 3),
                _ => swapped.swap(0, 1),
            }
            visit.caught[nozzle] = swapped.into_iter().collect();
        }
        "values-exchanged" => {
            let off = sign * (0.05 + 0.05 * size);
            visit.shown = times(&visit.known, libm::exp(off), "gal", 1);
            let after = (620.0 * libm::exp(off)).round();
            visit.factor = (620.0, after);
            std::mem::swap(&mut visit.known, &mut visit.shown);
        }
        "factor-turned" => {
            let off = sign * (0.04 + 0.08 * size);
            visit.shown = times(&visit.known, libm::exp(off), "gal", 1);
            visit.factor = (620.0, (620.0 / libm::exp(off)).round());
        }
        "pressure-misread" => {
            let ratio = libm::exp(sign * (0.06 + 0.12 * size));
            visit.caught = visit
                .caught
                .iter()
                .map(|text| {
                    let number = quantity(text).decimal.to_f64() * ratio;
                    format!("{:.1} fl oz", (number * 2.0).round() / 2.0)
                })
                .collect();
        }
        "sheet-sum-wrong" => match which {
            0 => visit.speed = ["4 mph", "3.6 mph", "2.5 mph"][truth.draw.below(3)].to_owned(),
            1 => {
                visit.rate =
                    ["60 gal/acre", "70 gal/acre", "95 gal/acre"][truth.draw.below(3)].to_owned();
            }
            _ => visit.setup_pressure = ["60 psi", "25 psi"][truth.draw.below(2)].to_owned(),
        },
        "bypass-turned-wrong" => {
            let off = sign * (0.05 + 0.06 * size);
            visit.found[which] = 79.2 * libm::exp(off);
            visit.left = vec![79.2, 79.2, 79.2];
            visit.left[which] = 79.2 * libm::exp(off * 1.6);
        }
        // A reading that nobody can explain.
        "unlisted" => match which {
            0 => visit.found[1] = 79.2 * libm::exp(sign * (0.06 + 0.1 * size)),
            1 => {
                visit.elapsed[1] = times(
                    &visit.elapsed[1],
                    libm::exp(sign * (0.06 + 0.1 * size)),
                    "s",
                    1,
                );
            }
            _ => {
                let draw = &mut truth.draw;
                visit.caught = visit
                    .caught
                    .iter()
                    .map(|text| {
                        let number = quantity(text).decimal.to_f64() * libm::exp(draw.normal(0.06));
                        format!("{:.1} fl oz", (number * 2.0).round() / 2.0)
                    })
                    .collect();
            }
        },
        _ => {}
    }
    let truth: &[&str] = match fault {
        "unlisted" => &[],
        "values-exchanged" => &["values-exchanged", "meter-wrong"],
        "factor-turned" => &["factor-turned", "meter-wrong"],
        _ => {
            let of = FAULTS.iter().position(|known| *known == fault).unwrap();
            &FAULTS[of..=of]
        }
    };
    Drawn { visit, truth }
}
