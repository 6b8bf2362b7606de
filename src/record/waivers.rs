//! The waivers: what a group lets pass for a while, and which merged records it took away.

use super::lowering::{Lowering, is_mapping};
use crate::source::{FileId, Span, Spanned};
use crate::yaml::Node;
use jiff::civil::Date;

/// The file of waivers.
#[derive(Debug, Clone)]
pub struct Waivers {
    /// The file it stands in.
    pub file: FileId,
    /// What is let pass.
    pub waivers: Vec<Waiver>,
    /// Merged records that were taken away.
    pub deleted: Vec<Deleted>,
}

/// One rule let pass for a machine or a record.
#[derive(Debug, Clone)]
pub struct Waiver {
    /// All that stands for it.
    pub span: Span,
    /// The rule.
    pub rule: Option<Spanned<String>>,
    /// For which machine.
    pub machine: Option<Spanned<String>>,
    /// For which record, by its path.
    pub record: Option<Spanned<String>>,
    /// Why.
    pub reason: Option<Spanned<String>>,
    /// Who lets it pass.
    pub by: Option<Spanned<String>>,
    /// The first day it holds.
    pub from: Option<Spanned<Date>>,
    /// The last day it holds.
    pub until: Option<Spanned<Date>>,
}

/// A merged record that was deleted.
#[derive(Debug, Clone)]
pub struct Deleted {
    /// All that stands for it.
    pub span: Span,
    /// Its path.
    pub record: Option<Spanned<String>>,
    /// Why.
    pub reason: Option<Spanned<String>>,
    /// Who took it away.
    pub by: Option<Spanned<String>>,
    /// The day.
    pub on: Option<Spanned<Date>>,
}

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Waivers {
    Waivers {
        file: lowering.file(),
        waivers: Lowering::items(root, "waivers")
            .filter(|waiver| is_mapping(*waiver))
            .map(|waiver| Waiver {
                span: waiver.span(),
                rule: Lowering::text(waiver, "rule"),
                machine: Lowering::text(waiver, "machine"),
                record: Lowering::text(waiver, "record"),
                reason: Lowering::text(waiver, "reason"),
                by: Lowering::text(waiver, "by"),
                from: lowering.date(waiver, "from"),
                until: lowering.date(waiver, "until"),
            })
            .collect(),
        deleted: Lowering::items(root, "deleted")
            .filter(|deleted| is_mapping(*deleted))
            .map(|deleted| Deleted {
                span: deleted.span(),
                record: Lowering::text(deleted, "file"),
                reason: Lowering::text(deleted, "reason"),
                by: Lowering::text(deleted, "by"),
                on: lowering.date(deleted, "on"),
            })
            .collect(),
    }
}
