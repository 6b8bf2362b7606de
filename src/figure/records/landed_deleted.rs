//! How many values went with a merged record that was deleted without a note.

use super::landed::{members, not_noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{LandedChange, LandedKind, Standing, StateStratum};

/// The figure.
pub(crate) struct LandedDeleted;

static ABOUT: About = About {
    id: "landed-deleted",
    title: "how many values went with a record that was deleted after it was merged, without a note",
    formula: "the count of values it had at the merge base, or none where the waivers file notes its deletion",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for LandedDeleted {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v LandedChange;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("record", |_, landed| Some(Fact::Path(landed.path.clone()))),
        ("values", |_, landed| {
            Some(Fact::Count {
                count: landed.count,
                noun: "value",
            })
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v LandedChange>> {
        members(standing, LandedKind::Deleted)
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<N> {
        Some(not_noted(landed))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &&'v LandedChange) -> Option<Fact> {
        Some(Fact::Words("not noted here"))
    }
}
