//! A machine file: the machine as it was when put in service.

use super::lowering::{Lowering, MOST_NOZZLES, is_mapping};
use super::nozzle::lower_rated;
pub use super::nozzle::{PressureRange, Rated};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::{FileId, Place, Placed, Span, Spanned};
use crate::words;
use crate::yaml::Node;
use jiff::civil::Date;
use std::sync::Arc;

/// A machine file; what a service record leaves as it was is shared between the machine before and after.
#[derive(Debug, Clone)]
pub struct Machine {
    /// The file it stands in.
    pub file: FileId,
    /// The whole record, for what is missing in it.
    pub span: Span,
    /// The machine's name, by which records call it.
    pub id: Option<Spanned<String>>,
    /// The course it works on.
    pub course: Option<Spanned<String>>,
    /// The day it was put in service.
    pub in_service: Option<Spanned<Date>>,
    /// What the console holds.
    pub control: Option<Spanned<Control>>,
    /// What measures its speed.
    pub speed_source: Option<Spanned<SpeedSource>>,
    /// What its section valves do with the flow of a section that is off.
    pub section_valves: Option<Spanned<SectionValves>>,
    /// What is read while a section is off.
    pub balance_by: Option<Spanned<BalanceBy>>,
    /// The tank's volume.
    pub tank: Option<Placed<Quantity>>,
    /// The boom.
    pub boom: Arc<Boom>,
    /// What the numbers of its console mean.
    pub console: Console,
    /// The combinations of nozzle, pressure and speed it works with, in the machine file's order.
    pub setups: Vec<Arc<Setup>>,
    /// When it is laid up, such as over winter, in the order of its file.
    pub laid_up: Vec<LaidUp>,
    /// Where a service record says that it works no longer.
    pub out_of_service: Option<Place>,
}

impl Machine {
    /// The place in the machine file of the setup with a name, or of the only setup where none is named.
    pub fn setup_index(&self, name: Option<&Spanned<String>>) -> Option<u16> {
        let index = match name {
            Some(name) => {
                let mut setups = self.setups.iter();
                setups.position(|setup| setup.name.value == name.value)?
            }
            None if self.setups.len() == 1 => 0,
            None => return None,
        };
        u16::try_from(index).ok()
    }
}

/// Days on which a machine is laid up, the first and the last included; the last is no earlier than the first.
#[derive(Debug, Clone, Copy)]
pub struct LaidUp {
    /// All that stands for it.
    pub span: Span,
    /// The first day.
    pub from: Spanned<Date>,
    /// The last day.
    pub to: Spanned<Date>,
}

/// What the console holds steady.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Control {
    /// The rate: pressure floats.
    Flow,
    /// The pressure.
    Pressure,
    /// Nothing: the operator does.
    Manual,
}

impl Control {
    /// The word in records and rules.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flow => "flow",
            Self::Pressure => "pressure",
            Self::Manual => "manual",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Flow, Self::Pressure, Self::Manual]
            .into_iter()
            .find(|control| control.word() == word)
    }
}

/// What measures the speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SpeedSource {
    /// A sensor at a wheel: tires matter.
    Wheel,
    /// A radar.
    Radar,
    /// GPS positioning: no factor.
    Gps,
    /// Nothing.
    None,
}

impl SpeedSource {
    /// The word in records and rules.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wheel => "wheel",
            Self::Radar => "radar",
            Self::Gps => "gps",
            Self::None => "none",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        [Self::Wheel, Self::Radar, Self::Gps, Self::None]
            .into_iter()
            .find(|source| source.word() == word)
    }
}

/// What section valves do with the flow of a section that is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SectionValves {
    /// Return it to the tank through an adjustable bypass.
    Bypass,
    /// Stop it.
    ShutOff,
}

impl SectionValves {
    /// The word in records and rules.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bypass => "bypass",
            Self::ShutOff => "shut-off",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Bypass, Self::ShutOff]
            .into_iter()
            .find(|valves| valves.word() == word)
    }
}

/// What is read while a section is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BalanceBy {
    /// The rate the console shows.
    Rate,
    /// The pressure, as where a meter upstream counts the bypassed flow too.
    Pressure,
}

impl BalanceBy {
    /// The word in records and rules.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Rate => "rate",
            Self::Pressure => "pressure",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Rate, Self::Pressure]
            .into_iter()
            .find(|by| by.word() == word)
    }
}

/// The boom, its sections from left to right seen from the seat.
#[derive(Debug, Clone, Default)]
pub struct Boom {
    /// From nozzle to nozzle.
    pub spacing: Option<Placed<Quantity>>,
    /// How far that distance may be off.
    pub spacing_tolerance: Option<Spanned<Quantity>>,
    /// Its sections; a boom without sections has one that has no name.
    pub sections: Vec<Section>,
}

/// A section of the boom.
#[derive(Debug, Clone)]
pub struct Section {
    /// Its name; a boom without sections has none.
    pub name: Option<Spanned<String>>,
    /// How many nozzles it carries; absent where unreadable.
    pub nozzles: Option<Spanned<u32>>,
    /// Its width as the console has it.
    pub entered_width: Option<Placed<Quantity>>,
}

/// What the numbers of a console mean.
#[derive(Debug, Clone, Default)]
pub struct Console {
    /// The unit of the flow factor: pulses per volume, or volume per pulse.
    pub flow_factor: Option<Spanned<Unit>>,
    /// The unit of the speed factor: pulses per length, or length per pulse.
    pub speed_factor: Option<Spanned<Unit>>,
}

/// One combination of nozzle, pressure and speed the machine works with.
#[derive(Debug, Clone)]
pub struct Setup {
    /// Its name.
    pub name: Spanned<String>,
    /// The rated flow of its nozzles at the rated pressure.
    pub rated: Option<Rated>,
    /// The working pressure.
    pub pressure: Option<Placed<Quantity>>,
    /// The working speed.
    pub speed: Option<Placed<Quantity>>,
    /// How far the machine's speed may be off it while spraying, in percent.
    pub speed_tolerance: Option<Spanned<Quantity>>,
    /// The rate it is meant to put down.
    pub rate: Option<Placed<Quantity>>,
    /// The density of the mix, if it differs from water.
    pub density: Option<Placed<Quantity>>,
    /// The density factor: the flow of water divided by it is the flow of the mix.
    pub density_factor: Option<Placed<Decimal>>,
}

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Machine {
    Machine {
        file: lowering.file(),
        span: root.span(),
        id: Lowering::text(root, "id"),
        course: Lowering::text(root, "course"),
        in_service: lowering.date(root, "in-service"),
        control: Lowering::word(root, "control", Control::from_word),
        speed_source: Lowering::word(root, "speed-source", SpeedSource::from_word),
        section_valves: Lowering::word(root, "section-valves", SectionValves::from_word),
        balance_by: Lowering::word(root, "balance-by", BalanceBy::from_word),
        tank: lowering.placed(root, "tank", &[Dimension::VOLUME]),
        boom: root
            .get("boom")
            .map(|boom| Arc::new(lower_boom(lowering, boom)))
            .unwrap_or_default(),
        console: root
            .get("console")
            .map(|console| lower_console(lowering, console))
            .unwrap_or_default(),
        setups: Lowering::named(root, "setups")
            .map(|(name, setup)| Arc::new(lower_setup(lowering, name, setup)))
            .collect(),
        laid_up: lower_laid_up(lowering, root),
        out_of_service: None,
    }
}

fn lower_laid_up(lowering: &mut Lowering, root: Node<'_>) -> Vec<LaidUp> {
    let Some(written) = root.get("laid-up") else {
        return Vec::new();
    };
    let single = is_mapping(written).then_some(written);
    let several = Lowering::items(root, "laid-up").filter(|one| is_mapping(*one));
    let all = single.into_iter().chain(several);
    all.filter_map(|one| {
        let (from, to) = (lowering.date(one, "from"), lowering.date(one, "to"));
        let (from, to) = (from?, to?);
        if to.value < from.value {
            let message = format!(
                "the lay-up ends on {}, before it begins",
                words::dates::date(to.value)
            );
            let help = "correct the day it begins or the day it ends".to_owned();
            lowering.problem("laid-up-backwards", to.span, message, Some(help));
            return None;
        }
        Some(LaidUp {
            span: one.span(),
            from,
            to,
        })
    })
    .collect()
}

impl Lowering {
    /// A section that makes the nozzles more than any boom has loses its count.
    fn no_more_nozzles(&mut self, sections: &mut [Section]) {
        let mut all = 0;
        for section in sections {
            let Some(nozzles) = section.nozzles else {
                continue;
            };
            all += nozzles.value;
            if all > MOST_NOZZLES {
                let message = format!(
                    "with this section the boom has {all} nozzles; the most allowed is {MOST_NOZZLES}"
                );
                let help = "count the nozzles of each section again";
                self.problem(
                    "unreadable-number",
                    nozzles.span,
                    message,
                    Some(help.to_owned()),
                );
                section.nozzles = None;
                return;
            }
        }
    }
}

fn lower_boom(lowering: &mut Lowering, boom: Node<'_>) -> Boom {
    let mut sections: Vec<Section> = Lowering::items(boom, "sections")
        .filter(|section| is_mapping(*section))
        .map(|section| Section {
            name: Lowering::text(section, "name"),
            nozzles: lowering.count(section, "nozzles"),
            entered_width: lowering.placed(section, "entered-width", &[Dimension::LENGTH]),
        })
        .collect();
    if sections.is_empty() && boom.get("nozzles").is_some() {
        sections.push(Section {
            name: None,
            nozzles: lowering.count(boom, "nozzles"),
            entered_width: lowering.placed(boom, "entered-width", &[Dimension::LENGTH]),
        });
    }
    lowering.no_more_nozzles(&mut sections);
    Boom {
        spacing: lowering.placed(boom, "spacing", &[Dimension::LENGTH]),
        spacing_tolerance: lowering.quantity(boom, "spacing-tolerance", &[Dimension::LENGTH]),
        sections,
    }
}

pub(super) fn lower_console(lowering: &mut Lowering, console: Node<'_>) -> Console {
    Console {
        flow_factor: lowering.unit(
            console,
            "flow-factor",
            &[Dimension::PULSES_PER_VOLUME, Dimension::VOLUME_PER_PULSE],
        ),
        speed_factor: lowering.unit(
            console,
            "speed-factor",
            &[Dimension::PULSES_PER_LENGTH, Dimension::LENGTH_PER_PULSE],
        ),
    }
}

fn lower_setup(lowering: &mut Lowering, name: Spanned<String>, setup: Node<'_>) -> Setup {
    Setup {
        name,
        rated: setup
            .get("nozzle")
            .and_then(|nozzle| lower_rated(lowering, nozzle)),
        pressure: lowering.placed(setup, "pressure", &[Dimension::PRESSURE]),
        speed: lowering.placed(setup, "speed", &[Dimension::SPEED]),
        speed_tolerance: lowering.tolerance(setup, "speed-tolerance"),
        rate: lowering.placed(setup, "rate", &[Dimension::RATE]),
        density: lowering.placed(setup, "density", &[Dimension::DENSITY]),
        density_factor: lowering.placed_factor(setup, "density-factor"),
    }
}
