//! Applications made while a step they stand on was void, failing, or old.
//!
//! One member an episode: the applications from what undid the step to when it was done again. What
//! was done again since is put right, and the applications are only worth knowing.

use crate::fact::Fact;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Spraying, Standing};
use crate::history::{Done, StepState};
use crate::outcome::Key;
use crate::source::Place;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What an episode is of.
#[derive(Clone, Copy)]
pub(super) enum EpisodeOf {
    /// What a step found was void.
    Void,
    /// A step was left failing.
    Failing,
    /// A step was done, and that was long ago.
    Done,
}

/// The applications of one episode.
pub(crate) struct Episode<'v> {
    count: usize,
    /// The day of the first of them.
    pub(super) first: Date,
    /// The last of them.
    pub(super) last: &'v Spraying<'v>,
    /// How the step stood then.
    pub(super) state: &'v StepState,
    /// When the step had been done.
    pub(super) done: Done,
    began_at: Place,
}

impl EpisodeOf {
    /// When the step had been done, and the place that marks the episode; none where a state belongs to none.
    fn marks(self, state: &StepState) -> Option<(Done, Place)> {
        // Where a record that cannot be read may have done the step again, nobody is accused.
        let done = state.done()?;
        let place = match (self, &state.void) {
            (Self::Void, void) => void.as_ref()?.place,
            // What is void tells nothing of what it found, and has no age.
            (Self::Failing | Self::Done, Some(_)) => return None,
            (Self::Failing, None) => state.failing.as_ref()?.place,
            (Self::Done, None) => done.place,
        };
        Some((done, place))
    }
}

impl Episode<'_> {
    /// How many applications.
    pub(super) fn count<N: Number>(&self) -> N {
        N::whole(u32::try_from(self.count).unwrap_or(u32::MAX))
    }

    /// `2 applications`.
    pub(super) fn applications(&self) -> Fact {
        Fact::Count {
            count: self.count,
            noun: "application",
        }
    }

    /// `on 2026-05-03`, `from 2026-05-03 to 2026-05-10`.
    pub(super) fn when(&self) -> Fact {
        let (first, last) = (self.first, self.last.moment.day);
        if first == last {
            Fact::phrase("on {}", [Fact::Date(first)])
        } else {
            Fact::phrase("from {} to {}", [Fact::Date(first), Fact::Date(last)])
        }
    }
}

/// The episodes of a machine, in the order they begin.
pub(super) fn episodes<'v>(
    standing: &'v Standing<'v>,
    of: EpisodeOf,
) -> impl Iterator<Item = (Key, Episode<'v>)> {
    let mut episodes: Vec<(Key, Episode<'v>)> = Vec::new();
    let mut places: BTreeMap<Key, usize> = BTreeMap::new();
    for spraying in &standing.sprayings {
        for state in &spraying.steps {
            let Some((done, began_at)) = of.marks(state) else {
                continue;
            };
            let key = Key {
                record: Some(began_at.file),
                ..standing.step_key(state)
            };
            let episode = |count, first| Episode {
                count,
                first,
                last: spraying,
                state,
                done,
                began_at,
            };
            if let Some((_, earlier)) = places.get(&key).and_then(|place| episodes.get_mut(*place))
            {
                *earlier = episode(earlier.count + 1, earlier.first);
            } else {
                places.insert(key, episodes.len());
                episodes.push((key, episode(1, spraying.moment.day)));
            }
        }
    }
    episodes.into_iter()
}

/// An episode as a member of a figure.
pub(super) fn member<'v>(
    standing: &'v Standing<'v>,
    key: Key,
    episode: Episode<'v>,
) -> Member<Episode<'v>> {
    let (last, began_at) = (episode.last.dated(), episode.began_at);
    let is_done_again = is_done_again(standing, &episode);
    Member::new(key, episode, last)
        .against(began_at)
        .put_right(is_done_again)
}

/// Whether the step was done again after the last application, or the nozzles it was void at were caught.
fn is_done_again(standing: &Standing<'_>, episode: &Episode<'_>) -> bool {
    let then = episode.state;
    let Some(now) = standing.state(then.step, then.setup) else {
        return false; // The machine no longer has the step.
    };
    let is_done_since = now.done().is_some_and(|done| {
        done.place != episode.done.place && episode.last.moment.day <= done.day
    });
    let is_void_no_more = then.void.is_some() && now.done().is_some() && now.void.is_none();
    is_done_since || is_void_no_more
}
