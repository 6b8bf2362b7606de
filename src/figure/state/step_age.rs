//! How many days ago each step of each setup was last done.

use crate::fact::Fact;
use crate::figure::about::{About, Family, STEP_AGE, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Number, days};
use crate::figure::standing::{Standing, StateStratum};
use crate::history::{Done, Last, StepState};
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct StepAge;

static ABOUT: About = About {
    id: STEP_AGE,
    title: "how long ago each step of each setup was last done",
    formula: "today - date of the last visit that did the step - days laid up since",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Step,
    step: None,
    cases: &["laid-up"],
};

/// A step that was done.
type StepDone<'v> = (&'v StepState, Done);

impl Figure for StepAge {
    type Stratum = StateStratum;
    type Evidence<'v> = StepDone<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("last-done", |_, (_, done)| Some(Fact::Date(done.day))),
        ("what", |standing, (state, _)| {
            Some(standing.step_named(state))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<StepDone<'v>>> {
        let machine_file = standing.machine_file();
        let states = standing.steps_in_use().iter();
        states
            .map(|state| {
                let key = standing.step_key(state);
                match state.last {
                    Last::On(done) => {
                        let laid_up = standing.lay_ups.days_laid_up(done.day, standing.today);
                        Member::new(key, (state, done), done.place)
                            .counted_from(done.day)
                            .in_case((laid_up > 0).then_some("laid-up"))
                    }
                    Last::Never => {
                        let because = "no record shows that the step was done";
                        Member::unavailable(key, because, None, machine_file)
                    }
                    Last::Unreadable(record) => {
                        let because = "a visit that cannot be read may be the latest";
                        Member::unavailable(key, because, Some(record.place()), machine_file)
                    }
                }
            })
            .collect()
    }

    fn value<'v, N: Number>(
        &self,
        standing: &'v Standing<'v>,
        (_, done): &StepDone<'v>,
    ) -> Option<N> {
        let count = standing.lay_ups.days_that_count(done.day, standing.today);
        Some(days(count))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, (_, done): &StepDone<'v>) -> Option<Working> {
        let (from, to) = (done.day, standing.today);
        let all = Expression::Days { from, to };
        let laid_up = standing.lay_ups.days_laid_up(from, to);
        if laid_up == 0 {
            return Some(Working::shown(all));
        }
        let count = laid_up as usize;
        let counted = Fact::Count { count, noun: "day" };
        let shown = Fact::phrase("{} laid up", [counted]);
        let laid_up = Expression::number(days(laid_up), shown);
        Some(Working::shown(all.minus(laid_up)))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &StepDone<'v>) -> Option<Fact> {
        Some(Fact::Words("last done"))
    }
}
