//! Computed figures, one file each, with their uncertainty and what they stand on.
//!
//! A figure holds no limit and judges nothing. It is computed once in floating point with
//! sensitivities and, where a rule asks, once more in exact rationals.

pub mod about;
pub mod catalogue;
pub mod form;
pub mod member;
pub mod number;
mod parts;
pub mod planned;
pub mod primitive;
pub mod standing;
pub mod view;
pub mod visit;

mod advised;
mod applications;
mod balance;
mod bounds;
mod catch;
mod factor;
mod meter;
mod plausible;
mod rate;
mod records;
mod speed;
mod state;

pub use about::{About, Family, ShownAs};
pub use advised::PressureBounds;
pub use balance::section_off_change::sections_off_over_all_on;
pub use catalogue::{AnyView, Entry};
pub use catch::mean_off_rated;
pub(crate) use catch::rated::flow_at;
pub(crate) use catch::repeat_chance::TIP_SCATTER;
pub use catch::target::{allowed, rated_catch};
pub(crate) use factor::console_factor::ConsoleFactor;
pub use form::{AnyFigure, Computed};
pub use member::Member;
pub use number::{Measure, Number, Rational};
pub use plausible::is_far_from;
pub use primitive::{Effort, PrimitiveId, Primitives, What};
pub use rate::found::{FoundFor, RateFound, RatePart, RatesFound};
pub use rate::of_visit::add_visit;
pub use records::requirements_relaxed;
pub use speed::course::{course_time, times_over_target};
pub use standing::{Facts, Standing, StateStratum};
pub use view::{Stratum, View};
pub use visit::assumed::{Assumed, DEFAULTS};
pub(crate) use visit::instrument::is_worse_than_assumed;
pub(crate) use visit::is_weighed;
pub use visit::{ReadingsStratum, Subject, Visit};
