//! A machine drawn by chance, in US or metric units.

use super::draw::Draw;

/// Sizes of tips and their flow in gal/min at 40 psi (ISO 10625, restated).
pub(crate) const SIZES: [(&str, f64); 8] = [
    ("02", 0.2),
    ("025", 0.25),
    ("03", 0.3),
    ("04", 0.4),
    ("05", 0.5),
    ("06", 0.6),
    ("08", 0.8),
    ("10", 1.0),
];

/// One gallon a minute in mL/s.
const GPM: f64 = 63.090_196;

/// A number as it is written, with its unit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Reading {
    pub(crate) number: f64,
    pub(crate) decimals: usize,
    pub(crate) unit: &'static str,
}

impl Reading {
    /// A value rounded as its decimals say.
    pub(crate) fn of(value: f64, decimals: usize, unit: &'static str) -> Self {
        let number = format!("{value:.decimals$}").parse().unwrap();
        Self {
            number,
            decimals,
            unit,
        }
    }
}

impl std::fmt::Display for Reading {
    fn fmt(&self, out: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(out, "{:.*} {}", self.decimals, self.number, self.unit)
    }
}

/// Where the pressure at the end of the boom is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum EndGauge {
    Nowhere,
    /// On the gauge of the catch, carried there.
    Same,
    Other,
}

/// What the machine file says, and which tests its visits hold.
#[derive(Clone, Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a question of its own about a machine"
)]
pub(crate) struct Machine {
    pub(crate) is_si: bool,
    /// Nozzles by section, left to right.
    pub(crate) sections: Vec<u16>,
    /// The size on the sheet, as its place in [`SIZES`].
    pub(crate) size: usize,
    pub(crate) control: &'static str,
    pub(crate) has_console: bool,
    pub(crate) has_bypass: bool,
    pub(crate) end_gauge: EndGauge,
    pub(crate) is_weighed: bool,
    pub(crate) has_volume: bool,
    pub(crate) has_speed: bool,
    pub(crate) has_last: bool,
    pub(crate) pressure: Reading,
    pub(crate) speed: Reading,
    pub(crate) rate: Reading,
    pub(crate) spacing: Reading,
    /// Entered width by section; none without a console.
    pub(crate) widths: Vec<Reading>,
}

impl Machine {
    pub(super) fn drawn(draw: &mut Draw) -> Self {
        let is_si = draw.is(0.5);
        let sections = loop {
            let sections: Vec<u16> = (0..=draw.below(7))
                .map(|_| draw.one_of(&[1, 2, 3, 3, 4, 5, 6, 8]))
                .collect();
            if (3..=45).contains(&sections.iter().sum::<u16>()) {
                break sections;
            }
        };
        let control = draw.one_of(&["flow", "pressure", "manual"]);
        let has_console = control == "flow" || draw.is(0.5);
        let size = 1 + draw.below(SIZES.len() - 2);
        let (pressure, speed) = if is_si {
            (
                Reading::of(draw.one_of(&[2.0, 2.5, 3.0, 3.5]), 1, "bar"),
                Reading::of(draw.one_of(&[4.5, 5.0, 6.0, 7.0]), 1, "km/h"),
            )
        } else {
            (
                Reading::of(draw.one_of(&[30.0, 35.0, 40.0, 45.0]), 0, "psi"),
                Reading::of(draw.one_of(&[2.8, 3.0, 3.5, 4.0]), 1, "mph"),
            )
        };
        let spacing = if is_si {
            Reading::of(50.0, 0, "cm")
        } else {
            Reading::of(20.0, 0, "in")
        };
        let widths = sections.iter().filter(|_| has_console).map(|n| {
            let width = f64::from(*n) * spacing.number;
            if is_si {
                Reading::of(width / 100.0, 1, "m")
            } else {
                Reading::of(width, 0, "in")
            }
        });
        let mut machine = Self {
            widths: widths.collect(),
            has_bypass: sections.len() > 1 && draw.is(0.5),
            end_gauge: draw.one_of(&[EndGauge::Nowhere, EndGauge::Same, EndGauge::Other]),
            is_weighed: draw.is(0.2),
            has_volume: draw.is(0.7),
            has_speed: draw.is(0.7),
            has_last: draw.is(0.7),
            rate: Reading::of(0.0, 0, if is_si { "L/ha" } else { "gal/acre" }),
            is_si,
            sections,
            size,
            control,
            has_console,
            pressure,
            speed,
            spacing,
        };
        // 600 L/min / (km/h m) and 5940 gpm / (mph in) (computed from the units).
        let flow = machine.rated();
        machine.rate.number = if is_si {
            (600.0 * flow * 0.06 / (machine.speed.number * 0.5)).round()
        } else {
            (5940.0 * flow / GPM / (machine.speed.number * 20.0)).round()
        };
        machine
    }

    /// Rated flow of a tip of the sheet's size at the setup's pressure, in mL/s.
    pub(crate) fn rated(&self) -> f64 {
        self.rated_at(&self.pressure)
    }

    /// The same at another pressure: flow goes with the square root of it.
    pub(crate) fn rated_at(&self, pressure: &Reading) -> f64 {
        SIZES[self.size].1 * GPM * (psi(pressure) / 40.0).sqrt()
    }

    pub(crate) fn nozzles(&self) -> usize {
        self.sections.iter().map(|n| usize::from(*n)).sum()
    }

    /// The nozzles of a section, counted from 0 along the boom.
    pub(crate) fn of_section(&self, section: usize) -> std::ops::Range<usize> {
        let before: usize = self.sections[..section]
            .iter()
            .map(|n| usize::from(*n))
            .sum();
        before..before + usize::from(self.sections[section])
    }

    pub(crate) fn section_name(section: usize) -> String {
        format!("s{}", section + 1)
    }

    /// The end of the gauge's scale, in bar.
    pub(crate) fn gauge_span(&self) -> f64 {
        if self.is_si { 6.0 } else { 60.0 * 0.068_947_6 }
    }
}

/// A pressure in psi; 1 bar is 14.5038 psi (NIST SP 811).
fn psi(pressure: &Reading) -> f64 {
    match pressure.unit {
        "bar" => pressure.number * 14.503_77,
        _ => pressure.number,
    }
}
