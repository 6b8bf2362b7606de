//! The nightly list in every format, one file each.
//!
//! Decides nothing about what is due and keeps the order of the list.

mod calendar;
mod csv;
mod grouping;
mod jsonl;
mod markdown;
mod text;
mod wording;

pub use calendar::due_calendar;
pub use csv::due_csv;
pub use jsonl::due_jsonl;
pub use markdown::due_markdown;
pub use text::due_text;
pub use wording::due_not_told;

use crate::render::format::Format;
use crate::report::DueList;

/// Every format of what is due, the first where none is named.
pub static DUE_FORMATS: &[&Format<DueList>] = &[
    &text::FORMAT,
    &markdown::FORMAT,
    &csv::FORMAT,
    &jsonl::FORMAT,
    &calendar::FORMAT,
];
