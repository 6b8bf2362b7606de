//! The sensitivities of a measure: most have a handful, which need no allocation.

use super::primitive::PrimitiveId;
use std::ops::Deref;

/// A primitive and the partial derivative by it.
pub(super) type Part = (PrimitiveId, f64);

/// So many parts stand in the list itself: the flow of one reading has no more.
const FEW: usize = 4;

/// A list of parts, ordered by primitive, each once; who adds to it keeps it so.
#[derive(Clone, Debug)]
pub(super) struct Parts {
    few: [Part; FEW],
    n_few: usize,
    /// All of them, where they are more than a few.
    many: Vec<Part>,
}

impl Parts {
    /// None yet, and room for so many.
    pub(super) fn with_room_for(count: usize) -> Self {
        Self {
            few: [(PrimitiveId::FIRST, 0.0); FEW],
            n_few: 0,
            many: Vec::with_capacity(if count > FEW { count } else { 0 }),
        }
    }

    /// Adds one that comes behind all others.
    pub(super) fn push(&mut self, part: Part) {
        if self.many.is_empty() && self.n_few < FEW {
            self.few[self.n_few] = part;
            self.n_few += 1;
        } else {
            if self.many.is_empty() {
                self.many.extend_from_slice(&self.few);
            }
            self.many.push(part);
        }
    }
}

impl Deref for Parts {
    type Target = [Part];

    fn deref(&self) -> &[Part] {
        if self.many.is_empty() {
            &self.few[..self.n_few]
        } else {
            &self.many
        }
    }
}

impl FromIterator<Part> for Parts {
    fn from_iter<I: IntoIterator<Item = Part>>(parts: I) -> Self {
        let parts = parts.into_iter();
        let mut list = Self::with_room_for(parts.size_hint().0);
        parts.for_each(|part| list.push(part));
        list
    }
}

impl PartialEq for Parts {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_holds_what_was_put_in_however_long() {
        for count in 0..3 * FEW {
            let part = |sensitivity| (PrimitiveId::FIRST, sensitivity);
            let numbers = (0_u32..).map(f64::from).take(count);
            let parts: Parts = numbers.clone().map(part).collect();
            assert_eq!(*parts, numbers.map(part).collect::<Vec<_>>());
        }
    }
}
