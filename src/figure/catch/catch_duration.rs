//! How long each nozzle was caught.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, ReadingsStratum, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct CatchDuration;

static ABOUT: About = About {
    id: "catch-duration",
    title: "how long each nozzle was caught, the shortest of them",
    formula: "as recorded",
    source: "as recorded",
    shown_as: ShownAs::Seconds,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[],
};

/// The shortest time of a catch; none of flows that were read.
fn shortest(visit: &Visit<'_>, catch: &Catch) -> Option<Shown> {
    let readings = catch.nozzles.iter().flat_map(|nozzle| &*nozzle.readings);
    let timed = readings.filter_map(|reading| Some((reading.time?.0, reading.duration?)));
    let seconds = |id| visit.primitives.get(id).value;
    let (id, quantity) =
        timed.min_by(|(one, _), (other, _)| seconds(*one).total_cmp(&seconds(*other)))?;
    let place = visit.primitives.get(id).place.unwrap_or(catch.place);
    Some(Shown {
        quantity,
        id,
        place,
    })
}

fn in_words(duration: &Shown) -> Fact {
    Fact::phrase("{} each", [Fact::Written(duration.quantity)])
}

impl Figure for CatchDuration {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Shown;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// Flows that were read have no duration, and so no member.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Shown>> {
        let catches = visit.catch.each();
        catches
            .filter_map(|(stage, catch)| {
                let duration = shortest(visit, catch)?;
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                Some(Member::new(key, duration, duration.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, duration: &Shown) -> Option<N> {
        Some(N::input(&visit.primitives, duration.id))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, duration: &Shown) -> Option<Working> {
        let seconds = Expression::number(duration.quantity.si(), in_words(duration));
        Some(Working::shown(seconds))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, duration: &Shown) -> Option<Fact> {
        Some(in_words(duration))
    }
}
