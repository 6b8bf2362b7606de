//! What the records were at another revision, or are where they are staged, as git tells.
//!
//! Changes nothing, makes nothing of what is in a file, and lets git look at no file of the working folder. Where it
//! cannot be sure of what the records were, it says so and gives nothing.

pub(crate) mod command;
pub(crate) mod contents;
pub(crate) mod entry;
pub(crate) mod repository;
pub(crate) mod snapshot;

use crate::cli::failure::CannotCompare;
use crate::cli::git::repository::Repository;
use crate::cli::git::snapshot::Snapshot;
use crate::{Listing, ReadFile};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// The records as they stood at the commit that a revision and what is here now both come from.
#[derive(Debug)]
pub(crate) struct Revision {
    /// The commit they stood at, in full.
    pub(crate) commit: String,
    /// The records there were.
    pub(crate) listing: Listing,
    /// Paths of records that are not the same now, on either side; some may turn out to be.
    pub(crate) changed: BTreeSet<String>,
    before: Snapshot,
}

/// The records now, to be compared with those of then.
pub(crate) enum Now<'a> {
    /// Files of the working folder, and what reads one.
    Files {
        root: &'a Path,
        listing: &'a Listing,
        read: &'a ReadFile<'a>,
    },
    /// What is staged.
    Staged(&'a Snapshot),
}

impl Revision {
    /// Compares the records below a root, as they are now, with those of a revision.
    pub(crate) fn find(root: &Path, revision: &str, now: &Now<'_>) -> Result<Self, CannotCompare> {
        let repository = Repository::of(root)?;
        repository.is_no_stranger(revision)?;
        let commit = repository.merge_base(revision)?;
        let before = Snapshot::of_commit(repository, &commit)?;
        if before.is_empty() {
            before.repository().has_not_moved_away(&commit)?;
        }
        let mut changed = match now {
            Now::Files {
                root,
                listing,
                read,
            } => changed_files(&before, root, listing, read)?,
            Now::Staged(staged) => changed_since(&before, staged),
        };
        // What a link leads to may have changed without it, so that linked records are always looked at.
        changed.extend(before.links().iter().cloned());
        Ok(Self {
            commit,
            listing: before.listing(),
            changed,
            before,
        })
    }

    /// The bytes of a record as it was; an error is a reason, as a fragment.
    ///
    /// What has not changed is read as it is now, which many threads can do at a time.
    pub(crate) fn read(&self, path: &str, now: &ReadFile<'_>) -> Result<Vec<u8>, String> {
        if self.changed.contains(path) {
            self.before.read(path)
        } else {
            now(path)
        }
    }
}

/// Records whose contents are, or may be, other in the working folder than they were.
fn changed_files(
    before: &Snapshot,
    root: &Path,
    listing: &Listing,
    read: &ReadFile<'_>,
) -> Result<BTreeSet<String>, CannotCompare> {
    let repository = before.repository();
    let is_same = |path: &&String| {
        before.object(path).is_some_and(|object| {
            // Of a repository with other names for contents, every record is looked at.
            repository.is_sha1 && read(path).is_ok_and(|bytes| contents::has_name(&bytes, object))
        })
    };
    let mut changed: BTreeSet<String> = listing
        .paths
        .par_iter()
        .filter(|path| !is_same(path) || is_link(root, path))
        .cloned()
        .collect();
    let now: BTreeSet<&String> = listing.paths.iter().collect();
    let gone: BTreeSet<&str> = before
        .paths()
        .filter(|path| !now.contains(path))
        .map(String::as_str)
        .collect();
    if let Some(path) = repository.left_out(&gone)? {
        return Err(CannotCompare::NotCheckedOut { path });
    }
    changed.extend(gone.into_iter().map(str::to_owned));
    Ok(changed)
}

/// Records whose contents are other in one snapshot than in the other.
fn changed_since(before: &Snapshot, now: &Snapshot) -> BTreeSet<String> {
    let differs = |path: &&String| before.object(path) != now.object(path);
    let all = before.paths().chain(now.paths());
    let mut changed: BTreeSet<String> = all.filter(differs).cloned().collect();
    changed.extend(now.links().iter().cloned());
    changed
}

fn is_link(root: &Path, path: &str) -> bool {
    fs::symlink_metadata(root.join(path)).is_ok_and(|metadata| metadata.is_symlink())
}
