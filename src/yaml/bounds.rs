//! How much a text may hold.

/// How many levels of lists and mappings may stand within each other, aliases followed.
///
/// A record needs seven. The bound keeps every later walk over the tree shallow enough for any thread's stack.
pub const DEEPEST: usize = 64;

/// How many further values aliases may stand for in one document.
///
/// Far above any record's need and far below what a walk over the tree would notice.
pub const MOST_ALIASED: u32 = 100_000;

/// How many faults of a kind are listed for one text; how many more there are is said in one finding.
pub const MOST_LISTED: usize = 20;

/// The longest key that YAML has without a question mark before it (YAML 1.2.2, clause 7.4.2, from memory).
pub(super) const LONGEST_KEY: usize = 1024;

/// An offset in a text; [`super::build`] refuses texts in which it would not fit.
pub(super) fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}
