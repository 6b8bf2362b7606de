//! Merged records that are not what they were: a comparison with an earlier revision finds them.

use crate::source::Place;

/// A merged record of a machine that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MergedChange {
    /// The path it merged at, relative to the records' root.
    pub path: String,
    /// What became of it.
    pub kind: MergedKind,
    /// Where that is told: the first value that changed, or where a note of a deletion would stand.
    pub place: Place,
    /// How many of its values changed; of a deleted one, how many it had.
    pub count: usize,
    /// The first of them, in the order of the record; readings go before what there is no room for.
    pub changes: Vec<ValueChange>,
    /// The note that tells of it.
    pub note: Option<ChangeNote>,
}

impl MergedChange {
    /// Whether a note tells of it.
    pub fn is_noted(&self) -> bool {
        self.note.is_some()
    }
}

/// What a note says of a record that was altered or deleted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ChangeNote {
    /// By whom.
    pub by: Option<String>,
    /// Why.
    pub why: Option<String>,
}

/// What became of a merged record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MergedKind {
    /// Values of it are others.
    Altered,
    /// It is gone.
    Deleted,
}

/// One value that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ValueChange {
    /// Which, by its keys and its places in lists: `caught right 3rd`.
    pub what: String,
    /// Whether it is a number that a test or a tank was judged by.
    pub is_reading: bool,
    /// As it merged; none where it was not there.
    pub was: Option<String>,
    /// As it is; none where it is not there.
    pub is: Option<String>,
}
