//! The file of one record, written whole or not at all.
//!
//! It lies below the records' root, in folders that are made where they are absent; a link anywhere on the way, or in its
//! place, is never followed. What somebody else wrote there meanwhile is never written over.

use crate::cli::also_write::put_in_place;
use crate::cli::beneath::Folder;
use crate::cli::failure::{CannotCheck, reason};
use crate::cli::files::read_below;
use crate::render::Harmless;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// The file of a record.
#[derive(Debug)]
pub(crate) struct RecordFile {
    root: PathBuf,
    /// From the root, with `/` between its parts.
    path: String,
    /// What was last read or written there; none where no file is there yet.
    known: Option<Vec<u8>>,
}

impl RecordFile {
    /// A file with what it is known to hold; none of one that is not there yet.
    pub(crate) fn new(root: &Path, path: &str, known: Option<Vec<u8>>) -> Self {
        Self {
            root: root.to_owned(),
            path: path.to_owned(),
            known,
        }
    }

    /// Writes the record over what is known to be there.
    pub(crate) fn write(&mut self, text: &Harmless) -> Result<(), CannotCheck> {
        let place = self.place()?;
        let now = match fs::symlink_metadata(&place) {
            Ok(now) if now.is_file() => Some(now),
            Ok(_) => return Err(self.refused("something is there that is no plain file")),
            Err(error) if error.kind() == ErrorKind::NotFound => None,
            Err(error) => return Err(self.failed(&error)),
        };
        let there = now.as_ref().map(|_| self.read()).transpose()?;
        if there != self.known {
            return Err(self.refused(if self.known.is_none() {
                "a file is there already"
            } else {
                "it was changed meanwhile"
            }));
        }
        put_in_place(&place, now.as_ref(), text).map_err(|error| self.failed(&error))?;
        self.known = Some(text.as_bytes().to_vec());
        Ok(())
    }

    /// Where the file lies, its folders made.
    fn place(&self) -> Result<PathBuf, CannotCheck> {
        let mut at = self.root.clone();
        let mut parts = self.path.split('/').peekable();
        while let Some(part) = parts.next() {
            at.push(part);
            if parts.peek().is_none() {
                break;
            }
            match fs::symlink_metadata(&at) {
                Ok(folder) if folder.is_dir() => {}
                Ok(_) => {
                    return Err(self.refused("a part of its path is a link, or is no folder"));
                }
                Err(error) if error.kind() == ErrorKind::NotFound => {
                    fs::create_dir(&at).map_err(|error| self.failed(&error))?;
                }
                Err(error) => return Err(self.failed(&error)),
            }
        }
        Ok(at)
    }

    fn read(&self) -> Result<Vec<u8>, CannotCheck> {
        let root = Folder::open(&self.root).map_err(|error| self.failed(&error))?;
        read_below(&root, &self.path).map_err(|because| self.refused(&because))
    }

    fn failed(&self, error: &io::Error) -> CannotCheck {
        CannotCheck::Write {
            to: self.path.clone(),
            reason: reason(error),
        }
    }

    fn refused(&self, because: &str) -> CannotCheck {
        CannotCheck::Asked {
            message: format!("{} was not written: {because}", self.path),
            help: "put what is there aside, or name another day with --date; then run it again"
                .to_owned(),
        }
    }
}
