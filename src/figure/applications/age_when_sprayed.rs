//! How old a step was when it was last sprayed with.

use super::episodes::{Episode, EpisodeOf, episodes, member};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Number, days};
use crate::figure::standing::{Standing, StateStratum};

/// The figure.
pub(crate) struct AgeWhenSprayed;

static ABOUT: About = About {
    id: "age-when-sprayed",
    title: "how long ago a step had been done when it was last sprayed with",
    formula: "date of the last application before the step was done again - date it was done - days laid up between",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Step,
    step: None,
    cases: &["done-again"],
};

impl Figure for AgeWhenSprayed {
    type Stratum = StateStratum;
    type Evidence<'v> = Episode<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, episode| {
            Some(standing.step_named(episode.state))
        }),
        ("since", |_, episode| Some(Fact::Date(episode.done.day))),
        ("last", |_, episode| {
            Some(Fact::Date(episode.last.moment.day))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Episode<'v>>> {
        episodes(standing, EpisodeOf::Done)
            .map(|(key, episode)| {
                let done = episode.done.day;
                member(standing, key, episode).counted_from(done)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, episode: &Episode<'v>) -> Option<N> {
        let (done, last) = (episode.done.day, episode.last.moment.day);
        Some(days(standing.lay_ups.days_that_count(done, last)))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &Episode<'v>) -> Option<Fact> {
        Some(Fact::Words("sprayed"))
    }

    fn held_against(&self) -> &'static str {
        "last done"
    }
}
