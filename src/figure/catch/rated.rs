//! What a nozzle of the setup is rated to pass at the pressure of a catch: shared by the figures held against it.

use crate::fact::Fact;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, Pressure, RatedFlow, Visit};
use crate::quantity::unit::Unit;
use crate::source::Place;
use crate::working::Expression;

/// The flow of a nozzle at a pressure, from its flow at the pressure it is rated at: Q2 = Q1 x sqrt(P2 / P1).
///
/// Holds for a fixed orifice and clean water.
pub(crate) fn flow_at<N: Number>(rated: &N, rated_at: &N, pressure: &N) -> N {
    rated.times(&pressure.over(rated_at).root())
}

/// The pressure at which a nozzle passes a flow, from its flow at the pressure it is rated at: P2 = P1 x (Q2 / Q1)^2.
///
/// The same law as [`flow_at`], the other way round.
pub(crate) fn pressure_for<N: Number>(flow: &N, rated: &N, rated_at: &N) -> N {
    let ratio = flow.over(rated);
    rated_at.times(&ratio).times(&ratio)
}

/// A catch with a pressure, of a setup whose nozzles are rated.
#[derive(Clone, Copy)]
pub(crate) struct Rated<'v> {
    /// The catch.
    pub(crate) catch: &'v Catch,
    /// The pressure it was made at.
    pub(crate) pressure: &'v Pressure,
    rating: &'v RatedFlow,
}

impl<'v> Rated<'v> {
    /// # Errors
    /// Why nothing is rated there, and where it should stand.
    pub(crate) fn of(visit: &Visit<'_>, catch: &'v Catch) -> Result<Self, (&'static str, Place)> {
        match (&catch.pressure, &catch.rated, visit.setup) {
            (Some(pressure), Some(rating), _) => Ok(Self {
                catch,
                pressure,
                rating,
            }),
            (None, _, _) => Err(("the catch test has no `pressure`", catch.place)),
            (Some(_), None, Some((_, setup))) => Err((
                "the machine file gives no nozzle size for the setup",
                visit.machine_file_place(setup.name.span),
            )),
            (Some(_), None, None) => Err(("the setup tested is not known", catch.place)),
        }
    }

    /// The rated flow at the catch's pressure.
    pub(crate) fn flow<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        let rated_at = input(self.rating.pressure);
        let pressure = self.pressure.value::<N>(visit);
        flow_at(&input(self.rating.flow), &rated_at, &pressure)
    }

    /// The same as the catch would have read it: `36.73 fl oz (rated at 40 psi)`.
    pub(crate) fn as_caught(&self, visit: &Visit<'_>) -> Option<Expression> {
        let pressure = Fact::Written(self.pressure.quantity);
        let rated_at = |flow| Fact::phrase("{} (rated at {})", [flow, pressure]);
        let flow = self.catch.as_caught(self.flow(visit))?;
        Some(flow.shown_as(rated_at))
    }

    /// Where the machine file rates the nozzle.
    pub(crate) fn place(&self) -> Place {
        self.rating.place
    }

    /// The unit the machine file rates it in.
    pub(crate) fn unit(&self) -> Unit {
        self.rating.quantity.unit
    }
}
