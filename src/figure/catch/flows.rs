//! The flow of each nozzle of a catch, and their mean: shared by the figures of catch, meter and rate.

use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::primitive::Primitives;
use crate::figure::visit::{Catch, CaughtNozzle, FlowReading, Scaled, Visit};
use crate::outcome::{Part, Stage, Step};
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::calibration::CatchTest;
use std::cell::OnceCell;

/// The flow of one reading: what was caught over how long.
///
/// Amount x scale / (duration + timing error); a weight is divided by the density of water first; a
/// flow that was read is taken as it is. gpm = fl oz x 60 / (128 x s) is the same in US units.
pub(crate) fn flow<N: Number>(primitives: &Primitives, reading: &FlowReading) -> N {
    let input = |id| N::input(primitives, id);
    let mut amount = input(reading.amount).times(&input(reading.scale));
    if let Some(density) = reading.density {
        amount = amount.over(&input(density));
    }
    match reading.time {
        Some((duration, timing)) => amount.over(&input(duration).plus(&input(timing))),
        None => amount,
    }
}

/// The flow of a nozzle: the mean of its readings; none where it was not caught.
fn nozzle_flow<N: Number>(visit: &Visit<'_>, nozzle: &CaughtNozzle) -> Option<N> {
    let flow = match &*nozzle.readings {
        [] => return None,
        [only] => flow(&visit.primitives, only),
        several => {
            let flows: Vec<N> = several
                .iter()
                .map(|reading| flow(&visit.primitives, reading))
                .collect();
            N::mean(&flows)
        }
    };
    Some(match &nozzle.scaled {
        Some(scaled) => flow.times(&scaled.factor(visit)),
        None => flow,
    })
}

impl Scaled {
    /// What a flow is multiplied by: Q2 = Q1 x sqrt(P2 / P1), the square-root law of a fixed orifice.
    fn factor<N: Number>(&self, visit: &Visit<'_>) -> N {
        let (to, from) = (self.to.value::<N>(visit), self.from.value(visit));
        to.over(&from).root()
    }
}

/// The nozzles of a catch with their flows, those that were not caught left out.
pub(crate) struct Flows<'c, N> {
    nozzles: &'c [CaughtNozzle],
    by_nozzle: &'c [Option<N>],
    mean: &'c OnceCell<Option<N>>,
}

impl<'c, N: Number> Flows<'c, N> {
    pub(crate) fn of(visit: &Visit<'_>, catch: &'c Catch) -> Self {
        let nozzles = &catch.nozzles;
        let flow = |nozzle| nozzle_flow(visit, nozzle);
        let kept = N::kept(&catch.flows);
        let flows = &kept.flows;
        Self {
            nozzles,
            by_nozzle: flows.get_or_init(|| nozzles.iter().map(flow).collect()),
            mean: &kept.mean,
        }
    }

    /// The flow of a nozzle of the catch; none where it was not caught.
    pub(crate) fn of_nozzle(&self, nozzle: &CaughtNozzle) -> Option<&'c N> {
        let at = usize::from(nozzle.nozzle.number).checked_sub(1)?;
        self.by_nozzle.get(at)?.as_ref()
    }

    /// Each nozzle caught, plugged ones among them.
    pub(crate) fn caught(
        &self,
    ) -> impl Iterator<Item = (&'c CaughtNozzle, &'c N)> + Clone + use<'c, N> {
        let all = self.nozzles.iter().zip(self.by_nozzle);
        all.filter_map(|(nozzle, flow)| Some((nozzle, flow.as_ref()?)))
    }

    /// The mean, or nothing where every nozzle caught passes nothing; none where none was caught.
    pub(crate) fn mean_or_nothing(&self) -> Option<N> {
        self.caught().next()?;
        self.mean().or_else(|| Some(N::whole(0)))
    }

    /// The nozzles that pass anything.
    pub(crate) fn passing(
        &self,
    ) -> impl Iterator<Item = (&'c CaughtNozzle, &'c N)> + Clone + use<'c, N> {
        self.caught().filter(|(_, flow)| !flow.is_zero())
    }

    /// The mean of all that pass anything; none where none does.
    pub(crate) fn mean(&self) -> Option<N> {
        let mean = self.mean.get_or_init(|| {
            let passing = self.passing().map(|(_, flow)| flow);
            passing.clone().next()?;
            Some(N::mean(passing))
        });
        mean.clone()
    }

    /// The flow of every nozzle of the boom; none where one was not caught.
    pub(crate) fn of_boom(&self) -> Option<impl Iterator<Item = &'c N>> {
        let is_whole = self.by_nozzle.iter().all(Option::is_some);
        is_whole.then(|| self.by_nozzle.iter().flatten())
    }
}

/// The one member that says why a catch yields no figure of a kind.
pub(crate) fn no_flows<T>(visit: &Visit<'_>, stage: Stage, catch: &Catch) -> Member<T> {
    let key = visit.key(Step::Catch, Some(stage), Part::Whole);
    let is_unreadable = catch.nozzles.iter().any(|nozzle| nozzle.unreadable);
    let because = match lacking(&visit.calibration.catch_tests) {
        Some(because) if is_unreadable => because,
        None if is_unreadable => "the readings of the catch test cannot be read",
        Some(_) | None => "no nozzle of the catch has any flow",
    };
    Member::unavailable(key, because, Some(catch.place), catch.place)
}

/// Why a catch yields no flow of the whole boom.
pub(crate) fn no_flow_of_boom(visit: &Visit<'_>) -> &'static str {
    let lacking = lacking(&visit.calibration.catch_tests);
    lacking.unwrap_or("not every nozzle was caught, so the boom's flow is not known")
}

/// What a catch test lacks without which its readings are no flows.
fn lacking(tests: &[CatchTest]) -> Option<&'static str> {
    let lacks_duration = |unit: &Unit| {
        let dimension = unit.dimension();
        dimension != Dimension::FLOW && dimension != Dimension::WEIGHED_FLOW
    };
    tests
        .iter()
        .find_map(|test| match (&test.unit, &test.duration) {
            (None, _) => Some("the catch test has no `unit`"),
            (Some(unit), None) if lacks_duration(&unit.value) => {
                Some("the catch test has no `duration`")
            }
            (Some(_), _) => None,
        })
}
