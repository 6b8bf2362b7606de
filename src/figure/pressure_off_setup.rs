//! How far the pressure of a catch is off the pressure of its setup.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::nozzle_flow;
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::unit::Unit;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "pressure-off-setup",
        title: "how far the pressure of the catch is off the pressure the setup works at",
        formula: "pressure of the catch / pressure of the setup - 1",
        source: "by definition",
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
        read: |visit, key| {
            let pressure = visit.catch.at(key.stage?)?.pressure?;
            Some(pressure.quantity.to_string())
        },
        held_against: "meant to be",
        units: |visit, key| units(visit, key).unwrap_or_default(),
        slots: &[("setup-pressure", |visit, _| {
            Some(visit.ground.pressure?.quantity.to_string())
        })],
    },
};

/// A catch or a setup without a pressure has no member: the rated figures tell what is missing.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .filter_map(|(stage, catch)| {
            let (read, meant) = (catch.pressure?, visit.ground.pressure?);
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let pressure = nozzle_flow::pressure::<N>(visit, &read);
            let off = pressure.off(&N::input(&visit.primitives, meant.id));
            Some(Member::new(key, off, read.place).against(meant.place))
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let read = visit.catch.at(key.stage?)?.pressure?.quantity;
    let meant = visit.ground.pressure?.quantity;
    let off = read.si() / meant.si() - 1.0;
    Some(format!("{read} / {meant} - 1 = {}", percent(off)))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let read = visit.catch.at(key.stage?)?.pressure?.quantity;
    Some((Some(read.unit), Some(visit.ground.pressure?.quantity.unit)))
}
