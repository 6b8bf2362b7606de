//! Which steps work asks to check again.

use super::undone::{self, ByWork, steps_named, undone_alike};
use crate::fact::Fact;
use crate::figure::about::{About, Family, STEP_TO_RECHECK, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};

/// The figure.
pub(crate) struct StepToRecheck;

static ABOUT: About = About {
    id: STEP_TO_RECHECK,
    title: "whether work since a step was last done makes a recheck due",
    formula: "1 where it does, by the table of work and steps",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Step,
    step: None,
    cases: &[],
};

impl Figure for StepToRecheck {
    type Stratum = StateStratum;
    type Evidence<'v> = ByWork<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("steps", |standing, work| {
            let alike = undone_alike(standing, (*work)?, undone::recheck);
            Some(steps_named(standing, alike))
        }),
        ("work", |standing, work| Some(standing.work_of((*work)?))),
        ("day", |_, work| Some(Fact::Date((*work)?.day))),
        ("because", |_, work| Some(Fact::Words((*work)?.because))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<ByWork<'v>>> {
        undone::members(standing, undone::recheck).collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, work: &ByWork<'v>) -> Option<N> {
        Some(N::whole(u32::from(work.is_some())))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, work: &ByWork<'v>) -> Option<Fact> {
        Some(Fact::Words((*work)?.because))
    }

    fn held_against(&self) -> &'static str {
        "last done"
    }
}
