//! What the records were at another revision, or are where they are staged, as git tells.
//!
//! Changes nothing, makes nothing of what is in a file, and lets git look at no file of the working folder. Where it
//! cannot be sure of what the records were, it says so and gives nothing.

pub(crate) mod command;
pub(crate) mod contents;
pub(crate) mod entry;
pub(crate) mod outer;
pub(crate) mod repository;
pub(crate) mod snapshot;

use crate::cli::failure::CannotCompare;
use crate::cli::git::contents::Names;
use crate::cli::git::repository::Repository;
use crate::cli::git::snapshot::Snapshot;
use crate::cli::given::Given;
use crate::cli::root::Scope;
use crate::{Listing, ReadFile};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use std::collections::BTreeSet;

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

impl Revision {
    /// Compares the records as they are now with those of a revision; none before the first commit.
    pub(crate) fn find(
        scope: &Scope,
        revision: &str,
        now: &Given,
    ) -> Result<Option<Self>, CannotCompare> {
        let repository = Repository::of(&scope.root)?;
        outer::refuse_strangers(&repository, revision)?;
        // What a first commit brings is all that is staged, and nothing that was merged could be altered by it.
        if matches!(now, Given::Staged(_)) && revision == "HEAD" && repository.is_empty()? {
            return Ok(None);
        }
        let commit = repository.merge_base(revision)?;
        // Where nothing was merged, nothing could have been altered.
        let moved_from = match repository.root_at(&commit, &scope.from)? {
            Some(root) => (root != repository.below).then_some(root),
            None => repository.gone_from(&commit)?,
        };
        if let Some(from) = moved_from {
            return Err(CannotCompare::MovedAway { from });
        }
        if let Some(folder) = repository.became_link(&commit)? {
            return Err(CannotCompare::BecameLink { folder });
        }
        let before = Snapshot::of_commit(repository, &commit)?;
        let listing = before.listing().clone();
        if now.listing().paths.is_empty() && !listing.paths.is_empty() {
            return Err(CannotCompare::AllGone);
        }
        let changed = match now {
            Given::Folder(records) => {
                changed_files(&before, &records.listing, &|path: &str| records.read(path))?
            }
            Given::Staged(staged) => changed_since(&before, staged),
        };
        // What may be a record in another place is looked at on both sides: there are few.
        let others = listing.others.iter().cloned();
        let changed = changed.into_iter().chain(others).collect();
        Ok(Some(Self {
            commit,
            listing,
            changed,
            before,
        }))
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
    listing: &Listing,
    read: &ReadFile<'_>,
) -> Result<BTreeSet<String>, CannotCompare> {
    let repository = before.repository();
    let head = Snapshot::of_commit(repository.clone(), "HEAD")?;
    let looked_at: Vec<(&str, Option<Names>)> = listing
        .paths
        .par_iter()
        // Of a repository with other names for contents, every record is looked at.
        .map(|path| {
            let bytes = repository.is_sha1.then(|| read(path).ok()).flatten();
            (path.as_str(), bytes.map(|bytes| Names::of(&bytes)))
        })
        .collect();
    let unlike = |side: &Snapshot| -> Vec<&str> {
        let is_same = |path: &str, names: &Option<Names>| {
            let (Some(names), Some(object)) = (names, side.object(path)) else {
                return false;
            };
            names.has(object)
        };
        let unlike = looked_at
            .iter()
            .filter(|(path, names)| !is_same(path, names));
        unlike.map(|(path, _)| *path).collect()
    };
    if let Some((path, attribute)) = repository.converted(&unlike(&head))? {
        return Err(CannotCompare::Converted { path, attribute });
    }
    let mut changed: BTreeSet<String> = unlike(before).into_iter().map(str::to_owned).collect();
    let now: BTreeSet<&String> = listing.paths.iter().collect();
    let then = &before.listing().paths;
    let gone: BTreeSet<&str> = then
        .iter()
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
    let all = before.listing().paths.iter().chain(&now.listing().paths);
    all.filter(differs).cloned().collect()
}
