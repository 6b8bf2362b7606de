//! The form that figures had before `form`: to go when the last one is rewritten.

use super::about::About;
use super::form::{AnyFigure, Computed, Units};
use super::member::Member;
use super::number::{Measure, Rational};
use super::view::Stratum;
use crate::fact::Fact;
use crate::outcome::Key;
use crate::quantity::Exact;
use crate::quantity::unit::Unit;
use crate::working::{Expression, Working};
use std::cell::OnceCell;

/// A figure with its formula.
#[derive(Debug)]
pub(super) struct Legacy<S: Stratum> {
    /// What the catalog says of it.
    pub about: About,
    /// How it is computed.
    pub formula: Formula<S>,
}

/// A function of a stratum's view.
pub(super) type Of<S, T> = for<'v> fn(&'v <S as Stratum>::View<'v>) -> T;
/// A text about one member.
pub(super) type Wording<S> =
    for<'v, 'k> fn(&'v <S as Stratum>::View<'v>, &'k Key) -> Option<String>;
/// The units a member's value would betray, were one taken for another.
pub(super) type UnitsOf<S> =
    for<'v, 'k> fn(&'v <S as Stratum>::View<'v>, &'k Key) -> (Option<Unit>, Option<Unit>);

/// One formula in three arithmetics, with the words that go with it.
pub(super) struct Formula<S: Stratum> {
    /// In floating point.
    pub value: Of<S, Vec<Member<f64>>>,
    /// In floating point with sensitivities; the same members in the same order.
    pub measure: Of<S, Vec<Member<Measure>>>,
    /// In exact rationals; the same members in the same order.
    pub exact: Of<S, Vec<Member<Rational>>>,
    /// How a member was worked out, in one line with the numbers in.
    pub working: Wording<S>,
    /// What was read there, as a label: `41.0 fl oz`.
    pub read: Wording<S>,
    /// What it is held against, as a label: `rated here`.
    pub held_against: &'static str,
    /// The units of what was read and of what it is held against, where one may be taken for another.
    pub units: UnitsOf<S>,
    /// Texts of its own that messages may hold, by slot.
    pub slots: &'static [(&'static str, Wording<S>)],
}

impl<S: Stratum> std::fmt::Debug for Formula<S> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Formula").finish_non_exhaustive()
    }
}

impl<S: Stratum> AnyFigure<S> for Legacy<S> {
    fn about(&self) -> &About {
        &self.about
    }

    fn slot_names(&self) -> Vec<&'static str> {
        self.formula.slots.iter().map(|slot| slot.0).collect()
    }

    fn compute<'v>(&'static self, view: &'v S::View<'v>) -> Box<dyn Computed + 'v> {
        Box::new(LegacyComputed {
            formula: &self.formula,
            members: (self.formula.value)(view),
            view,
            measures: OnceCell::new(),
            exact: OnceCell::new(),
        })
    }
}

struct LegacyComputed<'v, S: Stratum> {
    formula: &'static Formula<S>,
    members: Vec<Member<f64>>,
    view: &'v S::View<'v>,
    measures: OnceCell<Vec<Member<Measure>>>,
    exact: OnceCell<Vec<Member<Rational>>>,
}

impl<S: Stratum> LegacyComputed<'_, S> {
    fn key(&self, at: usize) -> &Key {
        &self.members[at].key
    }
}

impl<S: Stratum> Computed for LegacyComputed<'_, S> {
    fn members(&self) -> &[Member<f64>] {
        &self.members
    }

    fn measure(&self, at: usize) -> Option<&Measure> {
        let measures = self
            .measures
            .get_or_init(|| (self.formula.measure)(self.view));
        measures.get(at)?.value.as_ref().ok()
    }

    fn exact(&self, at: usize) -> Option<Exact> {
        let exact = self.exact.get_or_init(|| (self.formula.exact)(self.view));
        exact.get(at)?.value.as_ref().ok()?.value().cloned()
    }

    fn working(&self, at: usize) -> Option<Working> {
        let text = (self.formula.working)(self.view, self.key(at))?;
        let value = *self.members[at].value.as_ref().ok()?;
        Some(Working::shown(Expression::number(value, Fact::Path(text))))
    }

    fn read(&self, at: usize) -> Option<Fact> {
        (self.formula.read)(self.view, self.key(at)).map(Fact::Path)
    }

    fn held_against(&self) -> &'static str {
        self.formula.held_against
    }

    fn units(&self, at: usize) -> Units {
        (self.formula.units)(self.view, self.key(at))
    }

    fn fact(&self, at: usize, slot: &str) -> Option<Fact> {
        let slots = self.formula.slots.iter();
        let (_, wording) = slots.into_iter().find(|(own, _)| *own == slot)?;
        wording(self.view, self.key(at)).map(Fact::Path)
    }
}
