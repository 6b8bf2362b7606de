//! How long each nozzle was caught.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Catch, FlowReading};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "catch-duration",
        title: "how long each nozzle was caught, the shortest of them",
        formula: "as recorded",
        source: "as recorded",
        shown_as: ShownAs::Seconds,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: working,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[],
    },
};

fn shortest<'c>(visit: &Visit<'_>, catch: &'c Catch) -> Option<&'c FlowReading> {
    let timed = catch.nozzles.iter().flat_map(|nozzle| &nozzle.readings);
    timed
        .filter(|reading| reading.time.is_some())
        .min_by(|one, other| {
            let duration = |reading: &FlowReading| {
                reading
                    .time
                    .map_or(0.0, |(id, _)| visit.primitives.get(id).value)
            };
            duration(one).total_cmp(&duration(other))
        })
}

/// Flows that were read have no duration, and so no member.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .catch
        .each()
        .filter_map(|(stage, catch)| {
            let (duration, _) = shortest(visit, catch)?.time?;
            let key = visit.key(Step::Catch, Some(stage), Part::Whole);
            let place = visit.primitives.get(duration).place.unwrap_or(catch.place);
            Some(Member::new(
                key,
                N::input(&visit.primitives, duration),
                place,
            ))
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let catch = visit.catch.at(key.stage?)?;
    Some(format!("{} each", shortest(visit, catch)?.duration?))
}
