//! What is due on the day, by course and urgency.

use super::Settings;
use super::reading::{Listing, ReadFile};
use crate::quantity::calendar::Period;
use crate::report::DueList;
use jiff::civil::Date;

/// The list of what is due on the day, or within a period after it.
pub fn due(_: &Listing, _: &ReadFile<'_>, settings: &Settings, within: Period) -> DueList {
    let last = within.after(settings.today).unwrap_or(Date::MAX);
    DueList {
        today: settings.today,
        within_days: (last - settings.today).get_days().unsigned_abs(),
        steps: Vec::new(),
        in_date: 0,
        unsure: Vec::new(),
        records: 0,
        errors: 0,
        failures: Vec::new(),
    }
}
