//! A service record: work that changes the machine or takes the ground from under a step.

use super::amendment::{self, Amendment};
use super::lowering::{Lowering, most_entries};
use super::machine::{self, SpeedSource};
use super::nozzle::{self, Rated};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::{FileId, Placed, Span, Spanned};
use crate::yaml::Node;
use jiff::civil::Date;

/// What fitting nozzles is called.
pub const NOZZLES_FITTED: &str = "nozzles fitted";

/// A service record.
#[derive(Debug, Clone)]
pub struct Service {
    /// The file it stands in.
    pub file: FileId,
    /// The whole record, for what is missing in it.
    pub span: Span,
    /// The machine.
    pub machine: Option<Spanned<String>>,
    /// The day of the work.
    pub date: Option<Spanned<Date>>,
    /// Who did it.
    pub by: Option<Spanned<String>>,
    /// The hour meter.
    pub hours: Option<Spanned<Quantity>>,
    /// What was done, in the record's order.
    pub work: Vec<Work>,
    /// What was altered after the record had merged.
    pub amends: Vec<Amendment>,
}

/// One piece of work.
#[derive(Debug, Clone)]
pub struct Work {
    /// The word for it, which findings point at.
    pub span: Span,
    /// What was done.
    pub done: WorkDone,
}

/// What was done.
#[derive(Debug, Clone)]
pub enum WorkDone {
    /// Nozzles were fitted.
    NozzlesFitted(NozzlesFitted),
    /// Tires were replaced, repaired, or set to another pressure.
    Tires(Option<Spanned<Wheels>>),
    /// A section valve was replaced or repaired.
    SectionValve(Option<Spanned<String>>),
    /// The flow meter was replaced, repaired or cleaned.
    FlowMeter,
    /// The console was replaced, or the machine moved to another one; its factors may mean other things.
    Console {
        /// The unit of the flow factor from then on.
        flow_factor: Option<Spanned<Unit>>,
        /// The unit of the speed factor from then on.
        speed_factor: Option<Spanned<Unit>>,
    },
    /// The speed is measured in another way, or by another sensor.
    SpeedSource(Option<Spanned<SpeedSource>>),
    /// The pump was replaced or repaired.
    Pump,
    /// The pressure regulator was replaced, repaired or set.
    Regulator,
    /// A hose was replaced or repaired.
    Hose,
    /// The hour meter was replaced or set, so that it counts on from another reading.
    HourMeter {
        /// What it read before.
        before: Option<Placed<Quantity>>,
        /// What it read, or the new one, after.
        after: Option<Placed<Quantity>>,
    },
    /// The nozzles were set further apart or closer together.
    Spacing(Option<Placed<Quantity>>),
    /// Widths were entered into the console, by section.
    EnteredWidths(Vec<(Spanned<String>, Placed<Quantity>)>),
    /// A setup works in another way.
    Setup(SetupChange),
    /// The machine was moved to another course.
    Moved(Option<Spanned<String>>),
    /// The machine works no longer.
    OutOfService,
}

/// Nozzles fitted to a setup's set.
#[derive(Debug, Clone)]
pub struct NozzlesFitted {
    /// The setup; optional with only one setup.
    pub setup: Option<Spanned<String>>,
    /// Where, by section: positions from the section's left end. Empty: the whole boom.
    pub at: Vec<(Spanned<String>, Vec<Spanned<u32>>)>,
    /// What the new ones are rated, where it is said.
    pub rated: Option<Rated>,
}

/// What a setup works with from then on; what is absent stays as it was.
#[derive(Debug, Clone)]
pub struct SetupChange {
    /// The setup; optional with only one setup.
    pub setup: Option<Spanned<String>>,
    /// The working pressure.
    pub pressure: Option<Placed<Quantity>>,
    /// The working speed.
    pub speed: Option<Placed<Quantity>>,
    /// The rate it is meant to put down.
    pub rate: Option<Placed<Quantity>>,
    /// The density of the mix.
    pub density: Option<Placed<Quantity>>,
    /// The density factor: the flow of water divided by it is the flow of the mix.
    pub density_factor: Option<Placed<Decimal>>,
}

/// Which wheels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wheels {
    /// Those whose turns are counted for the speed.
    Drive,
    /// Others.
    Other,
}

impl Wheels {
    fn from_word(word: &str) -> Option<Self> {
        match word {
            "drive" => Some(Self::Drive),
            "other" => Some(Self::Other),
            _ => None,
        }
    }
}

impl WorkDone {
    /// The word in records.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::NozzlesFitted(_) => "nozzles-fitted",
            Self::Tires(_) => "tires",
            Self::SectionValve(_) => "section-valve",
            Self::FlowMeter => "flow-meter",
            Self::Console { .. } => "console",
            Self::SpeedSource(_) => "speed-source",
            Self::Pump => "pump",
            Self::Regulator => "regulator",
            Self::Hose => "hose",
            Self::HourMeter { .. } => "hour-meter",
            Self::Spacing(_) => "spacing",
            Self::EnteredWidths(_) => "entered-widths",
            Self::Setup(_) => "setup",
            Self::Moved(_) => "moved",
            Self::OutOfService => "out-of-service",
        }
    }

    /// The setup it names.
    pub const fn setup(&self) -> Option<&Spanned<String>> {
        match self {
            Self::NozzlesFitted(fitted) => fitted.setup.as_ref(),
            Self::Setup(change) => change.setup.as_ref(),
            Self::Tires(_)
            | Self::SectionValve(_)
            | Self::FlowMeter
            | Self::Console { .. }
            | Self::SpeedSource(_)
            | Self::Pump
            | Self::Regulator
            | Self::Hose
            | Self::HourMeter { .. }
            | Self::Spacing(_)
            | Self::EnteredWidths(_)
            | Self::Moved(_)
            | Self::OutOfService => None,
        }
    }

    /// What was done, as people say it.
    pub const fn in_words(&self) -> &'static str {
        match self {
            Self::NozzlesFitted(_) => NOZZLES_FITTED,
            Self::Tires(_) => "work on the tires",
            Self::SectionValve(_) => "work on a section valve",
            Self::FlowMeter => "work on the flow meter",
            Self::Console { .. } => "another console",
            Self::SpeedSource(_) => "another speed source",
            Self::Pump => "work on the pump",
            Self::Regulator => "work on the regulator",
            Self::Hose => "work on a hose",
            Self::HourMeter { .. } => "a new hour meter",
            Self::Spacing(_) => "another nozzle spacing",
            Self::EnteredWidths(_) => "other widths entered",
            Self::Setup(change) if change.pressure.is_none() => "another working speed",
            Self::Setup(_) => "another working pressure",
            Self::Moved(_) => "moved to another course",
            Self::OutOfService => "taken out of service",
        }
    }
}

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Service {
    Service {
        file: lowering.file(),
        span: root.span(),
        machine: Lowering::text(root, "machine"),
        date: lowering.date(root, "date"),
        by: Lowering::text(root, "by"),
        hours: lowering.quantity_or_0(root, "hours", &[Dimension::TIME]),
        work: Lowering::items(root, "work")
            .flat_map(Node::entries)
            .filter_map(|(word, details)| {
                Some(Work {
                    span: word.span(),
                    done: lower_work(lowering, word.text()?, details)?,
                })
            })
            .collect(),
        amends: amendment::lower(lowering, root),
    }
}

/// None for a word that is no work, which is a schema fault.
fn lower_work(lowering: &mut Lowering, word: &str, details: Node<'_>) -> Option<WorkDone> {
    Some(match word {
        "nozzles-fitted" => WorkDone::NozzlesFitted(lower_nozzles(lowering, details)),
        "tires" => WorkDone::Tires(Lowering::word(details, "wheels", Wheels::from_word)),
        "section-valve" => WorkDone::SectionValve(Lowering::text(details, "section")),
        "flow-meter" => WorkDone::FlowMeter,
        "console" => {
            let console = machine::lower_console(lowering, details);
            WorkDone::Console {
                flow_factor: console.flow_factor,
                speed_factor: console.speed_factor,
            }
        }
        "speed-source" => {
            WorkDone::SpeedSource(Lowering::word(details, "to", SpeedSource::from_word))
        }
        "pump" => WorkDone::Pump,
        "regulator" => WorkDone::Regulator,
        "hose" => WorkDone::Hose,
        "hour-meter" => WorkDone::HourMeter {
            before: lowering
                .quantity_or_0(details, "before", &[Dimension::TIME])
                .map(|read| read.in_file(lowering.file())),
            after: lowering
                .quantity_or_0(details, "after", &[Dimension::TIME])
                .map(|read| read.in_file(lowering.file())),
        },
        "spacing" => WorkDone::Spacing(lowering.placed(details, "to", &[Dimension::LENGTH])),
        "entered-widths" => WorkDone::EnteredWidths(
            details
                .entries()
                .take(most_entries("entered-widths"))
                .filter_map(|(section, width)| {
                    let width =
                        lowering.quantity_of(width, "entered-widths", &[Dimension::LENGTH])?;
                    Some((Lowering::text_of(section)?, width.in_file(lowering.file())))
                })
                .collect(),
        ),
        "setup" => WorkDone::Setup(SetupChange {
            setup: Lowering::text(details, "setup"),
            pressure: lowering.placed(details, "pressure", &[Dimension::PRESSURE]),
            speed: lowering.placed(details, "speed", &[Dimension::SPEED]),
            rate: lowering.placed(details, "rate", &[Dimension::RATE]),
            density: lowering.placed(details, "density", &[Dimension::DENSITY]),
            density_factor: lowering.placed_factor(details, "density-factor"),
        }),
        "moved" => WorkDone::Moved(Lowering::text(details, "course")),
        "out-of-service" => WorkDone::OutOfService,
        _ => return None,
    })
}

fn lower_nozzles(lowering: &mut Lowering, details: Node<'_>) -> NozzlesFitted {
    NozzlesFitted {
        setup: Lowering::text(details, "setup"),
        at: Lowering::named(details, "at")
            .map(|(section, positions)| {
                let positions = positions
                    .items()
                    .filter_map(|position| lowering.count_of(position))
                    .collect();
                (section, positions)
            })
            .collect(),
        rated: details
            .get("nozzle")
            .and_then(|nozzle| nozzle::lower_rated(lowering, nozzle)),
    }
}
