//! A name in a record that the fleet file may declare.

use crate::fact::Fact;
use crate::figure::number::Number;
use std::collections::BTreeMap;

/// A name in a record.
pub(crate) struct Named<'v> {
    name: &'v str,
    is_declared: bool,
}

impl<'v> Named<'v> {
    /// A name beside those that are declared.
    pub(super) fn among<T>(declared: &BTreeMap<String, T>, name: &'v str) -> Self {
        Self {
            name,
            is_declared: declared.contains_key(name),
        }
    }

    /// One where nobody declared it.
    pub(super) fn unknown<N: Number>(&self) -> N {
        N::whole(u32::from(!self.is_declared))
    }

    /// The name.
    pub(super) fn name(&self) -> Fact {
        Fact::Name(self.name.to_owned())
    }

    /// What is declared that it may have been meant for.
    pub(super) fn known<T>(&self, declared: &BTreeMap<String, T>) -> Fact {
        Fact::names_like(self.name, declared.keys().map(String::as_str))
    }
}
