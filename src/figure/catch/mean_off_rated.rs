//! How far the boom as a whole is off its rated flow: what uniform wear or a false gauge shows.

use super::flows::{self, Flows};
use super::rated::Rated;
use crate::fact::Fact;
use crate::figure::about::{About, Family, MEAN_OFF_RATED, ShownAs};
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, ReadingsStratum, Visit};
use crate::outcome::{Part, Stage, Step};
use crate::source::Place;
use crate::working::Working;

/// The case of a boom that passes nothing.
const DRY: &str = "dry";

/// The figure.
pub(crate) struct MeanOffRated;

static ABOUT: About = About {
    id: MEAN_OFF_RATED,
    title: "how far the mean flow of the boom is off the rated flow at the pressure of the catch",
    formula: "mean(q) / (rated flow x sqrt(pressure / rated pressure)) - 1",
    source: "square-root law of a fixed orifice",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[DRY],
};

/// The mean as left, off rated, with where it was caught; none where either is not known.
pub fn as_left<N: Number>(visit: &Visit<'_>) -> Option<(N, Place)> {
    let mut members = MeanOffRated.members(visit).into_iter();
    let left = members.find(|member| member.key.stage == Some(Stage::AsLeft))?;
    let mean = MeanOffRated.value(visit, &left.value.ok()?)?;
    Some((mean, left.subject))
}

impl Figure for MeanOffRated {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Rated<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] =
        &[("mean", mean), ("pressure-for-rated", pressure_for_rated)];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Rated<'v>>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                let rated = match Rated::of(visit, catch) {
                    Ok(rated) => rated,
                    Err((because, place)) => {
                        return Member::unavailable(key, because, Some(place), catch.place);
                    }
                };
                let flows = Flows::<f64>::of(visit, catch);
                if let Some(because) = too_few(&flows, catch) {
                    return Member::unavailable(key, because, Some(catch.place), catch.place);
                }
                match flows.mean_or_nothing() {
                    Some(mean) => Member::new(key, rated, catch.place)
                        .against(rated.place())
                        .in_case(mean.is_zero().then_some(DRY)),
                    None => flows::no_flows(visit, stage, catch),
                }
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<N> {
        let mean: N = Flows::of(visit, rated.catch).mean_or_nothing()?;
        Some(mean.off(&rated.flow(visit)))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<Working> {
        let mean = Flows::of(visit, rated.catch).mean_or_nothing()?;
        let mean = rated.catch.as_caught(mean)?;
        Some(Working::deviation(mean.off(rated.as_caught(visit)?)))
    }

    fn read<'v>(&self, visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<Fact> {
        mean(visit, rated)
    }

    fn held_against(&self) -> &'static str {
        "rated here"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, rated: &Rated<'v>) -> Units {
        (rated.catch.caught_in(), Some(rated.unit()))
    }
}

/// Why the nozzles caught do not tell of the boom: half of them at least must be caught (our choice). What single nozzles
/// are off their rated flow is a figure of its own.
fn too_few(flows: &Flows<'_, f64>, catch: &Catch) -> Option<&'static str> {
    let caught = flows.caught().count();
    (0 < caught && 2 * caught < catch.nozzles.len())
        .then_some("fewer than half of the nozzles were caught, so the boom average is not known")
}

/// The mean as the catch would have read it, and of how many nozzles it is.
fn mean<'v>(visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<Fact> {
    let catch = rated.catch;
    let flows = Flows::<f64>::of(visit, catch);
    let mean = catch.shown_as_caught(flows.mean_or_nothing()?)?;
    let (passing, count) = (flows.passing().count(), catch.nozzles.len());
    let [of_passing, of_count] = [passing, count].map(Fact::whole);
    Some(if passing == count {
        Fact::phrase("mean of {}: {}", [of_count, mean])
    } else {
        Fact::phrase("mean of {} of {}: {}", [of_passing, of_count, mean])
    })
}

/// The pressure at which the mean would pass the rated flow: P2 = P1 x (Q2 / Q1)^2.
fn pressure_for_rated<'v>(visit: &'v Visit<'v>, rated: &Rated<'v>) -> Option<Fact> {
    let mean = Flows::<f64>::of(visit, rated.catch).mean()?;
    let gauge = rated.pressure.quantity;
    let ratio = rated.flow::<f64>(visit) / mean;
    Some(Fact::to_set(gauge.si() * ratio * ratio, gauge.unit))
}
