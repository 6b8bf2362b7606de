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

mod applications;
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
mod factor_jump;
mod factor_off;
mod known_off_catch;
pub mod mean_off_rated;
mod meter_error;
mod not_tested_again;
mod nozzle_flow;
mod nozzle_off_mean;
mod nozzle_off_rated;
mod nozzles_not_caught;
mod pressure_off_setup;
mod rate_by_catch_off;
mod readings_repeated;
mod records;
mod repeat_spread;
mod run_spread;
mod section_mean_off;
mod section_off_change;
mod sensor_error;
mod speed_off_setup;
mod state;
mod true_rate_off;

pub use about::{About, Family, ShownAs};
pub use calibrated_rate::{CalibratedRate, RateOff, calibrated_rate};
pub use catalogue::{AnyView, Entry};
pub use form::{AnyFigure, Computed};
pub use member::Member;
pub use number::{Measure, Number, Rational};
pub use primitive::{PrimitiveId, Primitives, What};
pub use standing::{Facts, Standing, StateStratum};
pub use view::{Stratum, View};
pub use visit::{ReadingsStratum, Subject, Visit};
