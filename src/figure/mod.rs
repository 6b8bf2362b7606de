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

mod balance;
mod catch;
mod days_ahead;
mod density_off;
mod entered_width_off;
mod factor;
mod instrument_age;
mod landed;
mod meter;
mod mix_density;
mod preparation;
mod product_rate;
mod rate;
mod rate_applied;
mod record_dates;
mod speed;
mod sprayed_while;
mod step_age;
mod step_undone;
mod step_use;
mod unknown_instruments;
mod unknown_people;
mod wear_hours_left;

pub use about::{About, Family, ShownAs};
pub use catalogue::{AnyView, Entry};
pub use catch::mean_off_rated;
pub use form::{AnyFigure, Computed};
pub use member::Member;
pub use number::{Measure, Number, Rational};
pub use primitive::{PrimitiveId, Primitives, What};
pub use rate::calibrated_rate::{CalibratedRate, RateOff};
pub use rate::of_visit::calibrated_rate;
pub use standing::{Facts, Standing, StateStratum};
pub use view::{Stratum, View};
pub use visit::{ReadingsStratum, Subject, Visit};
