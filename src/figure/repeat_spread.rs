//! How far repeated catches of one nozzle lie apart.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::nozzle_flow;
use super::number::{Measure, Number, Rational};
use super::visit::CaughtNozzle;
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "repeat-spread",
        title: "how far repeated catches of one nozzle lie apart, relative to their mean",
        formula: "(largest - smallest) / mean of the nozzle's readings",
        source: "our choice",
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
        held_against: "",
        units: |_, _| (None, None),
        slots: &[],
    },
};

/// None for a nozzle caught once, and for one whose every reading is nothing.
fn spread<N: Number>(visit: &Visit<'_>, nozzle: &CaughtNozzle) -> Option<N> {
    if nozzle.readings.len() < 2 {
        return None;
    }
    let readings = nozzle.readings.iter();
    let flows: Vec<N> = readings
        .map(|reading| nozzle_flow::flow(&visit.primitives, reading))
        .collect();
    let largest = flows.iter().max_by(|one, other| one.compare(other))?;
    let smallest = flows.iter().min_by(|one, other| one.compare(other))?;
    (!largest.is_zero()).then(|| largest.minus(smallest).over(&N::mean(&flows)))
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let mut members = Vec::new();
    for (stage, catch) in visit.catch.each() {
        members.extend(catch.nozzles.iter().filter_map(|nozzle| {
            let key = nozzle_flow::nozzle_key(visit, stage, nozzle);
            let place = nozzle.place.unwrap_or(catch.place);
            Some(Member::new(key, spread(visit, nozzle)?, place))
        }));
    }
    members
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (_, nozzle) = nozzle_flow::find(visit, key)?;
    let readings: Vec<String> = nozzle
        .readings
        .iter()
        .map(|reading| reading.quantity.to_string())
        .collect();
    Some(format!(
        "{} lie {} of their mean apart",
        crate::words::phrases::list(&readings, "and"),
        percent(spread::<f64>(visit, nozzle)?),
    ))
}
