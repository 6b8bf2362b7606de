//! The form of a figure: its members, each with the evidence that its value, its working and its words come from.

use super::about::About;
use super::member::Member;
use super::number::{Measure, Number, Rational};
use super::view::{Stratum, View};
use crate::fact::Fact;
use crate::quantity::Exact;
use crate::quantity::unit::Unit;
use crate::working::Working;
use std::cell::OnceCell;
use std::fmt;

/// What a figure sees.
pub type ViewOf<'v, F> = <<F as Figure>::Stratum as Stratum>::View<'v>;

/// A fact about one member, from what it was computed from.
pub type FactOf<F> = for<'v> fn(&'v ViewOf<'v, F>, &<F as Figure>::Evidence<'v>) -> Option<Fact>;

/// The unit of what was read and of what it is held against, where one may be taken for the other.
pub type Units = (Option<Unit>, Option<Unit>);

/// A figure: one formula over a view, with what goes with each of its values.
pub trait Figure: Sync + 'static {
    /// Readings or state.
    type Stratum: Stratum;
    /// What one member is computed from.
    type Evidence<'v>;

    /// Facts of its own that texts of rules may hold, by slot.
    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[];

    /// What the catalog says of it.
    fn about(&self) -> &About;

    /// Its members: where each holds and what it is computed from, or why it cannot be.
    fn members<'v>(&self, view: &'v ViewOf<'v, Self>) -> Vec<Member<Self::Evidence<'v>>>;

    /// The value of a member in any arithmetic; whether there is one does not depend on which.
    fn value<'v, N: Number>(
        &self,
        view: &'v ViewOf<'v, Self>,
        evidence: &Self::Evidence<'v>,
    ) -> Option<N>;

    /// How the value was worked out.
    fn working<'v>(&self, _: &'v ViewOf<'v, Self>, _: &Self::Evidence<'v>) -> Option<Working> {
        None
    }

    /// What was read, as a label at its place: `41.0 fl oz`.
    fn read<'v>(&self, _: &'v ViewOf<'v, Self>, _: &Self::Evidence<'v>) -> Option<Fact> {
        None
    }

    /// What it is held against, as a label at its place: `rated here`.
    fn held_against(&self) -> &'static str {
        ""
    }

    /// How far its members lie apart where nothing is wrong, as a standard deviation, beside what the
    /// uncertainty of the readings does; none where they should be alike.
    fn good_scatter(&self) -> Option<f64> {
        None
    }

    /// The units its value would betray, were one taken for another; the first is the one it is shown in.
    fn units<'v>(&self, _: &'v ViewOf<'v, Self>, _: &Self::Evidence<'v>) -> Units {
        (None, None)
    }
}

/// Any figure of a stratum.
pub trait AnyFigure<S: Stratum>: Sync {
    /// What the catalog says of it.
    fn about(&self) -> &About;
    /// The names of the slots of its own.
    fn slot_names(&self) -> Vec<&'static str>;
    /// The figure computed for a view.
    fn compute<'v>(&'static self, view: &'v S::View<'v>) -> Box<dyn Computed + 'v>;
}

/// A figure computed for one view.
///
/// Its values are computed at once, their uncertainties and exact values when first asked for: a rule that judges by the
/// value alone needs neither, unless it has something to tell. A member is named by its place among the members.
pub trait Computed {
    /// Its members with their values.
    fn members(&self) -> &[Member<f64>];
    /// A member with its sensitivities; none where it has no value.
    fn measure(&self, at: usize) -> Option<&Measure>;
    /// The exact value of a member; none where nothing has it exactly.
    fn exact(&self, at: usize) -> Option<Exact>;
    /// How a member was worked out.
    fn working(&self, at: usize) -> Option<Working>;
    /// What was read, as a label.
    fn read(&self, at: usize) -> Option<Fact>;
    /// What it is held against, as a label.
    fn held_against(&self) -> &'static str;
    /// How far good members lie apart, beside what the uncertainty of the readings does.
    fn good_scatter(&self) -> Option<f64>;
    /// The units of what was read and of what it is held against.
    fn units(&self, at: usize) -> Units;
    /// A fact of the figure's own, by its slot.
    fn fact(&self, at: usize, slot: &str) -> Option<Fact>;
}

impl<F: Figure> AnyFigure<F::Stratum> for F {
    fn about(&self) -> &About {
        Figure::about(self)
    }

    fn slot_names(&self) -> Vec<&'static str> {
        F::SLOTS.iter().map(|(name, _)| *name).collect()
    }

    fn compute<'v>(&'static self, view: &'v ViewOf<'v, F>) -> Box<dyn Computed + 'v> {
        let (members, evidence): (Vec<_>, Vec<_>) = self
            .members(view)
            .into_iter()
            .map(|member| member.split(|evidence| self.value::<f64>(view, evidence)))
            .unzip();
        Box::new(ComputedFigure {
            figure: self,
            view,
            measures: OnceCell::new(),
            members,
            evidence,
        })
    }
}

struct ComputedFigure<'v, F: Figure> {
    figure: &'static F,
    view: &'v ViewOf<'v, F>,
    members: Vec<Member<f64>>,
    /// In the order of the members; none for one without a value.
    evidence: Vec<Option<F::Evidence<'v>>>,
    /// In the order of the members; most figures are never asked for one.
    measures: OnceCell<Vec<OnceCell<Option<Box<Measure>>>>>,
}

impl<'v, F: Figure> ComputedFigure<'v, F> {
    fn evidence(&self, at: usize) -> Option<&F::Evidence<'v>> {
        self.evidence.get(at)?.as_ref()
    }
}

impl<F: Figure> Computed for ComputedFigure<'_, F> {
    fn members(&self) -> &[Member<f64>] {
        &self.members
    }

    fn measure(&self, at: usize) -> Option<&Measure> {
        let of_each = || self.members.iter().map(|_| OnceCell::new()).collect();
        let measures = self.measures.get_or_init(of_each);
        let measure = measures.get(at)?.get_or_init(|| {
            let measure: Measure = self.figure.value(self.view, self.evidence(at)?)?;
            Some(Box::new(measure))
        });
        debug_assert_eq!(
            measure.as_ref().map(|measure| measure.value().to_bits()),
            self.members[at]
                .value
                .as_ref()
                .ok()
                .map(|value| value.to_bits()),
            "both arithmetics give the same value"
        );
        measure.as_deref()
    }

    fn exact(&self, at: usize) -> Option<Exact> {
        let exact: Rational = self.figure.value(self.view, self.evidence(at)?)?;
        exact.value().cloned()
    }

    fn working(&self, at: usize) -> Option<Working> {
        self.figure.working(self.view, self.evidence(at)?)
    }

    fn read(&self, at: usize) -> Option<Fact> {
        self.figure.read(self.view, self.evidence(at)?)
    }

    fn held_against(&self) -> &'static str {
        self.figure.held_against()
    }

    fn good_scatter(&self) -> Option<f64> {
        self.figure.good_scatter()
    }

    fn units(&self, at: usize) -> Units {
        self.evidence(at).map_or((None, None), |evidence| {
            self.figure.units(self.view, evidence)
        })
    }

    fn fact(&self, at: usize, slot: &str) -> Option<Fact> {
        let (_, fact) = F::SLOTS.iter().find(|(name, _)| *name == slot)?;
        fact(self.view, self.evidence(at)?)
    }
}

impl<S: Stratum> fmt::Debug for dyn AnyFigure<S> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.about().id)
    }
}

/// The standard uncertainty of a member of a figure.
pub fn standard_uncertainty(computed: &dyn Computed, at: usize, view: &dyn View) -> f64 {
    computed.measure(at).map_or(0.0, |measure| {
        measure.standard_uncertainty(view.primitives())
    })
}
