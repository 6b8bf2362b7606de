//! The flow a nozzle is rated for at the pressure of the catch, for people to read.

use super::rated::Rated;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct RatedFlow;

static ABOUT: About = About {
    id: "rated-flow",
    title: "what a nozzle of the setup is rated to pass at the pressure of the catch",
    formula: "rated flow x sqrt(pressure / rated pressure)",
    source: "square-root law of a fixed orifice",
    shown_as: ShownAs::Measured,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for RatedFlow {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Rated<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Rated<'v>>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                match Rated::of(visit, catch) {
                    Ok(rated) => Member::new(key, rated, catch.place).against(rated.place()),
                    Err((because, place)) => {
                        Member::unavailable(key, because, Some(place), catch.place)
                    }
                }
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<N> {
        Some(rated.flow(visit))
    }

    fn held_against(&self) -> &'static str {
        "rated here"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, rated: &Rated<'v>) -> Units {
        (rated.catch.flow_unit(), None)
    }
}
