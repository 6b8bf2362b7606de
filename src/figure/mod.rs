//! Computed figures, one file each, with their uncertainty and what they stand on.
//!
//! A figure holds no limit and judges nothing. It is computed once in floating point with
//! sensitivities and, where a rule asks, once more in exact rationals.

pub mod catalogue;
mod describe;
pub mod number;
mod parts;
pub mod primitive;
pub mod standing;
pub mod visit;

mod asked_for;
mod balance_conditions;
mod boom_end_drop;
mod boom_flow;
mod calibrated_rate;
mod catch_duration;
mod catch_spread;
mod correction;
mod course;
mod course_conditions;
mod course_length;
mod days_ahead;
mod density_off;
mod entered_width_off;
mod factor_jump;
mod factor_off;
mod instrument_age;
mod known_off_catch;
mod landed;
pub mod mean_off_rated;
mod meter_error;
mod mix_density;
mod not_tested_again;
mod nozzle_flow;
mod nozzle_off_mean;
mod nozzle_off_rated;
mod nozzles_not_caught;
mod preparation;
mod pressure_off_setup;
mod product_rate;
mod rate_applied;
mod rate_by_catch_off;
mod readings_repeated;
mod record_dates;
mod repeat_spread;
mod run_spread;
mod section_mean_off;
mod section_off_change;
mod sensor_error;
mod speed_off_setup;
mod sprayed_while;
mod step_age;
mod step_undone;
mod step_use;
mod true_rate_off;
mod unknown_instruments;
mod unknown_people;
mod wear_hours_left;

pub use calibrated_rate::{CalibratedRate, RateOff, calibrated_rate};
pub use catalogue::{
    Compute, Entry, Family, Formula, ReadingsStratum, ShownAs, StateStratum, Stratum, View,
};
pub use number::{Measure, Number, Rational};
pub use primitive::{PrimitiveId, Primitives, What};
pub use standing::{Facts, Standing};
pub use visit::{Subject, Visit};

use crate::outcome::{Key, Unavailable};
use crate::source::Place;
use jiff::civil::Date;

/// One member of a figure's family.
#[derive(Debug, Clone)]
pub struct Member<N> {
    /// Where it holds.
    pub key: Key,
    /// The value, or why there is none.
    pub value: Result<N, Unavailable>,
    /// What was read.
    pub subject: Place,
    /// What it is held against, where that stands in a file.
    pub against: Option<Place>,
    /// A case of its own that messages and help may tell apart.
    pub case: Option<&'static str>,
    /// The day a limit in months counts from.
    pub anchor: Option<Date>,
    /// Whether what it tells of was put right since, so that it is worth knowing and no more.
    pub is_put_right: bool,
}

impl<N> Member<N> {
    /// A member with a value.
    pub fn new(key: Key, value: N, subject: Place) -> Self {
        Self {
            key,
            value: Ok(value),
            subject,
            against: None,
            case: None,
            anchor: None,
            is_put_right: false,
        }
    }

    /// A member whose value could not be computed.
    pub fn unavailable(
        key: Key,
        because: impl Into<String>,
        place: Option<Place>,
        subject: Place,
    ) -> Self {
        Self {
            key,
            value: Err(Unavailable {
                because: because.into(),
                place,
            }),
            subject,
            against: None,
            case: None,
            anchor: None,
            is_put_right: false,
        }
    }

    /// The same, held against what stands at a place.
    #[must_use]
    pub fn against(mut self, place: Place) -> Self {
        self.against = Some(place);
        self
    }

    /// The same in a case of its own.
    #[must_use]
    pub fn in_case(mut self, case: Option<&'static str>) -> Self {
        self.case = case;
        self
    }

    /// The same, put right since or not; where it was, in the case `done-again`.
    #[must_use]
    pub fn put_right(mut self, is_put_right: bool) -> Self {
        self.is_put_right = is_put_right;
        self.case = if is_put_right {
            Some("done-again")
        } else {
            self.case
        };
        self
    }

    /// The same, counted from a day.
    #[must_use]
    pub fn counted_from(mut self, day: Date) -> Self {
        self.anchor = Some(day);
        self
    }
}
