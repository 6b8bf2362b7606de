//! Reports as text, one function a format.
//!
//! Cannot change what is found, and knows neither records nor rule files. Text from a record is cleaned here, at the
//! edge, in every format.

mod clean;
mod drawing;
mod excerpt;
mod ink;
mod jsonl;
mod location;
mod plain;
mod rules;
mod terminal;
mod totals;

pub use ink::Look;
pub use jsonl::jsonl;
pub use plain::plain;
pub use rules::{rule_list, rule_page};
pub use terminal::terminal;

use std::borrow::Cow;

/// Text that did not come from us, such as a path, fit for one line of a terminal or a log.
pub fn one_line(raw: &str) -> Cow<'_, str> {
    clean::text(raw)
}
