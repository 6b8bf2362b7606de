//! Merged records that are not what they were, as members of a figure.

use crate::fact::Fact;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{MergedChange, MergedKind, Standing, ValueChange};
use crate::outcome::{Key, Part};
use crate::working::{Expression, Working};

/// The records that became this, whether a note tells of it or not.
pub(super) fn members<'v>(
    standing: &'v Standing<'v>,
    kind: MergedKind,
) -> Vec<Member<&'v MergedChange>> {
    all(standing)
        .filter(|(change, _)| change.kind == kind)
        .map(|(_, member)| member)
        .collect()
}

/// Every record that is not what it was.
///
/// Keyed by no record: what was altered today is of today, however old the record.
pub(super) fn all<'v>(
    standing: &'v Standing<'v>,
) -> impl Iterator<Item = (&'v MergedChange, Member<&'v MergedChange>)> {
    let numbered = (0_u16..).zip(standing.merged);
    numbered.map(|(index, change)| {
        let key = Key {
            part: Part::Test(index),
            ..Key::of_machine(standing.subject.index)
        };
        (change, Member::new(key, change, change.place))
    })
}

/// How many values changed without a note.
pub(super) fn not_noted<N: Number>(change: &MergedChange) -> N {
    counted(change, !change.is_noted())
}

/// How many values changed with a note.
pub(super) fn noted<N: Number>(change: &MergedChange) -> N {
    counted(change, change.is_noted())
}

/// How many values of a record changed, where they are counted.
fn counted<N: Number>(change: &MergedChange, is_counted: bool) -> N {
    N::whole(if is_counted {
        u32::try_from(change.count).unwrap_or(u32::MAX)
    } else {
        0
    })
}

/// So many changes of a record are listed below a finding.
const MOST_LISTED: usize = 12;

/// All that changed in a record, readings first: no order in which a change is written hides them behind a count.
pub(super) fn all_changes(merged: &MergedChange) -> Fact {
    let mut changes: Vec<&ValueChange> = merged.changes.iter().collect();
    changes.sort_by_key(|change| !change.is_reading);
    Fact::AsManyAsFit {
        first: changes.into_iter().map(change).collect(),
        of: merged.count,
    }
}

/// What changed in a record, value by value.
pub(super) fn listed(merged: &MergedChange) -> Working {
    let named = first_of(merged);
    let more = merged.count.saturating_sub(named.len());
    Working::shown(Expression::Listed { named, more })
}

/// What the first value was that changed, as a label where it stands.
pub(super) fn was(merged: &MergedChange) -> Option<Fact> {
    Some(match &merged.changes.first()?.was {
        Some(was) => Fact::phrase("merged as {}", [Fact::Value(was.clone())]),
        None => Fact::Words("not there when it was merged"),
    })
}

fn first_of(merged: &MergedChange) -> Vec<Fact> {
    let first = merged.changes.iter().take(MOST_LISTED);
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
