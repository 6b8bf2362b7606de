//! What a setup is to give, before any visit: the flow a rate takes, the pressure for it, and the catch, rate and speed at a pressure.
//!
//! The formulas are those of the figures; each value comes with its sources of error. Chooses no tips and sets no limit.

use super::advised::PressureBounds;
use super::catch::rated::{flow_at, pressure_for};
use super::catch::target::caught;
use super::number::{Measure, Number};
use super::primitive::{PrimitiveId, Primitives, What};
use super::rate::on_ground::{flow_for_rate, rate_on_ground, speed_for_rate};
use super::visit::{NextCatch, Sources, Subject};
use crate::outcome::Tips;
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::calibration::CatchTest;
use crate::record::machine::{Control, PressureRange, Rated, Setup};
use crate::source::Place;

/// The average of the boom at the last catch that counts, over its rated flow.
#[derive(Debug, Clone, Copy)]
pub struct CaughtAverage {
    /// Average over rated flow, less 1.
    pub off_rated: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// Where it was caught.
    pub place: Place,
}

/// A setup made ready for what is asked of it.
#[derive(Debug)]
pub struct Planned {
    sources: Sources,
    is_rate_held: bool,
    caught: Option<PrimitiveId>,
}

impl Planned {
    /// A setup of a machine; `last` is its last catch, `unit` the one that the next is read in.
    pub fn new(
        subject: &Subject<'_>,
        setup: (u16, &Setup),
        last: Option<&CatchTest>,
        unit: Unit,
        average: Option<CaughtAverage>,
    ) -> Self {
        let mut sources = Sources::new(subject, setup, last, unit);
        let caught = average.map(|average| {
            let over_rated = 1.0 + average.off_rated;
            let (uncertainty, place) = (average.standard_uncertainty, average.place);
            let primitives = &mut sources.primitives;
            primitives.worked_out(What::CalibratedRate, over_rated, uncertainty, place)
        });
        let control = subject.machine.control.map(|control| control.value);
        Self {
            sources,
            is_rate_held: control == Some(Control::Flow),
            caught,
        }
    }

    /// Every source of error of what it gives.
    pub fn primitives(&self) -> &Primitives {
        &self.sources.primitives
    }

    /// What the next catch is read with.
    pub fn next_catch(&self) -> NextCatch {
        self.sources.catch
    }

    /// What bounds the pressures that may be set for tips with a range.
    pub fn bounds(&self, range: Option<PressureRange>) -> PressureBounds {
        let meant = self.sources.ground.pressure;
        PressureBounds {
            range,
            meant: meant.map(|meant| meant.quantity.si()),
            span: self.sources.span,
        }
    }

    /// By how much more pressure a mix takes that the console does not count; none where it is water, or is counted already.
    pub fn pressure_of_mix_over_water(&self) -> Option<f64> {
        let mix = self.sources.ground.mix.filter(|_| self.is_rate_held)?;
        let factor = mix.computed::<f64>(self.primitives());
        Some(pressure_for(&factor, &1.0, &1.0))
    }

    /// What one nozzle must put out for the rate; none where the rate, the speed or the spacing is lacking.
    pub fn flow(&self) -> Option<Measure> {
        let ground = &self.sources.ground;
        let speed = self.driven(&self.input(ground.speed?.id));
        let (rate, spacing) = (ground.rate?.id, ground.spacing?.id);
        Some(flow_for_rate(
            &self.input(rate),
            &speed,
            &self.input(spacing),
        ))
    }

    /// What the gauge must show for the rate with tips of a rating.
    pub fn pressure(&mut self, rated: &Rated, tips: Tips) -> Option<Measure> {
        let of_mix = self.flow()?;
        let flow = match self.water_over_mix() {
            Some(factor) => of_mix.times(&factor),
            None => of_mix,
        };
        let (full, rated_at) = self.rating(rated, tips)?;
        let pressure = pressure_for(&flow, &full, &rated_at);
        Some(pressure.minus(&self.input(self.sources.gauge)))
    }

    /// What is read of one nozzle after a time at a pressure: clean water, as the instrument for it reads.
    pub fn catch(
        &mut self,
        rated: &Rated,
        pressure: Quantity,
        duration: Quantity,
        tips: Tips,
    ) -> Option<Measure> {
        let flow = self.flow_of_water(rated, pressure, tips)?;
        let NextCatch {
            unit,
            scale,
            reading,
            timing,
            water,
            capacity: _,
        } = self.sources.catch;
        let time = self.given(duration).plus(&self.input(timing));
        let amount = caught(&flow, &time, &self.input(water), unit.dimension());
        let shown = amount.over(&self.input(scale));
        Some(shown.plus(&self.input(reading)))
    }

    /// The rate that tips make at a pressure and a speed.
    pub fn rate(
        &mut self,
        rated: &Rated,
        pressure: Quantity,
        speed: Quantity,
        tips: Tips,
    ) -> Option<Measure> {
        let flow = self.flow_of_mix(rated, pressure, tips)?;
        let speed = self.given(speed);
        let spacing = self.input(self.sources.ground.spacing?.id);
        Some(rate_on_ground(&flow, &self.driven(&speed), &spacing))
    }

    /// The speed at which tips at a pressure make the rate.
    pub fn speed(&mut self, rated: &Rated, pressure: Quantity, tips: Tips) -> Option<Measure> {
        let flow = self.flow_of_mix(rated, pressure, tips)?;
        let ground = &self.sources.ground;
        let (rate, spacing) = (ground.rate?.id, ground.spacing?.id);
        let speed = speed_for_rate(&flow, &self.input(rate), &self.input(spacing));
        // What is held off the speed that is meant makes another one necessary.
        Some(match self.held() {
            Some(held) => speed.over(&held),
            None => speed,
        })
    }

    fn input(&self, id: PrimitiveId) -> Measure {
        Measure::input(self.primitives(), id)
    }

    /// A value that is asked for, taken as exact.
    fn given(&mut self, quantity: Quantity) -> Measure {
        let id = self.sources.primitives.standard(What::Declared, quantity);
        self.input(id)
    }

    /// The flow of tips at the pressure they are rated at, and that pressure; none of fitted tips that nobody caught.
    fn rating(&mut self, rated: &Rated, tips: Tips) -> Option<(Measure, Measure)> {
        let over_rated = self.input(match tips {
            Tips::New => self.sources.new_tip,
            Tips::AsCaught => self.caught?,
        });
        let flow = self.given(rated.flow.value).times(&over_rated);
        Some((flow, self.given(rated.pressure.value)))
    }

    fn flow_of_water(&mut self, rated: &Rated, shown: Quantity, tips: Tips) -> Option<Measure> {
        let (flow, rated_at) = self.rating(rated, tips)?;
        let pressure = self.given(shown).plus(&self.input(self.sources.gauge));
        Some(flow_at(&flow, &rated_at, &pressure))
    }

    fn flow_of_mix(&mut self, rated: &Rated, shown: Quantity, tips: Tips) -> Option<Measure> {
        let of_water = self.flow_of_water(rated, shown, tips)?;
        Some(match self.water_over_mix() {
            Some(factor) => of_water.over(&factor),
            None => of_water,
        })
    }

    /// By how much the flow of water is divided for the mix, as in the sum of a setup: by its density, else by the setup's
    /// factor; a console that holds the rate counts the mix itself.
    fn water_over_mix(&self) -> Option<Measure> {
        if self.is_rate_held {
            return None;
        }
        let ground = &self.sources.ground;
        let by_density = ground.mix.map(|mix| mix.computed(self.primitives()));
        by_density.or_else(|| Some(self.input(ground.density_factor?.id)))
    }

    /// What is driven, as a multiple of the speed that is meant; a console that holds the rate follows the speed.
    fn held(&self) -> Option<Measure> {
        let held = self.sources.ground.speed_held;
        held.filter(|_| !self.is_rate_held)
            .map(|held| self.input(held))
    }

    fn driven(&self, speed: &Measure) -> Measure {
        match self.held() {
            Some(held) => speed.times(&held),
            None => speed.clone(),
        }
    }
}
