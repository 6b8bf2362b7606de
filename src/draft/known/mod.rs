//! What is known of a visit beforehand: the values it takes in, what each aims at, and what the last visit read.

mod again;
mod balance;
mod catch;
mod making;
mod meter;
mod speed;

pub(super) use making::{Known, Making};
pub use speed::time_of_a_course;
