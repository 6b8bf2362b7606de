//! swathlint recomputes the calibration of boom sprayers from the raw readings in their records and
//! says what does not hold.
//!
//! text -> spanned tree -> schema faults -> typed record -> figures -> outcomes of rules -> report ->
//! rendered text. The modules stand in reading order; each knows only what stands before it, as
//! `tests/layers.rs` holds.

pub mod check;
pub mod cli;
pub mod diagnostic;
pub mod figure;
pub mod fleet;
pub mod history;
pub mod outcome;
pub mod quantity;
pub mod record;
pub mod render;
pub mod report;
pub mod rule;
pub mod schema;
pub mod source;
pub mod words;
pub mod yaml;

pub use check::{Listing, ReadFile, Settings, check, describe_rules};
pub use report::Report;
