//! Whether a catch has the very readings of the catch before it.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::fleet::Layout;
use crate::outcome::{Part, Step};
use crate::quantity::decimal::Decimal;
use crate::record::Calibration;
use crate::record::calibration::Reading;
use crate::source::Place;
use std::collections::BTreeSet;

/// The case of two records of one day.
const SAME_DAY: &str = "same-day";

/// Fewer nozzles, or fewer distinct readings, may agree by chance (our choice).
const FEWEST_NOZZLES: usize = 8;
const FEWEST_DISTINCT: usize = 3;

/// The figure.
pub(crate) struct ReadingsRepeated;

static ABOUT: About = About {
    id: "readings-repeated",
    title: "how many readings of the first catch are, in their order, those of the visit before",
    formula: "readings of the catch where all agree; eight nozzles or more, three values or more",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: Some(Step::Catch),
    cases: &[SAME_DAY],
};

/// The readings of a visit beside those of the last visit that caught the same setup.
pub(crate) struct Repeated<'v> {
    last: &'v Calibration,
    count: usize,
}

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

/// How many are repeated: all or none.
fn repeated(own: &[Decimal], before: &[Decimal]) -> usize {
    let distinct = || values(own).collect::<BTreeSet<_>>().len();
    let alike = values(own).eq(values(before));
    let copied = alike && FEWEST_NOZZLES <= own.len() && FEWEST_DISTINCT <= distinct();
    if copied { own.len() } else { 0 }
}

impl Figure for ReadingsRepeated {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Repeated<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("earlier-date", |_, repeated| {
        Some(Fact::Date(repeated.last.date?.value))
    })];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Repeated<'v>>> {
        let key = visit.key(Step::Catch, None, Part::Whole);
        let first = visit.calibration.catch_tests.first();
        let Some(caught) = first.and_then(|test| test.caught.as_ref()) else {
            return Vec::new();
        };
        let place = visit.place(caught.key);
        let last = match visit.records.last_caught_alike() {
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
        let count = repeated(&own, &before);
        let same_day = last.date.map(|date| date.value) == visit.calibration.date.map(|d| d.value);
        let member =
            Member::new(key, Repeated { last, count }, place).in_case(same_day.then_some(SAME_DAY));
        let earlier = last.catch_tests.first();
        vec![match earlier.and_then(|test| test.caught.as_ref()) {
            Some(earlier) => member.against(Place {
                file: last.file,
                span: earlier.key,
            }),
            None => member,
        }]
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, repeated: &Repeated<'v>) -> Option<N> {
        Some(N::whole(u32::try_from(repeated.count).unwrap_or(u32::MAX)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Repeated<'v>) -> Option<Fact> {
        Some(Fact::Words("these readings"))
    }

    fn held_against(&self) -> &'static str {
        "are these"
    }
}
