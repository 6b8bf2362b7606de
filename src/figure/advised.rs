//! Which pressures a finding may advise: those that the gauge can show and the tips are made for, near the setup's own.
//!
//! Beyond them readings are to be checked first: a pressure far off comes of a reading that is wrong.

use super::catch::flows::Flows;
use super::catch::rated::Rated;
use super::number::Number;
use super::visit::{Pressure, Visit};
use crate::fact::Fact;
use crate::record::machine::PressureRange;

/// A pressure to set lies within these multiples of the one of the setup (our choice): tips of one kind are made for
/// pressures no farther apart, and the flow would be off by a factor of 1.7.
const LEAST_OF_PRESSURE: f64 = 0.3;
const MOST_OF_PRESSURE: f64 = 3.0;

/// The pressures that may be advised for a catch.
pub(in crate::figure) struct AdvisedPressure<'v> {
    visit: &'v Visit<'v>,
    gauge: &'v Pressure,
}

impl<'v> AdvisedPressure<'v> {
    pub(in crate::figure) const fn of(visit: &'v Visit<'v>, gauge: &'v Pressure) -> Self {
        Self { visit, gauge }
    }

    fn range(&self) -> Option<PressureRange> {
        let (_, setup) = self.visit.setup?;
        setup.rated.as_ref()?.range
    }

    /// Whether a pressure may be set: on the gauge, within the range of the tips, and not far from that of the setup.
    pub(in crate::figure) fn may_be_set(&self, si: f64) -> bool {
        let is_in_range = self.range().is_none_or(|range| {
            let (from, to) = (range.from.value.si(), range.to.value.si());
            (from..=to).contains(&si)
        });
        is_in_range && self.may_have_been(si)
    }

    /// Whether a catch may have been made at a pressure: on the gauge, and not far from that of the setup.
    pub(in crate::figure) fn may_have_been(&self, si: f64) -> bool {
        let setup = self.visit.ground.pressure;
        let meant = setup.map_or(self.gauge.quantity, |setup| setup.quantity);
        let multiple = si / meant.si();
        let is_shown = self.gauge.span.is_none_or(|span| si <= span.most.si());
        is_shown && (LEAST_OF_PRESSURE..=MOST_OF_PRESSURE).contains(&multiple)
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
    let as_if = gauge.quantity.si() * ratio * ratio;
    let may_be = AdvisedPressure::of(visit, gauge).may_have_been(as_if);
    may_be.then(|| Fact::to_set(as_if, gauge.quantity.unit))
}
