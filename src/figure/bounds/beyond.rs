//! How far a reading lies beyond the most there can be: shared by the figures of bounds.

use crate::fact::Fact;
use crate::figure::form::Units;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::primitive::Primitives;
use crate::figure::visit::Bounded;
use crate::outcome::Key;
use crate::working::Working;

/// The case of a gauge that nobody declared, and that has the span assumed of it.
pub(super) const NOT_DECLARED: &str = "not-declared";

pub(super) fn member(key: Key, bounded: &Bounded) -> Member<&Bounded> {
    let member = Member::new(key, bounded, bounded.read.place);
    if bounded.is_declared {
        member.against(bounded.most.place)
    } else {
        member.in_case(Some(NOT_DECLARED))
    }
}

/// The reading over the most there can be, less one; none where it is less.
pub(super) fn value<N: Number>(primitives: &Primitives, bounded: &Bounded) -> N {
    let read = N::input(primitives, bounded.read.id);
    let most = N::input(primitives, bounded.most.id);
    if read.compare(&most).is_lt() {
        N::whole(0)
    } else {
        read.off(&most)
    }
}

/// None for a reading that is not beyond: nothing is worked out of it.
pub(super) fn working(bounded: &Bounded) -> Option<Working> {
    let (read, most) = (bounded.read, bounded.most);
    let is_beyond = most.quantity.si() < read.quantity.si();
    is_beyond.then(|| Working::deviation(read.as_written().off(most.as_written())))
}

pub(super) fn units(bounded: &Bounded) -> Units {
    let units = [&bounded.read, &bounded.most].map(|shown| Some(shown.quantity.unit));
    let [read, most] = units;
    (read, most)
}

pub(super) fn read(bounded: &Bounded) -> Fact {
    Fact::Written(bounded.read.quantity)
}

pub(super) fn most(bounded: &Bounded) -> Fact {
    Fact::Written(bounded.most.quantity)
}
