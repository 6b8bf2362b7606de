//! Landed records that are not what they were, as members of a figure.

use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{LandedChange, LandedKind, Standing};
use crate::outcome::{Key, Part};

/// Keyed by no record: what was altered today is of today, however old the record.
pub(super) fn members<'v>(
    standing: &'v Standing<'v>,
    kind: LandedKind,
) -> Vec<Member<&'v LandedChange>> {
    let numbered = (0_u16..).zip(standing.landed);
    numbered
        .filter(|(_, change)| change.kind == kind)
        .map(|(index, change)| {
            let key = Key {
                part: Part::Test(index),
                ..Key::of_machine(standing.subject.index)
            };
            Member::new(key, change, change.place)
        })
        .collect()
}

/// How many values changed without a note.
pub(super) fn not_noted<N: Number>(change: &LandedChange) -> N {
    N::whole(if change.is_noted {
        0
    } else {
        u32::try_from(change.count).unwrap_or(u32::MAX)
    })
}
