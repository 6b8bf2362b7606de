//! What a value should come to that is held against others, as those were read.

use super::form::{Aim, Entry, Field};
use super::said::at;
use super::state::Session;
use super::text::Written;
use super::typed::Kind;
use crate::fact::{Digits, Fact};
use crate::figure::flow_at;
use crate::quantity::Quantity;
use crate::report::{Report, Told};
use std::collections::BTreeMap;

impl Session {
    /// What each value should come to that is held against another one, and each factor that is found to be wrong.
    pub(super) fn aims(&self, written: &Written, found: &Report) -> BTreeMap<String, Aim> {
        let relative = self
            .form
            .entries()
            .filter_map(|entry| Some((entry.key.clone(), self.relative(entry)?)));
        let given = found
            .findings
            .iter()
            .filter_map(|told| self.factor_given(written, told));
        let nozzles = self
            .form
            .entries()
            .filter_map(|entry| Some((entry.key.clone(), self.of_nozzle(entry)?)));
        relative.chain(given).chain(nozzles).collect()
    }

    /// Of a nozzle, at the pressure and in the time of its catch as they were read.
    fn of_nozzle(&self, entry: &Entry) -> Option<Aim> {
        let Field::Nozzle { round, .. } = entry.field else {
            return None;
        };
        let aim = entry.aim?;
        let time = self.times_target(Field::Catch(round, "duration"));
        let at = |pressure: f64| flow_at(&1.0, &1.0, &pressure);
        let pressure = self.times_target(Field::Catch(round, "pressure")).map(at);
        if time.is_none() && pressure.is_none() {
            return None;
        }
        let ratio = time.unwrap_or(1.0) * pressure.unwrap_or(1.0);
        Some(Aim {
            target: aim.target * ratio,
            within: aim.within.map(|(low, high)| (low * ratio, high * ratio)),
            decimals: aim.decimals,
        })
    }

    /// What was read of a value, as a multiple of its target.
    fn times_target(&self, field: Field) -> Option<f64> {
        let entry = self.form.at(field)?;
        let target = entry.aim?.target;
        let Kind::Quantity(dimensions, unit) = &entry.kind else {
            return None;
        };
        let read = self.entered.value(&self.form, entry)?;
        let read = Quantity::parse(&read, dimensions).ok()?;
        let ratio = Quantity::in_unit(read.si(), *unit) / target;
        (ratio.is_finite() && 0.0 < ratio).then_some(ratio)
    }

    /// By another value, as that was read.
    fn relative(&self, entry: &Entry) -> Option<Aim> {
        let (key, ratios) = entry.relative_to.as_ref()?;
        let against = self.form.entry(key)?;
        let Kind::Quantity(dimensions, unit) = &against.kind else {
            return None;
        };
        let read = self.entered.value(&self.form, against)?;
        let read = Quantity::parse(&read, dimensions).ok()?;
        // It may be written in another unit than the values are asked for in.
        let target = Quantity::in_unit(read.si(), *unit);
        Some(Aim::around(target, *ratios))
    }

    /// The factor to enter after the test that a finding is of.
    fn factor_given(&self, written: &Written, told: &Told) -> Option<(String, Aim)> {
        let (factor, read) = told.factor_given()?;
        let Fact::Computed {
            si,
            unit,
            digits: Digits::Decimals(decimals),
        } = *factor
        else {
            return None;
        };
        let file = self.fleet.file(&self.path)?;
        let key = at(written, file, read.file, &read.span.range()).next()?;
        let after = match self.form.entry(key)?.field {
            Field::Meter(round, _) => Field::Meter(round, "after"),
            Field::Speed(round, _) | Field::Run(round, ..) => Field::Speed(round, "after"),
            Field::Visit(_)
            | Field::Preparation(_)
            | Field::Catch(..)
            | Field::Nozzle { .. }
            | Field::Balance(_)
            | Field::Off(..) => return None,
        };
        let aim = Aim {
            target: Quantity::in_unit(si, unit),
            within: None,
            decimals,
        };
        Some((after.name(), aim))
    }
}
