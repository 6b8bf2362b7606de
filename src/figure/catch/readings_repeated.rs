//! By how small a chance a catch has the very readings of the catch before it.

use super::repeat_chance::{Reread, chance};
use crate::fact::Fact;
use crate::figure::about::{About, Family, READINGS_REPEATED, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, FlowReading, ReadingsStratum, Visit};
use crate::fleet::Layout;
use crate::outcome::{Part, Step};
use crate::quantity::decimal::Decimal;
use crate::record::Calibration;
use crate::record::calibration::Reading;
use crate::source::Place;
use num_traits::ToPrimitive;

/// The case of two records of one day.
const SAME_DAY: &str = "same-day";

/// More visits than anybody makes are not counted.
const MOST_VISITS: u32 = 1_000_000_000;

/// Half width of the pressure about what the gauge is set to, from one catch to the next: half a psi, in pascals (our
/// choice: the finest that is read off a gauge).
const SET_WITHIN: f64 = 3_447.378_646_585;

/// The figure.
pub(crate) struct ReadingsRepeated;

static ABOUT: About = About {
    id: READINGS_REPEATED,
    title: "in how many honest visits the readings of the first catch come out as those of the visit before, once",
    formula: "1 / product over the nozzles of the chance to fall to the same mark again, by timing, pressure as set and graduation; 0 where a reading differs",
    source: "our choice: good tips of a set lie 1.5% apart, as a standard deviation, and stay as they are",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: Some(Step::Catch),
    cases: &[SAME_DAY],
};

/// The readings of a visit beside those of the last visit that caught the same setup.
pub(crate) struct Repeated<'v> {
    last: &'v Calibration,
    count: usize,
    once_in: u32,
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

fn are_alike(own: &[Decimal], before: &[Decimal]) -> bool {
    let values = |readings: &[Decimal]| -> Vec<i128> {
        let values = readings.iter().map(|reading| reading.in_last_places());
        values.collect()
    };
    values(own) == values(before)
}

/// In how many honest visits a catch comes out as the one before it, once; none where it cannot be told.
fn once_in(visit: &Visit<'_>) -> Option<u32> {
    let (_, catch) = visit.catch.each().next()?;
    let readings: Vec<&FlowReading> = catch
        .nozzles
        .iter()
        .flat_map(|nozzle| nozzle.readings.iter())
        .collect();
    let timing = timed_together(visit, &readings);
    let reread = readings
        .iter()
        .map(|reading| reread(visit, reading, timing));
    let reread: Vec<Reread> = reread.collect();
    let pressure = pressure_as_set(catch);
    let together = timing.unwrap_or(0.0);
    let as_a_whole = (pressure * pressure + together * together).sqrt();
    let visits = 1.0 / chance(&reread, as_a_whole);
    Some(
        visits
            .to_u32()
            .map_or(MOST_VISITS, |visits| visits.min(MOST_VISITS)),
    )
}

/// The error of a timing that all readings share, as a ratio; none where each has its own.
fn timed_together(visit: &Visit<'_>, readings: &[&FlowReading]) -> Option<f64> {
    let [first, others @ ..] = readings else {
        return None;
    };
    let (duration, timing) = first.time?;
    let is_shared = |other: &&FlowReading| other.time.is_some_and(|(_, its)| its == timing);
    let is_together = !others.is_empty() && others.iter().all(is_shared);
    let time = visit.primitives.get(duration).value;
    is_together.then(|| visit.primitives.get(timing).uncertainty / time)
}

/// A flow that is read off an instrument wavers: it is read anew within half a step (our choice).
fn reread(visit: &Visit<'_>, reading: &FlowReading, together: Option<f64>) -> Reread {
    let amount = visit.primitives.get(reading.amount);
    let step = amount.uncertainty * 12.0_f64.sqrt();
    let own = match (reading.time, together) {
        (_, Some(_)) => 0.0,
        (Some((duration, timing)), None) => {
            let time = visit.primitives.get(duration).value;
            amount.value * visit.primitives.get(timing).uncertainty / time
        }
        (None, None) => step / 2.0,
    };
    Reread {
        amount: amount.value,
        step,
        own,
    }
}

/// How far the flow of all nozzles differs from catch to catch, as the pressure is set anew; a ratio.
fn pressure_as_set(catch: &Catch) -> f64 {
    let set = catch.pressure.map(|pressure| pressure.quantity.si());
    // Flow goes with the root of the pressure, so it is off by half of what that is.
    set.filter(|pressure| 0.0 < *pressure)
        .map_or(0.0, |pressure| SET_WITHIN / 3.0_f64.sqrt() / pressure / 2.0)
}

impl Figure for ReadingsRepeated {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Repeated<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("earlier-date", |_, repeated| {
            Some(Fact::Date(repeated.last.date?.value))
        }),
        ("readings", |_, repeated| Some(Fact::whole(repeated.count))),
        ("once-in", |_, repeated| Some(visits(repeated.once_in))),
    ];

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
        let repeats = are_alike(&own, &before);
        let Some(once_in) = (if repeats { once_in(visit) } else { Some(0) }) else {
            let because = "the readings of the catch cannot be made flows";
            return vec![Member::unavailable(key, because, None, place)];
        };
        let repeated = Repeated {
            last,
            count: own.len(),
            once_in,
        };
        let same_day = last.date.map(|date| date.value) == visit.calibration.date.map(|d| d.value);
        let member = Member::new(key, repeated, place).in_case(same_day.then_some(SAME_DAY));
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
        Some(N::whole(repeated.once_in))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Repeated<'v>) -> Option<Fact> {
        Some(Fact::Words("these readings"))
    }

    fn held_against(&self) -> &'static str {
        "repeat these"
    }
}

/// So many visits, to two digits: the chance is known no better.
fn visits(once_in: u32) -> Fact {
    if MOST_VISITS <= once_in {
        return Fact::Words("more than a billion visits");
    }
    let mut unit = 1;
    while 100 * unit <= once_in {
        unit *= 10;
    }
    let rounded = (once_in + unit / 2) / unit * unit;
    Fact::phrase("{} visits", [Fact::number(f64::from(rounded), 0)])
}
