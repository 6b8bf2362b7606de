//! The records that a command is given: the files of a folder, or what is staged.

use crate::Listing;
use crate::cli::failure::CannotCheck;
use crate::cli::fault;
use crate::cli::files::{self, Records};
use crate::cli::git::snapshot::Snapshot;
use crate::cli::root::Scope;
use crate::report::Failure;

/// Records, and the way to read them.
#[derive(Debug)]
pub(crate) enum Given {
    /// The files of a folder.
    Folder(Records),
    /// What is staged.
    Staged(Snapshot),
}

impl Given {
    /// The files of the records' root.
    pub(crate) fn folder(scope: &Scope) -> Self {
        Self::Folder(files::find(&scope.root))
    }

    /// What is staged of the records.
    pub(crate) fn staged(scope: &Scope) -> Result<Self, CannotCheck> {
        Ok(Self::Staged(Snapshot::of_index(&scope.root)?))
    }

    /// Refuses a run that would look at nothing.
    pub(crate) fn has_any_of(&self, scope: &Scope) -> Result<(), CannotCheck> {
        let mut paths = self.listing().paths.iter();
        if paths.any(|path| scope.includes(path)) || !self.failures().is_empty() {
            return Ok(());
        }
        Err(CannotCheck::NothingToCheck {
            wanted: scope.wanted(),
        })
    }

    /// The records there are.
    pub(crate) fn listing(&self) -> &Listing {
        match self {
            Self::Folder(records) => &records.listing,
            Self::Staged(staged) => staged.listing(),
        }
    }

    /// What could hold records and is not read.
    pub(crate) fn failures(&self) -> &[Failure] {
        match self {
            Self::Folder(records) => &records.failures,
            Self::Staged(staged) => staged.failures(),
        }
    }

    /// The bytes of a record; an error is a reason, as a fragment.
    pub(crate) fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        fault::reading(path);
        match self {
            Self::Folder(records) => records.read(path),
            Self::Staged(staged) => staged.read(path),
        }
    }
}
