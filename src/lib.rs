//! swathlint recomputes the calibration of boom sprayers from the raw readings in their records and
//! says what does not hold.
//!
//! text -> spanned tree -> schema faults -> typed record -> figures -> outcomes of rules -> report ->
//! rendered text. The modules stand in reading order; each knows only what stands before it, as
//! `tests/fast/layers.rs` holds.

pub mod source;

pub mod quantity;

pub mod statistics;

pub mod words;

pub mod diagnostic;

pub mod yaml;

pub mod schema;

pub mod record;

pub mod fleet;

pub mod procedure;

pub mod outcome;

pub mod fact;

pub mod working;

pub mod history;

pub mod wear;

pub mod figure;

pub mod rule;

pub mod wording;

pub mod report;

pub mod check;

pub mod render;

pub mod cli;

pub use check::{
    Before, Listing, ReadFile, Settings, check, check_compared, describe_rules, due, figures,
};
pub use report::Report;
