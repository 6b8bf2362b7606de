//! What a merged record says of its own alterations.

use super::lowering::{Lowering, is_mapping};
use crate::source::{Span, Spanned};
use crate::yaml::Node;
use jiff::civil::Date;

/// One alteration of a record that had merged.
#[derive(Debug, Clone)]
pub struct Amendment {
    /// All that stands for it.
    pub span: Span,
    /// The day.
    pub on: Option<Spanned<Date>>,
    /// Who altered it.
    pub by: Option<Spanned<String>>,
    /// Why.
    pub why: Option<Spanned<String>>,
}

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Vec<Amendment> {
    Lowering::items(root, "amends")
        .filter(|amendment| is_mapping(*amendment))
        .map(|amendment| Amendment {
            span: amendment.span(),
            on: lowering.date(amendment, "on"),
            by: Lowering::text(amendment, "by"),
            why: Lowering::text(amendment, "why"),
        })
        .collect()
}
