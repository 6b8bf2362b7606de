//! How far each nozzle is off its rated flow at the catch's pressure.

use super::flows::{self, Flows};
use super::of_nozzle::OfNozzle;
use super::rated::Rated;
use crate::fact::Fact;
use crate::figure::about::{About, Family, NOZZLE_OFF_RATED, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct NozzleOffRated;

static ABOUT: About = About {
    id: NOZZLE_OFF_RATED,
    title: "how far a nozzle's flow is off its rated flow at the pressure of the catch",
    formula: "q / (rated flow x sqrt(pressure / rated pressure)) - 1",
    source: "square-root law of a fixed orifice",
    shown_as: ShownAs::Percent,
    family: Family::Nozzle,
    step: Some(Step::Catch),
    cases: &[],
};

/// A nozzle beside what it is rated to pass.
type RatedNozzle<'v> = (OfNozzle<'v>, Rated<'v>);

impl Figure for NozzleOffRated {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = RatedNozzle<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<RatedNozzle<'v>>> {
        let mut members = Vec::new();
        for (stage, catch) in visit.catch.each() {
            let rated = match Rated::of(visit, catch) {
                Ok(rated) => rated,
                Err((because, place)) => {
                    let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                    members.push(Member::unavailable(key, because, Some(place), catch.place));
                    continue;
                }
            };
            let flows = Flows::<f64>::of(visit, catch);
            if flows.caught().next().is_none() {
                members.push(flows::no_flows(visit, stage, catch));
            }
            members.extend(flows.caught().map(|(nozzle, _)| {
                let of = OfNozzle { catch, nozzle };
                let member = Member::new(of.key(visit, stage), (of, rated), of.place());
                member.against(rated.place())
            }));
        }
        members
    }

    fn value<'v, N: Number>(
        &self,
        visit: &'v Visit<'v>,
        (of, rated): &RatedNozzle<'v>,
    ) -> Option<N> {
        let flows = Flows::<N>::of(visit, of.catch);
        Some(flows.of_nozzle(of.nozzle)?.off(&rated.flow(visit)))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, (of, rated): &RatedNozzle<'v>) -> Option<Working> {
        let flows = Flows::<f64>::of(visit, of.catch);
        let own = of.catch.as_caught(*flows.of_nozzle(of.nozzle)?)?;
        Some(Working::deviation(own.off(rated.as_caught(visit)?)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, (of, _): &RatedNozzle<'v>) -> Option<Fact> {
        of.read()
    }

    fn held_against(&self) -> &'static str {
        "rated here"
    }
}
