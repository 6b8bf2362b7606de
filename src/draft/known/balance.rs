//! What a section balance takes in.

use super::making::{Making, as_written, entry, of_setup};
use crate::assess::StepStanding;
use crate::draft::form::{Entry, Field};
use crate::draft::typed::Kind;
use crate::procedure::balance_by;
use crate::quantity::dimension::Dimension;
use crate::record::machine::BalanceBy;
use crate::words::phrases;
use std::iter;

impl Making<'_> {
    /// What is read in a balance.
    pub(super) fn read_in_balance(&self) -> Dimension {
        match balance_by(self.machine) {
            BalanceBy::Pressure => Dimension::PRESSURE,
            BalanceBy::Rate => Dimension::RATE,
        }
    }

    pub(super) fn balance(&self, step: &StepStanding) -> Vec<Entry> {
        let (setup, units) = (self.setup(), self.units());
        let dimension = self.read_in_balance();
        let mut entries = Vec::new();
        let (unit, aim) = if dimension == Dimension::PRESSURE {
            (units.pressure, setup.pressure)
        } else {
            let kind = Kind::Quantity(vec![Dimension::SPEED], units.speed);
            let mut speed = entry(Field::Balance("entered-speed"), "speed entered", kind);
            let text = setup.speed.map(|speed| speed.value.to_string());
            speed.hint = of_setup(text.as_deref());
            let aim = setup.speed;
            speed.aim = aim.map(|placed| as_written(placed.value, units.speed));
            let kind = Kind::OneOf(&["manual", "automatic"]);
            let mut control = entry(Field::Balance("rate-control"), "rate control", kind);
            "manual".clone_into(&mut control.hint);
            // A console that holds the rate hides what is looked for, so nobody passes this over.
            entries.extend([speed.optional(), control]);
            (units.rate, setup.rate)
        };
        let all_on = Field::Balance("all-on");
        let off = (0..self.machine.boom.sections.len()).map(|at| Field::Off(at, "as-found"));
        let read = iter::once(all_on).chain(off);
        let unit = self.last.unit(read, &[dimension]).unwrap_or(unit);
        let read = |field, label: &str| self.read(field, label, &[dimension], unit);
        let ratios = self.ratios(step);
        let mut all_on = read(all_on, "all sections on");
        all_on.aim = aim.map(|placed| as_written(placed.value, unit));
        let text = aim.map(|placed| placed.value.to_string());
        all_on.hint = of_setup(text.as_deref());
        entries.push(all_on);
        for (at, section) in self.machine.boom.sections.iter().enumerate() {
            let Some(name) = &section.name else {
                continue;
            };
            let name = phrases::name(&name.value).into_owned();
            let mut found = read(Field::Off(at, "as-found"), &format!("{name} off"));
            let label = format!("{name} off, as left");
            let mut left = read(Field::Off(at, "as-left"), &label);
            for entry in [&mut found, &mut left] {
                entry.relative_to = Some((Field::Balance("all-on").name(), ratios));
            }
            entries.extend([found, left.optional()]);
        }
        entries
    }
}
