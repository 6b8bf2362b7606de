//! The folder that holds the records, and the part of it that is asked for.
//!
//! Reads no record and lists no folder of records.

use crate::cli::failure::{CannotCheck, reason};
use crate::cli::files::joined;
use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::{env, fs};

/// Names of the file that marks the root of the records.
const FLEET_FILES: [&str; 2] = ["fleet.yaml", "fleet.yml"];

/// The folder that marks the root where there is no fleet file.
const MACHINES: &str = "machines";

/// So many folders below are named when there are no records here.
const MOST_HINTS: usize = 3;

/// Where the records are and which of them are asked for.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Scope {
    /// The folder that holds the records, without links.
    pub(crate) root: PathBuf,
    /// Paths relative to it, `/` between parts; empty: all.
    pub(crate) selected: Vec<String>,
}

impl Scope {
    /// The records that paths belong to, or those of the working folder where there is no path.
    pub(crate) fn find(paths: &[PathBuf]) -> Result<Self, CannotCheck> {
        let Some((first, others)) = paths.split_first() else {
            let folder = working_folder()?;
            return Ok(Self {
                root: root_above(&folder)?,
                selected: Vec::new(),
            });
        };
        let first_target = target(first)?;
        let root = root_above(&first_target)?;
        let mut selected = BTreeSet::from([relative(first, &first_target, &root)?]);
        for path in others {
            selected.insert(relative(path, &target(path)?, &root)?);
        }
        let asks_for_all = selected.contains("");
        Ok(Self {
            root,
            selected: selected.into_iter().filter(|_| !asks_for_all).collect(),
        })
    }

    /// Whether a file of the records is asked for.
    pub(crate) fn includes(&self, path: &str) -> bool {
        let is_in = |wanted: &String| {
            path.strip_prefix(wanted.as_str())
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        };
        self.selected.is_empty() || self.selected.iter().any(is_in)
    }

    /// What is asked for, as people write it.
    pub(crate) fn wanted(&self) -> Vec<String> {
        if self.selected.is_empty() {
            vec![self.root.display().to_string()]
        } else {
            self.selected.clone()
        }
    }
}

fn working_folder() -> Result<PathBuf, CannotCheck> {
    env::current_dir()
        .and_then(fs::canonicalize)
        .map_err(|error| CannotCheck::Unreachable {
            path: PathBuf::from("."),
            reason: reason(&error),
        })
}

/// A path as it is on the disk, without links.
fn target(path: &Path) -> Result<PathBuf, CannotCheck> {
    if path == Path::new("-") {
        return Err(CannotCheck::StandardInput);
    }
    fs::canonicalize(path).map_err(|error| {
        let path = path.to_owned();
        if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) {
            CannotCheck::NoSuchPath { path }
        } else {
            CannotCheck::Unreachable {
                path,
                reason: reason(&error),
            }
        }
    })
}

/// The nearest folder with a fleet file, else the nearest with machines, from a path upwards.
fn root_above(path: &Path) -> Result<PathBuf, CannotCheck> {
    let folder = if path.is_dir() {
        path
    } else {
        path.parent().unwrap_or(path)
    };
    folder
        .ancestors()
        .find(|folder| has_fleet_file(folder))
        .or_else(|| {
            folder
                .ancestors()
                .find(|folder| folder.join(MACHINES).is_dir())
        })
        .map(Path::to_owned)
        .ok_or_else(|| CannotCheck::NoRoot {
            folder: folder.to_owned(),
            below: roots_below(folder),
        })
}

fn has_fleet_file(folder: &Path) -> bool {
    FLEET_FILES.iter().any(|name| folder.join(name).is_file())
}

/// The first few folders right below that hold records.
fn roots_below(folder: &Path) -> Vec<String> {
    // A folder that cannot be listed only costs the hint.
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let names: BTreeSet<String> = entries
        .filter(|entry| has_fleet_file(&entry.path()) || entry.path().join(MACHINES).is_dir())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.into_iter().take(MOST_HINTS).collect()
}

/// The part of a path below the root, `/` between its parts.
fn relative(path: &Path, target: &Path, root: &Path) -> Result<String, CannotCheck> {
    let outside = || CannotCheck::OutsideRoot {
        path: path.to_owned(),
        root: root.to_owned(),
    };
    if root_above(target)? != root {
        return Err(outside());
    }
    let below = target.strip_prefix(root).map_err(|_| outside())?;
    joined(below).ok_or_else(|| CannotCheck::Unreachable {
        path: path.to_owned(),
        reason: "the name is not UTF-8".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of files, each given by its path; parents are made.
    fn tree(files: &[&str]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for file in files {
            let path = folder.path().join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, "").unwrap();
        }
        folder
    }

    fn found(folder: &Path, paths: &[&str]) -> Result<(String, Vec<String>), CannotCheck> {
        let paths: Vec<PathBuf> = paths.iter().map(|path| folder.join(path)).collect();
        let scope = Scope::find(&paths)?;
        let root = scope
            .root
            .strip_prefix(fs::canonicalize(folder).unwrap())
            .unwrap();
        Ok((root.display().to_string(), scope.selected))
    }

    #[test]
    fn the_root_is_the_nearest_fleet_file_or_else_the_nearest_machines() {
        let folder = tree(&[
            "a/fleet.yaml",
            "a/b/machines/x.yaml",
            "c/machines/x.yaml",
            "c/d/e.yaml",
            "f/g.yaml",
        ]);
        let rows = [
            ("a", ("a", vec![])),
            ("a/b", ("a", vec!["b"])),
            ("a/b/machines/x.yaml", ("a", vec!["b/machines/x.yaml"])),
            ("c/d/e.yaml", ("c", vec!["d/e.yaml"])),
            ("c/d/../machines", ("c", vec!["machines"])),
        ];
        for (path, (root, selected)) in rows {
            let selected: Vec<String> = selected.into_iter().map(str::to_owned).collect();
            assert_eq!(
                found(folder.path(), &[path]),
                Ok((root.to_owned(), selected)),
                "{path}"
            );
        }
    }

    #[test]
    fn no_root_names_the_folders_below_that_hold_records() {
        let folder = tree(&["a/fleet.yaml", "c/machines/x.yaml", "f/g.yaml"]);
        match Scope::find(&[folder.path().to_owned()]) {
            Err(CannotCheck::NoRoot { below, .. }) => assert_eq!(below, ["a", "c"]),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn paths_of_two_roots_are_refused() {
        let folder = tree(&["a/fleet.yaml", "a/n/fleet.yaml", "c/fleet.yaml"]);
        for other in ["c", "a/n"] {
            let found = found(folder.path(), &["a", other]);
            assert!(
                matches!(found, Err(CannotCheck::OutsideRoot { .. })),
                "{other}"
            );
        }
    }

    #[test]
    fn a_folder_includes_its_files_and_no_folder_that_begins_alike() {
        let scope = Scope {
            root: PathBuf::new(),
            selected: vec!["calibrations/heron".to_owned()],
        };
        for (path, is_in) in [
            ("calibrations/heron", true),
            ("calibrations/heron/2026-03-09.yaml", true),
            ("calibrations/heron-2/2026-03-09.yaml", false),
            ("machines/heron.yaml", false),
        ] {
            assert_eq!(scope.includes(path), is_in, "{path}");
        }
    }
}
