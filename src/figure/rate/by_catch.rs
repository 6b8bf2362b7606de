//! The rate that a catch makes at its setup's speed: shared by the figures of it.

use crate::fact::Fact;
use crate::figure::catch::flows::{Flows, no_flow_of_boom};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::speed::course::CourseTimed;
use crate::figure::visit::{Catch, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::record::machine::Control;
use crate::working::Expression;

/// A catch of every nozzle, with what makes a rate of it.
#[derive(Clone, Copy)]
pub(crate) struct ByCatch<'v> {
    /// The catch.
    pub(crate) catch: &'v Catch,
    /// The rate that is meant.
    pub(crate) meant: Shown,
    spacing: Shown,
    speed: Shown,
}

impl<'v> ByCatch<'v> {
    /// The rate of each stage, or why there is none.
    pub(crate) fn members(visit: &'v Visit<'v>) -> Vec<Member<Self>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                match Self::of(visit, catch) {
                    Ok(by_catch) => Member::new(key, by_catch, catch.place),
                    Err(because) => {
                        Member::unavailable(key, because, Some(catch.place), catch.place)
                    }
                }
            })
            .collect()
    }

    fn of(visit: &Visit<'_>, catch: &'v Catch) -> Result<Self, &'static str> {
        visit.setup.ok_or("the setup tested is not known")?;
        let ground = &visit.ground;
        let by_catch = Self {
            catch,
            spacing: ground
                .spacing
                .ok_or("the machine sheet gives no nozzle spacing")?,
            speed: ground.speed.ok_or("the setup gives no speed")?,
            meant: ground.rate.ok_or("the setup gives no rate")?,
        };
        match Flows::<f64>::of(visit, catch).of_boom() {
            Some(_) => Ok(by_catch),
            None => Err(no_flow_of_boom(visit)),
        }
    }

    /// The mean flow of a nozzle.
    fn mean<N: Number>(&self, visit: &Visit<'_>) -> Option<N> {
        let flows = Flows::<N>::of(visit, self.catch);
        Some(N::mean(flows.of_boom()?))
    }

    /// In volume per area: the mean flow over the ground a nozzle covers in a second.
    pub(crate) fn rate<N: Number>(&self, visit: &Visit<'_>) -> Option<N> {
        let input = |shown: Shown| N::input(&visit.primitives, shown.id);
        let speed = input(self.speed).times(&driven(visit)?);
        let covered = speed.times(&input(self.spacing));
        Some(self.mean::<N>(visit)?.over(&covered))
    }

    /// The rate in the unit of the one that is meant.
    pub(crate) fn shown_rate(&self, visit: &Visit<'_>) -> Option<Fact> {
        let unit = self.meant.quantity.unit;
        Some(Fact::computed(self.rate(visit)?, unit))
    }

    /// How the rate follows: `0.6406 gal/min a nozzle / (4.2 mph x 20 in spacing)`.
    pub(crate) fn working(&self, visit: &Visit<'_>) -> Option<Expression> {
        let mean = self.mean(visit)?;
        let shown = Fact::computed(mean, self.catch.flow_unit()?);
        let mean = Expression::number(mean, Fact::phrase("{} a nozzle", [shown]));
        let spacing = |spacing| Fact::phrase("{} spacing", [spacing]);
        let spacing = self.spacing.as_written().shown_as(spacing);
        Some(mean.over(self.speed.as_written().times(spacing)))
    }
}

/// The speed that is driven as a multiple of the setup's: one, as well as it is known.
///
/// A console that holds the rate follows the speed, so the rate by catch is that at the setup's speed.
/// Elsewhere what is driven makes the rate. It is known by the visit's speed test where there is one, even
/// one that was followed by a correction: a watch and a course tell the true speed whatever was shown.
fn driven<N: Number>(visit: &Visit<'_>) -> Option<N> {
    let control = visit.subject.machine.control;
    if control.is_some_and(|control| control.value == Control::Flow) {
        return Some(N::whole(1));
    }
    let course = visit.speed.left.as_ref().or(visit.speed.found.as_ref());
    let timed = course.and_then(|course| CourseTimed::of(course).ok());
    match timed {
        Some(timed) => Some(timed.mean_speed::<N>(visit).relative()),
        None => Some(N::input(&visit.primitives, visit.ground.speed_held?)),
    }
}
