//! The flow of each nozzle, their mean, the flow of the boom, and the rated flow, for people to read.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy, UnitsOf};
use super::nozzle_flow::{self, Flows};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Part, Step};

/// The flow of a nozzle.
pub(super) static NOZZLE_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "nozzle-flow",
        title: "what a nozzle passes",
        formula: "caught / duration; gpm = fl oz x 60 / (128 x s)",
        source: "by definition of the units",
        shown_as: ShownAs::Measured,
        family: Family::Nozzle,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: nozzles::<f64>,
        measure: nozzles::<Measure>,
        exact: nozzles::<Rational>,
        working: |_, _| None,
        read: |visit, key| nozzle_flow::read(visit, key),
        held_against: "",
        units: IN_FLOW_UNIT,
        slots: &[],
    },
};

/// The mean of the nozzles that pass anything.
pub(super) static MEAN_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "mean-flow",
        title: "what the nozzles that pass anything pass on average",
        formula: "mean(q); a plugged nozzle is left out",
        source: "by definition",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: mean::<f64>,
        measure: mean::<Measure>,
        exact: mean::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: IN_FLOW_UNIT,
        slots: &[],
    },
};

/// The flow of the boom.
pub(super) static BOOM_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "boom-flow",
        title: "what the boom passes, where every nozzle was caught",
        formula: "sum(q)",
        source: "by definition",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: boom::<f64>,
        measure: boom::<Measure>,
        exact: boom::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: IN_FLOW_UNIT,
        slots: &[],
    },
};

/// What a nozzle should pass at the pressure of the catch.
pub(super) static RATED_FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "rated-flow",
        title: "what a nozzle of the setup is rated to pass at the pressure of the catch",
        formula: "rated flow x sqrt(pressure / rated pressure)",
        source: "square-root law of a fixed orifice",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: rated::<f64>,
        measure: rated::<Measure>,
        exact: rated::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "rated here",
        units: IN_FLOW_UNIT,
        slots: &[],
    },
};

/// A flow is shown in the unit that goes with the catch's readings.
const IN_FLOW_UNIT: UnitsOf<ReadingsStratum> = |visit, key| {
    let catch = key.stage.and_then(|stage| visit.catch.at(stage));
    (catch.and_then(nozzle_flow::flow_unit), None)
};

fn nozzles<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let mut members = Vec::new();
    for (stage, catch) in visit.catch.each() {
        let flows = Flows::<N>::of(visit, catch);
        members.extend(flows.caught().map(|(nozzle, flow)| {
            let key = nozzle_flow::nozzle_key(visit, stage, nozzle);
            Member::new(key, flow.clone(), nozzle.place.unwrap_or(catch.place))
        }));
    }
    members
}

fn mean<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .map(|(stage, catch)| {
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            match Flows::<N>::of(visit, catch).mean() {
                Some(mean) => Member::new(key, mean, catch.place),
                None => nozzle_flow::no_flows(visit, stage, catch),
            }
        })
        .collect()
}

fn boom<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .map(|(stage, catch)| {
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let flows = Flows::<N>::of(visit, catch);
            if let Some(flows) = flows.of_boom() {
                Member::new(key, N::sum(flows), catch.place)
            } else {
                let because = "not every nozzle was caught, so the boom's flow is not known";
                Member::unavailable(key, because, Some(catch.place), catch.place)
            }
        })
        .collect()
}

fn rated<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .map(|(stage, catch)| {
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let rated = nozzle_flow::rated_flow::<N>(visit, catch).zip(catch.rated);
            let Some((flow, rating)) = rated else {
                let (because, place) = nozzle_flow::why_not_rated(visit, catch);
                return Member::unavailable(key, because, place, catch.place);
            };
            Member::new(key, flow, catch.place).against(rating.place)
        })
        .collect()
}
