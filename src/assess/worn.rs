//! Each setup's nozzles since they were fitted: their catches gathered, and when they will be worn.

use super::context::Context;
use crate::figure::standing::WornSet;
use crate::figure::{Measure, Visit, What, about, mean_off_rated};
use crate::fleet::{History, Moment};
use crate::history::Timeline;
use crate::outcome::Step;
use crate::rule::Whose;
use crate::source::Place;
use crate::statistics::root_sum_square;
use crate::wear::{self, WearForecast, WearPoint};
use std::collections::BTreeMap;
use std::iter;

/// The mean flow of one visit, as left, by the visit's place in the history.
#[derive(Debug, Clone, Copy)]
pub(super) struct CaughtMean {
    visit: usize,
    setup: u16,
    moment: Moment,
    off_rated: f64,
    place: Place,
}

/// The mean of a visit; none where it was not caught, or nobody read the hour meter.
pub(super) fn caught_mean(index: usize, visit: &Visit<'_>) -> Option<CaughtMean> {
    let moment = visit.moment()?;
    moment.hours?;
    let (setup, _) = visit.setup?;
    let (off_rated, place) = mean_off_rated::as_left::<f64>(visit)?;
    Some(CaughtMean {
        visit: index,
        setup,
        moment,
        off_rated,
        place,
    })
}

/// What the mean of a visit may be off by.
#[derive(Debug, Default)]
pub(super) struct MayBeOff {
    /// The standard uncertainty of what was read anew.
    own: f64,
    /// Each instrument that lasts from visit to visit, by what it errs in and where the fleet declares it,
    /// with the half width of its error.
    instruments: Vec<(What, Option<Place>, f64)>,
}

/// What the mean of a visit may be off by; nothing where it has no mean.
pub(super) fn may_be_off(visit: &Visit<'_>) -> MayBeOff {
    let mut off = MayBeOff::default();
    let Some((mean, _)) = mean_off_rated::as_left::<Measure>(visit) else {
        return off;
    };
    let mut variance = 0.0;
    for &(id, sensitivity) in mean.parts() {
        let primitive = visit.primitives.get(id);
        let effect = sensitivity * primitive.uncertainty;
        if primitive.what.lasts() {
            // Every error of these is rectangular, its half width a tolerance or a class.
            let half_width = effect * 3.0_f64.sqrt();
            let instrument = (primitive.what, primitive.place, half_width);
            off.instruments.push(instrument);
        } else {
            variance += effect * effect;
        }
    }
    off.own = variance.sqrt();
    off
}

/// The errors that visits share: by instrument, the half width of its error at each visit.
///
/// An instrument that nobody declares is taken for the same one at each visit: a club has one jug. Where
/// each visit has another, their errors scatter as all else does, and the scatter tells of them.
fn shared(visits: &[MayBeOff]) -> Vec<Vec<f64>> {
    let mut kinds: BTreeMap<What, BTreeMap<Option<Place>, Vec<f64>>> = BTreeMap::new();
    for (at, visit) in visits.iter().enumerate() {
        for (what, place, half_width) in &visit.instruments {
            let of_kind = kinds.entry(*what).or_default();
            let errors = of_kind.entry(*place).or_default();
            errors.resize(visits.len(), 0.0);
            // A retest reads its gauge anew: two errors of one instrument in one visit add up.
            errors[at] = root_sum_square(errors[at], *half_width);
        }
    }
    let is_used_again =
        |errors: &Vec<f64>| 1 < errors.iter().filter(|error| **error != 0.0).count();
    let kinds = kinds.into_values();
    let shared = kinds.filter(|of_kind| of_kind.values().any(is_used_again));
    shared.flat_map(BTreeMap::into_values).collect()
}

/// What the catches of each setup foretell; `may_be_off` is asked for only where there is a trend.
pub(super) fn sets(
    history: &History,
    timeline: &Timeline<'_>,
    context: &Context,
    means: &[CaughtMean],
    may_be_off: impl Fn(usize) -> MayBeOff,
) -> Vec<WornSet> {
    let Some(machine) = history.machine_on(context.today) else {
        return Vec::new();
    };
    let setups = (0_u16..).zip(&machine.setups);
    setups
        .filter_map(|(index, setup)| {
            let limit = limit(history, context, &setup.name.value)?;
            let fitted = timeline.fitted(index, context.today);
            let since = |mean: &&CaughtMean| {
                let is_of_set = fitted
                    .as_ref()
                    .is_none_or(|(at, _)| at.is_before(&mean.moment));
                mean.setup == index && is_of_set && mean.moment.day <= context.today
            };
            let fitted_at = fitted.and_then(|(_, hours)| hours).unwrap_or(0.0);
            let of_set: Vec<&CaughtMean> = means.iter().filter(since).collect();
            let last = of_set.last()?;
            let point = |(mean, own): (&&CaughtMean, f64)| {
                Some(WearPoint {
                    date: mean.moment.day,
                    hours: (mean.moment.hours? - fitted_at) / SECONDS_AN_HOUR,
                    off_rated: mean.off_rated,
                    standard_uncertainty: own,
                    place: mean.place,
                })
            };
            let points = |own: &mut dyn Iterator<Item = f64>| -> Vec<WearPoint> {
                of_set.iter().zip(own).filter_map(point).collect()
            };
            let forecast = match wear::forecast(&points(&mut iter::repeat(0.0)), &[], limit) {
                WearForecast::Crosses { .. } => {
                    let off = of_set.iter().map(|mean| may_be_off(mean.visit));
                    let off: Vec<MayBeOff> = off.collect();
                    let points = points(&mut off.iter().map(|off| off.own));
                    wear::forecast(&points, &shared(&off), limit)
                }
                none @ WearForecast::None(_) => none,
            };
            let now = timeline.hours_on(context.today)?;
            Some(WornSet {
                setup: index,
                forecast,
                catches: of_set.len(),
                hours_now: (now.seconds - fitted_at) / SECONDS_AN_HOUR,
                read_on: now.day,
                hours_a_day: timeline.hours_a_day(context.today),
                limit,
                place: last.place,
            })
        })
        .collect()
}

const SECONDS_AN_HOUR: f64 = 3_600.0;

/// The limit of the heaviest grade at which a set is replaced: that of the mean off rated.
fn limit(history: &History, context: &Context, setup: &str) -> Option<f64> {
    let machine = history.machine_on(context.today)?;
    let whose = Whose {
        machine: &history.id,
        course: machine.course.as_ref().map(|course| course.value.as_str()),
        step: Some(Step::Catch),
        setup: Some(setup),
    };
    let limit = context.heaviest_limit(about::MEAN_OFF_RATED, whose, machine, context.today)?;
    Some(limit.bound.quantity()?.si())
}
