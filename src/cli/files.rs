//! The files of the records: which there are, and what is in one.
//!
//! Opens only regular files within the root, follows no link to a folder, and makes nothing of what it reads.

use crate::Listing;
use crate::cli::failure::reason;
use crate::report::Failure;
use crate::source::{LARGEST_TEXT, too_large};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::Read;
use std::path::{MAIN_SEPARATOR, Path};
use walkdir::{DirEntry, WalkDir};

/// Folders whose own YAML files are records.
const FLAT_FOLDERS: [&str; 2] = ["machines", "house-rules"];

/// Folders with one folder a machine, whose YAML files are records.
const FOLDERS_BY_MACHINE: [&str; 3] = ["calibrations", "service", "applications"];

/// Names, without their ending, of records right at the root.
const ROOT_FILES: [&str; 2] = ["fleet", "waivers"];

/// What a folder of records holds.
#[derive(Debug)]
pub struct Found {
    /// The records, and how many other YAML files there are.
    pub listing: Listing,
    /// What could hold records and could not be listed.
    pub failures: Vec<Failure>,
}

/// All records below a root; hidden folders and files are passed over.
pub fn find(root: &Path) -> Found {
    let mut walk = Walk::default();
    let mut entries = WalkDir::new(root).min_depth(1).into_iter();
    while let Some(entry) = entries.next() {
        match entry {
            Ok(entry) if entry.file_type().is_dir() => {
                if !walk.enter(root, &entry) {
                    entries.skip_current_dir();
                }
            }
            Ok(entry) => walk.file(root, &entry),
            Err(error) => walk.error(root, &error),
        }
    }
    walk.found()
}

/// What was met so far, in the order the system lists it.
#[derive(Debug, Default)]
struct Walk {
    paths: Vec<String>,
    /// What links lead to that is no record by its place, by the path of the link.
    links: BTreeMap<String, String>,
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

impl Walk {
    /// Whether to look into a folder.
    fn enter(&mut self, root: &Path, entry: &DirEntry) -> bool {
        let name = Name::new(root, entry.path());
        let is_hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
        if !name.is_utf8 && may_hold_records(&name.path) {
            self.fail(name.path, "its name is not UTF-8");
            return false;
        }
        !is_hidden
    }

    /// Takes a file, a link, or anything else that is no folder.
    fn file(&mut self, root: &Path, entry: &DirEntry) {
        let name = Name::new(root, entry.path());
        if entry.path_is_symlink() && entry.path().is_dir() {
            if may_hold_records(&name.path) {
                self.fail(name.path, "a link to a folder is not followed");
            }
        } else if is_record(&name.path) {
            self.record(root, entry, name);
        } else if is_yaml(entry.path()) {
            self.ignored += 1;
        }
    }

    fn record(&mut self, root: &Path, entry: &DirEntry, name: Name) {
        if !name.is_utf8 {
            self.fail(name.path, "its name is not UTF-8");
            return;
        }
        // A link that leads nowhere is listed, so that reading it says so.
        let target = entry
            .path_is_symlink()
            .then(|| fs::canonicalize(entry.path()).ok())
            .flatten();
        match target.map(|target| {
            target
                .strip_prefix(root)
                .map(|below| Name::new(root, below).path)
        }) {
            None => {
                self.paths.push(name.path);
            }
            Some(Err(_)) => self.fail(
                name.path,
                "a link that leads out of the records is not followed",
            ),
            // Read once: as the record that it links to, or by the first link to a file that is none itself.
            Some(Ok(target)) if is_record(&target) => {}
            Some(Ok(target)) => {
                self.links.insert(name.path, target);
            }
        }
    }

    /// Takes a folder or an entry that could not be looked at; outside the known places it can hold no record.
    fn error(&mut self, root: &Path, error: &walkdir::Error) {
        let path = error
            .path()
            .map_or_else(String::new, |path| Name::new(root, path).path);
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

    fn found(self) -> Found {
        let Self {
            mut paths,
            links,
            ignored,
            mut failures,
        } = self;
        let mut targets = BTreeSet::new();
        for (path, target) in links {
            if targets.insert(target) {
                paths.push(path);
            }
        }
        paths.sort_unstable();
        failures.sort();
        Found {
            listing: Listing { paths, ignored },
            failures,
        }
    }
}

/// Whether a path below the root is that of a record, by the folder it lies in and its ending.
pub(crate) fn is_record(path: &str) -> bool {
    let parts: Vec<&str> = path.split('/').collect();
    let is_place = match parts[..] {
        [file] => ROOT_FILES.iter().any(|name| {
            Path::new(file)
                .file_stem()
                .is_some_and(|stem| stem == *name)
        }),
        [folder, _] => FLAT_FOLDERS.contains(&folder),
        [folder, _, _] => FOLDERS_BY_MACHINE.contains(&folder),
        _ => false,
    };
    let is_hidden = parts.last().is_some_and(|name| name.starts_with('.'));
    is_place && !is_hidden && is_yaml(Path::new(path))
}

/// Whether a folder below the root can hold records, itself or one folder down.
pub(crate) fn may_hold_records(path: &str) -> bool {
    let parts: Vec<&str> = path.split('/').collect();
    match parts[..] {
        [folder] => FLAT_FOLDERS.contains(&folder) || FOLDERS_BY_MACHINE.contains(&folder),
        [folder, machine] => FOLDERS_BY_MACHINE.contains(&folder) && !machine.starts_with('.'),
        _ => false,
    }
}

/// One byte more than a text may have.
const ONE_TOO_MANY: u64 = LARGEST_TEXT as u64 + 1;

/// The bytes of a file below the root; an error is a reason, as a fragment.
///
/// Only a regular file is opened: another program may never end a pipe or a device.
///
/// # Errors
/// Where the file is no regular one, is larger than any record, or cannot be read.
pub fn read(root: &Path, path: &str) -> Result<Vec<u8>, String> {
    let path = root.join(path);
    let metadata = fs::metadata(&path).map_err(|error| reason(&error))?;
    if !metadata.is_file() {
        return Err(format!(
            "{}, not a file with a record",
            kind(metadata.file_type())
        ));
    }
    let expected = usize::try_from(metadata.len())
        .ok()
        .filter(|&len| len <= LARGEST_TEXT)
        .ok_or_else(too_large)?;
    let mut bytes = Vec::with_capacity(expected + 1);
    let mut file = File::open(&path)
        .map_err(|error| reason(&error))?
        .take(ONE_TOO_MANY);
    file.read_to_end(&mut bytes)
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
    fn records_lie_in_known_places() {
        let rows = [
            ("fleet.yaml", true),
            ("fleet.yml", true),
            ("waivers.yaml", true),
            ("fleet.txt", false),
            ("other.yaml", false),
            ("machines/heron.yaml", true),
            ("machines/heron.YAML", true),
            ("machines/.heron.yaml", false),
            ("machines/old/heron.yaml", false),
            ("house-rules/rule.yaml", true),
            ("calibrations/2026-03-09.yaml", false),
            ("calibrations/heron/2026-03-09.yaml", true),
            ("calibrations/heron/old/2026-03-09.yaml", false),
            ("service/heron/2026-05-02.yml", true),
            ("applications/heron/2026-05-04.yaml", true),
            ("applications/heron/notes.txt", false),
            ("demo/machines/heron.yaml", false),
        ];
        for (path, expected) in rows {
            assert_eq!(is_record(path), expected, "{path}");
        }
    }

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
        assert_eq!((found.listing.ignored, found.failures), (2, vec![]));
    }

    #[test]
    fn a_text_too_large_for_a_record_is_refused_without_reading_it_all() {
        let folder = tempfile::tempdir().unwrap();
        let file = File::create(folder.path().join("large.yaml")).unwrap();
        file.set_len(u64::try_from(LARGEST_TEXT).unwrap() * 1000)
            .unwrap();
        assert_eq!(
            read(folder.path(), "large.yaml").unwrap_err(),
            "larger than 1 MB, which no record is"
        );
        assert_eq!(
            read(folder.path(), "none.yaml").unwrap_err(),
            "it does not exist"
        );
        assert_eq!(
            read(folder.path(), ".").unwrap_err(),
            "a folder, not a file with a record"
        );
    }
}
