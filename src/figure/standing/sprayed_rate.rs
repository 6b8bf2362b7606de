//! The rate at which something was sprayed, and what tells it.

use super::super::primitive::{PrimitiveId, Primitives, What};
use super::super::rate::found::{RateFound, RatePart, RatesFound};
use super::super::rate::widths::Widths;
use super::super::visit::Shown;
use super::super::visit::assumed::{self, Assumed};
use super::super::visit::instrument::{Bench, rectangular};
use super::amount::Amount;
use crate::figure::number::Number;
use crate::fleet::{Layout, Moment};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::machine::{Control, Machine, Setup, SpeedSource};
use crate::source::Placed;

/// What tells a rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RateBy {
    /// The volume and the area of the application itself.
    Record,
    /// The last tests of all that makes it.
    Calibration,
    /// The last tests of some of what makes it; the rest is taken as declared.
    PartOfCalibration,
    /// The setup alone: nothing was tested.
    Setup,
}

impl RateBy {
    /// In words that follow what was put down.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Record => "by area and volume",
            Self::Calibration => "by calibration",
            Self::PartOfCalibration => "by calibration in part",
            Self::Setup => "by the setup alone",
        }
    }
}

/// A rate: a product of what is on record, over another.
#[derive(Debug, Clone)]
pub struct SprayedRate {
    /// What tells it.
    pub by: RateBy,
    /// The unit it is shown in.
    pub unit: Unit,
    times: Vec<PrimitiveId>,
    over: Vec<PrimitiveId>,
    widths: Option<Widths>,
}

impl SprayedRate {
    /// What the application itself tells: volume over area.
    pub(super) fn by_record(volume: Amount, area: Amount, unit: Unit) -> Self {
        Self {
            by: RateBy::Record,
            unit,
            times: vec![volume.reading.id, volume.scale],
            over: vec![area.reading.id, area.scale],
            widths: None,
        }
    }

    /// In volume per area.
    pub(in crate::figure) fn value<N: Number>(&self, primitives: &Primitives) -> N {
        let input = |id: &PrimitiveId| N::input(primitives, *id);
        let times = |product: N, id| product.times(&input(id));
        let rate = self.times.iter().fold(N::whole(1), times);
        let rate = match &self.widths {
            Some(widths) => rate.times(&widths.entered_over_true(primitives)),
            None => rate,
        };
        let over = |quotient: N, id| quotient.over(&input(id));
        self.over.iter().fold(rate, over)
    }
}

/// What tells how a machine puts down the rate of a setup.
pub(super) struct Telling<'a, 't> {
    /// The machine as it was.
    pub(super) machine: &'a Machine,
    /// The setup, by its place in the machine's file.
    pub(super) setup: (u16, &'a Setup),
    /// The setup's rate.
    pub(super) rate: Option<Shown>,
    /// What the visits found.
    pub(super) rates: &'t RatesFound,
    /// When it sprayed.
    pub(super) moment: Moment,
}

impl Telling<'_, '_> {
    /// The rate; none where nothing tells it.
    pub(super) fn rate(&self, bench: &mut Bench<'_>) -> Option<SprayedRate> {
        let control = self.machine.control.map(|control| control.value);
        if control == Some(Control::Flow) {
            return self.held_by_console(bench);
        }
        self.of_boom(bench).or_else(|| {
            let rate = self.rate?;
            let untested = untested(bench, &assumed::UNTESTED_RATE);
            Some(SprayedRate {
                by: RateBy::Setup,
                unit: rate.quantity.unit,
                times: vec![rate.id, untested],
                over: Vec::new(),
                widths: None,
            })
        })
    }

    /// A console puts down the rate it aims at, as far as its meter, its speed and its widths are true.
    fn held_by_console(&self, bench: &mut Bench<'_>) -> Option<SprayedRate> {
        let rate = self.rate?;
        let counts_speed = self.machine.speed_source.map(|source| source.value);
        let parts = match counts_speed {
            // Satellites tell the speed as it is.
            Some(SpeedSource::Gps) => [RatePart::Meter].as_slice(),
            Some(SpeedSource::Wheel | SpeedSource::Radar | SpeedSource::None) | None => {
                &[RatePart::Meter, RatePart::Distance]
            }
        };
        let found = parts
            .iter()
            .map(|part| self.rates.last(*part, None, &self.moment));
        let found: Vec<Option<RateFound>> = found.collect();
        let tested = found.iter().flatten().count();
        let factors = found.into_iter().map(|found| match found {
            Some(found) => worked_out(bench, &found),
            None => untested(bench, &assumed::UNTESTED_CONSOLE),
        });
        let mut times = vec![rate.id];
        times.extend(factors);
        Some(SprayedRate {
            by: match tested {
                0 => RateBy::Setup,
                n if n == parts.len() => RateBy::Calibration,
                _ => RateBy::PartOfCalibration,
            },
            unit: rate.quantity.unit,
            times,
            over: Vec::new(),
            widths: self.widths(bench),
        })
    }

    /// Elsewhere the boom puts down what it puts out at the speed it is driven at.
    fn of_boom(&self, bench: &mut Bench<'_>) -> Option<SprayedRate> {
        let (index, setup) = self.setup;
        let declared = |quantity: Option<Placed<Quantity>>| {
            let declared = quantity.map(|quantity| quantity.value);
            Some((index, declared))
        };
        let last = |part, of| self.rates.last(part, of, &self.moment);
        let output = last(RatePart::Output, declared(setup.pressure))?;
        let (by, over) = if let Some(speed) = last(RatePart::Speed, declared(setup.speed)) {
            (RateBy::Calibration, vec![worked_out(bench, &speed)])
        } else {
            let Placed { value, place } = setup.speed?;
            let speed = bench.declared(value, place);
            let untested = untested(bench, &assumed::UNTESTED_SPEED);
            (RateBy::PartOfCalibration, vec![speed, untested])
        };
        Some(SprayedRate {
            by,
            unit: self
                .rate
                .map_or(Unit::GALLON_PER_ACRE, |rate| rate.quantity.unit),
            times: vec![worked_out(bench, &output)],
            over,
            widths: None,
        })
    }

    fn widths(&self, bench: &mut Bench<'_>) -> Option<Widths> {
        let boom = &self.machine.boom;
        let mut declared = |quantity: &Option<Placed<Quantity>>| {
            let Placed { value, place } = (*quantity)?;
            Some(Shown {
                quantity: value,
                id: bench.declared(value, place),
                place,
            })
        };
        let spacing = declared(&boom.spacing);
        let sections = boom.sections.iter();
        let entered: Vec<Option<Shown>> = sections
            .map(|section| declared(&section.entered_width))
            .collect();
        let layout = Layout::of(boom)?;
        Widths::of(entered, spacing, Some(layout.nozzles().len()))
    }
}

fn worked_out(bench: &mut Bench<'_>, found: &RateFound) -> PrimitiveId {
    let RateFound {
        value,
        uncertainty,
        day: _,
        place,
    } = *found;
    let primitives = &mut bench.primitives;
    primitives.worked_out(What::CalibratedRate, value, uncertainty, place)
}

/// One, as far as what was not tested may be off.
fn untested(bench: &mut Bench<'_>, within: &Assumed) -> PrimitiveId {
    let primitives = &mut bench.primitives;
    primitives.factor(What::Untested, rectangular(within.size), None)
}
