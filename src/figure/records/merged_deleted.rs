//! How many values went with a merged record that was deleted without a note.

use super::merged::{members, not_noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{MergedChange, MergedKind, Standing, StateStratum};

/// The figure.
pub(crate) struct MergedDeleted;

static ABOUT: About = About {
    id: "merged-deleted",
    title: "how many values went with a record that was deleted after it was merged, without a note",
    formula: "the count of values it had at the merge base, or none where the waivers file notes its deletion",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for MergedDeleted {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v MergedChange;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("record", |_, merged| Some(Fact::Path(merged.path.clone()))),
        ("values", |_, merged| {
            Some(Fact::Count {
                count: merged.count,
                noun: "value",
            })
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v MergedChange>> {
        members(standing, MergedKind::Deleted)
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<N> {
        Some(not_noted(merged))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &&'v MergedChange) -> Option<Fact> {
        Some(Fact::Words("not noted here"))
    }
}
