//! The rate that a catch makes at the speed the machine is driven at: shared by the figures of it.

use crate::fact::Fact;
use crate::figure::catch::flows::{Flows, no_flow_of_boom};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::primitive::PrimitiveId;
use crate::figure::rate::on_ground::rate_on_ground;
use crate::figure::speed::course::CourseTimed;
use crate::figure::visit::{Catch, Shown, Visit};
use crate::outcome::{Part, Stage, Step};
use crate::quantity::unit::Unit;
use crate::working::Expression;
use jiff::civil::Date;

/// A catch of every nozzle, with what makes a rate of it.
pub(crate) struct ByCatch<'v> {
    /// The catch.
    pub(crate) catch: &'v Catch,
    /// The rate that is meant.
    pub(crate) meant: Shown,
    spacing: Shown,
    speed: Driven,
}

/// How fast the machine is driven.
///
/// A console that holds the rate counts the speed itself, and where the machine's file does not say how the rate is held one
/// may. Elsewhere a rate stands on the speed that was measured, and on the one the setup declares only where nobody did.
enum Driven {
    /// As the setup declares it.
    Declared(Shown),
    /// As this visit measured it.
    Measured(CourseTimed),
    /// As an earlier visit measured it.
    MeasuredBefore(PrimitiveId, Date),
}

impl<'v> ByCatch<'v> {
    /// The rate of each stage, or why there is none.
    pub(crate) fn members(visit: &'v Visit<'v>) -> Vec<Member<Self>> {
        let catches = visit.catch.each();
        catches
            .map(|(stage, catch)| {
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                match Self::of(visit, stage, catch) {
                    Ok(by_catch) => Member::new(key, by_catch, catch.place),
                    Err(because) => {
                        Member::unavailable(key, because, Some(catch.place), catch.place)
                    }
                }
            })
            .collect()
    }

    fn of(visit: &Visit<'_>, stage: Stage, catch: &'v Catch) -> Result<Self, &'static str> {
        visit.setup.ok_or("the setup tested is not known")?;
        let ground = &visit.ground;
        let by_catch = Self {
            catch,
            spacing: ground
                .spacing
                .ok_or("the machine file gives no nozzle spacing")?,
            speed: Driven::of(visit, stage)
                .ok_or("the setup gives no speed, and no speed test measured it")?,
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
        let mean = self.mean::<N>(visit)?;
        let rate_of_water = rate_on_ground(&mean, &self.speed.value(visit), &input(self.spacing));
        Some(match visit.water_over_mix() {
            Some(factor) => rate_of_water.over(&factor),
            None => rate_of_water,
        })
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
        let covered = self.speed.working(visit).times(spacing);
        let rate_of_water = mean.over(covered);
        Some(match visit.water_over_mix_worked_out() {
            Some(factor) => rate_of_water.over(factor),
            None => rate_of_water,
        })
    }

    /// Whether the speed it stands on was measured.
    pub(crate) const fn is_measured(&self) -> bool {
        matches!(self.speed, Driven::Measured(_) | Driven::MeasuredBefore(..))
    }

    /// The speed it is the rate at: `at 2.410 mph (measured)`.
    pub(crate) fn at_speed(&self, visit: &Visit<'_>) -> Fact {
        let shown = self.speed.shown(visit);
        match &self.speed {
            Driven::Declared(_) if visit.is_rate_left_to_speed() => {
                Fact::phrase("at {} (not measured)", [shown])
            }
            Driven::Declared(_) => Fact::phrase("at {}", [shown]),
            Driven::Measured(_) => Fact::phrase("at {} (measured)", [shown]),
            Driven::MeasuredBefore(_, day) => {
                Fact::phrase("at {} (measured {})", [shown, Fact::Date(*day)])
            }
        }
    }
}

impl Driven {
    /// None where the speed is neither measured nor declared.
    fn of(visit: &Visit<'_>, stage: Stage) -> Option<Self> {
        let declared = || visit.ground.speed.map(Self::Declared);
        if !visit.is_rate_left_to_speed() {
            return declared();
        }
        let of_this_visit = visit.driven(stage == Stage::AsFound).map(Self::Measured);
        let before = || {
            let (speed, day) = visit.measured_speed?;
            Some(Self::MeasuredBefore(speed, day))
        };
        of_this_visit.or_else(before).or_else(declared)
    }

    fn value<N: Number>(&self, visit: &Visit<'_>) -> N {
        match self {
            Self::Declared(speed) => {
                let declared = N::input(&visit.primitives, speed.id);
                // A console that holds the rate follows the speed; elsewhere what is driven makes the rate.
                match visit.ground.speed_held.filter(|_| !visit.is_rate_held()) {
                    Some(held) => declared.times(&N::input(&visit.primitives, held)),
                    None => declared,
                }
            }
            Self::Measured(timed) => timed.mean_speed(visit),
            Self::MeasuredBefore(speed, _) => N::input(&visit.primitives, *speed),
        }
    }

    /// As written, or in the unit of the setup's.
    fn shown(&self, visit: &Visit<'_>) -> Fact {
        let unit = visit
            .ground
            .speed
            .map_or(Unit::MPH, |speed| speed.quantity.unit);
        match self {
            Self::Declared(speed) => Fact::Written(speed.quantity),
            Self::Measured(timed) => Fact::computed(self.value(visit), timed.speed_unit(visit)),
            Self::MeasuredBefore(..) => Fact::computed(self.value(visit), unit),
        }
    }

    fn working(&self, visit: &Visit<'_>) -> Expression {
        let shown = self.shown(visit);
        let shown = match self {
            Self::Declared(_) => shown,
            Self::Measured(_) | Self::MeasuredBefore(..) => Fact::phrase("{} measured", [shown]),
        };
        Expression::number(self.value(visit), shown)
    }
}
