//! How every step of a machine stood at any moment: when it was last done, what undid it since.
//!
//! Decides nothing about due dates and limits.

mod state;
mod timeline;
pub mod voiding;

pub use state::{Done, Failing, Last, LetPass, StepState, Undone, Use};
pub use timeline::{FailingTests, Timeline, Until};
