//! Reports as text, one file a format.
//!
//! Cannot change what is found, and knows neither records nor rule files. Text from a record is cleaned here, at the
//! edge, in every format; nothing but `Harmless` text leaves.

mod annotations;
mod beside;
mod causes;
mod cell;
mod chart;
mod clean;
mod code_quality;
mod drawing;
mod due;
mod excerpt;
mod figures;
mod format;
mod found;
mod harmless;
mod identity;
mod ink;
mod jsonl;
mod junit;
mod location;
mod markdown;
mod marked;
#[cfg(feature = "cli")]
mod page;
mod plain;
#[cfg(feature = "cli")]
mod problems;
mod rules;
mod sarif;
mod sheet;
mod tank;
mod terminal;
mod totals;
mod uncalculated;

pub use causes::{cause_list, cause_page};
pub use chart::CHART_FORMATS;
pub use due::{
    DUE_FORMATS, due_calendar, due_csv, due_jsonl, due_markdown, due_not_told, due_text,
};
pub use figures::{FIGURE_FORMATS, figure_text};
#[cfg(feature = "cli")]
pub(crate) use format::could_not_read;
pub use format::{FigureFormat, FigureWriter, Format, Named};
pub use harmless::Harmless;
pub use ink::Look;
pub use jsonl::jsonl;
#[cfg(feature = "cli")]
pub use page::{Module, NoModule, Page, module, page};
pub use plain::plain;
#[cfg(feature = "cli")]
pub(crate) use problems::{each_in_a_line, failure};
pub use rules::{may_change, rule_list, rule_page};
pub use sheet::{Paper, SHEET_FORMATS, Sheet, sheet, sheet_name};
pub use tank::{TANK_FORMATS, tank_csv, tank_jsonl, tank_markdown, tank_text};
pub use terminal::terminal;

use crate::report::Report;

/// Every format of a report, the first where none is named.
pub static REPORT_FORMATS: &[&Format<Report>] = &[
    &terminal::FORMAT,
    &plain::FORMAT,
    &jsonl::FORMAT,
    &sarif::FORMAT,
    &annotations::FORMAT,
    &markdown::FORMAT,
    &junit::FORMAT,
    &code_quality::FORMAT,
];
