//! Computed figures, one file each, with their uncertainty and what they stand on.
//!
//! A figure holds no limit and judges nothing. It is computed once in floating point with
//! sensitivities and, where a rule asks, once more in exact rationals.

pub mod about;
pub mod catalogue;
mod describe;
pub mod form;
mod legacy;
pub mod member;
pub mod number;
mod parts;
pub mod primitive;
pub mod standing;
pub mod view;
pub mod visit;

mod asked_for;
mod balance;
mod calibrated_rate;
mod catch;
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
mod meter_error;
mod mix_density;
mod not_tested_again;
mod preparation;
mod product_rate;
mod rate;
mod rate_applied;
mod record_dates;
mod run_spread;
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

pub use about::{About, Family, ShownAs};
pub use calibrated_rate::{CalibratedRate, RateOff, calibrated_rate};
pub use catalogue::{AnyView, Entry};
pub use catch::mean_off_rated;
pub use form::{AnyFigure, Computed};
pub use member::Member;
pub use number::{Measure, Number, Rational};
pub use primitive::{PrimitiveId, Primitives, What};
pub use standing::{Facts, Standing, StateStratum};
pub use view::{Stratum, View};
pub use visit::{ReadingsStratum, Subject, Visit};
