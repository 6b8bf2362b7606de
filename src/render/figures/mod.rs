//! The figures in every format, one file each.
//!
//! Rounds for people only; other programs get every digit.

mod csv;
mod jsonl;
mod table;

pub use csv::figure_csv;
pub use jsonl::figure_jsonl;
pub use table::figure_table;

use crate::render::could_not_read;
use crate::render::format::Format;
use crate::report::FigureTable;

/// Every format of figures, the first where none is named.
pub static FIGURE_FORMATS: &[&Format<FigureTable>] =
    &[&table::FORMAT, &csv::FORMAT, &jsonl::FORMAT];

/// What no table of figures has room for.
fn failures(table: &FigureTable) -> Vec<String> {
    table.failures.iter().map(could_not_read).collect()
}
