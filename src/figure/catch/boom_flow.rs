//! The flow of the boom, for people to read.

use super::flows::{Flows, no_flow_of_boom};
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct BoomFlow;

static ABOUT: About = About {
    id: "boom-flow",
    title: "what the boom passes, where every nozzle was caught",
    formula: "sum(q)",
    source: "by definition",
    shown_as: ShownAs::Measured,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for BoomFlow {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = &'v Catch;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v Catch>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                if Flows::<f64>::of(visit, catch).of_boom().is_some() {
                    return Member::new(key, catch, catch.place);
                }
                let because = no_flow_of_boom(visit);
                Member::unavailable(key, because, Some(catch.place), catch.place)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, catch: &&'v Catch) -> Option<N> {
        Some(N::sum(Flows::of(visit, catch).of_boom()?))
    }

    fn units<'v>(&self, _: &'v Visit<'v>, catch: &&'v Catch) -> Units {
        (catch.flow_unit(), None)
    }
}
