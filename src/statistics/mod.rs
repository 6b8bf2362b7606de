//! Straight lines through points by least squares, with what they are worth; what is normal.
//!
//! Knows no record and no figure, chooses no level of confidence and words nothing. What cannot be
//! worked out is a reason, never a number that is none.

pub mod line;
pub mod normal;
pub mod shared;
pub mod student;

pub use line::{Interval, Line, NoCrossing, NoLine};
pub use shared::SharedLine;
pub use student::Confidence;

/// What two independent errors make together: the root of the sum of their squares, the same on every
/// platform.
pub fn root_sum_square(one: f64, other: f64) -> f64 {
    libm::hypot(one, other)
}
