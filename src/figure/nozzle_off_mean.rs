//! How far each nozzle is off the mean of the boom.

use super::catalogue::{Compute, Entry, Family, Formula, ShownAs};
use super::describe::percent;
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::{Member, Visit};
use crate::outcome::{Key, Step};

/// The case of a nozzle that passes nothing.
const PLUGGED: &str = "plugged";

/// The figure.
pub(super) static FIGURE: Entry = Entry {
    id: "nozzle-off-mean",
    title: "how far a nozzle's flow is off the mean of all nozzles that pass anything",
    formula: "q / mean(q) - 1; a plugged nozzle is left out of the mean",
    source: "Alberta Agdex 606-1; Mississippi State Turf Tips 2009",
    shown_as: ShownAs::Percent,
    family: Family::Nozzle,
    step: Some(Step::Catch),
    cases: &[PLUGGED],
    compute: Compute::Readings(Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, key| nozzle_flow::read(visit, key),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("neighbour", neighbour)],
    }),
};

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let mut members = Vec::new();
    for (stage, catch) in visit.catch.each() {
        let flows = Flows::<N>::of(visit, catch);
        let Some(mean) = flows.mean() else {
            members.push(nozzle_flow::no_flows(visit, stage, catch));
            continue;
        };
        members.extend(flows.caught().map(|(nozzle, flow)| {
            let key = nozzle_flow::nozzle_key(visit, stage, nozzle);
            let plugged = flow.is_zero().then_some(PLUGGED);
            Member::new(key, flow.off(&mean), nozzle.place.unwrap_or(catch.place)).in_case(plugged)
        }));
    }
    members
}

/// The nozzle to swap tips with: the nearest to the mean of those beside it.
fn neighbour(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (catch, nozzle) = nozzle_flow::find(visit, key)?;
    let flows = nozzle_flow::measured(visit, catch);
    let mean = flows.mean()?;
    let beside = flows.caught().filter(|(other, flow)| {
        other.nozzle.number.abs_diff(nozzle.nozzle.number) == 1 && !flow.is_zero()
    });
    let off = |flow: &f64| (flow - mean).abs();
    let (nearest, _) = beside.min_by(|one, other| off(one.1).total_cmp(&off(other.1)))?;
    Some(format!("nozzle {}", nearest.nozzle.number))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (catch, nozzle) = nozzle_flow::find(visit, key)?;
    let flows = nozzle_flow::measured(visit, catch);
    let mean = flows.mean()?;
    let own = nozzle_flow::nozzle_flow::<f64>(visit, nozzle)?;
    Some(format!(
        "{} / {} (mean of {}) - 1 = {}",
        nozzle_flow::as_caught(catch, own)?,
        nozzle_flow::as_caught(catch, mean)?,
        flows.passing().count(),
        percent(own / mean - 1.0),
    ))
}
