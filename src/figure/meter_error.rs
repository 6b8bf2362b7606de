//! How far the flow meter is off a volume known by other means.

use super::about::{About, Family, ShownAs};
use super::asked_for;
use super::catch::flows::Flows;
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{KnownVolume, Meter};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Stage, Step};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::calibration::KnownBy;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "meter-error",
        title: "how far the volume the console shows is off the known volume",
        formula: "shown / known - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Flow),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, key| Some(meter(visit, key)?.shown?.quantity.to_string()),
        held_against: "known",
        units: |visit, key| units(visit, key).unwrap_or_default(),
        slots: &[
            ("correction", |visit, key| {
                let meter = meter(visit, key)?;
                let known = known_volume::<Measure>(visit, &meter.known?).value();
                asked_for::in_words(visit, Step::Flow, meter.shown?.quantity.si() / known)
            }),
            ("shown", |visit, key| {
                Some(meter(visit, key)?.shown?.quantity.to_string())
            }),
            ("known", |visit, key| {
                Some(meter(visit, key)?.known?.quantity.to_string())
            }),
        ],
    },
};

/// A known volume.
///
/// By catch it stands on the same readings as the boom's flow, so it carries that flow's relative
/// error; where the catch is not on record it is taken as written.
pub(super) fn known_volume<N: Number>(visit: &Visit<'_>, known: &KnownVolume) -> N {
    let input = |id| N::input(&visit.primitives, id);
    let mut volume = input(known.reading);
    if let Some(scale) = known.scale {
        volume = volume.times(&input(scale));
    }
    if let Some(density) = known.density {
        volume = volume.over(&input(density));
    }
    if known.known_by == Some(KnownBy::Catch)
        && let Some(catch) = visit.catch.at(Stage::AsLeft)
        && let Some(mean) = Flows::<N>::of(visit, catch).mean()
    {
        volume = volume.times(&mean.over(&mean.steady()));
    }
    volume
}

fn meter<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<&'v Meter> {
    visit.flow.at(key.stage?)
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    visit
        .flow
        .each()
        .map(|(stage, meter)| {
            let key = visit.key(Step::Flow, Some(stage), Part::Whole);
            let because = match (meter.known, meter.shown) {
                (Some(known), Some(shown)) => {
                    let read = N::input(&visit.primitives, shown.id);
                    let error = read.off(&known_volume(visit, &known));
                    return Member::new(key, error, shown.place).against(known.place);
                }
                (None, _) => "the meter test gives no known volume",
                (Some(_), None) => "what the console showed in the meter test is not on record",
            };
            Member::unavailable(key, because, Some(meter.place), meter.place)
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let meter = meter(visit, key)?;
    let (known, shown) = (meter.known?, meter.shown?);
    let volume: f64 = known_volume(visit, &known);
    let by = known.known_by.map_or("known", KnownBy::words);
    Some(format!(
        "{} shown / {} by {by} - 1 = {}",
        shown.quantity,
        known.quantity,
        percent(shown.quantity.si() / volume - 1.0),
    ))
}

fn units(visit: &Visit<'_>, key: &Key) -> Option<(Option<Unit>, Option<Unit>)> {
    let meter = meter(visit, key)?;
    let unit = |quantity: Quantity| Some(quantity.unit);
    Some((unit(meter.shown?.quantity), unit(meter.known?.quantity)))
}
