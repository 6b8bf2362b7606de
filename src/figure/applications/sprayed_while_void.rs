//! Applications made while a step they stand on was void.

use super::episodes::{Episode, EpisodeOf, episodes, member};
use crate::fact::Fact;
use crate::figure::about::{About, FIRST_SPRAYED, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};

/// The figure.
pub(crate) struct SprayedWhileVoid;

static ABOUT: About = About {
    id: "sprayed-while-void",
    title: "how many applications were made while a step they stand on was void",
    formula: "the count of applications from the work to when the step was done again",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &["done-again"],
};

impl Figure for SprayedWhileVoid {
    type Stratum = StateStratum;
    type Evidence<'v> = Episode<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, episode| {
            Some(standing.step_named(episode.state))
        }),
        ("work", |standing, episode| {
            Some(standing.work_of(episode.state.void.as_ref()?))
        }),
        ("since", |_, episode| {
            Some(Fact::Date(episode.state.void.as_ref()?.day))
        }),
        ("applications", |_, episode| Some(episode.applications())),
        ("when", |_, episode| Some(episode.when())),
        (FIRST_SPRAYED, |_, episode| Some(Fact::Date(episode.first))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Episode<'v>>> {
        episodes(standing, EpisodeOf::Void)
            .map(|(key, episode)| member(standing, key, episode))
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, episode: &Episode<'v>) -> Option<N> {
        Some(episode.count())
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &Episode<'v>) -> Option<Fact> {
        Some(Fact::Words("sprayed"))
    }

    fn held_against(&self) -> &'static str {
        "this work"
    }
}
