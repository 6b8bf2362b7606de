//! What a value should come to that is held against others, as those were read.

use super::form::{Aim, Entry, Field};
use super::said::at;
use super::state::Session;
use super::text::Written;
use super::typed::Kind;
use crate::fact::{Digits, Fact};
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
        relative.chain(given).collect()
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
