//! How far each nozzle is off the mean of the boom.

use super::flows::{self, Flows};
use super::of_nozzle::OfNozzle;
use super::repeat_chance::TIP_SCATTER;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{CaughtNozzle, ReadingsStratum, Visit};
use crate::outcome::Step;
use crate::working::Working;

/// The case of a nozzle that passes nothing.
const PLUGGED: &str = "plugged";
/// The case of a low nozzle without another one to swap its tip with.
const WITHOUT_NEIGHBOR: &str = "without-neighbor";

/// The figure.
pub(crate) struct NozzleOffMean;

static ABOUT: About = About {
    id: "nozzle-off-mean",
    title: "how far a nozzle's output is off the boom average",
    formula: "q / mean(q) - 1; a plugged nozzle is left out of the mean",
    source: "Alberta Agdex 606-1; Mississippi State Turf Tips 2009",
    shown_as: ShownAs::Percent,
    family: Family::Nozzle,
    step: Some(Step::Catch),
    cases: &[PLUGGED, WITHOUT_NEIGHBOR],
};

impl Figure for NozzleOffMean {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = OfNozzle<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("neighbor", neighbor)];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<OfNozzle<'v>>> {
        let mut members = Vec::new();
        for (stage, catch) in visit.catch.each() {
            let flows = Flows::<f64>::of(visit, catch);
            if flows.mean().is_none() {
                members.push(flows::no_flows(visit, stage, catch));
                continue;
            }
            members.extend(flows.caught().map(|(nozzle, flow)| {
                let of = OfNozzle { catch, nozzle };
                let case = case(visit, &of, *flow);
                Member::new(of.key(visit, stage), of, of.place()).in_case(case)
            }));
        }
        members
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<N> {
        let flows = Flows::<N>::of(visit, of.catch);
        Some(flows.of_nozzle(of.nozzle)?.off(&flows.mean()?))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Working> {
        let flows = Flows::<f64>::of(visit, of.catch);
        let (own, mean) = (*flows.of_nozzle(of.nozzle)?, flows.mean()?);
        let count = flows.passing().count();
        let mean_of = |mean| Fact::phrase("{} (mean of {})", [mean, Fact::whole(count)]);
        let own = of.catch.as_caught(own)?;
        let mean = of.catch.as_caught(mean)?.shown_as(mean_of);
        Some(Working::deviation(own.off(mean)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Fact> {
        of.read()
    }

    fn good_scatter(&self) -> Option<f64> {
        Some(TIP_SCATTER)
    }
}

/// The nozzle to swap tips with: of those near the mean the next one, on either side.
///
/// None that is out the same way by half as much or more: the swap would prove nothing.
fn neighbor<'v>(visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Fact> {
    let flows = Flows::<f64>::of(visit, of.catch);
    let mean = flows.mean()?;
    let own = of.nozzle.nozzle.number;
    let own_off = flows.of_nozzle(of.nozzle)? - mean;
    let off = |flow: &f64| (flow - mean).abs();
    let is_out_the_same_way = |flow: &f64| {
        let other = flow - mean;
        other * own_off > 0.0 && other.abs() >= own_off.abs() / 2.0
    };
    let distance = |other: &CaughtNozzle| other.nozzle.number.abs_diff(own);
    let others = flows
        .caught()
        .filter(|(other, flow)| distance(other) != 0 && !flow.is_zero());
    let mut by_deviation: Vec<(&CaughtNozzle, &f64)> = others.collect();
    by_deviation.sort_by(|one, other| off(one.1).total_cmp(&off(other.1)));
    // The better half, so that no bad tip is swapped for another.
    let better = by_deviation.len().div_ceil(2);
    let better = by_deviation.into_iter().take(better);
    let better = better.filter(|(_, flow)| !is_out_the_same_way(flow));
    let (nearest, _) = better.min_by_key(|(other, _)| distance(other))?;
    let number = Fact::whole(nearest.nozzle.number.into());
    Some(Fact::phrase("nozzle {}", [number]))
}

fn case<'v>(visit: &'v Visit<'v>, of: &OfNozzle<'v>, flow: f64) -> Option<&'static str> {
    if flow.is_zero() {
        return Some(PLUGGED);
    }
    let flows = Flows::<f64>::of(visit, of.catch);
    let is_low = flows.mean().is_some_and(|mean| flow < mean);
    (is_low && neighbor(visit, of).is_none()).then_some(WITHOUT_NEIGHBOR)
}
