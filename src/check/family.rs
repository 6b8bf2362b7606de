//! The members of one figure, in as much arithmetic as its rules ask for.

use crate::figure::{Entry, Formula, Measure, Member, Rational, ShownAs, Stratum, View};
use crate::outcome::{Key, Part};
use crate::quantity::Exact;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// The members of a figure for one view.
///
/// Their values are computed at once, their uncertainties and exact values when first asked for: a
/// rule that judges by the value alone needs neither, unless it has something to tell.
pub(super) struct Family<'v, S: Stratum, V> {
    pub(super) formula: &'static Formula<S>,
    pub(super) members: Vec<Member<f64>>,
    view: &'v V,
    is_whole: bool,
    measures: OnceCell<Vec<Member<Measure>>>,
    exact: OnceCell<Vec<Member<Rational>>>,
    with_a_value: OnceCell<BTreeMap<Key, usize>>,
}

impl<'v, 'a, S: Stratum> Family<'v, S, S::View<'a>> {
    /// The family of a figure; none for a figure of the other stratum.
    pub(super) fn of(entry: &'static Entry, view: &'v S::View<'a>) -> Option<Self> {
        let formula = S::formula(&entry.compute)?;
        Some(Self {
            formula,
            members: (formula.value)(view),
            view,
            is_whole: matches!(entry.shown_as, ShownAs::Count | ShownAs::Days),
            measures: OnceCell::new(),
            exact: OnceCell::new(),
            with_a_value: OnceCell::new(),
        })
    }

    /// A member with its sensitivities; none where it has no value.
    pub(super) fn measure(&self, at: usize) -> Option<&Measure> {
        let measures = self
            .measures
            .get_or_init(|| (self.formula.measure)(self.view));
        let measure = measures.get(at)?.value.as_ref().ok();
        let bits = |value: f64| value.to_bits();
        debug_assert_eq!(
            measure.map(|measure| bits(measure.value())),
            self.members[at]
                .value
                .as_ref()
                .ok()
                .map(|value| bits(*value)),
            "both arithmetics give the same value"
        );
        measure
    }

    /// The standard uncertainty of a member.
    pub(super) fn standard_uncertainty(&self, at: usize) -> f64 {
        let primitives = self.view.primitives();
        self.measure(at)
            .map_or(0.0, |measure| measure.standard_uncertainty(primitives))
    }

    /// The exact value of a member; none where floating point has it exactly, or nothing has.
    pub(super) fn exact(&self, at: usize) -> Option<Exact> {
        if self.is_whole {
            return None;
        }
        let exact = self.exact.get_or_init(|| (self.formula.exact)(self.view));
        exact.get(at)?.value.as_ref().ok()?.value().cloned()
    }

    /// The value with a key.
    pub(super) fn value(&self, key: &Key) -> Option<f64> {
        let member = self.members.iter().find(|member| member.key == *key)?;
        member.value.as_ref().ok().copied()
    }

    /// How many other members with a value differ from this one, which has one too, in nothing but the part.
    pub(super) fn siblings(&self, key: &Key) -> usize {
        let counts = self.with_a_value.get_or_init(|| {
            let mut counts = BTreeMap::new();
            for member in self.members.iter().filter(|member| member.value.is_ok()) {
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
