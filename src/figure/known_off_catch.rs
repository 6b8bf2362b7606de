//! How far a volume known otherwise is off what the catch says has passed.

use super::about::{About, Family, ShownAs};
use super::catch::flows::Flows;
use super::describe::{in_unit, percent};
use super::legacy::{Formula, Legacy};
use super::meter_error::known_volume;
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Catch, Meter};
use super::{Member, Visit};
use crate::outcome::{Key, Stage, Step};
use crate::quantity::unit::Unit;
use crate::record::calibration::KnownBy;
use crate::source::Place;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "known-off-catch",
        title: "how far a volume known by refill meter, weight or tank marks is off the catch's flow times the time",
        formula: "known / (sum(q) x duration) - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Flow),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, key| Some(visit.flow.at(key.stage?)?.known?.quantity.to_string()),
        held_against: "caught here",
        units: |visit, key| units(visit, key).unwrap_or_default(),
        slots: &[
            ("by-catch", by_catch),
            ("known", |visit, key| {
                Some(visit.flow.at(key.stage?)?.known?.quantity.to_string())
            }),
        ],
    },
};

/// What the boom passes as left; none where a nozzle was not caught, or none passes anything.
fn boom_flow<N: Number>(visit: &Visit<'_>) -> Option<N> {
    let flows = Flows::<N>::of(visit, visit.catch.at(Stage::AsLeft)?);
    flows.passing().next()?;
    Some(N::sum(flows.of_boom()?))
}

/// What the boom passes in the time of the test.
fn passed<N: Number>(visit: &Visit<'_>, boom_flow: &N, meter: &Meter) -> Option<N> {
    let duration = N::input(&visit.primitives, meter.duration?.id);
    Some(boom_flow.times(&duration))
}

/// Only where the test has a time, a catch to compare with, and a volume known otherwise.
///
/// Spraying out is done with the boom as left, so the catch as left is the one compared.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(catch) = visit.catch.at(Stage::AsLeft) else {
        return Vec::new();
    };
    let Some(boom_flow) = boom_flow::<N>(visit) else {
        return Vec::new();
    };
    visit
        .flow
        .each()
        .filter_map(|(stage, meter)| {
            let known = meter.known?;
            if known.known_by == Some(KnownBy::Catch) || known.known_by.is_none() {
                return None;
            }
            let key = visit.key_of_steps(stage);
            let passed = passed(visit, &boom_flow, meter)?;
            let off = known_volume::<N>(visit, &known).off(&passed);
            Some(Member::new(key, off, known.place).against(catch_place(catch)))
        })
        .collect()
}

fn catch_place(catch: &Catch) -> Place {
    catch.place
}

fn by_catch(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let meter = visit.flow.at(key.stage?)?;
    let passed = passed::<f64>(visit, &boom_flow(visit)?, meter)?;
    Some(in_unit(passed, meter.known?.quantity.unit))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let meter = visit.flow.at(key.stage?)?;
    let known = meter.known?;
    let passed = passed::<f64>(visit, &boom_flow(visit)?, meter)?;
    let off = known_volume::<f64>(visit, &known) / passed - 1.0;
    Some(format!(
        "{} / {} caught in {} - 1 = {}",
        known.quantity,
        by_catch(visit, key)?,
        meter.duration?.quantity,
        percent(off),
    ))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let known = visit.flow.at(key.stage?)?.known?.quantity.unit;
    let catch = visit.catch.at(Stage::AsLeft)?;
    Some((Some(known), catch.caught_in()))
}
