//! Asks one setup for its values, row by row.

use super::around::around;
use super::told::{Kind, Mark, Row, Share};
use crate::assess::{CatchTarget, contributions};
use crate::figure::Measure;
use crate::figure::planned::Planned;
use crate::outcome::{Reach, Tips};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::SetupUnits;
use crate::record::machine::{PressureRange, Rated, Setup};
use crate::record::size::common;
use crate::source::{Place, Placed};
use crate::words::numbers::significant;

/// A gauge is set to so many digits.
const DIGITS_OF_A_GAUGE: usize = 3;

/// A pressure that may be off by more than this share of itself is too low for the gauge to tell (our choice).
const MOST_OFF: f64 = 0.3;

/// The times of a catch that are told, in seconds: those that the trade catches for.
const SECONDS: [u32; 3] = [15, 30, 60];

/// Asks one setup for its values.
pub(super) struct Asking<'a> {
    pub(super) planned: Planned,
    pub(super) setup: &'a Setup,
    pub(super) units: SetupUnits,
    /// A place for ratings that stand in no file.
    pub(super) place: Place,
    pub(super) coverage_factor: f64,
    pub(super) target: Option<&'a CatchTarget>,
    pub(super) is_wanted: bool,
    /// The pressure of catch, rate and speed, once it is known.
    pub(super) pressure: Option<Quantity>,
    pub(super) rows: Vec<Row>,
}

impl Asking<'_> {
    pub(super) fn ask(&mut self) {
        self.flow();
        self.pressures();
        let (Some(rated), Some(pressure)) = (self.setup.rated.clone(), self.working_pressure())
        else {
            return; // What the keys lack is told as lacking, and a pressure beyond the tips as beyond them.
        };
        self.pressure = Some(pressure);
        self.catches(&rated, pressure);
        self.rates(&rated, pressure);
    }

    /// The pressure of the setup; for another rate and speed the one that its tips need for them, as finely as a gauge is set,
    /// where it may be set.
    fn working_pressure(&mut self) -> Option<Quantity> {
        if !self.is_wanted {
            return self.setup.pressure.map(|pressure| pressure.value);
        }
        let rated = self.setup.rated.clone()?;
        let needed = self.planned.pressure(&rated, Tips::New)?.value();
        let unit = self.units.pressure;
        let set = significant(Quantity::in_unit(needed, unit), DIGITS_OF_A_GAUGE);
        let decimal = Decimal::parse(&set).ok()?;
        (self.reach(needed, rated.range) == Reach::Within).then_some(Quantity { decimal, unit })
    }

    fn flow(&mut self) {
        let Some(flow) = self.planned.flow() else {
            return;
        };
        let row = self.row(Kind::Flow, &flow, self.units.flow);
        self.rows.push(Row {
            speed: self.setup.speed.map(|speed| speed.value),
            rate: self.setup.rate.map(|rate| rate.value),
            ..row
        });
    }

    /// The pressure for the rate: of each common size, and of the tips that are fitted, new and as caught.
    fn pressures(&mut self) {
        let fitted = self.setup.rated.clone();
        let is_fitted = |size: &str, flow: &Quantity, pressure: &Quantity| {
            fitted.as_ref().is_some_and(|fitted| {
                fitted.size.as_deref() == Some(size)
                    || (fitted.flow.value.has_value_of(flow)
                        && fitted.pressure.value.has_value_of(pressure))
            })
        };
        let mut is_told = false;
        for (size, flow, pressure) in common(self.units.rated_in) {
            if is_fitted(size, &flow, &pressure) {
                is_told = true;
                self.fitted_pressures(Some(size.to_owned()));
                continue;
            }
            let place = self.place;
            let rated = Rated {
                flow: Placed { value: flow, place },
                pressure: Placed {
                    value: pressure,
                    place,
                },
                size: Some(size.to_owned()),
                range: fitted.as_ref().and_then(|fitted| fitted.range),
            };
            self.pressure(&rated, Tips::New, false);
        }
        if !is_told {
            self.fitted_pressures(None);
        }
    }

    /// The tips that are fitted; `size` is the one that they are of by their rating.
    fn fitted_pressures(&mut self, size: Option<String>) {
        let Some(fitted) = self.setup.rated.clone() else {
            return;
        };
        let size = fitted.size.clone().or(size);
        let fitted = Rated { size, ..fitted };
        for tips in [Tips::New, Tips::AsCaught] {
            self.pressure(&fitted, tips, true);
        }
    }

    fn pressure(&mut self, rated: &Rated, tips: Tips, is_fitted: bool) {
        let Some(pressure) = self.planned.pressure(rated, tips) else {
            return;
        };
        let row = self.row(Kind::Pressure, &pressure, self.units.pressure);
        let reach = self.reach(pressure.value(), rated.range);
        let is_lost = row.expanded.is_some_and(|off| MOST_OFF * row.value < off);
        let mark = if is_lost && reach != Reach::BeyondGauge {
            Mark::TooLowToTell
        } else {
            Mark::Pressure {
                reach,
                has_range: rated.range.is_some(),
            }
        };
        self.rows.push(Row {
            is_fitted,
            speed: self.setup.speed.map(|speed| speed.value),
            rate: self.setup.rate.map(|rate| rate.value),
            mark: Some(mark),
            ..of_tips(row, rated, tips)
        });
    }

    fn reach(&self, si: f64, range: Option<PressureRange>) -> Reach {
        self.planned.bounds(range).reach(si)
    }

    /// The catch of one nozzle: of each time that is told and of the one to aim at; once where a flow is read.
    fn catches(&mut self, rated: &Rated, pressure: Quantity) {
        let Some(target) = self.target else {
            return; // Nothing says in which unit the jug is read, or whether these tips are fitted.
        };
        let seconds = |seconds| Quantity {
            decimal: Decimal::whole(seconds),
            unit: Unit::SECOND,
        };
        let Some(own) = target.duration else {
            return self.catch(rated, pressure, seconds(60), true);
        };
        let mut durations = SECONDS.map(seconds).to_vec();
        durations.retain(|one| !one.has_value_of(&own));
        durations.push(own);
        durations.sort_by(|one, other| one.si().total_cmp(&other.si()));
        for duration in durations {
            self.catch(rated, pressure, duration, false);
        }
    }

    fn catch(&mut self, rated: &Rated, pressure: Quantity, duration: Quantity, is_flow: bool) {
        let next = self.planned.next_catch();
        for tips in [Tips::New, Tips::AsCaught] {
            let Some(caught) = self.planned.catch(rated, pressure, duration, tips) else {
                continue; // Nobody caught the tips that are fitted.
            };
            let row = self.row(Kind::Catch, &caught, next.unit);
            let capacity = next.capacity;
            let capacity = capacity.filter(|_| next.unit.dimension() == Dimension::VOLUME);
            let is_over = capacity.is_some_and(|most| most.si() < caught.value());
            self.rows.push(Row {
                is_fitted: true,
                pressure: Some(pressure),
                duration: (!is_flow).then_some(duration),
                mark: is_over.then_some(Mark::BeyondJug),
                ..of_tips(row, rated, tips)
            });
        }
    }

    /// The rate at speeds around the one of the setup, and the speed for the rate.
    fn rates(&mut self, rated: &Rated, pressure: Quantity) {
        let speeds = self.setup.speed.map(|speed| around(speed.value));
        for speed in speeds.unwrap_or_default() {
            for tips in [Tips::New, Tips::AsCaught] {
                let rate = self.planned.rate(rated, pressure, speed, tips);
                let row = rate.map(|rate| self.row(Kind::Rate, &rate, self.units.rate));
                self.rows.extend(row.map(|row| Row {
                    is_fitted: true,
                    pressure: Some(pressure),
                    speed: Some(speed),
                    ..of_tips(row, rated, tips)
                }));
            }
        }
        for tips in [Tips::New, Tips::AsCaught] {
            let speed = self.planned.speed(rated, pressure, tips);
            let row = speed.map(|speed| self.row(Kind::Speed, &speed, self.units.speed));
            self.rows.extend(row.map(|row| Row {
                is_fitted: true,
                pressure: Some(pressure),
                rate: self.setup.rate.map(|rate| rate.value),
                ..of_tips(row, rated, tips)
            }));
        }
    }

    /// A value with its uncertainty, of any tips.
    fn row(&self, kind: Kind, measure: &Measure, unit: Unit) -> Row {
        let primitives = self.planned.primitives();
        let expanded = self.coverage_factor * measure.standard_uncertainty(primitives);
        let shares = contributions(measure, primitives).into_iter();
        let is_uncertain = 0.0 < expanded;
        Row {
            kind,
            size: None,
            rated: None,
            is_fitted: false,
            tips: Tips::New,
            pressure: None,
            duration: None,
            speed: None,
            rate: None,
            value: Quantity::in_unit(measure.value(), unit),
            expanded: is_uncertain.then(|| Quantity::in_unit(expanded, unit)),
            unit,
            mark: None,
            shares: shares
                .filter(|_| is_uncertain)
                .map(|one| Share {
                    what: one.what.words(),
                    share: one.share,
                })
                .collect(),
        }
    }
}

/// The same of tips.
fn of_tips(row: Row, rated: &Rated, tips: Tips) -> Row {
    Row {
        size: rated.size.clone(),
        rated: Some([rated.flow.value, rated.pressure.value]),
        tips,
        ..row
    }
}
