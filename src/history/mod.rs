//! How every step of a machine stood at any moment: when it was last done, what undid it since.
//!
//! Decides nothing about due dates and limits.

mod proof;
mod state;
mod timeline;
pub mod voiding;

pub use proof::Lacking;
pub use state::{Beyond, Done, Failing, Last, LetPass, NotCounted, StepState, Undone, Use};
pub use timeline::{FORTNIGHT, FailingTests, LeftOpen, Timeline, Undecided, Until};
