//! The mean flow of the nozzles that pass anything, for people to read.

use super::flows::{self, Flows};
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct MeanFlow;

static ABOUT: About = About {
    id: "mean-flow",
    title: "the boom average: the mean output of all nozzles that have flow",
    formula: "mean(q); a plugged nozzle is left out",
    source: "by definition",
    shown_as: ShownAs::Measured,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for MeanFlow {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = &'v Catch;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v Catch>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                if Flows::<f64>::of(visit, catch).mean().is_none() {
                    return flows::no_flows(visit, stage, catch);
                }
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                Member::new(key, catch, catch.place)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, catch: &&'v Catch) -> Option<N> {
        Flows::of(visit, catch).mean()
    }

    fn units<'v>(&self, _: &'v Visit<'v>, catch: &&'v Catch) -> Units {
        (catch.flow_unit(), None)
    }
}
