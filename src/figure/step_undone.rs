//! Which steps work has undone, and which it asks to check again.

use super::catalogue::{Compute, Entry, Family, Formula, ShownAs};
use super::number::{Measure, Number, Rational};
use super::{Member, Standing};
use crate::history::{StepState, Undone};
use crate::outcome::Key;
use crate::words;

/// Steps that work has voided.
pub(super) static VOID_FIGURE: Entry = Entry {
    id: "step-void",
    title: "whether work since a step was last done has voided what it found",
    formula: "1 where it has, by the table of work and steps",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &["sprayed"],
    compute: Compute::State(Formula {
        value: void::<f64>,
        measure: void::<Measure>,
        exact: void::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("this work".to_owned()),
        held_against: "last done",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
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
    }),
};

/// Steps that work asks to check again.
pub(super) static RE_CHECK_FIGURE: Entry = Entry {
    id: "step-to-re-check",
    title: "whether work since a step was last done asks to check it again",
    formula: "1 where it does, by the table of work and steps",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &[],
    compute: Compute::State(Formula {
        value: re_check::<f64>,
        measure: re_check::<Measure>,
        exact: re_check::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("this work".to_owned()),
        held_against: "last done",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
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
    }),
};

fn void_of<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s Undone> {
    standing.state(key.step?, key.setup)?.void.as_ref()
}

fn re_check_of<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s Undone> {
    standing.state(key.step?, key.setup)?.re_check.as_ref()
}

fn void<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, |state| state.void.as_ref())
}

fn re_check<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, |state| state.re_check.as_ref())
}

/// A step that was never done has nothing to undo.
fn members<'s, N: Number>(
    standing: &'s Standing<'_>,
    undone: impl Fn(&'s StepState) -> Option<&'s Undone>,
) -> Vec<Member<N>> {
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
                let sprayed = sprayed_since(standing, &key, undone) > 0;
                Member::new(key, N::whole(1), undone.place)
                    .against(done.place)
                    .in_case(sprayed.then_some("sprayed"))
            }
        }
    })
    .collect()
}

/// What makes it good again: only the nozzles that were fitted, or the whole step.
fn do_again(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let void = void_of(standing, key)?;
    match standing.nozzles_in_words(&void.nozzles) {
        Some(nozzles) => Some(format!("catch {nozzles} again at the working pressure")),
        None => Some(format!("do the {} again", standing.step_in_words(key)?)),
    }
}

fn sprayed_since(standing: &Standing<'_>, key: &Key, undone: &Undone) -> usize {
    let sprayings = standing.sprayings.iter();
    let void_then = sprayings.filter(|spraying| {
        spraying.steps.iter().any(|state| {
            Some(state.step) == key.step
                && state.setup == key.setup
                && state
                    .void
                    .as_ref()
                    .is_some_and(|void| void.place == undone.place)
        })
    });
    void_then.count()
}

fn applications(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let count = sprayed_since(standing, key, void_of(standing, key)?);
    Some(words::phrases::plural(count, "application"))
}
