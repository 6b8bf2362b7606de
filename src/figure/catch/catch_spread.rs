//! The spread of a catch: how far its extremes lie apart.

use super::flows::{self, Flows};
use super::of_nozzle::OfNozzle;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct CatchSpread;

static ABOUT: About = About {
    id: "catch-spread",
    title: "how far the largest and the smallest nozzle flow lie apart, relative to the mean",
    formula: "(largest q - smallest q) / mean(q); a plugged nozzle is left out",
    source: "our choice",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[],
};

/// The nozzles of a catch that pass most and least; the first from the left where several tie.
pub(crate) struct Extremes<'v> {
    largest: OfNozzle<'v>,
    smallest: OfNozzle<'v>,
}

impl<'v> Extremes<'v> {
    /// None where no nozzle passes anything.
    fn of(visit: &Visit<'_>, catch: &'v Catch) -> Option<Self> {
        let mut passing = Flows::<f64>::of(visit, catch).passing();
        let first = passing.next()?;
        let (mut largest, mut smallest) = (first, first);
        for next in passing {
            if next.1.compare(largest.1).is_gt() {
                largest = next;
            }
            if next.1.compare(smallest.1).is_lt() {
                smallest = next;
            }
        }
        let [largest, smallest] = [largest, smallest].map(|(nozzle, _)| OfNozzle { catch, nozzle });
        Some(Self { largest, smallest })
    }

    fn catch(&self) -> &'v Catch {
        self.largest.catch
    }
}

impl Figure for CatchSpread {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Extremes<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Extremes<'v>>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let Some(extremes) = Extremes::of(visit, catch) else {
                    return flows::no_flows(visit, stage, catch);
                };
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                let [largest, smallest] =
                    [&extremes.largest, &extremes.smallest].map(OfNozzle::place);
                Member::new(key, extremes, largest).against(smallest)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, extremes: &Extremes<'v>) -> Option<N> {
        let flows = Flows::<N>::of(visit, extremes.catch());
        let largest = flows.of_nozzle(extremes.largest.nozzle)?;
        let smallest = flows.of_nozzle(extremes.smallest.nozzle)?;
        Some(largest.minus(smallest).over(&flows.mean()?))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, extremes: &Extremes<'v>) -> Option<Working> {
        let catch = extremes.catch();
        let flows = Flows::<f64>::of(visit, catch);
        let largest = catch.as_caught(*flows.of_nozzle(extremes.largest.nozzle)?)?;
        let smallest = catch.as_caught(*flows.of_nozzle(extremes.smallest.nozzle)?)?;
        let spread = largest
            .minus(smallest)
            .over(catch.as_caught(flows.mean()?)?);
        Some(Working::deviation(spread))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Extremes<'v>) -> Option<Fact> {
        Some(Fact::Words("largest"))
    }

    fn held_against(&self) -> &'static str {
        "smallest"
    }
}
