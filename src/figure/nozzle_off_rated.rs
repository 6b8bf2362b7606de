//! How far each nozzle is off its rated flow at the catch's pressure.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "nozzle-off-rated",
        title: "how far a nozzle's flow is off its rated flow at the pressure of the catch",
        formula: "q / (rated flow x sqrt(pressure / rated pressure)) - 1",
        source: "square-root law of a fixed orifice",
        shown_as: ShownAs::Percent,
        family: Family::Nozzle,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, key| nozzle_flow::read(visit, key),
        held_against: "rated here",
        units: |_, _| (None, None),
        slots: &[],
    },
};

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let mut members = Vec::new();
    for (stage, catch) in visit.catch.each() {
        let (Some(rated), Some(rating)) = (nozzle_flow::rated_flow::<N>(visit, catch), catch.rated)
        else {
            let (because, place) = nozzle_flow::why_not_rated(visit, catch);
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            members.push(Member::unavailable(key, because, place, catch.place));
            continue;
        };
        let flows = Flows::<N>::of(visit, catch);
        if flows.caught().next().is_none() {
            members.push(nozzle_flow::no_flows(visit, stage, catch));
        }
        members.extend(flows.caught().map(|(nozzle, flow)| {
            let key = nozzle_flow::nozzle_key(visit, stage, nozzle);
            Member::new(key, flow.off(&rated), nozzle.place.unwrap_or(catch.place))
                .against(rating.place)
        }));
    }
    members
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (catch, nozzle) = nozzle_flow::find(visit, key)?;
    let own = nozzle_flow::nozzle_flow::<f64>(visit, nozzle)?;
    let rated = nozzle_flow::rated_flow::<f64>(visit, catch)?;
    Some(format!(
        "{} / {} (rated at {}) - 1 = {}",
        nozzle_flow::as_caught(catch, own)?,
        nozzle_flow::as_caught(catch, rated)?,
        catch.pressure.as_ref()?.quantity,
        percent(own / rated - 1.0),
    ))
}
