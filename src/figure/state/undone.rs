//! Steps that work has undone, in one way or another.

use crate::fact::Fact;
use crate::figure::member::Member;
use crate::figure::standing::Standing;
use crate::figure::view::View;
use crate::history::{StepState, Undone};
use crate::outcome::Key;

/// More steps than this are counted, not listed.
const LISTED: usize = 3;

/// The work that undid a step, if any.
pub(crate) type ByWork<'v> = Option<&'v Undone>;

/// What undid a step in one way.
pub(super) type UndoneIn = fn(&StepState) -> Option<&Undone>;

/// What voided it.
pub(super) fn void(state: &StepState) -> Option<&Undone> {
    state.void.as_ref()
}

/// What makes a recheck due; what is void is done again, so there is nothing left to check.
pub(super) fn recheck(state: &StepState) -> Option<&Undone> {
    state.recheck.as_ref().filter(|_| state.void.is_none())
}

/// Every step that was done, with the work that undid it, if any; one that was never done has nothing to undo.
pub(super) fn members<'v>(
    standing: &'v Standing<'v>,
    undone_in: UndoneIn,
) -> impl Iterator<Item = Member<ByWork<'v>>> {
    let states = standing.steps_in_use().iter();
    states.filter_map(move |state| {
        let done = state.done()?;
        let key = standing.step_key(state);
        Some(match undone_in(state) {
            None => Member::new(key, None, done.place),
            Some(undone) => {
                let key = Key {
                    record: Some(undone.place.file),
                    ..key
                };
                Member::new(key, Some(undone), undone.place).against(done.place)
            }
        })
    })
}

/// Every step that the same piece of work undid: one finding tells of all of them.
pub(super) fn undone_alike<'v>(
    standing: &'v Standing<'v>,
    by: &Undone,
    undone_in: UndoneIn,
) -> Vec<&'v StepState> {
    let done = standing.steps.iter().filter(|state| state.done().is_some());
    done.filter(|state| undone_in(state).is_some_and(|undone| undone.place == by.place))
        .collect()
}

/// `the catch test and the section balance`.
pub(super) fn steps_named(standing: &Standing<'_>, mut states: Vec<&StepState>) -> Fact {
    // In the order of the procedure, which is that of the words, and of the setups' names.
    states.sort_by_key(|state| {
        let setup = standing.setup_name(&standing.step_key(state));
        (state.step.test(), setup)
    });
    let named = states
        .iter()
        .map(|state| Fact::phrase("the {}", [standing.step_named(state)]));
    let mut listed: Vec<Fact> = named.collect();
    if listed.len() > LISTED {
        let count = listed.len() - 1;
        listed.truncate(1);
        listed.push(Fact::Count {
            count,
            noun: "more step",
        });
    }
    Fact::list(listed)
}
