//! How far each nozzle is off the mean that was not caught again, where others were.

use super::flows::Flows;
use super::nozzle_off_mean::NozzleOffMean;
use super::of_nozzle::OfNozzle;
use super::retests::nozzles;
use crate::fact::Fact;
use crate::figure::about::{About, Family, NOZZLE_NOT_RETESTED, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{CaughtNozzle, ReadingsStratum, Visit};
use crate::outcome::{Stage, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct NozzleNotRetested;

static ABOUT: About = About {
    id: NOZZLE_NOT_RETESTED,
    title: "how far a nozzle that was not caught again is off the mean, in a visit that caught others again",
    formula: "q / mean(q) - 1, as left",
    source: "as of nozzle-off-mean",
    shown_as: ShownAs::Percent,
    family: Family::Nozzle,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for NozzleNotRetested {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = OfNozzle<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("retested", |visit, _| {
        let again: Vec<u16> = caught_again(visit).map(|one| one.nozzle.number).collect();
        nozzles(visit, &again)
    })];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where every nozzle was caught once only, or each of them again.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<OfNozzle<'v>>> {
        let Some(catch) = visit.catch.at(Stage::AsLeft) else {
            return Vec::new();
        };
        let again: Vec<u16> = caught_again(visit).map(|one| one.nozzle.number).collect();
        let flows = Flows::<f64>::of(visit, catch);
        if again.is_empty() || flows.mean().is_none() {
            return Vec::new();
        }
        let others = flows.caught().map(|(nozzle, _)| nozzle);
        let others = others.filter(|nozzle| !again.contains(&nozzle.nozzle.number));
        others
            .map(|nozzle| {
                let of = OfNozzle { catch, nozzle };
                Member::new(of.key(visit, Stage::AsLeft), of, of.place())
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<N> {
        NozzleOffMean.value(visit, of)
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Working> {
        NozzleOffMean.working(visit, of)
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &OfNozzle<'v>) -> Option<Fact> {
        Some(Fact::Words("not caught again"))
    }
}

/// The nozzles that some catch after the one of the whole boom caught again.
fn caught_again<'v>(visit: &'v Visit<'v>) -> impl Iterator<Item = &'v CaughtNozzle> {
    let nozzles = visit.catch.left.iter().flat_map(|catch| &catch.nozzles);
    nozzles.filter(|nozzle| nozzle.is_again)
}
