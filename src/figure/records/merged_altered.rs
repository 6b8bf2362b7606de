//! How many values of a merged record were altered without a note.

use super::merged::{self, members, not_noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{MergedChange, MergedKind, Standing, StateStratum};
use crate::working::Working;

/// The figure.
pub(crate) struct MergedAltered;

static ABOUT: About = About {
    id: "merged-altered",
    title: "how many values of a record were altered after it was merged, without a note",
    formula: "the count of values that are not what they were at the merge base, or none where amends has an entry more",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for MergedAltered {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v MergedChange;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] =
        &[("changes", |_, merged| Some(merged::all_changes(merged)))];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v MergedChange>> {
        members(standing, MergedKind::Altered)
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<N> {
        Some(not_noted(merged))
    }

    /// Nothing is counted where a note tells of it.
    fn working<'v>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<Working> {
        (!merged.is_noted()).then(|| merged::listed(merged))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<Fact> {
        merged::was(merged)
    }
}
