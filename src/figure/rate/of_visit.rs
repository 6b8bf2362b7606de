//! What a visit found of what makes the rate, for all that comes after it.

use super::found::{FoundFor, RateFound, RatePart, RatesFound};
use crate::fact::Fact;
use crate::figure::catch::flows::Flows;
use crate::figure::meter::known_volume::MeterRead;
use crate::figure::number::{Measure, Number};
use crate::figure::records::preparation::is_clean_water;
use crate::figure::speed::course::{CourseShown, CourseTimed};
use crate::figure::visit::Visit;
use crate::record::machine::Control;
use crate::source::Place;
use crate::working::Expression;

/// A value with where it was read.
type Read = (Measure, Place);

/// Adds what a visit found; what it tested and left unknown holds no longer either.
///
/// A console that holds the rate is right as far as its meter and its speed are true; elsewhere the rate is what the boom puts
/// out at the speed it is driven at.
pub fn add_visit(rates: &mut RatesFound, visit: &Visit<'_>) {
    let Some(when) = visit.moment() else {
        return; // A record without a date has no place in time.
    };
    let calibration = visit.calibration;
    let mut add = |part, of: FoundFor, read: Option<Read>| {
        let found = read.map(|(measure, place)| RateFound {
            value: measure.value(),
            uncertainty: measure.standard_uncertainty(&visit.primitives),
            day: when.day,
            place,
        });
        rates.add(part, of, when, found);
    };
    if visit.is_rate_held() {
        if !calibration.meter_tests.is_empty() {
            add(RatePart::Meter, None, meter(visit));
        }
        if !calibration.speed_tests.is_empty() {
            add(RatePart::Distance, None, distance(visit));
        }
        return;
    }
    let Some((index, setup)) = visit.setup else {
        return; // Nobody knows what was tested; a finding tells of it.
    };
    if !calibration.catch_tests.is_empty() {
        let pressure = setup.pressure.map(|pressure| pressure.value);
        add(RatePart::Output, Some((index, pressure)), output(visit));
    }
    if !calibration.speed_tests.is_empty() {
        let declared = setup.speed.map(|speed| speed.value);
        add(RatePart::Speed, Some((index, declared)), speed(visit));
    }
}

impl Visit<'_> {
    /// Whether the machine's console holds the rate.
    pub fn is_rate_held(&self) -> bool {
        let control = self.subject.machine.control;
        control.is_some_and(|control| control.value == Control::Flow)
    }

    /// Whether its file says that no console holds the rate, so that pressure and speed alone make it.
    pub(in crate::figure) fn is_rate_left_to_speed(&self) -> bool {
        self.subject.machine.control.is_some() && !self.is_rate_held()
    }

    /// Whether water was caught for a mix that a console's meter does not count.
    fn is_water_for_a_mix(&self) -> bool {
        let preparation = self.calibration.preparation.as_ref();
        let liquid = preparation.and_then(|preparation| preparation.liquid.as_ref());
        let is_of_water = liquid.is_none_or(|liquid| is_clean_water(&liquid.value));
        is_of_water && !self.is_rate_held()
    }

    /// By how much the flow of water that was caught is divided for the mix that is sprayed: by its density, else by the
    /// setup's factor; none where there is neither, or where a console's meter counts the mix itself.
    pub(in crate::figure) fn water_over_mix<N: Number>(&self) -> Option<N> {
        if !self.is_water_for_a_mix() {
            return None;
        }
        let by_density = self.ground.mix.map(|mix| mix.computed(&self.primitives));
        let entered = self.ground.density_factor;
        by_density.or_else(|| Some(N::input(&self.primitives, entered?.id)))
    }

    /// The same as it follows: `sqrt(10.4 lb/gal / 8.34 lb/gal)`.
    pub(in crate::figure) fn water_over_mix_worked_out(&self) -> Option<Expression> {
        if !self.is_water_for_a_mix() {
            return None;
        }
        let by_density = self.ground.mix.and_then(|mix| mix.worked_out());
        let called = |factor| Fact::phrase("density factor {}", [factor]);
        by_density.or_else(|| Some(self.ground.density_factor?.as_written().shown_as(called)))
    }

    /// The speed test that tells how fast the machine was driven in a stage: what the console counted plays no part, so a
    /// test before a correction serves too.
    pub(in crate::figure) fn driven(&self, is_found: bool) -> Option<CourseTimed> {
        let (found, left) = (self.speed.found.as_ref(), self.speed.left.as_ref());
        let course = if is_found {
            found.or(left)
        } else {
            left.or(found)
        };
        CourseTimed::of(course?).ok()
    }
}

fn meter(visit: &Visit<'_>) -> Option<Read> {
    let meter = MeterRead::of(visit.flow.left.as_ref()?).filter(|meter| !meter.is_dead())?;
    let (shown, known) = meter.shown_and_known::<Measure>(visit);
    Some((known.over(&shown), meter.shown.place))
}

fn distance(visit: &Visit<'_>) -> Option<Read> {
    let course = CourseShown::of(visit.speed.left.as_ref()?).ok()?;
    let (shown, known) = course.shown_and_known::<Measure>(visit);
    Some((shown.over(&known), course.length.place))
}

fn output(visit: &Visit<'_>) -> Option<Read> {
    let catch = visit.catch.left.as_ref()?;
    let flows = Flows::<Measure>::of(visit, catch);
    let mean = Measure::mean(flows.of_boom()?);
    let spacing = Measure::input(&visit.primitives, visit.ground.spacing?.id);
    let of_water = mean.over(&spacing);
    let output = match visit.water_over_mix() {
        Some(factor) => of_water.over(&factor),
        None => of_water,
    };
    Some((output, catch.place))
}

fn speed(visit: &Visit<'_>) -> Option<Read> {
    let timed = visit.driven(false)?;
    Some((timed.mean_speed(visit), timed.length.place))
}
