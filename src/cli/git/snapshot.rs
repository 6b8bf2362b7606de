//! The records as git keeps them, at a commit or staged, as they would be found on a disk.

use crate::Listing;
use crate::cli::failure::CannotCompare;
use crate::cli::files::{is_record, may_hold_records};
use crate::cli::git::command::told;
use crate::cli::git::contents::ContentsReader;
use crate::cli::git::entry::{Entry, EntryKind};
use crate::cli::git::repository::Repository;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// Records that git keeps, and what reads them.
#[derive(Debug)]
pub(crate) struct Snapshot {
    repository: Repository,
    /// The name git has for the contents of each record.
    objects: BTreeMap<String, String>,
    /// Those that are links to other files.
    links: BTreeSet<String>,
    reader: Mutex<Option<ContentsReader>>,
}

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
        Self::new(repository, &entries)
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
            if !is_settled {
                let path = String::from_utf8_lossy(full).into_owned();
                return Err(CannotCompare::InConflict { path });
            }
            entries.take(&repository, entry, full)?;
        }
        Self::new(repository, &entries)
    }

    fn new(repository: Repository, entries: &Entries) -> Result<Self, CannotCompare> {
        let mut snapshot = Self {
            repository,
            objects: BTreeMap::new(),
            links: BTreeSet::new(),
            reader: Mutex::new(None),
        };
        let mut targets = BTreeSet::new();
        for (path, entry) in &entries.records {
            if entry.kind == EntryKind::File {
                snapshot.objects.insert(path.clone(), entry.object.clone());
                continue;
            }
            let link = snapshot.contents(&entry.object);
            let link = link.map_err(|words| CannotCompare::Git {
                doing: "read a link",
                words,
            })?;
            let target = linked(path, &String::from_utf8_lossy(&link));
            let file = target
                .as_ref()
                .and_then(|target| entries.files.get_key_value(target));
            // As on a disk: read as the record it leads to, or by the first link to a file that is none itself.
            if let Some((target, object)) = file
                && !is_record(target)
                && targets.insert(target.clone())
            {
                snapshot.objects.insert(path.clone(), object.clone());
                snapshot.links.insert(path.clone());
            }
        }
        Ok(snapshot)
    }

    /// The records there are.
    pub(crate) fn listing(&self) -> Listing {
        Listing {
            paths: self.objects.keys().cloned().collect(),
            ignored: 0,
        }
    }

    /// Whether there is no record.
    pub(crate) fn is_empty(&self) -> bool {
        self.objects.is_empty()
    }

    /// The bytes of a record; an error is a reason, as a fragment.
    pub(crate) fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.contents(self.objects.get(path).ok_or("it was not there")?)
    }

    /// The name of a record's contents.
    pub(crate) fn object(&self, path: &str) -> Option<&str> {
        self.objects.get(path).map(String::as_str)
    }

    /// Paths of all records.
    pub(crate) fn paths(&self) -> impl Iterator<Item = &String> {
        self.objects.keys()
    }

    /// Records that are links, whose contents may change without them.
    pub(crate) fn links(&self) -> &BTreeSet<String> {
        &self.links
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
    /// Records, and links in the place of one.
    records: BTreeMap<String, Entry>,
    /// The contents of everything that a link may lead to.
    files: BTreeMap<String, String>,
}

impl Entries {
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
        let is_hidden = |path: &str| path.split('/').any(|part| part.starts_with('.'));
        let Ok(path) = std::str::from_utf8(path) else {
            let path = String::from_utf8_lossy(path).into_owned();
            return if is_record(&path) && !is_hidden(&path) {
                Err(CannotCompare::NotUtf8 { path })
            } else {
                Ok(())
            };
        };
        if is_hidden(path) {
            return Ok(());
        }
        match entry.kind {
            EntryKind::Submodule if may_hold_records(path) => return Err(submodule(path)),
            EntryKind::Submodule | EntryKind::Folder => return Ok(()),
            EntryKind::File => {
                self.files.insert(path.to_owned(), entry.object.clone());
            }
            EntryKind::Link => {}
        }
        if is_record(path) {
            self.records.insert(path.to_owned(), entry);
        }
        Ok(())
    }
}

/// Where a link leads, below the root; none where that lies outside.
fn linked(link: &str, target: &str) -> Option<String> {
    let mut parts: Vec<&str> = link.split('/').collect();
    parts.pop();
    for part in target.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            name => parts.push(name),
        }
    }
    (!target.starts_with('/')).then(|| parts.join("/"))
}
