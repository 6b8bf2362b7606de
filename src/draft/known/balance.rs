//! What a section balance takes in.

use super::making::{Making, as_written, entry, of_setup};
use crate::assess::StepStanding;
use crate::draft::form::{Entry, Field};
use crate::draft::typed::Kind;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::record::machine::{BalanceBy, Control};
use crate::words::phrases;

impl Making<'_> {
    /// What is read in a balance, pressures or rates; without a console nothing shows a rate.
    pub(super) fn read_in_balance(&self) -> Dimension {
        let by = self.machine.balance_by.map(|by| by.value);
        let has_console = self.machine.control.map(|control| control.value) == Some(Control::Flow);
        if by.map_or(!has_console, |by| by == BalanceBy::Pressure) {
            Dimension::PRESSURE
        } else {
            Dimension::RATE
        }
    }

    pub(super) fn balance(&self, step: &StepStanding) -> Vec<Entry> {
        let setup = self.setup();
        let dimension = self.read_in_balance();
        let is_by_pressure = dimension == Dimension::PRESSURE;
        let mut entries = Vec::new();
        let (unit, aim) = if is_by_pressure {
            (self.pressure_unit(), setup.pressure.as_ref())
        } else {
            let unit = setup
                .speed
                .as_ref()
                .map_or(Unit::MPH, |speed| speed.value.unit);
            let kind = Kind::Quantity(vec![Dimension::SPEED], unit);
            let mut speed = entry(Field::Balance("entered-speed"), "speed entered", kind);
            let text = setup.speed.as_ref().map(|speed| speed.value.to_string());
            speed.hint = of_setup(text.as_deref());
            speed.aim = setup.speed.as_ref().map(|placed| as_written(placed.value));
            let kind = Kind::OneOf(&["manual", "automatic"]);
            let mut control = entry(Field::Balance("rate-control"), "rate control", kind);
            "manual".clone_into(&mut control.hint);
            // A console that holds the rate hides what is looked for, so nobody passes this over.
            entries.extend([speed.optional(), control]);
            let rate = setup.rate.as_ref();
            (
                rate.map_or(Unit::GALLON_PER_ACRE, |rate| rate.value.unit),
                rate,
            )
        };
        let kind = || Kind::Quantity(vec![dimension], unit);
        let ratios = self.ratios(step);
        let mut all_on = entry(Field::Balance("all-on"), "all sections on", kind());
        all_on.aim = aim.map(|placed| as_written(placed.value));
        let text = aim.map(|placed| placed.value.to_string());
        all_on.hint = of_setup(text.as_deref());
        all_on.last = self.last.text(all_on.field);
        entries.push(all_on);
        for (at, section) in self.machine.boom.sections.iter().enumerate() {
            let Some(name) = &section.name else {
                continue;
            };
            let name = phrases::name(&name.value).into_owned();
            let mut found = entry(Field::Off(at, "as-found"), &format!("{name} off"), kind());
            let mut left = entry(
                Field::Off(at, "as-left"),
                &format!("{name} off, as left"),
                kind(),
            );
            for entry in [&mut found, &mut left] {
                entry.relative_to = Some((Field::Balance("all-on").name(), ratios));
                entry.last = self.last.text(entry.field);
            }
            entries.extend([found, left.optional()]);
        }
        entries
    }
}
