//! How far the rate that follows from the catch is off the rate the setup is meant to put down.

use super::by_catch::ByCatch;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::advised::AdvisedPressure;
use crate::figure::catch::flows::Flows;
use crate::figure::catch::rated::Rated;
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::visit::{Catch, ReadingsStratum, Visit};
use crate::outcome::Step;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct RateByCatchOff;

static ABOUT: About = About {
    id: "rate-by-catch-off",
    title: "how far the rate by catch is off the setup's rate: at the setup's speed; under pressure or manual control at the measured one, where there is one",
    formula: "sum(q) / (speed x spacing x nozzles) / rate - 1; gal/acre = 5940 x gpm / (mph x in), L/ha = 600 x L/min / (km/h x m)",
    source: "Missouri Extension G1270A; SD State Extension, mixing and calibration equations",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[MEASURED, CHECK_FIRST],
};

/// The case of a speed that a test measured.
const MEASURED: &str = "measured";

impl Figure for RateByCatchOff {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = ByCatch<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("rate", |visit, by_catch| by_catch.shown_rate(visit)),
        ("at-speed", |visit, by_catch| Some(by_catch.at_speed(visit))),
        ("wanted-rate", |_, by_catch| {
            Some(Fact::Written(by_catch.meant.quantity))
        }),
        ("running-pressure", running_pressure),
        ("pressure-bounds", |visit, by_catch| {
            let gauge = by_catch.catch.pressure.as_ref()?;
            Some(AdvisedPressure::of(visit, gauge).bounds())
        }),
        ("setup-speed", |visit, _| {
            Some(Fact::Written(visit.ground.speed?.quantity))
        }),
        ("catch-pressure", |_, by_catch| {
            Some(Fact::Written(by_catch.catch.pressure?.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<ByCatch<'v>>> {
        let rates = ByCatch::members(visit).into_iter();
        rates
            .map(|member| match &member.value {
                Ok(by_catch) => {
                    let meant = by_catch.meant.place;
                    let case = case(visit, by_catch);
                    member.against(meant).in_case(case)
                }
                Err(_) => member,
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<N> {
        let meant = N::input(&visit.primitives, by_catch.meant.id);
        Some(by_catch.rate::<N>(visit)?.off(&meant))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<Working> {
        let shown = by_catch.shown_rate(visit)?;
        let rate = Working::of(by_catch.working(visit)?, shown.clone());
        let off = Expression::number(by_catch.rate(visit)?, shown).off(by_catch.meant.as_written());
        let result = Fact::deviation(off.evaluate());
        Some(rate.then(off, result))
    }

    fn read<'v>(&self, visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<Fact> {
        by_catch.shown_rate(visit)
    }

    fn held_against(&self) -> &'static str {
        "the target"
    }

    fn units<'v>(&self, visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Units {
        let off = RateByCatchOff.value::<f64>(visit, by_catch);
        // A jug read in another unit would put the catch as far off rated flow as it puts the rate off.
        let is_of_the_jug = match (off, off_rated(visit, by_catch.catch)) {
            (Some(off), Some(off_rated)) => off.abs() / 2.0 <= off_rated.abs(),
            (_, None) | (None, _) => true,
        };
        let caught_in = by_catch.catch.caught_in();
        (
            caught_in.filter(|_| is_of_the_jug),
            Some(by_catch.meant.quantity.unit).filter(|_| !by_catch.is_measured()),
        )
    }
}

/// How far the boom average of a catch is off rated flow; none where nothing is rated.
fn off_rated(visit: &Visit<'_>, catch: &Catch) -> Option<f64> {
    let rated = Rated::of(visit, catch).ok()?.flow::<f64>(visit);
    Some(Flows::<f64>::of(visit, catch).mean()?.off(&rated))
}

/// The pressure at which the boom puts down the wanted rate: P2 = P1 x (rate2 / rate1)^2.
///
/// None where no such pressure may be set.
fn running_pressure<'v>(visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<Fact> {
    let gauge = by_catch.catch.pressure.as_ref()?;
    let ratio = by_catch.meant.quantity.si() / by_catch.rate::<f64>(visit)?;
    let running = gauge.quantity.si() * ratio * ratio;
    let may_be_set = AdvisedPressure::of(visit, gauge).may_be_set(running);
    may_be_set.then(|| Fact::to_set(running, gauge.quantity.unit))
}

/// The case of a member: whether its speed was measured, where there is a pressure to advise.
fn case<'v>(visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<&'static str> {
    if running_pressure(visit, by_catch).is_none() {
        return Some(CHECK_FIRST);
    }
    by_catch.is_measured().then_some(MEASURED)
}
