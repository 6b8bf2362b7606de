//! What a catch test takes in.

use super::again::in_round;
use super::making::{Making, as_written, entry, of_setup};
use crate::assess::{CatchTarget, StepStanding, Target};
use crate::draft::form::{Aim, Entry, Field, ROUNDS, is_weighed};
use crate::draft::typed::Kind;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::instrument::{InstrumentKind, Purpose};
use crate::wording::steps::decimals_of_a_catch;

impl Making<'_> {
    pub(super) fn catch(&self, step: &StepStanding) -> Vec<Entry> {
        let aim = match &step.target {
            Some(Target::Catch(aim)) => Some(aim),
            Some(Target::Factor { .. }) | None => None,
        };
        let mut entries: Vec<Entry> = (0..ROUNDS)
            .flat_map(|round| self.catch_round(round, aim))
            .collect();
        let pressure = Kind::Quantity(vec![Dimension::PRESSURE], self.pressure_unit());
        let field = Field::Visit("boom-end-pressure");
        let mut at_end = entry(field, "pressure at the boom end", pressure).optional();
        at_end.last = self.last.text(field);
        entries.push(at_end);
        entries
    }

    fn catch_round(&self, round: usize, aim: Option<&CatchTarget>) -> Vec<Entry> {
        let mut entries = Vec::new();
        let unit = aim.map(|aim| aim.unit);
        let pressure = Kind::Quantity(vec![Dimension::PRESSURE], self.pressure_unit());
        let mut pressure = entry(Field::Catch(round, "pressure"), "pressure", pressure);
        pressure.aim = self
            .setup()
            .pressure
            .as_ref()
            .map(|placed| as_written(placed.value));
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
            duration.aim = target.map(as_written);
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
        let of_nozzle = aim.map(|aim| Aim {
            target: aim.rated,
            within: aim.within,
            decimals: decimals_of_a_catch(aim.rated),
        });
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
