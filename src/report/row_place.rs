//! A place as other programs want it.

/// A place as other programs want it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct RowPlace {
    /// The path relative to the records' root.
    pub path: String,
    /// The one-based line.
    pub line: u32,
    /// The one-based column, in characters.
    pub column: u32,
}
