//! What somebody looked for at the machine and did not find: causes that a record rules out.

use super::lowering::{Lowering, is_mapping};
use crate::source::{Span, Spanned};
use crate::yaml::Node;

/// A cause that does not hold, because somebody checked.
#[derive(Debug, Clone)]
pub struct Confirmed {
    /// All that stands for it.
    pub span: Span,
    /// The cause, by its name.
    pub what: Spanned<String>,
    /// Who checked.
    pub by: Spanned<String>,
    /// What was checked.
    pub why: Spanned<String>,
}

/// An entry that lacks any of the three rules out nothing; what it lacks is told as a fault of its shape.
pub(super) fn lower(root: Node<'_>) -> Vec<Confirmed> {
    Lowering::items(root, "confirmed")
        .filter(|entry| is_mapping(*entry))
        .filter_map(|entry| {
            Some(Confirmed {
                span: entry.span(),
                what: Lowering::text(entry, "what")?,
                by: Lowering::text(entry, "by")?,
                why: Lowering::text(entry, "why")?,
            })
        })
        .collect()
}
