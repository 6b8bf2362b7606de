//! The width a console has for the boom beside the true one.

use crate::figure::number::Number;
use crate::figure::primitive::Primitives;
use crate::figure::visit::{Shown, Visit};

/// The width the console has, section by section, and what makes the true one.
#[derive(Debug, Clone)]
pub(crate) struct Widths {
    entered: Vec<Shown>,
    spacing: Shown,
    nozzles: u32,
}

impl Widths {
    /// None where one of them is not known.
    pub(crate) fn of(
        entered: impl IntoIterator<Item = Option<Shown>>,
        spacing: Option<Shown>,
        nozzles: Option<usize>,
    ) -> Option<Self> {
        let entered: Option<Vec<Shown>> = entered.into_iter().collect();
        Some(Self {
            entered: entered.filter(|widths| !widths.is_empty())?,
            spacing: spacing?,
            nozzles: u32::try_from(nozzles?).ok()?,
        })
    }

    /// Those of the machine as it was at a visit.
    pub(crate) fn of_visit(visit: &Visit<'_>) -> Option<Self> {
        let layout = visit.subject.layout.as_ref();
        Self::of(
            visit.ground.entered_widths.iter().copied(),
            visit.ground.spacing,
            layout.map(|layout| layout.nozzles().len()),
        )
    }

    /// The width the console has for the boom over spacing times nozzles.
    pub(crate) fn entered_over_true<N: Number>(&self, primitives: &Primitives) -> N {
        let input = |shown: &Shown| N::input(primitives, shown.id);
        let entered: Vec<N> = self.entered.iter().map(input).collect();
        let swath = input(&self.spacing).times(&N::whole(self.nozzles));
        N::sum(&entered).over(&swath)
    }
}
