//! The files of the records: which there are, and what is in one.
//!
//! Reads only regular files within the root, follows no link, and makes nothing of what it reads.

use crate::Listing;
use crate::cli::beneath::Folder;
use crate::cli::failure::reason;
use crate::report::Failure;
use crate::source::{LARGEST_TEXT, too_large};
use crate::tree::{SMALL, is_record, may_be_misplaced, may_hide_records, may_hold_records};
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::fs;
use std::io::Read;
use std::path::{MAIN_SEPARATOR, Path};
use walkdir::{DirEntry, WalkDir};

/// Names by which git knows a repository, in small letters; a system may take `git~1` for `.git`.
const SIGNS_OF_GIT: [&str; 6] = [".git", "git~1", "head", "commondir", "objects", "refs"];

/// What a folder of records holds, and the way to read it.
#[derive(Debug)]
pub struct Records {
    /// The records, and how many other YAML files there are.
    pub listing: Listing,
    /// What could hold records and could not be listed, and what is not read for safety.
    pub failures: Vec<Failure>,
    /// The root, held open since before it was listed, or why it could not be.
    root: Result<Folder, String>,
}

/// All records below a root without links; hidden folders and files are passed over.
///
/// No link in the place of a record, or of a folder of records, is followed: whoever may write a record may write a
/// link, and would choose by it what is read here, and what a comparison takes for a merged record.
///
/// A git repository within the records is a failure, since git that is started there would do what its settings say.
/// In hidden folders, where nothing is read and git is never started, there may be some, such as submodules for the
/// checks of a service.
pub fn find(root: &Path) -> Records {
    let opened = Folder::open(root).map_err(|error| reason(&error));
    let mut walk = Walk::new(root);
    let mut entries = WalkDir::new(root).min_depth(1).into_iter();
    while let Some(entry) = entries.next() {
        match entry {
            Ok(entry) => {
                walk.sign_of_git(&entry);
                if !entry.file_type().is_dir() {
                    walk.file(&entry);
                } else if !walk.enter(&entry) {
                    entries.skip_current_dir();
                }
            }
            Err(error) => walk.error(&error),
        }
    }
    walk.records(opened)
}

/// Why a folder with a `.git` of its own is refused.
const HAS_GIT: &str = "a git repository within the records: leave the records where they are; if its .git holds no \
    history that you need, delete that .git";

/// Why a folder is refused that git would take for the inside of a repository.
const IS_REPOSITORY: &str =
    "a git repository within the records: its HEAD, objects and refs are no records; take them out";

/// Why a link is not read.
pub(crate) const IS_LINK: &str = "a link is not followed: put what it leads to in its place";

/// What was met so far, in the order the system lists it.
#[derive(Debug)]
struct Walk<'a> {
    root: &'a Path,
    paths: Vec<String>,
    /// What may be records all the same.
    others: Vec<String>,
    /// What of [`SIGNS_OF_GIT`] lies in a folder, by its path.
    signs_of_git: BTreeMap<String, BTreeSet<&'static str>>,
    ignored: usize,
    failures: Vec<Failure>,
}

/// A path below the root, and whether its name is UTF-8.
struct Name {
    path: String,
    is_utf8: bool,
}

impl Name {
    fn new(root: &Path, path: &Path) -> Self {
        let below = path.strip_prefix(root).unwrap_or(path);
        match joined(below) {
            Some(path) => Self {
                path,
                is_utf8: true,
            },
            None => Self {
                path: below.to_string_lossy().replace(MAIN_SEPARATOR, "/"),
                is_utf8: false,
            },
        }
    }
}

impl<'a> Walk<'a> {
    fn new(root: &'a Path) -> Self {
        Self {
            root,
            paths: Vec::new(),
            others: Vec::new(),
            signs_of_git: BTreeMap::new(),
            ignored: 0,
            failures: Vec::new(),
        }
    }

    fn sign_of_git(&mut self, entry: &DirEntry) {
        let folder = entry.path().parent().unwrap_or(self.root);
        let folder = Name::new(self.root, folder).path;
        if folder.split('/').any(|part| part.starts_with('.')) {
            return;
        }
        let mut signs = SIGNS_OF_GIT.into_iter();
        if let Some(sign) = signs.find(|sign| entry.file_name().eq_ignore_ascii_case(sign)) {
            self.signs_of_git.entry(folder).or_default().insert(sign);
        }
    }

    /// Whether to look into a folder.
    fn enter(&mut self, entry: &DirEntry) -> bool {
        let name = Name::new(self.root, entry.path());
        if !name.is_utf8 && may_hold_records(&name.path) {
            self.fail(name.path, "its name is not UTF-8");
            return false;
        }
        !is_hidden(entry.file_name()) || may_hide_records(&name.path)
    }

    /// Takes a file, a link, or anything else that is no folder.
    fn file(&mut self, entry: &DirEntry) {
        let name = Name::new(self.root, entry.path());
        if entry.path_is_symlink() && (is_record(&name.path) || may_hold_records(&name.path)) {
            self.fail(name.path, IS_LINK);
        } else if !is_record(&name.path) {
            if name.is_utf8 && may_be_misplaced(&name.path) && is_small(entry) {
                self.others.push(name.path);
            } else {
                self.ignored += usize::from(is_yaml(entry.path()));
            }
        } else if !name.is_utf8 {
            self.fail(name.path, "its name is not UTF-8");
        } else if entry.file_type().is_file() {
            self.paths.push(name.path);
        } else {
            self.fail(name.path, &no_file(entry.file_type()));
        }
    }

    /// Takes a folder or an entry that could not be looked at; outside the known places it can hold no record.
    fn error(&mut self, error: &walkdir::Error) {
        let path = error
            .path()
            .map_or_else(String::new, |path| Name::new(self.root, path).path);
        if path.is_empty() || may_hold_records(&path) || is_record(&path) {
            let path = if path.is_empty() {
                ".".to_owned()
            } else {
                path
            };
            let reason = error
                .io_error()
                .map_or_else(|| "it could not be listed".to_owned(), reason);
            self.failures.push(Failure { path, reason });
        }
    }

    fn fail(&mut self, path: String, reason: &str) {
        self.failures.push(Failure {
            path,
            reason: reason.to_owned(),
        });
    }

    fn records(mut self, root: Result<Folder, String>) -> Records {
        self.refuse_repositories();
        let Self {
            mut paths,
            mut others,
            ignored,
            mut failures,
            root: _,
            signs_of_git: _,
        } = self;
        paths.sort_unstable();
        others.sort_unstable();
        failures.sort();
        Records {
            listing: Listing {
                paths,
                others,
                ignored,
            },
            failures,
            root,
        }
    }

    fn refuse_repositories(&mut self) {
        for (folder, signs) in std::mem::take(&mut self.signs_of_git) {
            let has = |sign| signs.contains(sign);
            // As git tells: the folder of a repository itself, its own or that of a linked working folder.
            let is_itself = has("head") && (has("commondir") || has("objects") && has("refs"));
            let is_worked_in = has(".git") || has("git~1");
            if folder.is_empty() && is_itself {
                self.fail(
                    ".".to_owned(),
                    "git may take it for a repository by its HEAD: rename the file",
                );
            } else if !folder.is_empty() && (is_itself || is_worked_in) {
                self.fail(folder, if is_worked_in { HAS_GIT } else { IS_REPOSITORY });
            }
        }
    }
}

/// Whether it is a regular file that a person may have written.
fn is_small(entry: &DirEntry) -> bool {
    let size = entry.metadata().map(|metadata| metadata.len());
    entry.file_type().is_file() && size.is_ok_and(|size| size <= SMALL as u64)
}

fn is_hidden(name: &OsStr) -> bool {
    name.as_encoded_bytes().starts_with(b".")
}

/// One byte more than a text may have.
const ONE_TOO_MANY: u64 = LARGEST_TEXT as u64 + 1;

impl Records {
    /// The bytes of a file below the root; an error is a reason, as a fragment.
    ///
    /// What was opened is looked at, not what lies at the path by then. Only a regular file is read: another program
    /// may never end a pipe or a device.
    ///
    /// # Errors
    /// Where a link is on the way or at its end, the file is no regular one, is larger than any record, or cannot be
    /// read.
    pub fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        let root = self.root.as_ref().map_err(Clone::clone)?;
        read_below(root, path)
    }
}

/// The bytes of a record below a root that is held open; an error is a reason, as a fragment.
pub(crate) fn read_below(root: &Folder, path: &str) -> Result<Vec<u8>, String> {
    let file = root.open_below(path).map_err(|error| reason(&error))?;
    let metadata = file.metadata().map_err(|error| reason(&error))?;
    if !metadata.is_file() {
        return Err(no_file(metadata.file_type()));
    }
    let expected = usize::try_from(metadata.len())
        .ok()
        .filter(|&len| len <= LARGEST_TEXT)
        .ok_or_else(too_large)?;
    let mut bytes = Vec::with_capacity(expected + 1);
    file.take(ONE_TOO_MANY)
        .read_to_end(&mut bytes)
        .map_err(|error| reason(&error))?;
    // The size told beforehand may be wrong, as for files that the system makes up.
    if bytes.len() > LARGEST_TEXT {
        Err(too_large())
    } else {
        Ok(bytes)
    }
}

/// A relative path with `/` between its parts; none where a part is not UTF-8.
pub(crate) fn joined(path: &Path) -> Option<String> {
    let path = path.to_str()?;
    Some(if MAIN_SEPARATOR == '/' {
        path.to_owned()
    } else {
        path.replace(MAIN_SEPARATOR, "/")
    })
}

/// Whether a file is YAML by its name.
pub(crate) fn is_yaml(file: &Path) -> bool {
    file.extension().is_some_and(|ending| {
        ending.eq_ignore_ascii_case("yaml") || ending.eq_ignore_ascii_case("yml")
    })
}

/// Why something that is no regular file is not read.
fn no_file(file_type: fs::FileType) -> String {
    format!("{}, not a file with a record", kind(file_type))
}

#[cfg(unix)]
fn kind(file_type: fs::FileType) -> &'static str {
    use std::os::unix::fs::FileTypeExt;
    if file_type.is_dir() {
        "a folder"
    } else if file_type.is_fifo() {
        "a named pipe"
    } else if file_type.is_socket() {
        "a socket"
    } else {
        "a device"
    }
}

#[cfg(not(unix))]
fn kind(file_type: fs::FileType) -> &'static str {
    if file_type.is_dir() {
        "a folder"
    } else {
        "a device"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_yaml_is_counted_and_hidden_folders_are_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        for file in [
            "fleet.yaml",
            "machines/heron.yaml",
            "machines/dunlin.yaml",
            "machines/notes.txt",
            "machines/old/heron.yaml",
            "calibrations/heron/2026-03-09.yaml",
            "other.yaml",
            ".git/machines/x.yaml",
        ] {
            let path = folder.path().join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, "").unwrap();
        }
        let large = fs::File::create(folder.path().join("large.yaml")).unwrap();
        large.set_len(SMALL as u64 + 1).unwrap();
        let found = find(folder.path());
        assert_eq!(
            found.listing.paths,
            [
                "calibrations/heron/2026-03-09.yaml",
                "fleet.yaml",
                "machines/dunlin.yaml",
                "machines/heron.yaml"
            ]
        );
        assert_eq!(
            found.listing.others,
            [
                "machines/notes.txt",
                "machines/old/heron.yaml",
                "other.yaml"
            ]
        );
        assert_eq!((found.listing.ignored, found.failures), (1, vec![]));
    }

    #[test]
    fn a_git_repository_within_the_records_is_told() {
        let rows: [(&[&str], &[&str]); 16] = [
            (&[".git/HEAD", ".git/objects/x", ".git/refs/x"], &[]),
            (&[".git", ".gitmodules", ".gitattributes"], &[]),
            (&["a/.git"], &["a"]),
            (&["a/.git/HEAD"], &["a"]),
            (&["a/b/.GIT", "a/c/git~1"], &["a/b", "a/c"]),
            (
                &["machines/.git", "service/heron/.git"],
                &["machines", "service/heron"],
            ),
            (&["a/HEAD", "a/objects/x", "a/refs/x"], &["a"]),
            (&["a/head", "a/Objects/x", "a/REFS/x"], &["a"]),
            (&["a/HEAD", "a/commondir"], &["a"]),
            (&["HEAD", "objects/x", "refs/x"], &["."]),
            (&["HEAD", "commondir"], &["."]),
            (&["HEAD", "objects/x", "a/refs/x"], &[]),
            (&["a/objects/x", "a/refs/x"], &[]),
            (&["a/HEAD", "b/commondir"], &[]),
            (&[".ci/sub/.git", ".ci/HEAD", ".ci/commondir"], &[]),
            (&["a/.gitignore", "a/.gitmodules", "git~1"], &[]),
        ];
        for (files, expected) in rows {
            let folder = tempfile::tempdir().unwrap();
            for file in files {
                let path = folder.path().join(file);
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, "").unwrap();
            }
            let records = find(folder.path());
            let told = records.failures.iter();
            let told: Vec<&str> = told.map(|failure| failure.path.as_str()).collect();
            assert_eq!(told, expected, "{files:?}");
        }
    }

    #[test]
    fn a_text_too_large_for_a_record_is_refused_without_reading_it_all() {
        let folder = tempfile::tempdir().unwrap();
        let file = fs::File::create(folder.path().join("large.yaml")).unwrap();
        file.set_len(u64::try_from(LARGEST_TEXT).unwrap() * 1000)
            .unwrap();
        fs::create_dir(folder.path().join("machines")).unwrap();
        let records = find(folder.path());
        for (path, why) in [
            ("large.yaml", "larger than the limit of 1 MB"),
            ("none.yaml", "it does not exist"),
            ("machines", "a folder, not a file with a record"),
        ] {
            assert_eq!(records.read(path).unwrap_err(), why, "{path}");
        }
    }
}
