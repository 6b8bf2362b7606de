//! How much a machine was used since each step of each setup was last done.

use super::about::{About, Family, STEP_APPLICATIONS, STEP_HOURS, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::primitive::PrimitiveId;
use super::standing::StateStratum;
use super::{Member, Standing};
use crate::outcome::Key;
use crate::words;

/// Hours of use.
pub(super) static HOURS_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: STEP_HOURS,
        title: "how many hours the machine was used since each step of each setup was last done",
        formula: "hour-meter now - hour-meter at the last visit that did the step",
        source: "counting",
        shown_as: ShownAs::Hours,
        family: Family::Step,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: hours::<f64>,
        measure: hours::<Measure>,
        exact: hours::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("last done".to_owned()),
        held_against: "last read",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
            ("last-done", last_done),
        ],
    },
};

/// Applications.
pub(super) static APPLICATIONS_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: STEP_APPLICATIONS,
        title: "how many applications were made since each step of each setup was last done",
        formula: "the count of applications, with the setup where the step has one",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Step,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: applications::<f64>,
        measure: applications::<Measure>,
        exact: applications::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("last done".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.step_in_words(key)),
            ("last-done", last_done),
        ],
    },
};

fn last_done(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let done = standing.state(key.step?, key.setup)?.done()?;
    Some(words::dates::date(done.day))
}

/// A machine whose hours nobody reads has no age in hours.
fn hours<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let input = |id: PrimitiveId| N::input(&standing.primitives, id);
    let states = standing.steps_in_use().iter().zip(&standing.step_hours);
    states
        .filter_map(|(state, hours)| {
            let place = state.done()?.place;
            let (then, now) = (*hours)?;
            let used = input(now.id).minus(&input(then.id));
            let key = standing.step_key(state);
            Some(Member::new(key, used, place).against(now.place))
        })
        .collect()
}

fn applications<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let done = standing.steps_in_use().iter().filter_map(|state| {
        let place = state.done()?.place;
        let count = u32::try_from(state.used.applications).unwrap_or(u32::MAX);
        Some(Member::new(
            standing.step_key(state),
            N::whole(count),
            place,
        ))
    });
    done.collect()
}
