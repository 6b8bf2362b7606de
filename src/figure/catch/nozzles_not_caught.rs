//! How many nozzles a catch leaves out.
//!
//! A catch of nozzles that were fitted one by one leaves out none by saying nothing of the others: the
//! last whole catch still tells of them.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, CaughtNozzle, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct NozzlesNotCaught;

static ABOUT: About = About {
    id: "nozzles-not-caught",
    title: "how many nozzles of the boom were not caught",
    formula: "nozzles of the boom - nozzles caught",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &["done-again"],
};

/// More are counted, and fewer of them named.
const MOST_NAMED: usize = 3;
const NAMED_OF_MORE: usize = 2;

/// A catch with the nozzles it leaves out.
pub(crate) struct LeftOut<'v> {
    catch: &'v Catch,
    nozzles: Vec<&'v CaughtNozzle>,
}

impl<'v> LeftOut<'v> {
    /// A nozzle whose reading cannot be read was caught: a finding of its own tells of it.
    fn of(visit: &Visit<'_>, catch: &'v Catch) -> Self {
        let is_of_fitted = is_of_fitted(visit, catch);
        let is_left_out = |nozzle: &&CaughtNozzle| {
            let is_said = nozzle.place.is_some();
            nozzle.readings.is_empty() && !nozzle.unreadable && (is_said || !is_of_fitted)
        };
        Self {
            catch,
            nozzles: catch.nozzles.iter().filter(is_left_out).collect(),
        }
    }

    /// Whether later visits, up to the day of the check, caught all of them.
    fn is_caught_since(&self, visit: &Visit<'_>) -> bool {
        if self.nozzles.is_empty() {
            return false; // As most are.
        }
        let nozzles = self.nozzles.iter().map(|nozzle| nozzle.nozzle.number);
        let nozzles: Vec<u16> = nozzles.collect();
        let timeline = visit.records.timeline;
        timeline.is_caught_since(visit.calibration, &nozzles, visit.today)
    }

    fn count(&self) -> u32 {
        u32::try_from(self.nozzles.len()).unwrap_or(u32::MAX)
    }
}

/// Whether it catches nozzles that were fitted since the last whole catch.
fn is_of_fitted(visit: &Visit<'_>, catch: &Catch) -> bool {
    let is_whole = catch.nozzles.iter().all(|one| !one.readings.is_empty());
    if is_whole {
        return false; // As most are.
    }
    let fitted = visit.fitted();
    let mut caught = catch.nozzles.iter().filter(|one| !one.readings.is_empty());
    caught.any(|one| fitted.contains(&one.nozzle.number))
}

impl Figure for NozzlesNotCaught {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = LeftOut<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("nozzles", nozzles),
        ("of-nozzles", |_, left_out| {
            let (count, noun) = (left_out.catch.nozzles.len(), "nozzle");
            Some(Fact::Count { count, noun })
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where the catch is not filled in: the note of its text tells what is missing.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<LeftOut<'v>>> {
        if Step::Catch.not_filled_in(visit.calibration).is_some() {
            return Vec::new();
        }
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                let left_out = LeftOut::of(visit, catch);
                let place = left_out.nozzles.iter().find_map(|nozzle| nozzle.place);
                let is_caught_since = left_out.is_caught_since(visit);
                Member::new(key, left_out, place.unwrap_or(catch.place)).put_right(is_caught_since)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, left_out: &LeftOut<'v>) -> Option<N> {
        Some(N::whole(left_out.count()))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, left_out: &LeftOut<'v>) -> Option<Working> {
        let all = u32::try_from(left_out.catch.nozzles.len()).ok()?;
        let caught = all - left_out.count();
        let all = Expression::whole(all).shown_as(|all| Fact::phrase("{} on the boom", [all]));
        let caught = Expression::whole(caught).shown_as(|one| Fact::phrase("{} caught", [one]));
        let result = Fact::whole(left_out.nozzles.len());
        Some(Working::of(all.minus(caught), result))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &LeftOut<'v>) -> Option<Fact> {
        Some(Fact::Words("not caught"))
    }
}

fn nozzles<'v>(visit: &'v Visit<'v>, left_out: &LeftOut<'v>) -> Option<Fact> {
    let count = left_out.nozzles.len();
    let n_named = if MOST_NAMED < count {
        NAMED_OF_MORE
    } else {
        count
    };
    let named = left_out.nozzles.iter().take(n_named);
    let name = |nozzle: &&CaughtNozzle| visit.subject.nozzle(nozzle.nozzle.number);
    Some(Fact::List {
        named: named.map(name).collect::<Option<_>>()?,
        more: count - n_named,
    })
}
