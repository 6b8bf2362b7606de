//! Figures of what records say of themselves: their dates, people, instruments and hours, and whether they were changed.

pub(super) mod date_unlike_name;
pub(super) mod days_ahead;
pub(super) mod days_before_service;
mod hour_readings;
pub(super) mod hours_a_day;
pub(super) mod hours_back;
pub(super) mod instrument_age;
mod merged;
pub(super) mod merged_altered;
pub(super) mod merged_amended;
pub(super) mod merged_deleted;
mod named;
pub(super) mod preparation;
pub mod requirements_relaxed;
pub(super) mod signing;
pub(super) mod unknown_instruments;
pub(super) mod unknown_people;
