//! The readings of a visit as causes see them: values with the errors they share, and where each is written.

use super::amount::{Amount, Usual, Zero, usual_flow};
use super::errors::Errors;
use super::last_catch::LastCatch;
use crate::cause::{Again, Readings, Value};
use crate::figure::visit::{
    Catch, CaughtNozzle, Course, FlowReading, Meter, MeterFactor, Pressure, Shown, SpeedFactor,
    Visit,
};
use crate::figure::{Primitives, TIP_SCATTER, flow_at};
use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::calibration::KnownBy;
use crate::record::machine::{Machine, Setup};
use crate::source::Place;
use crate::statistics::root_sum_square;
use std::collections::BTreeMap;

/// The readings of a visit, and where each of its values is written.
pub(super) struct Gathered {
    pub(super) readings: Readings,
    /// Where each value is written; of one that was read several times, each reading.
    pub(super) places: BTreeMap<Value, Vec<Place>>,
    /// Where 0 is written of a nozzle.
    pub(super) zeros: BTreeMap<Place, Zero>,
    errors: Errors,
}

impl Gathered {
    /// What a visit leaves: its catch with what was caught again, its meter test and its speed test, each as left, or as
    /// found where it was not tested again; `last` is the last good catch of the same tips.
    ///
    /// `is_of_found` says of which steps what was found is looked at instead.
    pub(super) fn of_visit(
        visit: &Visit<'_>,
        last: Option<&LastCatch>,
        is_of_found: impl Fn(Step) -> bool,
    ) -> Option<Self> {
        let mut gathered = Self::of_boom(visit.subject.machine)?;
        let setup = visit.setup.map(|(_, setup)| setup);
        gathered.setup(visit.subject.machine, setup);
        gathered.catch(visit);
        let new_tips = visit.new_tips().into_iter();
        gathered.readings.known.new_tips =
            new_tips.map(|number| number.saturating_sub(1)).collect();
        let stage = |step| is_of_found(step);
        let meter = if stage(Step::Flow) {
            visit.flow.found.as_ref()
        } else {
            visit.flow.left.as_ref()
        };
        let meter = meter.or(visit.flow.found.as_ref());
        if let Some(meter) = meter {
            gathered.meter(visit, meter);
        }
        let course = if stage(Step::Speed) {
            visit.speed.found.as_ref()
        } else {
            visit.speed.left.as_ref()
        };
        let course = course.or(visit.speed.found.as_ref());
        if let Some(course) = course {
            gathered.course(visit, course);
        }
        gathered.balance(visit);
        if let Some(last) = last {
            gathered.last_catch(last);
        }
        gathered.errors.tell(&mut gathered.readings);
        Some(gathered)
    }

    /// What a machine file says of one setup, before any visit.
    pub(super) fn of_setup(machine: &Machine, setup: &Setup) -> Option<Self> {
        let mut gathered = Self::of_boom(machine)?;
        gathered.setup(machine, Some(setup));
        Some(gathered)
    }

    fn of_boom(machine: &Machine) -> Option<Self> {
        let sections = machine.boom.sections.iter();
        let nozzles = sections.map(|section| u16::try_from(section.nozzles?.value).ok());
        let nozzles: Vec<u16> = nozzles.collect::<Option<_>>()?;
        Some(Self {
            readings: Readings::of_boom(&nozzles, TIP_SCATTER),
            places: BTreeMap::new(),
            zeros: BTreeMap::new(),
            errors: Errors::default(),
        })
    }

    fn put(&mut self, of: Value, written: Quantity, place: Place) {
        self.readings.put_written(of, written);
        self.places.entry(of).or_default().push(place);
    }

    fn put_shown(&mut self, of: Value, shown: &Shown, primitives: &Primitives) {
        self.put(of, shown.quantity, shown.place);
        self.errors.of(of, shown.id, 1.0, primitives);
    }

    fn setup(&mut self, machine: &Machine, setup: Option<&Setup>) {
        if let Some(spacing) = machine.boom.spacing {
            self.put(Value::Spacing, spacing.value, spacing.place);
        }
        for (section, of) in (0_u16..).zip(&machine.boom.sections) {
            if let Some(width) = of.entered_width {
                self.put(Value::EnteredWidth(section), width.value, width.place);
            }
        }
        let Some(setup) = setup else { return };
        if let Some(rated) = &setup.rated {
            self.put(Value::RatedFlow, rated.flow.value, rated.flow.place);
            self.put(
                Value::RatedPressure,
                rated.pressure.value,
                rated.pressure.place,
            );
            self.readings.known.size.clone_from(&rated.size);
        }
        for (of, declared) in [
            (Value::SetupPressure, setup.pressure),
            (Value::SetupSpeed, setup.speed),
            (Value::SetupRate, setup.rate),
        ] {
            if let Some(declared) = declared {
                self.put(of, declared.value, declared.place);
            }
        }
    }

    /// The catch of the whole boom, and what was caught again after it.
    fn catch(&mut self, visit: &Visit<'_>) {
        let Some(left) = &visit.catch.left else {
            return;
        };
        let primitives = &visit.primitives;
        // What was caught again replaced what the first catch has of the nozzle.
        let first = visit.catch.found.as_ref();
        let first = first.filter(|first| first.place == left.place);
        let usual = self.usual(left, primitives);
        for (nozzle, caught) in (0_u16..).zip(&left.nozzles) {
            if caught.is_again {
                self.again(nozzle, caught, left, primitives);
                let before = first.and_then(|first| first.nozzles.get(usize::from(nozzle)));
                if let Some(before) = before {
                    self.caught(nozzle, before, usual, primitives);
                }
            } else {
                self.caught(nozzle, caught, usual, primitives);
            }
        }
        if let Some(pressure) = &left.pressure {
            self.put(Value::Pressure, pressure.quantity, pressure.place);
            self.pressure_error(Value::Pressure, pressure, primitives);
        }
        if let Some(end) = &visit.boom_end {
            self.put(Value::BoomEndPressure, end.quantity, end.place);
            self.pressure_error(Value::BoomEndPressure, end, primitives);
            // Where no gauge is named for it, the one of the catch was carried there.
            let error = left.pressure.as_ref().map(|pressure| pressure.error);
            let is_named = visit.calibration.boom_end_gauge.is_some();
            self.readings.known.one_gauge = error == Some(end.error) || !is_named;
        }
    }

    fn usual(&self, catch: &Catch, primitives: &Primitives) -> Usual {
        let of = |value| self.readings.get(value);
        let rated = of(Value::RatedFlow).zip(of(Value::RatedPressure));
        let at_catch = rated.zip(catch.pressure);
        let at_catch = at_catch
            .map(|((flow, rated), pressure)| flow_at(&flow, &rated, &pressure.quantity.si()));
        Usual {
            flow: usual_flow(catch, primitives),
            rated: at_catch,
        }
    }

    fn caught(
        &mut self,
        nozzle: u16,
        caught: &CaughtNozzle,
        usual: Usual,
        primitives: &Primitives,
    ) {
        for reading in &caught.readings {
            // A reading at another pressure is brought to that of its catch.
            let to_catch = caught.scaled.map_or(1.0, |scaled| {
                flow_at(&1.0, &scaled.from.quantity.si(), &scaled.to.quantity.si())
            });
            let place = primitives.get(reading.amount).place;
            let of = if reading.quantity.decimal.is_zero() {
                let zero = Zero::of(reading, usual, primitives);
                self.zeros.extend(place.map(|place| (place, zero)));
                self.readings.catch_nothing(nozzle, zero.flow * to_catch)
            } else {
                let Amount { amount, time } = Amount::of(reading, primitives);
                self.readings.catch(nozzle, amount * to_catch, time)
            };
            let Some(of) = of else { continue };
            self.places.entry(of).or_default().extend(place);
            if let Value::Caught(_) = of {
                self.readings.written_as(of, reading.quantity);
                self.errors_of(of, reading, primitives);
                self.readings.known.weighed |= reading.density.is_some();
            }
            if let Some(list) = self.readings.list_of(of) {
                self.timed(Value::Collected(list), reading, primitives);
            }
        }
    }

    /// The time that a reading was collected, written once for all that share it.
    fn timed(&mut self, of: Value, reading: &FlowReading, primitives: &Primitives) {
        let (Some(duration), Some((written, _))) = (reading.duration, reading.time) else {
            return;
        };
        self.readings.written_as(of, duration);
        let places = self.places.entry(of).or_default();
        if let Some(place) = primitives.get(written).place
            && !places.contains(&place)
        {
            places.push(place);
        }
    }

    /// What a reading is uncertain by, and with what it shares it.
    fn errors_of(&mut self, of: Value, reading: &FlowReading, primitives: &Primitives) {
        self.errors.of(of, reading.amount, 1.0, primitives);
        self.errors.of(of, reading.scale, 1.0, primitives);
        if let Some(density) = reading.density {
            self.errors.of(of, density, -1.0, primitives);
        }
        if let Some((time, timing)) = reading.time {
            let seconds = primitives.get(time).value;
            self.errors.added_to(of, timing, -1.0, seconds, primitives);
        }
    }

    fn again(&mut self, nozzle: u16, caught: &CaughtNozzle, of: &Catch, primitives: &Primitives) {
        let Some(reading) = caught.readings.first() else {
            return;
        };
        let Amount { amount, time } = Amount::of(reading, primitives);
        let pressure = caught.scaled.map(|scaled| scaled.from).or(of.pressure);
        let own = primitives.get(reading.amount);
        let timing = reading.time.map_or(0.0, |(time, timing)| {
            primitives.get(timing).uncertainty / primitives.get(time).value
        });
        let number = self.readings.caught_again(Again {
            nozzle,
            amount,
            collected: time,
            pressure: pressure.map(|pressure| pressure.quantity.si()),
            relative: root_sum_square(own.uncertainty / own.value, timing),
        });
        let of = Value::CaughtAgain(number);
        self.readings.written_as(of, reading.quantity);
        self.places.entry(of).or_default().extend(own.place);
        self.errors.of(of, reading.scale, 1.0, primitives);
        self.timed(Value::CollectedAgain(number), reading, primitives);
        if let Some(pressure) = pressure {
            let of = Value::PressureAgain(number);
            self.readings.written_as(of, pressure.quantity);
            self.places.entry(of).or_default().push(pressure.place);
            self.pressure_error(of, &pressure, primitives);
        }
    }

    fn pressure_error(&mut self, of: Value, pressure: &Pressure, primitives: &Primitives) {
        let size = pressure.quantity.si();
        self.errors
            .added_to(of, pressure.error, 1.0, size, primitives);
    }

    fn meter(&mut self, visit: &Visit<'_>, meter: &Meter) {
        let primitives = &visit.primitives;
        if let Some(known) = &meter.known {
            let of = Value::KnownVolume;
            let density = known.density.map(|density| primitives.get(density).value);
            let volume = known.quantity.si() / density.unwrap_or(1.0);
            self.readings.put(of, volume);
            self.readings.written_as(of, known.quantity);
            self.places.entry(of).or_default().push(known.place);
            self.errors.of(of, known.reading, 1.0, primitives);
            self.errors.of(of, known.scale, 1.0, primitives);
            if let Some(density) = known.density {
                self.errors.of(of, density, -1.0, primitives);
            }
            self.readings.known.known_by_catch = known.known_by == Some(KnownBy::Catch);
        }
        if let Some(shown) = &meter.shown {
            self.put_shown(Value::ShownVolume, shown, primitives);
        }
        if let Some(duration) = &meter.duration {
            self.put_shown(Value::RunTime, duration, primitives);
        }
        let mut factors = visit.flow_factors.iter().map(|(_, factor)| factor);
        let own = factors
            .next_back()
            .filter(|own| own.meter.place == meter.place);
        if let Some(MeterFactor { before, after, .. }) = own {
            self.put_shown(Value::FactorBefore, before, primitives);
            self.put_shown(Value::FactorAfter, after, primitives);
        }
        self.left_last(
            visit,
            Step::Flow,
            Value::FactorBefore,
            Value::FactorLeftLast,
        );
        let unit = visit.subject.machine.console.flow_factor.as_ref();
        self.readings.known.volume_per_pulse =
            unit.is_some_and(|unit| unit.value.dimension() != Dimension::PULSES_PER_VOLUME);
    }

    /// The factor a visit begins with beside the one that the last visit left.
    fn left_last(&mut self, visit: &Visit<'_>, step: Step, before: Value, left: Value) {
        let own = visit
            .continued
            .iter()
            .find(|continued| continued.step == step);
        let Some(continued) = own else { return };
        let Ok(last) = &continued.left else { return };
        let first = self.places.get(&before).and_then(|places| places.first());
        if first == Some(&continued.before.place) {
            self.put(left, last.quantity, last.place);
        }
    }

    fn course(&mut self, visit: &Visit<'_>, course: &Course) {
        let primitives = &visit.primitives;
        if let Some(length) = &course.length {
            self.put(Value::Course, length.quantity, length.place);
            self.errors.of(Value::Course, length.scale, 1.0, primitives);
        }
        for (number, run) in (0_u16..).zip(&course.runs) {
            let Some(elapsed) = &run.elapsed else {
                continue;
            };
            let of = Value::Elapsed(number);
            self.put(of, elapsed.shown.quantity, elapsed.shown.place);
            let seconds = elapsed.shown.quantity.si();
            self.errors
                .added_to(of, elapsed.error, 1.0, seconds, primitives);
            self.errors.of(of, run.marks, 1.0, primitives);
            if let Some(shown) = &run.shown {
                let of = Value::ShownDistance(number);
                self.put_shown(of, shown, primitives);
                if shown.quantity.dimension() == Dimension::SPEED {
                    self.readings.put(of, shown.quantity.si() * seconds);
                }
            }
        }
        let mut factors = visit.speed_factors.iter().map(|(_, factor)| factor);
        let own = factors
            .next_back()
            .filter(|own| own.course.place == course.place);
        if let Some(SpeedFactor { before, after, .. }) = own {
            self.put_shown(Value::SpeedFactorBefore, before, primitives);
            self.put_shown(Value::SpeedFactorAfter, after, primitives);
        }
        self.left_last(
            visit,
            Step::Speed,
            Value::SpeedFactorBefore,
            Value::SpeedFactorLeftLast,
        );
        let unit = visit.subject.machine.console.speed_factor.as_ref();
        if unit.is_some_and(|unit| unit.value.dimension() != Dimension::PULSES_PER_LENGTH) {
            self.readings.known.distance_per_pulse = true;
        }
    }

    /// What was shown with one section off, by section.
    fn balance(&mut self, visit: &Visit<'_>) {
        let Some(layout) = &visit.subject.layout else {
            return;
        };
        let primitives = &visit.primitives;
        for off in &visit.balance.sections_off {
            let [name] = off.sections.as_slice() else {
                continue; // Several sections off are of none of them.
            };
            let mut named =
                (0..layout.sections()).filter(|at| layout.section_name(*at) == Some(name));
            let Some(section) = named.next() else {
                continue;
            };
            if let Some(all_on) = &visit.balance.all_on
                && self.readings.get(Value::AllOn).is_none()
            {
                self.put_shown(Value::AllOn, all_on, primitives);
            }
            // A reading that was not changed stands for both.
            let (found, left) = (off.readings.found.as_ref(), off.readings.left.as_ref());
            if let Some(found) = found {
                self.put_shown(Value::BypassFound(section), found, primitives);
                if let Some(left) = left {
                    self.put_shown(Value::BypassLeft(section), left, primitives);
                }
            } else if let Some(left) = left {
                self.put_shown(Value::BypassFound(section), left, primitives);
            }
        }
    }

    fn last_catch(&mut self, last: &LastCatch) {
        for (nozzle, flow) in &last.flows {
            self.readings.put(Value::Before(*nozzle), *flow);
        }
        self.errors.join(&last.errors);
    }
}
