//! How far the boom as a whole is off its rated flow: what uniform wear or a false gauge shows.

use super::flows::{self, Flows};
use super::known_agrees::known_agrees;
use super::rated::Rated;
use crate::fact::Fact;
use crate::figure::about::{About, Family, MEAN_OFF_RATED, ShownAs};
use crate::figure::advised::as_if_at;
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::visit::{Catch, ReadingsStratum, Visit};
use crate::outcome::{Part, Stage, Step};
use crate::source::Place;
use crate::working::Working;

/// The case of a boom that passes nothing.
const DRY: &str = "dry";
/// The case of a boom that a known volume of the same visit shows to be at its rated flow.
const KNOWN_AGREES: &str = "known-agrees";

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
    cases: &[DRY, KNOWN_AGREES, CHECK_FIRST],
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

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("mean", mean),
        ("as-if-pressure", |visit, rated| as_if_at(visit, rated)),
        ("known", |visit, rated| {
            known_agrees(visit, Stage::AsLeft, rated)
        }),
    ];

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
                        .in_case(case(visit, stage, &rated, mean)),
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

/// The case of a member: what its known volume says comes first, then whether the catch can be as it is written.
fn case(visit: &Visit<'_>, stage: Stage, rated: &Rated<'_>, mean: f64) -> Option<&'static str> {
    if mean.is_zero() {
        Some(DRY)
    } else if known_agrees(visit, stage, rated).is_some() {
        Some(KNOWN_AGREES)
    } else if as_if_at(visit, rated).is_none() {
        Some(CHECK_FIRST)
    } else {
        None
    }
}
