//! A mixing card in every format, one file each.
//!
//! Decides nothing: a card that is refused has no quantity to write.

mod csv;
mod jsonl;
mod markdown;
mod sections;
mod text;

pub use csv::tank_csv;
pub use jsonl::tank_jsonl;
pub use markdown::tank_markdown;
pub use text::tank_text;

use crate::render::format::Format;
use crate::tank_mix::Card;

/// Every format of a mixing card, the first where none is named.
pub static TANK_FORMATS: &[&Format<Card>] = &[
    &text::FORMAT,
    &markdown::FORMAT,
    &csv::FORMAT,
    &jsonl::FORMAT,
];
