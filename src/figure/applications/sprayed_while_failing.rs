//! Applications made while a step they stand on was failing.

use super::episodes::{Episode, EpisodeOf, episodes, member};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};

/// The figure.
pub(crate) struct SprayedWhileFailing;

static ABOUT: About = About {
    id: "sprayed-while-failing",
    title: "how many applications were made while a step they stand on was failing",
    formula: "the count of applications from the failed test to when the step was done again",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &["done-again"],
};

impl Figure for SprayedWhileFailing {
    type Stratum = StateStratum;
    type Evidence<'v> = Episode<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, episode| {
            Some(standing.step_named(episode.state))
        }),
        ("rule", |_, episode| {
            let failing = episode.state.failing.as_ref()?;
            Some(Fact::Name(failing.rule.clone()))
        }),
        ("since", |_, episode| Some(Fact::Date(episode.done.day))),
        ("applications", |_, episode| Some(episode.applications())),
        ("when", |_, episode| Some(episode.when())),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Episode<'v>>> {
        episodes(standing, EpisodeOf::Failing)
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
        "left by that visit"
    }
}
