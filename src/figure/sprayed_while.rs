//! Applications made while a step they stand on was void, failing, or old.
//!
//! One member an episode: the applications from what undid the step to when it was done again. What
//! was done again since is put right, and the applications are only worth knowing.

use super::about::{About, Family, ShownAs};
use super::days_ahead::days;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::Spraying;
use super::standing::StateStratum;
use super::{Member, Standing};
use crate::history::StepState;
use crate::outcome::Key;
use crate::source::Place;
use crate::words;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// Applications while a step was void.
pub(super) static VOID_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "sprayed-while-void",
        title: "how many applications were made while a step they stand on was void",
        formula: "the count of applications from the work to when the step was done again",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Step,
        step: None,
        cases: &["done-again"],
    },
    formula: Formula {
        value: void::<f64>,
        measure: void::<Measure>,
        exact: void::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("sprayed".to_owned()),
        held_against: "this work",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
            ("work", |standing, key| {
                let (_, state) = last_of(standing, key, EpisodeOf::Void)?;
                Some(standing.undone_in_words(state.void.as_ref()?))
            }),
            ("since", |standing, key| {
                let (_, state) = last_of(standing, key, EpisodeOf::Void)?;
                Some(words::dates::date(state.void.as_ref()?.day))
            }),
            ("applications", |standing, key| {
                Some(applications(standing, key, EpisodeOf::Void))
            }),
            ("when", |standing, key| when(standing, key, EpisodeOf::Void)),
        ],
    },
};

/// Applications while a step was failing.
pub(super) static FAILING_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "sprayed-while-failing",
        title: "how many applications were made while a step they stand on was failing",
        formula: "the count of applications from the failed test to when the step was done again",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Step,
        step: None,
        cases: &["done-again"],
    },
    formula: Formula {
        value: failing::<f64>,
        measure: failing::<Measure>,
        exact: failing::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("sprayed".to_owned()),
        held_against: "left so",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
            ("rule", |standing, key| {
                let (_, state) = last_of(standing, key, EpisodeOf::Failing)?;
                Some(state.failing.as_ref()?.rule.clone())
            }),
            ("since", |standing, key| {
                let (_, state) = last_of(standing, key, EpisodeOf::Failing)?;
                Some(words::dates::date(state.done()?.day))
            }),
            ("applications", |standing, key| {
                Some(applications(standing, key, EpisodeOf::Failing))
            }),
            ("when", |standing, key| {
                when(standing, key, EpisodeOf::Failing)
            }),
        ],
    },
};

/// How old a step was when it was last sprayed with.
pub(super) static AGE_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "age-when-sprayed",
        title: "how long ago a step had been done when it was last sprayed with",
        formula: "date of the last application before the step was done again - date it was done",
        source: "counting",
        shown_as: ShownAs::Days,
        family: Family::Step,
        step: None,
        cases: &["done-again"],
    },
    formula: Formula {
        value: age::<f64>,
        measure: age::<Measure>,
        exact: age::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("sprayed".to_owned()),
        held_against: "last done",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
            ("since", |standing, key| {
                let (_, state) = last_of(standing, key, EpisodeOf::Done)?;
                Some(words::dates::date(state.done()?.day))
            }),
            ("last", |standing, key| {
                let (spraying, _) = last_of(standing, key, EpisodeOf::Done)?;
                Some(words::dates::date(spraying.moment.day))
            }),
        ],
    },
};

/// What an episode is of.
#[derive(Clone, Copy)]
enum EpisodeOf {
    Void,
    Failing,
    Done,
}

/// A step in an application, by the place of each in its list.
#[derive(Clone, Copy, Debug)]
struct SprayedStep {
    spraying: usize,
    step: usize,
}

/// The steps in applications by the key of their episode.
type Places = BTreeMap<Key, Vec<SprayedStep>>;

/// The episodes of a machine, each kind found once however often it is asked for.
#[derive(Debug, Default)]
pub(super) struct KeptEpisodes {
    void: OnceCell<Places>,
    failing: OnceCell<Places>,
    done: OnceCell<Places>,
}

impl EpisodeOf {
    /// The place that marks an episode; none where a state belongs to none.
    fn place(self, state: &StepState) -> Option<Place> {
        match self {
            Self::Void => void_at(state),
            Self::Failing => failing_at(state),
            Self::Done => done_at(state),
        }
    }

    fn kept(self, episodes: &KeptEpisodes) -> &OnceCell<Places> {
        match self {
            Self::Void => &episodes.void,
            Self::Failing => &episodes.failing,
            Self::Done => &episodes.done,
        }
    }
}

/// Episodes by key.
fn episodes<'s>(standing: &'s Standing<'_>, of: EpisodeOf) -> &'s Places {
    of.kept(&standing.episodes).get_or_init(|| {
        let mut episodes = Places::new();
        for (spraying, sprayed) in standing.sprayings.iter().enumerate() {
            for (step, state) in sprayed.steps.iter().enumerate() {
                let Some(place) = of.place(state) else {
                    continue;
                };
                let key = Key {
                    record: Some(place.file),
                    ..standing.step_key(state)
                };
                let place = SprayedStep { spraying, step };
                episodes.entry(key).or_default().push(place);
            }
        }
        episodes
    })
}

/// Where a record that cannot be read may have done the step again, nobody is accused.
fn void_at(state: &StepState) -> Option<Place> {
    state.done()?;
    Some(state.void.as_ref()?.place)
}

/// What is void tells nothing of what it found.
fn failing_at(state: &StepState) -> Option<Place> {
    state.done().filter(|_| state.void.is_none())?;
    Some(state.failing.as_ref()?.place)
}

/// What is void has no age.
fn done_at(state: &StepState) -> Option<Place> {
    let done = state.done().filter(|_| state.void.is_none())?;
    Some(done.place)
}

/// The application and the step at a place.
fn at_place<'s, 'a>(
    standing: &'s Standing<'a>,
    place: SprayedStep,
) -> Option<(&'s Spraying<'a>, &'s StepState)> {
    let spraying = standing.sprayings.get(place.spraying)?;
    Some((spraying, spraying.steps.get(place.step)?))
}

/// The applications of the episode with a key.
fn of_key<'s>(standing: &'s Standing<'_>, key: &Key, of: EpisodeOf) -> &'s [SprayedStep] {
    episodes(standing, of).get(key).map_or(&[], Vec::as_slice)
}

fn last_of<'s, 'a>(
    standing: &'s Standing<'a>,
    key: &Key,
    of: EpisodeOf,
) -> Option<(&'s Spraying<'a>, &'s StepState)> {
    at_place(standing, *of_key(standing, key, of).last()?)
}

fn applications(standing: &Standing<'_>, key: &Key, of: EpisodeOf) -> String {
    let count = of_key(standing, key, of).len();
    words::phrases::plural(count, "application")
}

/// `on 2026-05-03`, `from 2026-05-03 to 2026-05-10`.
fn when(standing: &Standing<'_>, key: &Key, of: EpisodeOf) -> Option<String> {
    let episode = of_key(standing, key, of);
    let day = |place: &SprayedStep| Some(at_place(standing, *place)?.0.moment.day);
    let (first, last) = (day(episode.first()?)?, day(episode.last()?)?);
    let in_words = words::dates::date;
    Some(if first == last {
        format!("on {}", in_words(first))
    } else {
        format!("from {} to {}", in_words(first), in_words(last))
    })
}

/// Whether the step was done again after an application, or the nozzles it was void at were caught.
fn is_done_again(standing: &Standing<'_>, spraying: &Spraying<'_>, state: &StepState) -> bool {
    let Some(now) = standing.state(state.step, state.setup) else {
        return false; // The machine no longer has the step.
    };
    let then = state.done().map(|done| done.place);
    let is_done_since = now
        .done()
        .is_some_and(|done| Some(done.place) != then && spraying.moment.day <= done.day);
    let is_void_no_more = state.void.is_some() && now.done().is_some() && now.void.is_none();
    is_done_since || is_void_no_more
}

fn counted<N: Number>(standing: &Standing<'_>, of: EpisodeOf) -> Vec<Member<N>> {
    let episodes = episodes(standing, of).iter();
    episodes
        .filter_map(|(key, episode)| {
            let (last, state) = at_place(standing, *episode.last()?)?;
            let count = u32::try_from(episode.len()).unwrap_or(u32::MAX);
            let member = Member::new(*key, N::whole(count), last.dated()).against(of.place(state)?);
            Some(member.put_right(is_done_again(standing, last, state)))
        })
        .collect()
}

fn void<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    counted(standing, EpisodeOf::Void)
}

fn failing<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    counted(standing, EpisodeOf::Failing)
}

fn age<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let episodes = episodes(standing, EpisodeOf::Done).iter();
    episodes
        .filter_map(|(key, episode)| {
            let (last, state) = at_place(standing, *episode.last()?)?;
            let done = state.done()?;
            let age = last.moment.day.since(done.day);
            let age = u32::try_from(age.map_or(0, |span| span.get_days())).unwrap_or(0);
            let member = Member::new(*key, days(age), last.dated())
                .against(done.place)
                .counted_from(done.day);
            Some(member.put_right(is_done_again(standing, last, state)))
        })
        .collect()
}
