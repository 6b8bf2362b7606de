//! How many values of a merged record were altered, or went with it, and a note says why.

use super::landed::{self, noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{LandedChange, LandedKind, Standing, StateStratum};
use crate::working::Working;

/// The figure.
pub(crate) struct LandedAmended;

/// The case of a record that was deleted.
const DELETED: &str = "deleted";

static ABOUT: About = About {
    id: "landed-amended",
    title: "how many values of a merged record were altered, or deleted with it, under a note",
    formula: "the count of values that are not what they were at the merge base, where a new note says why",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[DELETED],
};

impl Figure for LandedAmended {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v LandedChange;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("changes", |_, landed| Some(landed::changes(landed))),
        ("record", |_, landed| Some(Fact::Path(landed.path.clone()))),
        ("values", |_, landed| {
            Some(Fact::Count {
                count: landed.count,
                noun: "value",
            })
        }),
        ("person", |_, landed| {
            let by = landed.note.as_ref()?.by.clone();
            Some(by.map_or(Fact::Words("nobody named"), Fact::Name))
        }),
        ("reason", |_, landed| {
            let why = landed.note.as_ref()?.why.clone();
            Some(why.map_or(Fact::Words("no reason given"), Fact::Value))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v LandedChange>> {
        let in_case = |(change, member): (&LandedChange, Member<_>)| {
            let is_deleted = change.kind == LandedKind::Deleted;
            member.in_case(is_deleted.then_some(DELETED))
        };
        landed::all(standing).map(in_case).collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<N> {
        Some(noted(landed))
    }

    /// Nothing is counted where no note tells of it.
    fn working<'v>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<Working> {
        landed.is_noted().then(|| landed::listed(landed))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<Fact> {
        match landed.kind {
            LandedKind::Altered => landed::was(landed),
            LandedKind::Deleted => Some(Fact::Words("noted here")),
        }
    }
}
