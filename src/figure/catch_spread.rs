//! The spread of a catch: how far its extremes lie apart.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::visit::CaughtNozzle;
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "catch-spread",
        title: "how far the largest and the smallest nozzle flow lie apart, relative to the mean",
        formula: "(largest q - smallest q) / mean(q); a plugged nozzle is left out",
        source: "our choice",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("largest".to_owned()),
        held_against: "smallest",
        units: |_, _| (None, None),
        slots: &[],
    },
};

/// The nozzles that pass most and least; the first from the left where several tie.
fn extremes<'c, N: Number>(flows: &Flows<'c, N>) -> Option<[(&'c CaughtNozzle, &'c N); 2]> {
    let mut passing = flows.passing();
    let first = passing.next()?;
    Some(passing.fold([first, first], |[largest, smallest], next| {
        [
            if next.1.compare(largest.1).is_gt() {
                next
            } else {
                largest
            },
            if next.1.compare(smallest.1).is_lt() {
                next
            } else {
                smallest
            },
        ]
    }))
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .map(|(stage, catch)| {
            let flows = Flows::<N>::of(visit, catch);
            let (Some(mean), Some([largest, smallest])) = (flows.mean(), extremes(&flows)) else {
                return nozzle_flow::no_flows(visit, stage, catch);
            };
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let spread = largest.1.minus(smallest.1).over(&mean);
            let place = |nozzle: &CaughtNozzle| nozzle.place.unwrap_or(catch.place);
            Member::new(key, spread, place(largest.0)).against(place(smallest.0))
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    let flows = nozzle_flow::measured(visit, catch);
    let mean = flows.mean()?;
    let [largest, smallest] = extremes(&flows)?;
    let (largest, smallest) = (*largest.1, *smallest.1);
    Some(format!(
        "({} - {}) / {} = {}",
        nozzle_flow::as_caught(catch, largest)?,
        nozzle_flow::as_caught(catch, smallest)?,
        nozzle_flow::as_caught(catch, mean)?,
        percent((largest - smallest) / mean),
    ))
}
