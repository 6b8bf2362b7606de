//! Whether a catch has the very readings of the catch before it.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::fleet::Layout;
use crate::outcome::{Key, Part, Step};
use crate::quantity::decimal::Decimal;
use crate::record::Calibration;
use crate::record::calibration::Reading;
use crate::source::Place;
use crate::words;
use std::collections::BTreeSet;

/// The case of two records of one day.
const SAME_DAY: &str = "same-day";

/// Fewer nozzles, or fewer distinct readings, may agree by chance (our choice).
const FEWEST_NOZZLES: usize = 8;
const FEWEST_DISTINCT: usize = 3;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "readings-repeated",
        title: "how many readings of the first catch are, in their order, those of the visit before",
        formula: "readings of the catch where all agree; eight nozzles or more, three values or more",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: Some(Step::Catch),
        cases: &[SAME_DAY],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("these readings".to_owned()),
        held_against: "are these",
        units: |_, _| (None, None),
        slots: &[("earlier-date", earlier_date)],
    },
};

/// The readings of the first catch, nozzle by nozzle from the left, however they are listed.
///
/// None where one could not be read or does not fit the boom.
fn readings(layout: &Layout, visit: &Calibration) -> Option<Vec<Decimal>> {
    let test = visit.catch_tests.first()?;
    // What does not fit the boom has a finding already, from laying the visit itself.
    let laid = layout.lay(visit.file, test, &mut Vec::new())?;
    let mut values = Vec::new();
    for reading in laid.cells.iter().flatten().flat_map(|cell| &cell.readings) {
        match reading {
            Reading::Caught(decimal) => values.push(decimal.value),
            Reading::Missed(_) => {}
            Reading::Unreadable(_) => return None,
        }
    }
    Some(values)
}

fn values(readings: &[Decimal]) -> impl Iterator<Item = i128> {
    readings.iter().map(|reading| reading.in_last_places())
}

/// The last visit that caught the same setup.
fn last<'a>(visit: &Visit<'a>) -> Result<Option<&'a Calibration>, &'static str> {
    visit.records.last_caught_alike()
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let key = visit.key(Step::Catch, None, Part::Whole);
    let first = visit.calibration.catch_tests.first();
    let Some(caught) = first.and_then(|test| test.caught.as_ref()) else {
        return Vec::new();
    };
    let place = visit.place(caught.key);
    let last = match last(visit) {
        Ok(Some(last)) => last,
        Ok(None) => return Vec::new(),
        Err(because) => return vec![Member::unavailable(key, because, None, place)],
    };
    let of = |record| readings(visit.subject.layout.as_ref()?, record);
    let (Some(own), Some(before)) = (of(visit.calibration), of(last)) else {
        let because =
            "a reading of this catch or of the last cannot be read or does not fit the boom";
        return vec![Member::unavailable(key, because, None, place)];
    };
    let distinct = || values(&own).collect::<BTreeSet<_>>().len();
    let alike = values(&own).eq(values(&before));
    let copied = alike && FEWEST_NOZZLES <= own.len() && FEWEST_DISTINCT <= distinct();
    let count = if copied { own.len() } else { 0 };
    let count = N::whole(u32::try_from(count).unwrap_or(u32::MAX));
    let same_day = last.date.map(|date| date.value) == visit.calibration.date.map(|d| d.value);
    let member = Member::new(key, count, place).in_case(same_day.then_some(SAME_DAY));
    let earlier = last
        .catch_tests
        .first()
        .and_then(|test| test.caught.as_ref());
    vec![match earlier {
        Some(earlier) => member.against(Place {
            file: last.file,
            span: earlier.key,
        }),
        None => member,
    }]
}

fn earlier_date(visit: &Visit<'_>, _: &Key) -> Option<String> {
    Some(words::dates::date(last(visit).ok()??.date?.value))
}
