//! The rate that follows from the catch, for people to read.

use super::by_catch::ByCatch;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Step;

/// The figure.
pub(crate) struct RateByCatch;

static ABOUT: About = About {
    id: "rate-by-catch",
    title: "the rate the catch makes at the setup's speed; under pressure or manual control at the measured one, where there is one",
    formula: "sum(q) / (speed x spacing x nozzles)",
    source: "Missouri Extension G1270A; SD State Extension, mixing and calibration equations",
    shown_as: ShownAs::Measured,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for RateByCatch {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = ByCatch<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<ByCatch<'v>>> {
        ByCatch::members(visit)
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<N> {
        by_catch.rate(visit)
    }

    fn read<'v>(&self, visit: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Option<Fact> {
        by_catch.shown_rate(visit)
    }

    fn units<'v>(&self, _: &'v Visit<'v>, by_catch: &ByCatch<'v>) -> Units {
        (Some(by_catch.meant.quantity.unit), None)
    }
}
