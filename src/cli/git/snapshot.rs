//! The records as git keeps them, at a commit or staged, as they would be found on a disk.

use crate::Listing;
use crate::cli::failure::CannotCompare;
use crate::cli::files::IS_LINK;
use crate::cli::git::command::told;
use crate::cli::git::contents::ContentsReader;
use crate::cli::git::entry::{Entry, EntryKind};
use crate::cli::git::repository::Repository;
use crate::report::Failure;
use crate::tree::{is_record, may_be_misplaced, may_hold_records};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// Records that git keeps, and what reads them.
#[derive(Debug)]
pub(crate) struct Snapshot {
    repository: Repository,
    listing: Listing,
    /// The name git has for the contents of each record.
    objects: BTreeMap<String, String>,
    /// What stands in the place of a record and is not read.
    failures: Vec<Failure>,
    reader: Mutex<Option<ContentsReader>>,
}

/// The names that git has for nothing, with SHA-1 and SHA-256: `git hash-object` of an empty file.
const EMPTY: [&str; 2] = [
    "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391",
    "473a0f4c3be8a93681a267e3b1e9a7dcda1185436fe141f7749120a303721813",
];

impl Snapshot {
    /// The records of a commit.
    pub(crate) fn of_commit(repository: Repository, commit: &str) -> Result<Self, CannotCompare> {
        let doing = "list the records of then";
        let question = ["ls-tree", "-r", "-z", "--full-tree", commit];
        let told = repository
            .git
            .tell(doing, &of_records(&repository, &question))?;
        let mut entries = Entries::default();
        for entry in told
            .split(|byte| *byte == 0)
            .filter(|entry| !entry.is_empty())
        {
            let (entry, full) = Entry::of_tree(entry).ok_or_else(|| makes_no_sense(doing))?;
            entries.take(&repository, entry, full)?;
        }
        Ok(Self::new(repository, entries))
    }

    /// The records that are staged, as a commit would keep them.
    pub(crate) fn of_index(root: &Path) -> Result<Self, CannotCompare> {
        let doing = "list what is staged";
        let repository = Repository::of(root)?;
        let index = repository.index_of_hook()?;
        let question = ["ls-files", "--stage", "-z", "--full-name"];
        let output = repository
            .git
            .ask_with(&of_records(&repository, &question), index.as_deref())?;
        let mut entries = Entries::default();
        for entry in told(doing, output)?
            .split(|byte| *byte == 0)
            .filter(|entry| !entry.is_empty())
        {
            let (entry, is_settled, full) =
                Entry::of_index(entry).ok_or_else(|| makes_no_sense(doing))?;
            let path = String::from_utf8_lossy(repository.below_root(full).unwrap_or_default());
            if !is_settled && is_record(&path) {
                return Err(CannotCompare::InConflict {
                    path: path.into_owned(),
                });
            }
            // Noted to be added later, with nothing of it staged yet, or staged with nothing in it.
            if EMPTY.contains(&entry.object.as_str()) && is_record(&path) {
                entries.failures.push(Failure {
                    path: path.into_owned(),
                    reason: "nothing of it is staged: git add it".to_owned(),
                });
                continue;
            }
            entries.take(&repository, entry, full)?;
        }
        Ok(Self::new(repository, entries))
    }

    fn new(repository: Repository, entries: Entries) -> Self {
        Self {
            repository,
            listing: Listing {
                paths: entries.of(is_record),
                others: entries.of(may_be_misplaced),
                ignored: 0,
            },
            objects: entries.records,
            failures: entries.failures,
            reader: Mutex::new(None),
        }
    }

    /// The records there are.
    pub(crate) fn listing(&self) -> &Listing {
        &self.listing
    }

    /// The bytes of a record; an error is a reason, as a fragment.
    pub(crate) fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.contents(self.objects.get(path).ok_or("it was not there")?)
    }

    /// The name of a record's contents.
    pub(crate) fn object(&self, path: &str) -> Option<&str> {
        self.objects.get(path).map(String::as_str)
    }

    /// What stands in the place of a record and is not read.
    pub(crate) fn failures(&self) -> &[Failure] {
        &self.failures
    }

    /// The repository that keeps them.
    pub(crate) fn repository(&self) -> &Repository {
        &self.repository
    }

    fn contents(&self, object: &str) -> Result<Vec<u8>, String> {
        let mut reader = self.reader.lock().unwrap_or_else(PoisonError::into_inner);
        let started = match reader.take() {
            Some(started) => started,
            None => ContentsReader::start(&self.repository.git)?,
        };
        let (started, bytes) = started.read(object)?;
        *reader = Some(started);
        bytes
    }
}

/// A question to git about the place of the records, or about all where that is the top.
fn of_records<'q>(repository: &'q Repository, question: &[&'q str]) -> Vec<&'q str> {
    let mut question = question.to_vec();
    if !repository.below.is_empty() {
        question.extend(["--", &repository.below]);
    }
    question
}

fn makes_no_sense(doing: &'static str) -> CannotCompare {
    CannotCompare::Git {
        doing,
        words: "its answer makes no sense".to_owned(),
    }
}

/// What git lists below the records' root.
#[derive(Debug, Default)]
struct Entries {
    /// The name of the contents of each record, and of what may be one in another place.
    records: BTreeMap<String, String>,
    /// Links, which are read here no more than on a disk.
    failures: Vec<Failure>,
}

impl Entries {
    /// The paths of one sort.
    fn of(&self, is_wanted: impl Fn(&str) -> bool) -> Vec<String> {
        let paths = self.records.keys();
        paths.filter(|path| is_wanted(path)).cloned().collect()
    }

    /// Takes one entry by its path from the repository's top.
    fn take(
        &mut self,
        repository: &Repository,
        entry: Entry,
        full: &[u8],
    ) -> Result<(), CannotCompare> {
        let submodule = |path: &str| CannotCompare::Submodule {
            path: path.to_owned(),
        };
        let Some(path) = repository.below_root(full) else {
            // The records' root itself, which is no folder there.
            return match entry.kind {
                EntryKind::Submodule => Err(submodule(&repository.below)),
                EntryKind::File | EntryKind::Link | EntryKind::Folder => Ok(()),
            };
        };
        let Ok(path) = std::str::from_utf8(path) else {
            let path = String::from_utf8_lossy(path).into_owned();
            return if is_record(&path) {
                Err(CannotCompare::NotUtf8 { path })
            } else {
                Ok(())
            };
        };
        match entry.kind {
            EntryKind::Submodule if may_hold_records(path) => return Err(submodule(path)),
            EntryKind::Link if is_record(path) || may_hold_records(path) => {
                self.failures.push(Failure {
                    path: path.to_owned(),
                    reason: IS_LINK.to_owned(),
                });
            }
            EntryKind::File if is_record(path) || may_be_misplaced(path) => {
                self.records.insert(path.to_owned(), entry.object);
            }
            EntryKind::Submodule | EntryKind::Folder | EntryKind::Link | EntryKind::File => {}
        }
        Ok(())
    }
}
