//! The flow of each nozzle, and what follows from it for the boom: shared by the catch figures.

use super::Member;
use super::number::Number;
use super::primitive::Primitives;
use super::visit::{Catch, CaughtNozzle, FlowReading, Pressure, Visit};
use crate::fact::Fact;
use crate::outcome::{Key, Part, Stage, Step};
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::Place;
use crate::working::Expression;
use std::cell::OnceCell;

/// The flow of one reading: what was caught over how long.
///
/// Amount x scale / (duration + timing error); a weight is divided by the density of water first; a
/// flow that was read is taken as it is. gpm = fl oz x 60 / (128 x s) is the same in US units.
pub(super) fn flow<N: Number>(primitives: &Primitives, reading: &FlowReading) -> N {
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
pub(super) fn nozzle_flow<N: Number>(visit: &Visit<'_>, nozzle: &CaughtNozzle) -> Option<N> {
    match &*nozzle.readings {
        [] => None,
        [only] => Some(flow(&visit.primitives, only)),
        several => {
            let flows: Vec<N> = several
                .iter()
                .map(|reading| flow(&visit.primitives, reading))
                .collect();
            Some(N::mean(&flows))
        }
    }
}

/// The nozzles of a catch with their flows, those that were not caught left out.
pub(super) struct Flows<'c, N> {
    nozzles: &'c [CaughtNozzle],
    flows: &'c [Option<N>],
    mean: &'c OnceCell<Option<N>>,
}

/// One nozzle of a catch.
#[derive(Clone, Copy)]
pub(super) struct OfNozzle<'v> {
    /// The catch.
    pub(super) catch: &'v Catch,
    /// The nozzle.
    pub(super) nozzle: &'v CaughtNozzle,
}

impl OfNozzle<'_> {
    /// Its key.
    pub(super) fn key(&self, visit: &Visit<'_>, stage: Stage) -> Key {
        nozzle_key(visit, stage, self.nozzle)
    }

    /// Where its readings stand.
    pub(super) fn place(&self) -> Place {
        self.nozzle.place.unwrap_or(self.catch.place)
    }

    /// Its readings as written: `41.0 fl oz`, or the mean of repeats.
    pub(super) fn read(&self) -> Option<Fact> {
        let first = self.nozzle.readings.first()?;
        let count = self.nozzle.readings.len();
        if count == 1 {
            return Some(Fact::Written(first.quantity));
        }
        let amounts: f64 = self.nozzle.readings.iter().map(|r| r.quantity.si()).sum();
        let mean = amounts / f64::from(u32::try_from(count).ok()?);
        let mean = Fact::computed(mean, first.quantity.unit);
        Some(Fact::phrase(
            "mean of {} readings {}",
            [Fact::whole(count), mean],
        ))
    }
}

impl<'c, N: Number> Flows<'c, N> {
    pub(super) fn of(visit: &Visit<'_>, catch: &'c Catch) -> Self {
        let nozzles = &catch.nozzles;
        let flow = |nozzle| nozzle_flow(visit, nozzle);
        let kept = N::kept(&catch.flows);
        let flows = kept
            .flows
            .get_or_init(|| nozzles.iter().map(flow).collect());
        let mean = &kept.mean;
        Self {
            nozzles,
            flows,
            mean,
        }
    }

    /// The flow of a nozzle of the catch; none where it was not caught.
    pub(super) fn of_nozzle(&self, nozzle: &CaughtNozzle) -> Option<&'c N> {
        let at = usize::from(nozzle.nozzle.number).checked_sub(1)?;
        self.flows.get(at)?.as_ref()
    }

    /// Each nozzle caught, plugged ones among them.
    pub(super) fn caught(&self) -> impl Iterator<Item = (&'c CaughtNozzle, &'c N)> + Clone {
        let all = self.nozzles.iter().zip(self.flows);
        all.filter_map(|(nozzle, flow)| Some((nozzle, flow.as_ref()?)))
    }

    /// The mean, or nothing where every nozzle caught passes nothing; none where none was caught.
    pub(super) fn mean_or_nothing(&self) -> Option<N> {
        self.caught().next()?;
        self.mean().or_else(|| Some(N::whole(0)))
    }

    /// The nozzles that pass anything.
    pub(super) fn passing(&self) -> impl Iterator<Item = (&'c CaughtNozzle, &'c N)> + Clone {
        self.caught().filter(|(_, flow)| !flow.is_zero())
    }

    /// The mean of all that pass anything; none where none does.
    pub(super) fn mean(&self) -> Option<N> {
        let mean = self.mean.get_or_init(|| {
            let passing = self.passing().map(|(_, flow)| flow);
            passing.clone().next()?;
            Some(N::mean(passing))
        });
        mean.clone()
    }

    /// The flow of every nozzle of the boom; none where one was not caught.
    pub(super) fn of_boom(&self) -> Option<impl Iterator<Item = &'c N>> {
        let is_whole = self.flows.iter().all(Option::is_some);
        is_whole.then(|| self.flows.iter().flatten())
    }
}

/// A pressure: what the gauge shows plus the gauge's error.
pub(super) fn pressure<N: Number>(visit: &Visit<'_>, pressure: &Pressure) -> N {
    N::input(&visit.primitives, pressure.reading).plus(&N::input(&visit.primitives, pressure.error))
}

/// The rated flow at the catch's pressure: Q2 = Q1 x sqrt(P2 / P1).
///
/// None where the sheet rates no nozzle or the catch has no pressure. Holds for a fixed orifice and
/// clean water.
pub(super) fn rated_flow<N: Number>(visit: &Visit<'_>, catch: &Catch) -> Option<N> {
    let (rated, at) = (catch.rated.as_ref()?, catch.pressure.as_ref()?);
    let input = |id| N::input(&visit.primitives, id);
    let ratio = pressure::<N>(visit, at).over(&input(rated.pressure));
    Some(input(rated.flow).times(&ratio.root()))
}

/// Why there is no rated flow, and where it should stand.
pub(super) fn why_not_rated(visit: &Visit<'_>, catch: &Catch) -> (&'static str, Option<Place>) {
    if catch.pressure.is_none() {
        return ("the catch gives no pressure", Some(catch.place));
    }
    match visit.setup {
        Some((_, setup)) => (
            "the machine sheet gives no nozzle size for the setup",
            Some(visit.sheet_place(setup.name.span)),
        ),
        None => ("the setup tested is not known", Some(catch.place)),
    }
}

/// The key of one nozzle of a catch.
pub(super) fn nozzle_key(visit: &Visit<'_>, stage: Stage, nozzle: &CaughtNozzle) -> Key {
    let part = Part::Nozzle {
        section: nozzle.nozzle.section,
        number: nozzle.nozzle.number,
    };
    visit.key(Step::Catch, Some(stage), part)
}

/// The one member that says why a catch yields no figure of a kind.
pub(super) fn no_flows<N>(visit: &Visit<'_>, stage: Stage, catch: &Catch) -> Member<N> {
    let key = visit.key(Step::Catch, Some(stage), Part::Whole);
    let because = if catch.nozzles.iter().any(|nozzle| nozzle.unreadable) {
        "the readings of the catch cannot be made flows"
    } else {
        "no nozzle of the catch passes anything"
    };
    Member::unavailable(key, because, Some(catch.place), catch.place)
}

/// The catch and nozzle a key names.
pub(super) fn find<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<(&'v Catch, &'v CaughtNozzle)> {
    let catch = visit.catch.at(key.stage?)?;
    let Part::Nozzle { number, .. } = key.part else {
        return None;
    };
    let nozzle = catch.nozzles.get(usize::from(number).checked_sub(1)?)?;
    Some((catch, nozzle))
}

/// The readings of a nozzle as written: `41.0 fl oz`, or the mean of repeats.
pub(super) fn read(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (_, nozzle) = find(visit, key)?;
    let first = nozzle.readings.first()?;
    if nozzle.readings.len() == 1 {
        return Some(first.quantity.to_string());
    }
    let amounts: f64 = nozzle.readings.iter().map(|r| r.quantity.si()).sum();
    let count = u32::try_from(nozzle.readings.len()).ok()?;
    let mean = super::describe::in_unit(amounts / f64::from(count), first.quantity.unit);
    Some(format!("mean of {count} readings {mean}"))
}

impl Catch {
    /// A flow as the catch would have read it: `36.73 fl oz`, for the duration of the first reading.
    pub(super) fn as_caught(&self, flow: f64) -> Option<Expression> {
        let mut nozzles = self.nozzles.iter();
        let reading = nozzles.find_map(|nozzle| nozzle.readings.first())?;
        let mut amount = flow;
        if let Some(duration) = &reading.duration {
            amount *= duration.si();
        }
        if reading.density.is_some() {
            amount *= 1000.0;
        }
        let shown = Fact::computed(amount, reading.quantity.unit);
        Some(Expression::number(amount, shown))
    }
}

/// A flow as the catch would have read it: `36.73 fl oz`, for the duration of the first reading.
pub(super) fn as_caught(catch: &Catch, flow: f64) -> Option<String> {
    let reading = catch
        .nozzles
        .iter()
        .find_map(|nozzle| nozzle.readings.first())?;
    let mut amount = flow;
    if let Some(duration) = &reading.duration {
        amount *= duration.si();
    }
    if reading.density.is_some() {
        amount *= 1000.0;
    }
    Some(super::describe::in_unit(amount, reading.quantity.unit))
}

/// The unit of a catch's readings.
pub(super) fn caught_in(catch: &Catch) -> Option<Unit> {
    let mut nozzles = catch.nozzles.iter();
    let reading = nozzles.find_map(|nozzle| nozzle.readings.first())?;
    Some(reading.quantity.unit)
}

/// The unit a nozzle's flow is shown in, after the unit of its readings.
pub(super) fn flow_unit(catch: &Catch) -> Option<Unit> {
    let reading = catch
        .nozzles
        .iter()
        .find_map(|nozzle| nozzle.readings.first())?;
    let unit = reading.quantity.unit;
    if unit.dimension() == Dimension::FLOW {
        return Some(unit);
    }
    let metric = [Unit::MILLILITRE, Unit::LITRE].contains(&unit) || reading.density.is_some();
    Some(if metric {
        Unit::LITRE_PER_MINUTE
    } else {
        Unit::GPM
    })
}

/// Flows in floating point, for words.
pub(super) fn measured<'c>(visit: &Visit<'_>, catch: &'c Catch) -> Flows<'c, f64> {
    Flows::of(visit, catch)
}
