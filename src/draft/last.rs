//! What the last visits of a machine read, to be seen beside what is read now.

use super::form::Field;
use crate::fleet::Layout;
use crate::procedure::{DoneFor, Step};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::calibration::{CatchTest, FactorChange, KnownBy, MeterTest, Reading, SpeedTest};
use crate::record::{Calibration, Machine};
use crate::source::Spanned;
use crate::words::numbers;

/// The last visit of each step of a setup.
#[derive(Debug, Default)]
pub(super) struct Last {
    visits: Vec<(Step, Calibration)>,
    hours: Option<Quantity>,
    layout: Option<Layout>,
}

impl Last {
    pub(super) fn new(layout: Option<Layout>, hours: Option<Quantity>) -> Self {
        Self {
            hours,
            layout,
            ..Self::default()
        }
    }

    /// Takes in a visit; visits are shown earliest first.
    pub(super) fn take(&mut self, machine: &Machine, visit: &Calibration, is_of_setup: bool) {
        for step in Step::all() {
            let procedure = step.procedure();
            let counts = is_of_setup || (procedure.done_for)(machine) == DoneFor::Machine;
            if counts && !(procedure.tests)(visit).is_empty() {
                self.visits.retain(|(of, _)| *of != step);
                self.visits.push((step, visit.clone()));
            }
        }
    }

    fn visit(&self, step: Step) -> Option<&Calibration> {
        let mut visits = self.visits.iter();
        visits.find_map(|(of, visit)| (*of == step).then_some(visit))
    }

    /// Whether there was no visit before.
    pub(super) fn is_first(&self) -> bool {
        self.visits.is_empty()
    }

    /// The factor that the last visit left.
    pub(super) fn factor(&self, step: Step) -> Option<String> {
        let changes = (step.procedure().factors)(self.visit(step)?);
        let left = |change: &&FactorChange| change.after.or(change.before);
        let last = changes.iter().rev().find_map(left)?;
        Some(last.value.to_string())
    }

    /// What a nozzle gave when it was last caught, in the unit of the readings now; nothing of another dimension.
    pub(super) fn nozzle(&self, number: u32, unit: Option<Unit>) -> Option<String> {
        let visit = self.visit(Step::Catch)?;
        let at = usize::try_from(number).ok()?.checked_sub(1)?;
        let mut tests = visit.catch_tests.iter().rev();
        tests.find_map(|test| self.reading(visit, test, at, unit))
    }

    fn reading(
        &self,
        visit: &Calibration,
        test: &CatchTest,
        at: usize,
        unit: Option<Unit>,
    ) -> Option<String> {
        let laid = self
            .layout
            .as_ref()?
            .lay(visit.file, test, &mut Vec::new())?;
        let cell = (*laid.cells.get(at)?)?;
        let was = test.unit.map(|unit| unit.value);
        cell.readings
            .iter()
            .rev()
            .find_map(|reading| match reading {
                Reading::Caught(decimal) => match (was, unit) {
                    (Some(was), Some(unit)) if was != unit => {
                        let now = decimal.value.to_f64() * was.factor() / unit.factor();
                        let is_alike = was.dimension() == unit.dimension();
                        is_alike.then(|| numbers::significant(now, 3))
                    }
                    _ => Some(decimal.value.to_string()),
                },
                Reading::Missed(_) | Reading::Unreadable(_) => None,
            })
    }

    /// How the volume of the last meter test was known.
    pub(super) fn known_by(&self) -> Option<KnownBy> {
        let known_by = self.visit(Step::Flow)?.meter_tests.last()?.known_by;
        known_by.map(|by| by.value)
    }

    /// The unit in which the first of some values was read last that was read in one of the dimensions.
    pub(super) fn unit(
        &self,
        fields: impl IntoIterator<Item = Field>,
        dimensions: &[Dimension],
    ) -> Option<Unit> {
        let read = fields.into_iter().filter_map(|field| self.quantity(field));
        let mut units = read.map(|read| read.unit);
        units.find(|unit| dimensions.contains(&unit.dimension()))
    }

    /// What was read last, in the unit of what is read now; nothing of what was read in another dimension.
    pub(super) fn text(&self, field: Field, unit: Unit) -> Option<String> {
        let read = self.quantity(field)?;
        if read.unit == unit {
            return Some(read.to_string());
        }
        let is_alike = read.unit.dimension() == unit.dimension();
        let now = || numbers::significant(Quantity::in_unit(read.si(), unit), 3);
        is_alike.then(|| unit.behind(&now()))
    }

    /// A value of the last visit that has it, of the first round as left: the last test of the visit.
    pub(super) fn quantity(&self, field: Field) -> Option<Quantity> {
        let value = |read: Option<Spanned<Quantity>>| read.map(|read| read.value);
        match field {
            Field::Visit("hours") => self.hours,
            Field::Visit("boom-end-pressure") => value(self.visit(Step::Catch)?.boom_end_pressure),
            Field::Meter(_, key) => {
                let test: &MeterTest = self.visit(Step::Flow)?.meter_tests.last()?;
                value(match key {
                    "known-volume" => test.known_volume,
                    "duration" => test.duration,
                    "shown" => test.shown,
                    _ => None,
                })
            }
            Field::Speed(_, "distance") => value(self.speed_test()?.distance),
            Field::Run(_, run, key) => {
                let run = self.speed_test()?.runs.get(run)?;
                value(if key == "elapsed" {
                    run.elapsed
                } else {
                    run.shown
                })
            }
            Field::Balance("all-on") => {
                value(self.visit(Step::Balance)?.section_balance.as_ref()?.all_on)
            }
            Field::Off(section, "as-found") => {
                let balance = self.visit(Step::Balance)?.section_balance.as_ref()?;
                let name = self
                    .layout
                    .as_ref()?
                    .section_name(u16::try_from(section).ok()?)?;
                let of_section = balance.sections_off.iter().find(
                    |reading| matches!(&reading.sections[..], [only] if only.value == name),
                )?;
                value(of_section.as_left.or(of_section.as_found))
            }
            Field::Visit(_)
            | Field::Preparation(_)
            | Field::Catch(..)
            | Field::Nozzle { .. }
            | Field::Speed(..)
            | Field::Balance(_)
            | Field::Off(..) => None,
        }
    }

    fn speed_test(&self) -> Option<&SpeedTest> {
        self.visit(Step::Speed)?.speed_tests.last()
    }

    /// The instrument that a test named last.
    pub(super) fn named(&self, field: Field) -> Option<String> {
        let named = match field {
            Field::Catch(_, key) => {
                let test = self.visit(Step::Catch)?.catch_tests.last()?;
                match key {
                    "jug" => &test.jug,
                    "scale" => &test.scale,
                    "gauge" => &test.gauge,
                    "watch" => &test.stopwatch,
                    _ => return None,
                }
            }
            Field::Speed(_, "measured-by") => &self.speed_test()?.measured_by,
            Field::Speed(_, "watch") => &self.speed_test()?.stopwatch,
            Field::Visit(_)
            | Field::Preparation(_)
            | Field::Nozzle { .. }
            | Field::Meter(..)
            | Field::Speed(..)
            | Field::Run(..)
            | Field::Balance(_)
            | Field::Off(..) => return None,
        };
        named.as_ref().map(|name| name.value.clone())
    }
}
