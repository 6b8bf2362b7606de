//! Reports as text, one file a format.
//!
//! Cannot change what is found, and knows neither records nor rule files. Text from a record is cleaned here, at the
//! edge, in every format; nothing but `Harmless` text leaves.

mod cell;
mod clean;
mod drawing;
mod due;
mod excerpt;
mod figures;
mod format;
mod harmless;
mod ink;
mod jsonl;
mod location;
mod plain;
mod rules;
mod terminal;
mod totals;

pub use due::{
    DUE_FORMATS, due_calendar, due_csv, due_jsonl, due_markdown, due_not_told, due_text,
};
pub use figures::{FIGURE_FORMATS, figure_text};
pub(crate) use format::could_not_read;
pub use format::{FigureFormat, FigureWriter, Format, Named};
pub use harmless::Harmless;
pub use ink::Look;
pub use jsonl::jsonl;
pub use plain::plain;
pub use rules::{rule_list, rule_page, rules_may_change};
pub use terminal::terminal;

use crate::render::ink::Ink;
use crate::report::Report;
use std::borrow::Cow;

/// Every format of a report, the first where none is named.
pub static REPORT_FORMATS: &[&Format<Report>] =
    &[&terminal::FORMAT, &plain::FORMAT, &jsonl::FORMAT];

/// Text that did not come from us, such as a path, fit for one line of a terminal or a log.
pub(crate) fn one_line(raw: &str) -> Cow<'_, str> {
    clean::text(raw)
}

/// Why a command could not be done, and what to do.
pub(crate) fn failure(message: &str, help: &str, look: &Look) -> Harmless {
    let mut out = look.paragraph(Ink::Error, "swathlint: ", &clean::text(message), 2);
    out.push_str(&look.paragraph(Ink::Caption, "  help: ", &clean::text(help), 4));
    Harmless::painted(&out, look)
}
