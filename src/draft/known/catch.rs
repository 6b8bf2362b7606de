//! What a catch test takes in.

use super::again::in_round;
use super::making::{Making, as_written, catch_target, entry, nozzle_aim, of_setup};
use crate::assess::{CatchTarget, HeldAgainst, State, StepStanding, UndoneBy};
use crate::draft::form::{Entry, Field, ROUNDS};
use crate::draft::typed::Kind;
use crate::figure::is_weighed;
use crate::quantity::calendar::Period;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::instrument::{InstrumentKind, Purpose};
use crate::report::DueList;

impl Making<'_> {
    pub(super) fn catch(&self, step: &StepStanding) -> Vec<Entry> {
        let aim = catch_target(step);
        let mut entries: Vec<Entry> = (0..ROUNDS)
            .flat_map(|round| self.catch_round(round, aim))
            .collect();
        if let Some(due) = self.nozzles_that_do(step) {
            for entry in &mut entries {
                if let Field::Nozzle {
                    round: 0, number, ..
                } = entry.field
                {
                    entry.is_optional = !due.contains(&number);
                }
            }
        }
        let field = Field::Visit("boom-end-pressure");
        let read = self.last.unit([field], &[Dimension::PRESSURE]);
        let gauge = read.unwrap_or(self.units().pressure);
        let label = "pressure at the boom end";
        let at_end = self.read(field, label, &[Dimension::PRESSURE], gauge);
        entries.push(at_end.optional());
        entries
    }

    /// The nozzles that are enough to catch: those that work concerned; none where the whole boom is due as well.
    fn nozzles_that_do(&self, step: &StepStanding) -> Option<Vec<u32>> {
        let State::Void(UndoneBy { undone, .. }) = &step.state else {
            return None;
        };
        let soon = Period::Days(DueList::DAYS_AHEAD).after(self.wanted.day);
        let is_soon = |interval: &HeldAgainst| {
            interval.is_over || soon.is_none_or(|soon| interval.due <= soon)
        };
        let mut sections = self.machine.boom.sections.iter();
        let is_whole = undone.nozzles.is_empty()
            || step.intervals.iter().any(is_soon)
            || sections.any(|section| section.name.is_none());
        (!is_whole).then(|| {
            undone
                .nozzles
                .iter()
                .map(|number| u32::from(*number))
                .collect()
        })
    }

    fn catch_round(&self, round: usize, aim: Option<&CatchTarget>) -> Vec<Entry> {
        let mut entries = Vec::new();
        let unit = aim.map(|aim| aim.unit);
        let gauge = self.units().pressure;
        let pressure = Kind::Quantity(vec![Dimension::PRESSURE], gauge);
        let mut pressure = entry(Field::Catch(round, "pressure"), "pressure", pressure);
        pressure.aim = self
            .setup()
            .pressure
            .as_ref()
            .map(|placed| as_written(placed.value, gauge));
        let text = self
            .setup()
            .pressure
            .as_ref()
            .map(|placed| placed.value.to_string());
        pressure.hint = of_setup(text.as_deref());
        entries.push(pressure);
        if aim.is_none_or(|aim| aim.duration.is_some()) {
            let kind = Kind::Quantity(vec![Dimension::TIME], Unit::SECOND);
            let mut duration = entry(Field::Catch(round, "duration"), "seconds", kind);
            let target = aim.and_then(|aim| aim.duration);
            duration.aim = target.map(|time| as_written(time, Unit::SECOND));
            duration.hint = target.map_or_else(String::new, |time| time.to_string());
            entries.push(duration);
        }
        let mut read_in = entry(Field::Catch(round, "unit"), "unit", Kind::Unit);
        read_in.usual = unit.map(|unit| unit.to_string());
        "what the jug is marked in, such as fl oz or mL".clone_into(&mut read_in.hint);
        entries.push(read_in);
        let (key, purpose, kind) = if unit.is_some_and(is_weighed) {
            ("scale", Purpose::Scale, InstrumentKind::Scale)
        } else {
            ("jug", Purpose::Jug, InstrumentKind::Jug)
        };
        entries.extend(self.instrument(Field::Catch(round, key), key, purpose, &[kind]));
        entries.extend(self.instrument(
            Field::Catch(round, "gauge"),
            "gauge",
            Purpose::Gauge,
            &[InstrumentKind::Gauge],
        ));
        if aim.is_none_or(|aim| aim.duration.is_some()) {
            entries.extend(self.instrument(
                Field::Catch(round, "watch"),
                "stopwatch",
                Purpose::Stopwatch,
                &[InstrumentKind::Stopwatch],
            ));
        }
        let of_nozzle = aim.map(nozzle_aim);
        let mut number = 0;
        for (section, of) in self.machine.boom.sections.iter().enumerate() {
            for position in 1..=of.nozzles.as_ref().map_or(0, |count| count.value) {
                number += 1;
                let field = Field::Nozzle {
                    round,
                    section,
                    position,
                    number,
                };
                let mut nozzle = entry(field, &format!("nozzle {number}"), Kind::Reading(unit));
                nozzle.aim = of_nozzle;
                nozzle.last = self.last.nozzle(number, unit);
                entries.push(nozzle);
            }
        }
        in_round(round, entries)
    }
}
