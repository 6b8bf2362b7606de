//! How a machine stands on a day: what figures of state are computed from.

use super::primitive::Primitives;
use super::visit::Subject;
use crate::history::StepState;
use jiff::civil::Date;

/// How a machine stands on a day.
#[derive(Debug)]
pub struct Standing<'a> {
    /// The machine.
    pub subject: Subject<'a>,
    /// The day.
    pub today: Date,
    /// The state of every step it has.
    pub steps: Vec<StepState>,
    /// Sources of error; days have none.
    pub primitives: Primitives,
}
