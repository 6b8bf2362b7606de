//! Which tests are on record and do not do their step.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs, TESTS_NOT_COUNTED};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::history::{Lacking, NotCounted, StepState};
use crate::outcome::Key;

/// The figure.
pub(crate) struct TestsNotCounted;

static ABOUT: About = About {
    id: TESTS_NOT_COUNTED,
    title: "whether the last test of a step lacks a reading, so that the step counts as it did before",
    formula: "1 where it does",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &[],
};

/// A step with the test of it that does not count.
type TestOfStep<'v> = (&'v StepState, &'v NotCounted);

impl Figure for TestsNotCounted {
    type Stratum = StateStratum;
    type Evidence<'v> = TestOfStep<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, (state, _)| {
            Some(standing.step_named(state))
        }),
        ("day", |_, (_, test)| Some(Fact::Date(test.day))),
        ("lacking", |standing, (_, test)| {
            Some(standing.lacking(&test.lacking))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where nozzles were left out, of which the visit's own figure tells, or where a fault or a note of the text tells.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<TestOfStep<'v>>> {
        let states = standing.steps_in_use().iter();
        states
            .filter_map(|state| {
                let test = state.not_counted.as_ref()?;
                match test.lacking {
                    Lacking::Reading(_) | Lacking::Certainty | Lacking::Pressure => {}
                    Lacking::Nozzles(_) | Lacking::Faulty(_) | Lacking::NotFilledIn(_) => {
                        return None;
                    }
                }
                let key = Key {
                    record: Some(test.place.file),
                    ..standing.step_key(state)
                };
                Some(Member::new(key, (state, test), test.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, _: &TestOfStep<'v>) -> Option<N> {
        Some(N::whole(1))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &TestOfStep<'v>) -> Option<Fact> {
        Some(Fact::Words("does not count"))
    }
}
