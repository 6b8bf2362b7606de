//! Files written beside the output: which may be written, and each whole or not at all.
//!
//! All are looked at before any work is done. A file is written under a name of its own and then takes the place of
//! the old one: nothing that stands there, or is put there meanwhile, is ever opened, and no reader meets half a file.

use crate::cli::args::AlsoWrite;
use crate::cli::failure::{CannotCheck, reason};
use crate::cli::links;
use crate::render::{Format, Harmless};
use std::fs::{self, File, Metadata};
use std::io::{self, ErrorKind, Write};
use std::path::{self, Path, PathBuf};
use std::process;

/// The folder in which git keeps what it obeys.
const GIT: &str = ".git";

/// So many names are tried for the unfinished file.
const MOST_NAMES: u32 = 100;

/// A file that may be written.
#[derive(Debug)]
pub(crate) struct Target<T: 'static> {
    /// How.
    pub(crate) format: &'static Format<T>,
    /// As it was named.
    file: PathBuf,
    /// In a folder without links on the way.
    place: PathBuf,
    /// What is there now.
    now: Option<Metadata>,
}

/// The files to write, each another; none that belongs to git or is no plain file.
pub(crate) fn targets<T>(
    also_write: &[AlsoWrite<T>],
    root: &Path,
) -> Result<Vec<Target<T>>, CannotCheck> {
    let mut targets: Vec<Target<T>> = Vec::new();
    for AlsoWrite { format, file } in also_write {
        let (place, now) = looked_at(file, root)?;
        let target = Target {
            format,
            file: file.clone(),
            place,
            now,
        };
        if let Some(first) = targets.iter().find(|first| first.is_same_as(&target)) {
            return Err(CannotCheck::WrittenTwice {
                file: target.file,
                first: first.file.clone(),
            });
        }
        targets.push(target);
    }
    Ok(targets)
}

impl<T> Target<T> {
    /// Whether both are one file; names that differ in case alone are one on some systems, and so on all.
    fn is_same_as(&self, other: &Self) -> bool {
        let name = |target: &Self| target.place.to_string_lossy().to_lowercase();
        let is_one_file = match (&self.now, &other.now) {
            (Some(one), Some(other)) => is_one_file(one, other),
            (_, _) => false,
        };
        is_one_file || name(self) == name(other)
    }

    /// Writes the whole file, over what was there.
    pub(crate) fn write(&self, text: &Harmless) -> Result<(), CannotCheck> {
        let written = put_in_place(&self.place, self.now.as_ref(), text);
        written.map_err(|error| CannotCheck::Write {
            to: self.file.display().to_string(),
            reason: reason(&error),
        })
    }
}

/// Writes a whole file in place of what is there `now`; nothing that is put there meanwhile is opened.
pub(crate) fn put_in_place(
    place: &Path,
    now: Option<&Metadata>,
    text: &Harmless,
) -> io::Result<()> {
    let (mut unfinished, path) = new_file_beside(place)?;
    let written = unfinished.write_all(text.as_bytes()).and_then(|()| {
        if let Some(now) = now {
            fs::set_permissions(&path, now.permissions())?;
        }
        drop(unfinished);
        fs::rename(&path, place)
    });
    if written.is_err() {
        // The first error is the one to tell.
        fs::remove_file(&path).ok();
    }
    written
}

/// A new file in the same folder, and its path.
fn new_file_beside(place: &Path) -> io::Result<(File, PathBuf)> {
    let path = |n| place.with_file_name(format!(".swathlint-{}-{n}", process::id()));
    let mut n = 0;
    loop {
        // Never opens what is there, nor what a link there leads to.
        match File::create_new(path(n)) {
            Err(error) if error.kind() == ErrorKind::AlreadyExists && n < MOST_NAMES => n += 1,
            file => return Ok((file?, path(n))),
        }
    }
}

/// Where a file lies and what is there now, unless it must not be written.
fn looked_at(file: &Path, root: &Path) -> Result<(PathBuf, Option<Metadata>), CannotCheck> {
    let refused = |because: String| CannotCheck::MayNotWrite {
        file: file.to_owned(),
        because,
    };
    let unreachable = |error: io::Error| CannotCheck::Write {
        to: file.display().to_string(),
        reason: reason(&error),
    };
    let absolute = path::absolute(file).map_err(unreachable)?;
    let (Some(folder), Some(name)) = (absolute.parent(), absolute.file_name()) else {
        return Err(refused("it is a folder".to_owned()));
    };
    if let Some(link) = links::within_repository(folder, root) {
        return Err(refused(format!(
            "the folder {} is a link within the repository, which is not followed",
            link.display()
        )));
    }
    let place = fs::canonicalize(folder).map_err(unreachable)?.join(name);
    if place.iter().any(|part| part.eq_ignore_ascii_case(GIT)) {
        return Err(refused("it belongs to git".to_owned()));
    }
    let now = match fs::symlink_metadata(&absolute) {
        Ok(now) => now,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok((place, None)),
        Err(error) => return Err(unreachable(error)),
    };
    if now.is_dir() {
        return Err(refused("it is a folder".to_owned()));
    }
    if now.is_symlink() {
        return Err(refused("it is a link, which is not followed".to_owned()));
    }
    if !now.is_file() {
        return Err(refused("it is a pipe, a socket or a device".to_owned()));
    }
    if now.permissions().readonly() {
        return Err(refused("it is read-only".to_owned()));
    }
    Ok((place, Some(now)))
}

#[cfg(unix)]
fn is_one_file(one: &Metadata, other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (one.dev(), one.ino()) == (other.dev(), other.ino())
}

/// Nothing tells here; each of two names of one file gets a file of its own.
#[cfg(not(unix))]
fn is_one_file(_: &Metadata, _: &Metadata) -> bool {
    false
}
