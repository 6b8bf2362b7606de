//! How far the pressure drops from the gauge to the end of the boom.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::nozzle_flow;
use super::number::{Measure, Number, Rational};
use super::visit::Pressure;
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Stage, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "boom-end-drop",
        title: "how far the pressure at the end of the boom is off the working pressure",
        formula: "pressure at the end / working pressure - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Visit,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, _| Some(visit.boom_end?.quantity.to_string()),
        held_against: "working pressure",
        units: |_, _| (None, None),
        slots: &[],
    },
};

fn working_pressure(visit: &Visit<'_>) -> Option<Pressure> {
    visit.catch.at(Stage::AsLeft)?.pressure
}

/// No member where the boom's end was not read or no catch gives the working pressure.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let (Some(end), Some(at_gauge)) = (visit.boom_end, working_pressure(visit)) else {
        return Vec::new();
    };
    let key = visit.key(Step::Catch, None, Part::Whole);
    let drop =
        nozzle_flow::pressure::<N>(visit, &end).off(&nozzle_flow::pressure::<N>(visit, &at_gauge));
    vec![Member::new(key, drop, end.place).against(at_gauge.place)]
}

fn working(visit: &Visit<'_>, _: &Key) -> Option<String> {
    let (end, at_gauge) = (visit.boom_end?.quantity, working_pressure(visit)?.quantity);
    let drop = end.si() / at_gauge.si() - 1.0;
    Some(format!("{end} / {at_gauge} - 1 = {}", percent(drop)))
}
