//! The flow of each nozzle, for people to read.

use super::flows::Flows;
use super::of_nozzle::OfNozzle;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Step;

/// The figure.
pub(crate) struct NozzleFlow;

static ABOUT: About = About {
    id: "nozzle-flow",
    title: "the output of a nozzle",
    formula: "caught / duration; gpm = fl oz x 60 / (128 x s)",
    source: "by definition of the units",
    shown_as: ShownAs::Measured,
    family: Family::Nozzle,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for NozzleFlow {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = OfNozzle<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<OfNozzle<'v>>> {
        let mut members = Vec::new();
        for (stage, catch) in visit.catch.each() {
            let flows = Flows::<f64>::of(visit, catch);
            members.extend(flows.caught().map(|(nozzle, _)| {
                let of = OfNozzle { catch, nozzle };
                Member::new(of.key(visit, stage), of, of.place())
            }));
        }
        members
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<N> {
        let flows = Flows::<N>::of(visit, of.catch);
        flows.of_nozzle(of.nozzle).cloned()
    }

    fn read<'v>(&self, _: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Fact> {
        of.read()
    }

    fn units<'v>(&self, _: &'v Visit<'v>, of: &OfNozzle<'v>) -> Units {
        (of.catch.flow_unit(), None)
    }
}
