//! Causes: which one thing, not as written or not as it should be, explains the readings of a visit.
//!
//! A cause is data: its mends, each with a prior, and texts. What a mend does to the values of a visit is code. The cross-checks of a
//! stage are logarithms of ratios with a covariance from the errors declared; a mend moves them, and the likeliest one is told. Knows
//! no record and no rule: readings come in as numbers, and what is told goes out as data.

mod assumed;
mod boom;
mod check;
mod compare;
mod content;
mod described;
mod explain;
mod file;
mod forms;
mod gaussian;
mod hypothesis;
mod mend;
mod mend_file;
mod problems;
mod readings;
mod search;
mod seen;
mod set;
mod text;
mod value;

pub use check::CrossCheck;
pub use compare::{Best, Row};
pub use content::{About, By, Cause, Effect, Kind, Mend, Pair, Part, Reach};
pub use explain::{Comparison, Explanation, LookedAt, Told, explain, share_copied};
pub use file::{Loaded, load, unknown_cause};
pub use forms::{FORMS, Form, SLOTS, form_named};
pub use hypothesis::{At, Change, Hypothesis, Meant, Toward};
pub use readings::{Again, Known, Readings};
pub use set::CauseSet;
pub use value::{Of, Value};

/// The ratio that a logarithm is of, less one.
pub fn ratio_less_one(ln: f64) -> f64 {
    libm::expm1(ln)
}

/// A ratio to a power, the same on every platform.
pub fn to_the_power(ratio: f64, power: f64) -> f64 {
    libm::pow(ratio, power)
}
