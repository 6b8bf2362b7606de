//! How far a factor before a test is off the one the last visit left.

use super::console_factor::ConsoleFactor;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct FactorJump;

static ABOUT: About = About {
    id: "factor-jump",
    title: "how far the factor a visit begins with is off the one the last visit left",
    formula: "before / after of the last visit - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: None,
    cases: &[],
};

/// A factor before a test, beside the one the last visit left.
pub(crate) struct Jump {
    step: Step,
    before: Shown,
    left: Shown,
}

impl Figure for FactorJump {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Jump;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("factor", |_, jump| {
            Some(ConsoleFactor::of(jump.step)?.name())
        }),
        ("before", |_, jump| {
            Some(Fact::Written(jump.before.quantity))
        }),
        ("left", |_, jump| Some(Fact::Written(jump.left.quantity))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Jump>> {
        let all = visit.continued.iter();
        all.map(|continued| {
            let (step, before) = (continued.step, continued.before);
            let key = visit.key(step, None, Part::Whole);
            match continued.left {
                Ok(left) => {
                    let jump = Jump { step, before, left };
                    Member::new(key, jump, before.place).against(left.place)
                }
                Err(because) => Member::unavailable(key, because, None, before.place),
            }
        })
        .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, jump: &Jump) -> Option<N> {
        let input = |shown: &Shown| N::input(&visit.primitives, shown.id);
        Some(input(&jump.before).off(&input(&jump.left)))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, jump: &Jump) -> Option<Working> {
        let (before, left) = (jump.before.as_written(), jump.left.as_written());
        Some(Working::deviation(before.off(left)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, jump: &Jump) -> Option<Fact> {
        Some(Fact::Written(jump.before.quantity))
    }

    fn held_against(&self) -> &'static str {
        "left by the last visit"
    }
}
