//! The members of one figure beside one another.

use crate::figure::{AnyView, Computed, Entry, ShownAs, View, form};
use crate::outcome::{Key, Part};
use crate::quantity::Exact;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// The members of a figure for one view.
pub(super) struct Family<'v> {
    pub(super) computed: Box<dyn Computed + 'v>,
    is_whole: bool,
    with_a_value: OnceCell<BTreeMap<Key, usize>>,
}

impl<'v> Family<'v> {
    /// The family of a figure; none for a figure of the other stratum.
    pub(super) fn of(entry: &Entry, view: AnyView<'v>) -> Option<Self> {
        Some(Self {
            computed: entry.compute(view)?,
            is_whole: matches!(entry.shown_as, ShownAs::Count | ShownAs::Days),
            with_a_value: OnceCell::new(),
        })
    }

    /// The standard uncertainty of a member.
    pub(super) fn standard_uncertainty(&self, at: usize, view: &dyn View) -> f64 {
        form::standard_uncertainty(&*self.computed, at, view)
    }

    /// The exact value of a member; none where floating point has it exactly, or nothing has.
    pub(super) fn exact(&self, at: usize) -> Option<Exact> {
        if self.is_whole {
            return None;
        }
        self.computed.exact(at)
    }

    /// The value with a key.
    pub(super) fn value(&self, key: &Key) -> Option<f64> {
        let mut members = self.computed.members().iter();
        let member = members.find(|member| member.key == *key)?;
        member.value.as_ref().ok().copied()
    }

    /// How many other members with a value differ from this one, which has one too, in nothing but the part.
    pub(super) fn siblings(&self, key: &Key) -> usize {
        let counts = self.with_a_value.get_or_init(|| {
            let mut counts = BTreeMap::new();
            let members = self.computed.members().iter();
            for member in members.filter(|member| member.value.is_ok()) {
                *counts.entry(of_any_part(&member.key)).or_default() += 1;
            }
            counts
        });
        counts.get(&of_any_part(key)).map_or(0, |count| count - 1)
    }
}

fn of_any_part(key: &Key) -> Key {
    Key {
        part: Part::Whole,
        ..*key
    }
}
