//! What the last visits of a machine read, to be seen beside what is read now.

use super::form::Field;
use crate::fleet::Layout;
use crate::procedure::{DoneFor, Step};
use crate::quantity::Quantity;
use crate::quantity::unit::Unit;
use crate::record::calibration::{CatchTest, FactorChange, MeterTest, Reading, SpeedTest};
use crate::record::{Calibration, Machine};
use crate::words::numbers;

/// The last visit of each step of a setup.
#[derive(Debug, Default)]
pub(super) struct Last {
    visits: Vec<(Step, Calibration)>,
    hours: Option<String>,
    layout: Option<Layout>,
}

impl Last {
    pub(super) fn new(layout: Option<Layout>, hours: Option<String>) -> Self {
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

    pub(super) fn hours(&self) -> Option<String> {
        self.hours.clone()
    }

    /// The factor that the last visit left.
    pub(super) fn factor(&self, step: Step) -> Option<String> {
        let changes = (step.procedure().factors)(self.visit(step)?);
        let left = |change: &&FactorChange| change.after.or(change.before);
        let last = changes.iter().rev().find_map(left)?;
        Some(last.value.to_string())
    }

    /// What a nozzle gave when it was last caught, in the unit of the readings now.
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
                    (Some(was), Some(unit))
                        if was != unit && was.dimension() == unit.dimension() =>
                    {
                        let now = decimal.value.to_f64() * was.factor() / unit.factor();
                        Some(numbers::significant(now, 3))
                    }
                    _ => Some(decimal.value.to_string()),
                },
                Reading::Missed(_) | Reading::Unreadable(_) => None,
            })
    }

    /// A value of the last visit that has it, of the first round as left: the last test of the visit.
    pub(super) fn text(&self, field: Field) -> Option<String> {
        let quantity = |read: Option<crate::source::Spanned<Quantity>>| {
            read.map(|read| read.value.to_string())
        };
        match field {
            Field::Visit("boom-end-pressure") => {
                quantity(self.visit(Step::Catch)?.boom_end_pressure)
            }
            Field::Meter(_, key) => {
                let test: &MeterTest = self.visit(Step::Flow)?.meter_tests.last()?;
                match key {
                    "known-volume" => quantity(test.known_volume),
                    "known-by" => test.known_by.map(|by| by.value.words().to_owned()),
                    "duration" => quantity(test.duration),
                    "shown" => quantity(test.shown),
                    _ => None,
                }
            }
            Field::Speed(_, key) => {
                let test = self.speed_test()?;
                match key {
                    "distance" => quantity(test.distance),
                    "surface" => test.surface.as_ref().map(|surface| surface.value.clone()),
                    "tank" => test.tank.as_ref().map(|tank| tank.value.clone()),
                    _ => None,
                }
            }
            Field::Run(_, run, key) => {
                let run = self.speed_test()?.runs.get(run)?;
                quantity(if key == "elapsed" {
                    run.elapsed
                } else {
                    run.shown
                })
            }
            Field::Balance("all-on") => {
                quantity(self.visit(Step::Balance)?.section_balance.as_ref()?.all_on)
            }
            Field::Off(section, key) => {
                let balance = self.visit(Step::Balance)?.section_balance.as_ref()?;
                let name = self
                    .layout
                    .as_ref()?
                    .section_name(u16::try_from(section).ok()?)?;
                let of_section = balance.sections_off.iter().find(
                    |reading| matches!(&reading.sections[..], [only] if only.value == name),
                )?;
                let found = of_section.as_left.or(of_section.as_found);
                quantity(if key == "as-found" { found } else { None })
            }
            Field::Visit(_)
            | Field::Preparation(_)
            | Field::Catch(..)
            | Field::Nozzle { .. }
            | Field::Balance(_) => None,
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
