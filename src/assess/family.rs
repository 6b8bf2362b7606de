//! The members of one figure beside one another.

use crate::figure::{AnyView, Computed, Entry, ShownAs, View, form};
use crate::finding::ByChance;
use crate::outcome::{Key, Part};
use crate::quantity::Exact;
use crate::statistics::normal;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// Chance is told of where one boom of good nozzles in twenty shows one so far out (our choice).
const LEAST_BY_CHANCE: f64 = 0.05;

/// The members of a figure for one view.
pub(super) struct Family<'v> {
    pub(super) computed: Box<dyn Computed + 'v>,
    is_whole: bool,
    with_a_value: OnceCell<BTreeMap<Key, usize>>,
    good: OnceCell<BTreeMap<Key, Deviations>>,
}

/// How many members have each standard deviation, by its bits: readings in whole steps share few of them.
#[derive(Default)]
struct Deviations(BTreeMap<u64, f64>);

impl Deviations {
    /// How many of them come to lie farther out than `bound`, on average.
    fn beyond(&self, bound: f64) -> f64 {
        let chances = self
            .0
            .iter()
            .map(|(deviation, n)| n * normal::beyond(bound / f64::from_bits(*deviation)));
        chances.sum()
    }
}

impl<'v> Family<'v> {
    /// The family of a figure; none for a figure of the other stratum.
    pub(super) fn of(entry: &Entry, view: AnyView<'v>) -> Option<Self> {
        Some(Self {
            computed: entry.compute(view)?,
            is_whole: matches!(entry.shown_as, ShownAs::Count | ShownAs::Days),
            with_a_value: OnceCell::new(),
            good: OnceCell::new(),
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

    /// How many good members lie beyond `limit` by chance alone, where one may be no more than such a one.
    ///
    /// Good ones are normal about nothing, by the uncertainty of their readings and by how far good ones lie
    /// apart. Asked of all that differ from it in nothing but the part. None where fewer than
    /// [`LEAST_BY_CHANCE`] of them would come to lie as far out as this one does.
    pub(super) fn by_chance(&self, at: usize, limit: f64, view: &dyn View) -> Option<ByChance> {
        let scatter = self.computed.good_scatter()?;
        let this = self.computed.members().get(at)?;
        let good = self.good.get_or_init(|| self.good(scatter, view));
        let alike = good.get(&of_any_part(&this.key))?;
        let as_far_out = alike.beyond(this.value.as_ref().ok()?.abs());
        (LEAST_BY_CHANCE <= as_far_out).then(|| ByChance {
            beyond: alike.beyond(limit),
            of: self.siblings(&this.key) + 1,
        })
    }

    /// How good members would lie about nothing, by their keys of any part.
    fn good(&self, scatter: f64, view: &dyn View) -> BTreeMap<Key, Deviations> {
        let mut good: BTreeMap<Key, Deviations> = BTreeMap::new();
        for (at, member) in self.computed.members().iter().enumerate() {
            if member.value.is_err() {
                continue;
            }
            let read = self.standard_uncertainty(at, view);
            let deviation = (scatter * scatter + read * read).sqrt();
            let alike = good.entry(of_any_part(&member.key)).or_default();
            *alike.0.entry(deviation.to_bits()).or_default() += 1.0;
        }
        good
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
