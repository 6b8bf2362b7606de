//! Why nothing could be checked, and what the user can do about it.
//!
//! Files that could not be read among others that could are in the report, not here.

use crate::words::phrases::list;
use std::io::{self, ErrorKind};
use std::path::PathBuf;

/// Why the command could not be done; each makes the exit code 2.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum CannotCheck {
    /// No folder of records from here upwards.
    #[error("no records here: {} has neither fleet.yaml nor a folder machines/, nor has a folder above it", .folder.display())]
    NoRoot {
        /// Where the search began.
        folder: PathBuf,
        /// Folders below that hold records.
        below: Vec<String>,
    },
    /// A path that does not exist.
    #[error("{} does not exist", .path.display())]
    NoSuchPath {
        /// The path as given.
        path: PathBuf,
    },
    /// A path that could not be looked at.
    #[error("{}: {reason}", .path.display())]
    Unreachable {
        /// The path as given.
        path: PathBuf,
        /// Why, as a fragment.
        reason: String,
    },
    /// A path of other records than the path before.
    #[error("{} lies outside the records in {}", .path.display(), .root.display())]
    OutsideRoot {
        /// The path as given.
        path: PathBuf,
        /// The root of the records.
        root: PathBuf,
    },
    /// Standard input instead of a file.
    #[error(
        "`-` (standard input) is not supported: a record is judged by its machine, its fleet and its history"
    )]
    StandardInput,
    /// There is no record, or none of those asked for.
    #[error("no record to check in {}", list(.wanted, "or"))]
    NothingToCheck {
        /// What was asked for: the root, or the paths.
        wanted: Vec<String>,
    },
    /// No rule of that name.
    #[error("there is no rule `{name}`")]
    NoSuchRule {
        /// The name as given.
        name: String,
        /// The rule that was probably meant.
        nearest: Option<String>,
    },
    /// The threads asked for could not be started.
    #[error("could not start the threads: {reason}")]
    Threads {
        /// Why.
        reason: String,
    },
    /// A file named twice for output.
    #[error("{} is named twice by --also-write", .file.display())]
    WrittenTwice {
        /// The file.
        file: PathBuf,
    },
    /// The output could not be written.
    #[error("could not write {to}: {reason}")]
    Write {
        /// The file, or `the output`.
        to: String,
        /// Why, as a fragment.
        reason: String,
    },
}

impl CannotCheck {
    /// What to do, beginning with a verb.
    pub(crate) fn help(&self) -> String {
        match self {
            Self::NoRoot { below, .. } if !below.is_empty() => {
                format!("name the folder: swathlint check {}", below.join(", or "))
            }
            Self::NoRoot { .. } => "go to the folder that holds the records, or name it behind `check`; to begin, \
                write machines/NAME.yaml and calibrations/NAME/DATE.yaml"
                .to_owned(),
            Self::NoSuchPath { .. } => "check the spelling, and the folder you are in".to_owned(),
            Self::Unreachable { .. } => "check who may read it".to_owned(),
            Self::OutsideRoot { .. } => "check the records of one folder at a time".to_owned(),
            Self::StandardInput => "name the file in its folder of records".to_owned(),
            Self::NothingToCheck { .. } => "check the path: records are YAML files in machines/, calibrations/, \
                service/, applications/ and house-rules/, beside fleet.yaml; where there may be none, add --allow-empty"
                .to_owned(),
            Self::NoSuchRule { nearest: Some(nearest), .. } => format!("did you mean `{nearest}`?"),
            Self::NoSuchRule { nearest: None, .. } => "see `swathlint rules` for all names".to_owned(),
            Self::Threads { .. } => "try fewer with --threads".to_owned(),
            Self::WrittenTwice { .. } => "name another file for one of the formats".to_owned(),
            Self::Write { .. } => "check the folder, who may write there, and the space left".to_owned(),
        }
    }
}

/// Reasons that users meet, in the same words on every system.
const REASONS: [(ErrorKind, &str); 5] = [
    (ErrorKind::NotFound, "it does not exist"),
    (ErrorKind::PermissionDenied, "permission denied"),
    (
        ErrorKind::NotADirectory,
        "a part of the path is not a folder",
    ),
    (ErrorKind::IsADirectory, "a folder, not a file"),
    (ErrorKind::StorageFull, "no space left"),
];

/// Why something could not be read or written, as a fragment.
pub(crate) fn reason(error: &io::Error) -> String {
    REASONS
        .iter()
        .find(|(kind, _)| *kind == error.kind())
        .map_or_else(
            || without_number(&error.to_string()),
            |(_, reason)| (*reason).to_owned(),
        )
}

/// The system's own words, begun with a small letter, without its number in brackets.
fn without_number(words: &str) -> String {
    let words = words.split(" (os error").next().unwrap_or(words);
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_the_system_lose_their_number() {
        assert_eq!(
            without_number("Too many levels of symbolic links (os error 40)"),
            "too many levels of symbolic links"
        );
    }
}
