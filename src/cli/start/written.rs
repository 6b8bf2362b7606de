//! Writing the files of a started repository: new ones alone, below its folder alone, all of them or none.

use super::files::Files;
use crate::cli::failure::{CannotCheck, reason};
use crate::render::Harmless;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Refuses where a file is there already, or something on its way that is no folder: a link would lead elsewhere.
pub(super) fn is_free<'p>(
    folder: &Path,
    paths: impl Iterator<Item = &'p str>,
) -> Result<(), CannotCheck> {
    let mut there: Vec<String> = Vec::new();
    let unreachable = |at: &Path, error: &io::Error| CannotCheck::Unreachable {
        path: at.to_owned(),
        reason: reason(error),
    };
    match fs::metadata(folder) {
        Ok(found) if !found.is_dir() => {
            let error = io::Error::from(ErrorKind::NotADirectory);
            return Err(unreachable(folder, &error));
        }
        Err(error) if error.kind() != ErrorKind::NotFound => {
            return Err(unreachable(folder, &error));
        }
        Ok(_) | Err(_) => {}
    }
    for path in paths {
        if let Some(taken) = taken(folder, path).map_err(|(at, error)| unreachable(&at, &error))?
            && !there.contains(&taken)
        {
            there.push(taken);
        }
    }
    if there.is_empty() {
        return Ok(());
    }
    Err(CannotCheck::StartExists {
        folder: folder.to_owned(),
        files: there,
    })
}

/// What is in the place of a file or of a folder on its way, as a path from the folder; none where it is free.
fn taken(folder: &Path, path: &str) -> Result<Option<String>, (PathBuf, io::Error)> {
    let mut at = folder.to_owned();
    let mut below = String::new();
    let mut parts = path.split('/').peekable();
    while let Some(part) = parts.next() {
        at.push(part);
        below.push_str(if below.is_empty() { "" } else { "/" });
        below.push_str(part);
        match fs::symlink_metadata(&at) {
            Ok(found) if found.is_dir() && parts.peek().is_some() => {}
            Ok(_) => return Ok(Some(below)),
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err((at, error)),
        }
    }
    Ok(None)
}

/// Writes all files; where one cannot be written, those that were are taken away again.
pub(super) fn write(folder: &Path, files: &Files) -> Result<(), CannotCheck> {
    let mut written = Written::default();
    for (path, text) in files {
        let place = folder.join(path);
        let done = written.folders_of(&place).and_then(|()| {
            // Never opens what has come there meanwhile.
            let mut file = File::create_new(&place)?;
            written.files.push(place.clone());
            file.write_all(Harmless::lines(text).as_bytes())
        });
        if let Err(error) = done {
            written.take_away();
            return Err(CannotCheck::Write {
                to: place.display().to_string(),
                reason: reason(&error),
            });
        }
    }
    Ok(())
}

/// What was made so far.
#[derive(Default)]
struct Written {
    folders: Vec<PathBuf>,
    files: Vec<PathBuf>,
}

impl Written {
    /// Makes the folders on the way to a file.
    fn folders_of(&mut self, file: &Path) -> io::Result<()> {
        let missing = file.ancestors().skip(1);
        let is_missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
        let missing: Vec<&Path> = missing.take_while(is_missing).collect();
        for folder in missing.into_iter().rev() {
            fs::create_dir(folder)?;
            self.folders.push(folder.to_owned());
        }
        Ok(())
    }

    fn take_away(&self) {
        // The first error is the one to tell; a folder that holds something else stays.
        for file in &self.files {
            fs::remove_file(file).ok();
        }
        for folder in self.folders.iter().rev() {
            fs::remove_dir(folder).ok();
        }
    }
}
