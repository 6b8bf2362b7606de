//! Which pressures a finding may advise: those that the gauge can show and the tips are made for, near the setup's own.
//!
//! Beyond them readings are to be checked first: a pressure far off comes of a reading that is wrong.

use super::catch::flows::Flows;
use super::catch::rated::{Rated, pressure_for};
use super::number::Number;
use super::visit::{GaugeSpan, Pressure, Visit};
use crate::fact::Fact;
use crate::outcome::Reach;
use crate::record::machine::PressureRange;

/// A pressure to set lies within these multiples of the one of the setup (our choice): tips of one kind are made for
/// pressures no farther apart, and the flow would be off by a factor of 1.7.
const LEAST_OF_PRESSURE: f64 = 0.3;
const MOST_OF_PRESSURE: f64 = 3.0;

/// What bounds the pressures that may be set.
#[derive(Debug, Clone, Copy)]
pub struct PressureBounds {
    /// The pressures that the tips are made for, where the machine file has them.
    pub range: Option<PressureRange>,
    /// The pressure of the setup in pascals, where it has one.
    pub meant: Option<f64>,
    /// How far the gauge reads, where that is known.
    pub span: Option<GaugeSpan>,
}

impl PressureBounds {
    /// Where a pressure in pascals lies.
    pub fn reach(&self, si: f64) -> Reach {
        if self.span.is_some_and(|span| span.most.si() < si) {
            return Reach::BeyondGauge;
        }
        if let Some(range) = self.range {
            if si < range.from.value.si() {
                return Reach::BelowTips;
            }
            if range.to.value.si() < si {
                return Reach::AboveTips;
            }
        }
        let near = LEAST_OF_PRESSURE..=MOST_OF_PRESSURE;
        match self.meant {
            Some(meant) if !near.contains(&(si / meant)) => Reach::FarOff,
            Some(_) | None => Reach::Within,
        }
    }
}

/// The pressures that may be advised for a catch.
pub(in crate::figure) struct AdvisedPressure<'v> {
    visit: &'v Visit<'v>,
    gauge: &'v Pressure,
}

impl<'v> AdvisedPressure<'v> {
    pub(in crate::figure) const fn of(visit: &'v Visit<'v>, gauge: &'v Pressure) -> Self {
        Self { visit, gauge }
    }

    fn within(&self) -> PressureBounds {
        let setup = self.visit.ground.pressure;
        let meant = setup.map_or(self.gauge.quantity, |setup| setup.quantity);
        PressureBounds {
            range: self.range(),
            meant: Some(meant.si()),
            span: self.gauge.span,
        }
    }

    fn range(&self) -> Option<PressureRange> {
        let (_, setup) = self.visit.setup?;
        setup.rated.as_ref()?.range
    }

    /// Whether a pressure may be set: on the gauge, within the range of the tips, and not far from that of the setup.
    pub(in crate::figure) fn may_be_set(&self, si: f64) -> bool {
        self.within().reach(si) == Reach::Within
    }

    /// Whether a catch may have been made at a pressure: on the gauge, and not far from that of the setup.
    pub(in crate::figure) fn may_have_been(&self, si: f64) -> bool {
        let any_tips = PressureBounds {
            range: None,
            ..self.within()
        };
        any_tips.reach(si) == Reach::Within
    }

    /// The bounds in force: `gauge to 60 psi; tips 30 psi to 90 psi`.
    pub(in crate::figure) fn bounds(&self) -> Fact {
        let gauge = match self.gauge.span {
            None => Fact::Words("gauge without a span"),
            Some(span) => {
                let most = Fact::Written(span.most);
                if span.is_declared {
                    Fact::phrase("gauge to {}", [most])
                } else {
                    Fact::phrase("undeclared gauge, assumed to read to {}", [most])
                }
            }
        };
        match self.range() {
            Some(range) => {
                let [from, to] = [range.from, range.to].map(|end| Fact::Written(end.value));
                Fact::phrase("{}; tips {} to {}", [gauge, from, to])
            }
            None => Fact::phrase("{}; no pressure-range for the tips", [gauge]),
        }
    }
}

/// The pressure at which tips at rated flow would put out what a catch did on average: P2 = P1 x (Q2 / Q1)^2.
///
/// None where the catch cannot have been made at it: then something of the catch is not as written.
pub(in crate::figure) fn as_if_at<'v>(visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<Fact> {
    let gauge = rated.pressure;
    let mean = Flows::<f64>::of(visit, rated.catch).mean()?;
    let ratio = mean.over(&rated.flow(visit));
    let as_if = pressure_for(&ratio, &1.0, &gauge.quantity.si());
    let may_be = AdvisedPressure::of(visit, gauge).may_have_been(as_if);
    may_be.then(|| Fact::to_set(as_if, gauge.quantity.unit))
}
