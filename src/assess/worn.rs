//! Each setup's nozzles since they were fitted: their catches gathered, and when they will be worn.

use super::context::Context;
use crate::figure::standing::WornSet;
use crate::figure::{Measure, Visit, about, mean_off_rated};
use crate::fleet::{History, Moment};
use crate::history::Timeline;
use crate::outcome::Step;
use crate::rule::Whose;
use crate::source::Place;
use crate::wear::{self, WearForecast, WearPoint};

/// The mean flow of one visit, as left, by the visit's place in the history.
#[derive(Debug, Clone, Copy)]
pub(super) struct CaughtMean {
    visit: usize,
    setup: u16,
    moment: Moment,
    off_rated: f64,
    place: Place,
}

/// The mean of a visit; none where it was not caught, or nobody read the hour-meter.
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

/// The standard uncertainty of the mean of a visit; 0 where it has none.
pub(super) fn uncertainty(visit: &Visit<'_>) -> f64 {
    let mean = mean_off_rated::as_left::<Measure>(visit);
    mean.map_or(0.0, |(mean, _)| {
        mean.standard_uncertainty(&visit.primitives)
    })
}

/// What the catches of each setup foretell; `uncertainty` is asked for only where there is a trend.
pub(super) fn sets(
    history: &History,
    timeline: &Timeline<'_>,
    context: &Context,
    means: &[CaughtMean],
    uncertainty: impl Fn(usize) -> f64,
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
            let points = |uncertainty: &dyn Fn(usize) -> f64| -> Vec<WearPoint> {
                let points = of_set.iter().filter_map(|mean| {
                    Some(WearPoint {
                        date: mean.moment.day,
                        hours: (mean.moment.hours? - fitted_at) / SECONDS_AN_HOUR,
                        off_rated: mean.off_rated,
                        standard_uncertainty: uncertainty(mean.visit),
                        place: mean.place,
                    })
                });
                points.collect()
            };
            let forecast = match wear::forecast(&points(&|_| 0.0), limit) {
                WearForecast::Crosses { .. } => wear::forecast(&points(&uncertainty), limit),
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
