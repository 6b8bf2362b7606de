//! The folder that holds the records, and the part of it that is asked for.
//!
//! Reads no record and lists no folder of records.

use crate::cli::failure::{CannotCheck, reason};
use crate::cli::files::joined;
use crate::cli::links;
use crate::cli::marks::{has_git, nearest_root};
use std::collections::BTreeSet;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::{env, fs};

/// So many folders below are named when there are no records here.
const MOST_HINTS: usize = 3;

/// Where the records are and which of them are asked for.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Scope {
    /// The folder that holds the records, without links.
    pub(crate) root: PathBuf,
    /// The folder from which it was found, upwards.
    pub(crate) from: PathBuf,
    /// Paths relative to it, `/` between parts; empty: all.
    pub(crate) selected: Vec<String>,
}

impl Scope {
    /// The records that paths belong to, or those of the working folder where there is no path.
    pub(crate) fn find(paths: &[PathBuf]) -> Result<Self, CannotCheck> {
        let Some(first) = paths.first() else {
            let from = working_folder()?;
            return Ok(Self {
                root: root_above(&from)?,
                from,
                selected: Vec::new(),
            });
        };
        let first = place(first)?;
        let root = root_above(&first)?;
        let mut selected = BTreeSet::new();
        for path in paths {
            selected.insert(relative(path, &place(path)?, &root)?);
        }
        let asks_for_all = selected.contains("");
        Ok(Self {
            root,
            from: folder_of(&first).to_owned(),
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

    /// Where the root lies below the top of its repository: empty, or parts that each end with `/`.
    pub(crate) fn folder_in_repository(&self) -> String {
        let top = self.root.ancestors().find(|folder| has_git(folder));
        let below = top.and_then(|top| self.root.strip_prefix(top).ok());
        let parts = below.into_iter().flat_map(Path::iter);
        parts.fold(String::new(), |folder, part| {
            folder + &part.to_string_lossy() + "/"
        })
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

/// The folder the program was started in; a shell knows through which links.
fn working_folder() -> Result<PathBuf, CannotCheck> {
    let unreachable = |error: &io::Error| CannotCheck::Unreachable {
        path: PathBuf::from("."),
        reason: reason(error),
    };
    let folder = env::current_dir()
        .and_then(fs::canonicalize)
        .map_err(|error| unreachable(&error))?;
    links::refuse_planted(&as_gone_to(&folder))?;
    Ok(folder)
}

/// The working folder as the user went there.
fn as_gone_to(folder: &Path) -> PathBuf {
    let gone = env::var_os("PWD").map(PathBuf::from);
    let is_it = |gone: &PathBuf| {
        gone.is_absolute() && fs::canonicalize(gone).is_ok_and(|place| place == folder)
    };
    gone.filter(is_it).unwrap_or_else(|| folder.to_owned())
}

/// A path as it is on the disk.
///
/// A link among records stays what it is, and is told of where the records are listed.
fn place(path: &Path) -> Result<PathBuf, CannotCheck> {
    if path == Path::new("-") {
        return Err(CannotCheck::StandardInput);
    }
    let followed = |way: &Path| {
        fs::canonicalize(way).map_err(|error| {
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
    };
    links::refuse_planted(&as_gone_to(&followed(Path::new("."))?).join(path))?;
    if let (Some(folder), Some(name)) = (path.parent(), path.file_name())
        && path.is_symlink()
    {
        let folder = followed(&Path::new(".").join(folder))?;
        if root_above(&folder).is_ok() {
            return Ok(folder.join(name));
        }
    }
    followed(path)
}

/// The folder that a path is, or lies in.
fn folder_of(path: &Path) -> &Path {
    if path.is_dir() && !path.is_symlink() {
        path
    } else {
        path.parent().unwrap_or(path)
    }
}

/// The root of the records from a path upwards, as far as the repository reaches that it lies in.
fn root_above(path: &Path) -> Result<PathBuf, CannotCheck> {
    let folder = folder_of(path);
    let repository = folder.ancestors().find(|folder| has_git(folder));
    let within = |folder: &&Path| repository.is_none_or(|top| folder.starts_with(top));
    nearest_root(folder.ancestors().take_while(within), is_file, is_folder)
        .map(Path::to_owned)
        .ok_or_else(|| CannotCheck::NoRoot {
            folder: folder.to_owned(),
            below: roots_below(folder),
        })
}

/// Whether there is a file; a link marks nothing, and is told of where the records are listed.
fn is_file(folder: &Path, name: &str) -> bool {
    let there = folder.join(name).symlink_metadata();
    there.is_ok_and(|there| there.is_file())
}

/// Whether there is a folder, or a link, which is told of where the records are listed.
fn is_folder(folder: &Path, name: &str) -> bool {
    let there = folder.join(name).symlink_metadata();
    there.is_ok_and(|there| there.is_dir() || there.is_symlink())
}

/// The first few folders right below that hold records.
fn roots_below(folder: &Path) -> Vec<String> {
    // A folder that cannot be listed only costs the hint.
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let names: BTreeSet<String> = entries
        .filter(|entry| nearest_root(std::iter::once(&*entry.path()), is_file, is_folder).is_some())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.into_iter().take(MOST_HINTS).collect()
}

/// The part of a path below the root, `/` between its parts.
fn relative(path: &Path, place: &Path, root: &Path) -> Result<String, CannotCheck> {
    let outside = || CannotCheck::OutsideRoot {
        path: path.to_owned(),
        root: root.to_owned(),
    };
    if root_above(place)? != root {
        return Err(outside());
    }
    let below = place.strip_prefix(root).map_err(|_| outside())?;
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
    fn the_root_is_the_nearest_folder_with_a_fleet_file_or_machines() {
        let folder = tree(&[
            "a/fleet.yaml",
            "a/b/machines/x.yaml",
            "c/machines/x.yaml",
            "c/d/e.yaml",
            "f/g.yaml",
        ]);
        let rows = [
            ("a", ("a", vec![])),
            ("a/b", ("a/b", vec![])),
            ("a/b/machines/x.yaml", ("a/b", vec!["machines/x.yaml"])),
            ("a/b/machines", ("a/b", vec!["machines"])),
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

    #[cfg(unix)]
    #[test]
    fn a_link_among_records_does_not_choose_the_root() {
        use std::os::unix::fs::symlink;
        let folder = tree(&[
            "a/fleet.yaml",
            "a/machines/x.yaml",
            "a/machines/.hidden/fleet.yaml",
            "b/machines/x.yaml",
            "other/fleet.yaml",
            "other/machines/y.yaml",
        ]);
        for (target, link) in [
            // Fleet files, wherever they lead.
            ("../../other/fleet.yaml", "a/machines/fleet.yaml"),
            (".hidden/fleet.yaml", "a/machines/fleet.yml"),
            ("../other/fleet.yaml", "b/fleet.yaml"),
            // Links that are named.
            ("../../other/machines/y.yaml", "a/machines/out.yaml"),
            ("x.yaml", "a/machines/in.yaml"),
            ("../../other", "a/machines/folder"),
            ("machines", "a/short"),
            ("nothing", "a/nowhere"),
            ("a", "d"),
            ("../other/machines", "e/machines"),
        ] {
            let link = folder.path().join(link);
            fs::create_dir_all(link.parent().unwrap()).unwrap();
            symlink(target, link).unwrap();
        }
        let rows = [
            ("a/machines", ("a", vec!["machines"])),
            ("b/machines", ("b", vec!["machines"])),
            ("a/machines/out.yaml", ("a", vec!["machines/out.yaml"])),
            ("a/machines/in.yaml", ("a", vec!["machines/in.yaml"])),
            ("a/machines/folder", ("a", vec!["machines/folder"])),
            ("a/short", ("a", vec!["short"])),
            ("a/nowhere", ("a", vec!["nowhere"])),
            // The user's own, and what is named through it.
            ("d", ("a", vec![])),
            ("d/machines", ("a", vec!["machines"])),
            ("e", ("e", vec![])),
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
            from: PathBuf::new(),
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
