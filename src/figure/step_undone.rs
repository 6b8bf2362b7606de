//! Which steps work has undone, and which it asks to check again.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::{Member, Standing};
use crate::history::{StepState, Undone};
use crate::outcome::Key;
use crate::words;

/// Steps that work has voided.
pub(super) static VOID_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "step-void",
        title: "whether work since a step was last done has voided what it found",
        formula: "1 where it has, by the table of work and steps",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Step,
        step: None,
        cases: &["sprayed"],
    },
    formula: Formula {
        value: void::<f64>,
        measure: void::<Measure>,
        exact: void::<Rational>,
        working: |_, _| None,
        read: |standing, key| Some(void_of(standing, key)?.because.to_owned()),
        held_against: "last done",
        units: |_, _| (None, None),
        slots: &[
            ("steps", |standing, key| {
                let undone = void_of(standing, key)?;
                Some(in_words(standing, &undone_alike(standing, undone, void_in)))
            }),
            ("are-void", |standing, key| {
                let undone = void_of(standing, key)?;
                let count = undone_alike(standing, undone, void_in).len();
                Some(if count == 1 { "is void" } else { "are void" }.to_owned())
            }),
            ("work", |standing, key| {
                Some(standing.undone_in_words(void_of(standing, key)?))
            }),
            ("day", |standing, key| {
                Some(words::dates::date(void_of(standing, key)?.day))
            }),
            ("because", |standing, key| {
                Some(void_of(standing, key)?.because.to_owned())
            }),
            ("do-again", do_again),
            ("applications", applications),
        ],
    },
};

/// Steps that work asks to check again.
pub(super) static RE_CHECK_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "step-to-re-check",
        title: "whether work since a step was last done asks to check it again",
        formula: "1 where it does, by the table of work and steps",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Step,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: re_check::<f64>,
        measure: re_check::<Measure>,
        exact: re_check::<Rational>,
        working: |_, _| None,
        read: |standing, key| Some(re_check_of(standing, key)?.because.to_owned()),
        held_against: "last done",
        units: |_, _| (None, None),
        slots: &[
            ("steps", |standing, key| {
                let undone = re_check_of(standing, key)?;
                Some(in_words(
                    standing,
                    &undone_alike(standing, undone, re_check_in),
                ))
            }),
            ("work", |standing, key| {
                Some(standing.undone_in_words(re_check_of(standing, key)?))
            }),
            ("day", |standing, key| {
                Some(words::dates::date(re_check_of(standing, key)?.day))
            }),
            ("because", |standing, key| {
                Some(re_check_of(standing, key)?.because.to_owned())
            }),
        ],
    },
};

/// What undid a step in one way.
type UndoneIn = fn(&StepState) -> Option<&Undone>;

fn void_in(state: &StepState) -> Option<&Undone> {
    state.void.as_ref()
}

/// What is void is done again, so there is nothing left to check.
fn re_check_in(state: &StepState) -> Option<&Undone> {
    state.re_check.as_ref().filter(|_| state.void.is_none())
}

fn void_of<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s Undone> {
    void_in(standing.state(key.step?, key.setup)?)
}

fn re_check_of<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s Undone> {
    re_check_in(standing.state(key.step?, key.setup)?)
}

fn void<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, void_in)
}

fn re_check<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, re_check_in)
}

/// Every step that the same piece of work undid: one finding tells of all of them.
fn undone_alike<'s>(
    standing: &'s Standing<'_>,
    by: &Undone,
    undone_in: UndoneIn,
) -> Vec<&'s StepState> {
    let done = standing.steps.iter().filter(|state| state.done().is_some());
    done.filter(|state| undone_in(state).is_some_and(|undone| undone.place == by.place))
        .collect()
}

/// More steps than this are counted, not listed.
const LISTED: usize = 3;

/// `the catch test and the section balance`.
fn in_words(standing: &Standing<'_>, states: &[&StepState]) -> String {
    let named = |state: &StepState| {
        let step = standing.step_in_words(&standing.step_key(state));
        format!("the {}", step.unwrap_or_default())
    };
    let mut listed: Vec<String> = states.iter().map(|state| named(state)).collect();
    // In the order of the procedure, which is that of the words, and of the setups' names.
    listed.sort();
    if listed.len() > LISTED {
        let more = listed.len() - 1;
        listed.truncate(1);
        listed.push(words::phrases::plural(more, "more step"));
    }
    words::phrases::list(&listed, "and")
}

/// A step that was never done has nothing to undo.
fn members<N: Number>(standing: &Standing<'_>, undone: UndoneIn) -> Vec<Member<N>> {
    let done = standing.steps_in_use().iter().filter_map(|state| {
        let done = state.done()?;
        Some((state, done))
    });
    done.map(|(state, done)| {
        let key = standing.step_key(state);
        match undone(state) {
            None => Member::new(key, N::whole(0), done.place),
            Some(undone) => {
                let key = Key {
                    record: Some(undone.place.file),
                    ..key
                };
                let sprayed = sprayed_since(standing, undone) > 0;
                Member::new(key, N::whole(1), undone.place)
                    .against(done.place)
                    .in_case(sprayed.then_some("sprayed"))
            }
        }
    })
    .collect()
}

/// What makes it good again: only the nozzles that were fitted, or whole steps.
fn do_again(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let void = void_of(standing, key)?;
    let alike = undone_alike(standing, void, void_in);
    let (some_nozzles, whole): (Vec<&StepState>, Vec<&StepState>) = alike
        .into_iter()
        .partition(|state| void_in(state).is_some_and(|undone| !undone.nozzles.is_empty()));
    let nozzles = some_nozzles.first().and_then(|state| void_in(state));
    let nozzles = nozzles.and_then(|undone| standing.nozzles_in_words(&undone.nozzles));
    let catch = nozzles.map(|nozzles| format!("catch {nozzles} again at the working pressure"));
    let steps = (!whole.is_empty()).then(|| format!("do {} again", in_words(standing, &whole)));
    let both: Vec<String> = catch.into_iter().chain(steps).collect();
    Some(both.join(", "))
}

/// The applications that stood on a step this work had voided.
fn sprayed_since(standing: &Standing<'_>, undone: &Undone) -> usize {
    let sprayings = standing.sprayings.iter();
    let void_then = sprayings.filter(|spraying| {
        let mut voids = spraying.steps.iter().filter_map(void_in);
        voids.any(|void| void.place == undone.place)
    });
    void_then.count()
}

fn applications(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let count = sprayed_since(standing, void_of(standing, key)?);
    Some(words::phrases::plural(count, "application"))
}
