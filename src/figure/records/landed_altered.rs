//! How many values of a merged record were altered without a note.

use super::landed::{self, members, not_noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{LandedChange, LandedKind, Standing, StateStratum};
use crate::working::Working;

/// The figure.
pub(crate) struct LandedAltered;

static ABOUT: About = About {
    id: "landed-altered",
    title: "how many values of a record were altered after it was merged, without a note",
    formula: "the count of values that are not what they were at the merge base, or none where amends has an entry more",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for LandedAltered {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v LandedChange;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] =
        &[("changes", |_, landed| Some(landed::changes(landed)))];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v LandedChange>> {
        members(standing, LandedKind::Altered)
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<N> {
        Some(not_noted(landed))
    }

    /// Nothing is counted where a note tells of it.
    fn working<'v>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<Working> {
        (!landed.is_noted()).then(|| landed::listed(landed))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<Fact> {
        landed::was(landed)
    }
}
