//! How far repeated catches of one nozzle lie apart.

use super::flows;
use super::of_nozzle::OfNozzle;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{FlowReading, ReadingsStratum, Visit};
use crate::outcome::Step;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct RepeatSpread;

static ABOUT: About = About {
    id: "repeat-spread",
    title: "how far repeated catches of one nozzle lie apart, relative to their mean",
    formula: "(largest - smallest) / mean of the nozzle's readings",
    source: "our choice",
    shown_as: ShownAs::Percent,
    family: Family::Nozzle,
    step: Some(Step::Catch),
    cases: &[],
};

impl Figure for RepeatSpread {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = OfNozzle<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member for a nozzle caught once, and for one whose every reading is nothing.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<OfNozzle<'v>>> {
        let passes = |reading: &FlowReading| {
            let flow: f64 = flows::flow(&visit.primitives, reading);
            !flow.is_zero()
        };
        let mut members = Vec::new();
        for (stage, catch) in visit.catch.each() {
            members.extend(catch.nozzles.iter().filter_map(|nozzle| {
                let readings = &nozzle.readings;
                let is_repeated = 2 <= readings.len() && readings.iter().any(passes);
                let of = OfNozzle { catch, nozzle };
                is_repeated.then(|| Member::new(of.key(visit, stage), of, of.place()))
            }));
        }
        members
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<N> {
        let readings = of.nozzle.readings.iter();
        let flows: Vec<N> = readings
            .map(|reading| flows::flow(&visit.primitives, reading))
            .collect();
        let largest = flows.iter().max_by(|one, other| one.compare(other))?;
        let smallest = flows.iter().min_by(|one, other| one.compare(other))?;
        Some(largest.minus(smallest).over(&N::mean(&flows)))
    }

    /// In what was read: repeats of a nozzle share their time.
    fn working<'v>(&self, _: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Working> {
        let readings = || of.nozzle.readings.iter().map(|reading| reading.quantity);
        let largest = readings().max_by(|one, other| one.si().total_cmp(&other.si()))?;
        let smallest = readings().min_by(|one, other| one.si().total_cmp(&other.si()))?;
        let [largest, smallest] = [largest, smallest]
            .map(|amount| Expression::number(amount.si(), Fact::Written(amount)));
        let spread = largest.minus(smallest).over(of.mean_of_readings()?);
        Some(Working::deviation(spread))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, of: &OfNozzle<'v>) -> Option<Fact> {
        of.read()
    }
}
