//! How many values of a merged record were altered, or went with it, and a note says why.

use super::merged::{self, noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{MergedChange, MergedKind, Standing, StateStratum};
use crate::working::Working;

/// The figure.
pub(crate) struct MergedAmended;

/// The case of a record that was deleted.
const DELETED: &str = "deleted";

static ABOUT: About = About {
    id: "merged-amended",
    title: "how many values of a merged record were altered, or deleted with it, under a note",
    formula: "the count of values that are not what they were at the merge base, where a new note says why",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[DELETED],
};

impl Figure for MergedAmended {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v MergedChange;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("changes", |_, merged| Some(merged::all_changes(merged))),
        ("record", |_, merged| Some(Fact::Path(merged.path.clone()))),
        ("values", |_, merged| {
            Some(Fact::Count {
                count: merged.count,
                noun: "value",
            })
        }),
        ("person", |_, merged| {
            let by = merged.note.as_ref()?.by.clone();
            Some(by.map_or(Fact::Words("nobody named"), Fact::Name))
        }),
        ("reason", |_, merged| {
            let why = merged.note.as_ref()?.why.clone();
            Some(why.map_or(Fact::Words("no reason given"), Fact::Value))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v MergedChange>> {
        let in_case = |(change, member): (&MergedChange, Member<_>)| {
            let is_deleted = change.kind == MergedKind::Deleted;
            member.in_case(is_deleted.then_some(DELETED))
        };
        merged::all(standing).map(in_case).collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<N> {
        Some(noted(merged))
    }

    /// Nothing is counted where no note tells of it.
    fn working<'v>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<Working> {
        merged.is_noted().then(|| merged::listed(merged))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, merged: &&'v MergedChange) -> Option<Fact> {
        match merged.kind {
            MergedKind::Altered => merged::was(merged),
            MergedKind::Deleted => Some(Fact::Words("noted here")),
        }
    }
}
