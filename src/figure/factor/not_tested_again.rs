//! Whether a step was corrected and not tested again.

use crate::fact::Fact;
use crate::figure::about::{About, Family, NOT_TESTED_AGAIN, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct NotTestedAgain;

static ABOUT: About = About {
    id: NOT_TESTED_AGAIN,
    title: "whether a factor was changed by a step's last test, so that nobody knows how it was left",
    formula: "1 where the last test changed the factor",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Test,
    step: None,
    cases: &[],
};

impl Figure for NotTestedAgain {
    type Stratum = ReadingsStratum;
    /// The step that was corrected.
    type Evidence<'v> = Step;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] =
        &[("test", |_, step| Some(Fact::Words(step.test())))];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Step>> {
        let corrected = visit.not_tested_again.iter();
        corrected
            .map(|&(step, place)| Member::new(visit.key(step, None, Part::Whole), step, place))
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, _: &Step) -> Option<N> {
        Some(N::whole(1))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Step) -> Option<Fact> {
        Some(Fact::Words("changed here"))
    }
}
