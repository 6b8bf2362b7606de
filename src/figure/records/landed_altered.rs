//! How many values of a landed record were altered without a note.

use super::landed::{members, not_noted};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{LandedChange, LandedKind, Standing, StateStratum, ValueChange};
use crate::working::{Expression, Working};

/// So many are listed below a finding.
const MOST_LISTED: usize = 12;

/// The figure.
pub(crate) struct LandedAltered;

static ABOUT: About = About {
    id: "landed-altered",
    title: "how many values of a record were altered after it landed, without a note",
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

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("changes", |_, landed| {
        Some(Fact::AsManyAsFit {
            first: first_of(landed),
            of: landed.count,
        })
    })];

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
        let named = first_of(landed);
        let more = landed.count.saturating_sub(named.len());
        let listed = Expression::Listed { named, more };
        (!landed.is_noted).then(|| Working::shown(listed))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, landed: &&'v LandedChange) -> Option<Fact> {
        Some(match &landed.changes.first()?.was {
            Some(was) => Fact::phrase("landed as {}", [Fact::Value(was.clone())]),
            None => Fact::Words("not there when it landed"),
        })
    }
}

fn first_of(landed: &LandedChange) -> Vec<Fact> {
    let first = landed.changes.iter().take(MOST_LISTED);
    first.map(change).collect()
}

fn change(change: &ValueChange) -> Fact {
    let what = Fact::Name(change.what.clone());
    let value = |value: &str| Fact::Value(value.to_owned());
    match (&change.was, &change.is) {
        (Some(was), Some(is)) => Fact::phrase("{}: {} became {}", [what, value(was), value(is)]),
        (None, Some(is)) => Fact::phrase("{}: {} was added", [what, value(is)]),
        (Some(was), None) => Fact::phrase("{}: {} was taken out", [what, value(was)]),
        (None, None) => what,
    }
}
