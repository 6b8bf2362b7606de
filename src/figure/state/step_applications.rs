//! How many applications were made since each step of each setup was last done.

use crate::fact::Fact;
use crate::figure::about::{About, Family, STEP_APPLICATIONS, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::history::{Done, StepState};

/// The figure.
pub(crate) struct StepApplications;

static ABOUT: About = About {
    id: STEP_APPLICATIONS,
    title: "how many applications were made since each step of each setup was last done",
    formula: "the count of applications, with the setup where the step has one",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &[],
};

/// A step that was done.
type StepDone<'v> = (&'v StepState, Done);

impl Figure for StepApplications {
    type Stratum = StateStratum;
    type Evidence<'v> = StepDone<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, (state, _)| {
            Some(standing.step_named(state))
        }),
        ("last-done", |_, (_, done)| Some(Fact::Date(done.day))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<StepDone<'v>>> {
        let states = standing.steps_in_use().iter();
        states
            .filter_map(|state| {
                let done = state.done()?;
                let key = standing.step_key(state);
                Some(Member::new(key, (state, done), done.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, (state, _): &StepDone<'v>) -> Option<N> {
        let count = u32::try_from(state.used.applications);
        Some(N::whole(count.unwrap_or(u32::MAX)))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &StepDone<'v>) -> Option<Fact> {
        Some(Fact::Words("last done"))
    }
}
