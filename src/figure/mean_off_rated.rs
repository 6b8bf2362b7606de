//! How far the boom as a whole is off its rated flow: what uniform wear or a false gauge shows.

use super::about::{About, Family, MEAN_OFF_RATED, ShownAs};
use super::describe::{percent, to_set};
use super::legacy::{Formula, Legacy};
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Stage, Step};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::source::Place;

/// The case of a boom that passes nothing.
const DRY: &str = "dry";

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: MEAN_OFF_RATED,
        title: "how far the mean flow of the boom is off the rated flow at the pressure of the catch",
        formula: "mean(q) / (rated flow x sqrt(pressure / rated pressure)) - 1",
        source: "square-root law of a fixed orifice",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[DRY],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read,
        held_against: "rated here",
        units: |visit, key| units(visit, key).unwrap_or_default(),
        slots: &[("mean", read), ("pressure-for-rated", pressure_for_rated)],
    },
};

/// The mean as left, off rated, with where it was caught; none where either is not known.
pub fn as_left<N: Number>(visit: &Visit<'_>) -> Option<(N, Place)> {
    let is_left = |member: &Member<N>| member.key.stage == Some(Stage::AsLeft);
    let left = members::<N>(visit).into_iter().find(is_left)?;
    Some((left.value.ok()?, left.subject))
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .map(|(stage, catch)| {
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let (Some(rated), Some(rating)) =
                (nozzle_flow::rated_flow::<N>(visit, catch), catch.rated)
            else {
                let (because, place) = nozzle_flow::why_not_rated(visit, catch);
                return Member::unavailable(key, because, place, catch.place);
            };
            match Flows::<N>::of(visit, catch).mean_or_nothing() {
                Some(mean) => Member::new(key, mean.off(&rated), catch.place)
                    .against(rating.place)
                    .in_case(mean.is_zero().then_some(DRY)),
                None => nozzle_flow::no_flows(visit, stage, catch),
            }
        })
        .collect()
}

fn read(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let flows = nozzle_flow::measured(visit, catch);
    let mean = nozzle_flow::as_caught(catch, flows.mean_or_nothing()?)?;
    let (passing, count) = (flows.passing().count(), catch.nozzles.len());
    Some(if passing == count {
        format!("mean of {count}: {mean}")
    } else {
        format!("mean of {passing} of {count}: {mean}")
    })
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let mean = nozzle_flow::measured(visit, catch).mean_or_nothing()?;
    let rated = nozzle_flow::rated_flow::<f64>(visit, catch)?;
    Some(format!(
        "{} / {} (rated at {}) - 1 = {}",
        nozzle_flow::as_caught(catch, mean)?,
        nozzle_flow::as_caught(catch, rated)?,
        catch.pressure.as_ref()?.quantity,
        percent(mean / rated - 1.0),
    ))
}

/// The pressure at which the mean would pass the rated flow: P2 = P1 x (Q2 / Q1)^2.
fn pressure_for_rated(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let mean = nozzle_flow::measured(visit, catch).mean()?;
    let rated = nozzle_flow::rated_flow::<f64>(visit, catch)?;
    let gauge: &Quantity = &catch.pressure.as_ref()?.quantity;
    let ratio = rated / mean;
    Some(to_set(gauge.si() * ratio * ratio, gauge.unit))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let catch = visit.catch.at(key.stage?)?;
    let rated = catch.rated.as_ref()?.quantity.unit;
    Some((nozzle_flow::caught_in(catch), Some(rated)))
}
