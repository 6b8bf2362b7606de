//! The figures in every format, one file each.
//!
//! Rounds for people only; other programs get every digit.

mod csv;
mod jsonl;
mod table;

use crate::render::Harmless;
use crate::render::format::{FigureFormat, FigureWriter};
use crate::report::FigureTable;

/// Every format of figures, the first where none is named.
pub static FIGURE_FORMATS: &[&FigureFormat] = &[&table::FORMAT, &csv::FORMAT, &jsonl::FORMAT];

/// All figures of a fleet at once.
pub fn figure_text(table: &FigureTable, writer: &mut dyn FigureWriter) -> Harmless {
    let by_machine = table.rows.chunk_by(|one, next| one.machine == next.machine);
    let machines = by_machine.fold(writer.head(), |text, rows| text.and(&writer.machine(rows)));
    machines.and(&writer.end(&table.totals))
}
