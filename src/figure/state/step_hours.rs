//! How many hours a machine was used since each step of each setup was last done.

use crate::fact::Fact;
use crate::figure::about::{About, Family, STEP_HOURS, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{HoursUsed, Standing, StateStratum};
use crate::history::{Done, StepState};

/// The figure.
pub(crate) struct StepHours;

static ABOUT: About = About {
    id: STEP_HOURS,
    title: "how many hours the machine was used since each step of each setup was last done",
    formula: "engine hours now - engine hours at the last visit that did the step, + before - after of each change of the hour meter between",
    source: "counting",
    shown_as: ShownAs::Hours,
    family: Family::Step,
    step: None,
    cases: &[],
};

/// A step that was done, with the hour meter then and now.
pub(crate) struct Used<'v> {
    state: &'v StepState,
    done: Done,
    hours: &'v HoursUsed,
}

impl Figure for StepHours {
    type Stratum = StateStratum;
    type Evidence<'v> = Used<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, used| {
            Some(standing.step_named(used.state))
        }),
        ("last-done", |_, used| Some(Fact::Date(used.done.day))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A machine whose hours nobody reads has no age in hours.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Used<'v>>> {
        let states = standing.steps_in_use().iter().zip(&standing.step_hours);
        states
            .filter_map(|(state, hours)| {
                let done = state.done()?;
                let hours = hours.as_ref()?;
                let used = Used { state, done, hours };
                let key = standing.step_key(state);
                Some(Member::new(key, used, done.place).against(hours.now.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, used: &Used<'v>) -> Option<N> {
        Some(used.hours.value(&standing.primitives))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &Used<'v>) -> Option<Fact> {
        Some(Fact::Words("last done"))
    }

    fn held_against(&self) -> &'static str {
        "last read"
    }
}
