//! What fits a machine in every format, one file each.
//!
//! Rounds for people only; other programs get every digit.

mod csv;
mod jsonl;
mod markdown;
mod text;
mod wording;

use crate::chart::Chart;
use crate::render::format::Format;

/// Every format of what fits, the first where none is named.
pub static CHART_FORMATS: &[&Format<Chart>] = &[
    &text::FORMAT,
    &markdown::FORMAT,
    &csv::FORMAT,
    &jsonl::FORMAT,
];
