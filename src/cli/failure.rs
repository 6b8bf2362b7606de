//! Why nothing could be checked, and what the user can do about it.
//!
//! Files that could not be read among others that could are in the report, not here.

use crate::report::Unusable;
use crate::words::phrases::list;
use std::io::{self, ErrorKind};
use std::path::PathBuf;

/// Why the command could not be done; each makes the exit code 2.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum CannotCheck {
    /// No folder of records from here upwards.
    #[error("no records found: there is no fleet.yaml and no machines/ folder in {} or above it", .folder.display())]
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
    /// A way through a link that whoever changes the records may have put there.
    #[error("{} is a link that is under version control, and is not followed", .link.display())]
    PlantedLink {
        /// The link.
        link: PathBuf,
    },
    /// A way through a link of which git does not say whose it is.
    #[error("{} is a link, and git could not tell whether it is under version control: {reason}", .link.display())]
    UnclearLink {
        /// The link.
        link: PathBuf,
        /// Why, as a fragment.
        reason: String,
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
    /// No rule or cause of that name.
    #[error("there is no {asked} `{name}`")]
    NoSuchRule {
        /// The name as given.
        name: String,
        /// Which of the two was asked for.
        asked: &'static str,
        /// The one that was probably meant.
        nearest: Option<String>,
    },
    /// A machine or a setup that is asked for cannot be used.
    #[error(transparent)]
    Unusable(#[from] Unusable),
    /// The records cannot be compared with those of another revision.
    #[error(transparent)]
    Compare(#[from] CannotCompare),
    /// The threads asked for could not be started.
    #[error("could not start the threads: {reason}")]
    Threads {
        /// Why.
        reason: String,
    },
    /// A file named twice for output, perhaps in two spellings.
    #[error("{} is named twice by --also-write, the first time as {}", .file.display(), .first.display())]
    WrittenTwice {
        /// The file as named the second time.
        file: PathBuf,
        /// The file as named the first time.
        first: PathBuf,
    },
    /// A file that must stay as it is, or is none.
    #[error("--also-write does not write {}: {because}", .file.display())]
    MayNotWrite {
        /// The file.
        file: PathBuf,
        /// Why not, as a clause.
        because: String,
    },
    /// Files of a repository that is to be started are there already.
    #[error("nothing was written: {} has {} already", .folder.display(), list(.files, "and"))]
    StartExists {
        /// The folder.
        folder: PathBuf,
        /// What is there, as paths from the folder.
        files: Vec<String>,
    },
    /// Something must be known to start a repository, and nobody is there to ask.
    #[error("nothing was written: there is no terminal to ask at, and {} missing", missing_options(.missing))]
    StartMissing {
        /// The options, each with an example.
        missing: Vec<String>,
    },
    /// An option of `start` that cannot be so.
    #[error("`{given}` cannot be {option}: {because}")]
    StartFact {
        /// The option.
        option: &'static str,
        /// What was given.
        given: String,
        /// What is wrong with it, as a clause.
        because: String,
        /// How it is written.
        example: &'static str,
    },
    /// A question of `start` without an answer.
    #[error("nothing was written: no answer for {option}: {reason}")]
    StartUnanswered {
        /// The option that would tell.
        option: &'static str,
        /// Why.
        reason: String,
    },
    /// What the options say would not check clean.
    #[error("nothing was written: {message}")]
    StartFound {
        /// What would be found.
        message: String,
        /// What to do.
        help: String,
    },
    /// What a command is asked for is not there, or cannot be so.
    #[error("{message}")]
    Asked {
        /// Why.
        message: String,
        /// What to do.
        help: String,
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
                run `swathlint start DIR`"
                .to_owned(),
            Self::NoSuchPath { .. } => "check the spelling, and the folder you are in".to_owned(),
            Self::PlantedLink { .. } | Self::UnclearLink { .. } => "name the folder that it leads to".to_owned(),
            Self::Unreachable { .. } => "check who may read it".to_owned(),
            Self::OutsideRoot { .. } => "check the records of one folder at a time".to_owned(),
            Self::StandardInput => "name the file in its folder of records".to_owned(),
            Self::NothingToCheck { .. } => "check the path: records are YAML files in machines/, calibrations/, \
                service/, applications/, house-rules/ and house-causes/, beside fleet.yaml; where there may be none, add --allow-empty"
                .to_owned(),
            Self::NoSuchRule { nearest: Some(nearest), .. } => format!("did you mean `{nearest}`?"),
            Self::NoSuchRule { nearest: None, asked, .. } => format!("see `swathlint {asked}s` for all names"),
            Self::Unusable(why) => why.help(),
            Self::Compare(cannot) => cannot.help(),
            Self::Threads { .. } => "try fewer with --threads".to_owned(),
            Self::WrittenTwice { .. } => "name another file for one of the formats".to_owned(),
            Self::MayNotWrite { .. } => "name a new file, or a plain file that may be overwritten".to_owned(),
            Self::StartExists { .. } => "name a new folder, or one without these files".to_owned(),
            Self::StartMissing { missing } => format!("add options such as {}", missing.join(" ")),
            Self::StartFact { example, .. } => format!("write it as in {example}"),
            Self::StartUnanswered { option, .. } => format!("start again, or give {option}"),
            Self::StartFound { help, .. }
            | Self::Asked { help, .. } => help.clone(),
            Self::Write { .. } => "check the folder, who may write there, and the space left".to_owned(),
        }
    }
}

/// `--by and --machine are`, or `--by is`, of options with examples.
fn missing_options(missing: &[String]) -> String {
    let names = missing
        .iter()
        .map(|option| option.split(' ').next().unwrap_or_default());
    let names: Vec<&str> = names.collect();
    let are = if names.len() == 1 { "is" } else { "are" };
    format!("{} {are}", list(&names, "and"))
}

/// Why the records cannot be compared with those of another revision.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum CannotCompare {
    /// There is no git, or it could not be started.
    #[error("git is needed for this and could not be started: {reason}")]
    NoGit {
        /// Why, as a fragment.
        reason: String,
    },
    /// The records are under no version control.
    #[error("{} lies in no git repository", .root.display())]
    NoRepository {
        /// The root of the records.
        root: PathBuf,
    },
    /// The repository is somebody else's, and git will not read it.
    #[error("git does not trust the repository of {}: it belongs to another user", .root.display())]
    NotTrusted {
        /// The root of the records.
        root: PathBuf,
    },
    /// What marks the repository is a link, which could lead to any.
    #[error("{} is a link; only a real one is trusted", .marker.display())]
    LinkedRepository {
        /// The link.
        marker: PathBuf,
    },
    /// Git takes another folder for the top of the repository.
    #[error("{} holds .git, but git works on the files of {named}", .top.display())]
    NotTheTop {
        /// The folder with `.git`.
        top: PathBuf,
        /// What git names.
        named: String,
    },
    /// A repository lies where another one has, or had, files.
    #[error(
        "{} is a repository within the repository of {}, which did not have it as a submodule before",
        .inner.display(), .outer.display()
    )]
    Stranger {
        /// The top of the inner one.
        inner: PathBuf,
        /// The top of the outer one.
        outer: PathBuf,
    },
    /// A submodule that the repository around it moves to another commit.
    #[error("the repository around {} moves it on from {then}", .inner.display())]
    PointerMoved {
        /// The top of the submodule.
        inner: PathBuf,
        /// The commit it was at.
        then: String,
    },
    /// The records lay in another folder.
    #[error("no record was merged in this folder; at the commit compared with, the records are in {}", folder(.from))]
    MovedAway {
        /// The folder from the top; empty for the top itself.
        from: String,
    },
    /// The records lay where a link is now.
    #[error("{folder} had records at the commit compared with, and is or lies behind a link now")]
    BecameLink {
        /// The folder from the top.
        folder: String,
    },
    /// A name of more than one thing.
    #[error("`{revision}` names more than one thing here, such as a tag and a branch")]
    Ambiguous {
        /// The revision as given.
        revision: String,
    },
    /// A file that is staged in two versions.
    #[error("{path} has an unresolved merge conflict")]
    InConflict {
        /// The file.
        path: String,
    },
    /// There are several commits both come from, none of them nearer than the others.
    #[error("`{revision}` and what you have now come from more than one common commit")]
    SeveralBases {
        /// The revision as given.
        revision: String,
    },
    /// A commit that the repository around a submodule does not know.
    #[error(
        "{} is a submodule, and the repository around it does not know `{revision}`", .inner.display()
    )]
    UnknownOutside {
        /// The revision as given.
        revision: String,
        /// The top of the submodule.
        inner: PathBuf,
    },
    /// A record whose file is not what git keeps.
    #[error(
        "git changes {path} when it checks it out (`{attribute}` in .gitattributes): what lies here is not what is merged"
    )]
    Converted {
        /// The record.
        path: String,
        /// The attribute.
        attribute: String,
    },
    /// Every record that was merged is gone.
    #[error("all records are gone that were there at the commit compared with")]
    AllGone,
    /// An index that is not the repository's own.
    #[error("GIT_INDEX_FILE names {}, which is not the index of this repository", .index.display())]
    OtherIndex {
        /// The file.
        index: PathBuf,
    },
    /// No commit has that name.
    #[error("there is no revision `{revision}` here")]
    NoSuchRevision {
        /// The name as given.
        revision: String,
        /// Whether only a part of the history is here.
        is_shallow: bool,
    },
    /// Nothing was ever committed.
    #[error("nothing is committed here yet, so there is nothing to compare with")]
    NoCommit,
    /// The history that is here ends before it.
    #[error(
        "the history here ends before the commit that `{revision}` and what you have now both come from"
    )]
    HistoryMissing {
        /// The revision as given.
        revision: String,
    },
    /// There is no common history.
    #[error("`{revision}` and what you have now come from no common commit")]
    NoMergeBase {
        /// The revision as given.
        revision: String,
    },
    /// Records in a repository of their own.
    #[error("{path} was a repository of its own within this one, and its history is not here")]
    Submodule {
        /// The folder.
        path: String,
    },
    /// Records that are left out of the working folder.
    #[error("{path} is under version control and not in the folder: only a part is checked out")]
    NotCheckedOut {
        /// The record.
        path: String,
    },
    /// A record's path that nobody can name.
    #[error("{path}: the name is not UTF-8")]
    NotUtf8 {
        /// The path, as well as it can be shown.
        path: String,
    },
    /// Git ended with an error.
    #[error("git could not {doing}: {words}")]
    Git {
        /// What it was to do.
        doing: &'static str,
        /// What it says.
        words: String,
    },
}

impl CannotCompare {
    /// What to do, beginning with a verb.
    pub(crate) fn help(&self) -> String {
        match self {
            Self::NoGit { .. } => {
                "install git, or check without --compared-with and --staged".to_owned()
            }
            Self::NoRepository { .. } => {
                "check without --compared-with or --staged, or put the records under version control: git init"
                    .to_owned()
            }
            Self::NotTrusted { root } => format!(
                "allow it, where you trust its owner: git config --global --add safe.directory {}",
                root.display(),
            ),
            Self::LinkedRepository { .. } => {
                "put the repository itself there, or check without --compared-with".to_owned()
            }
            Self::NotTheTop { .. } => {
                "take core.worktree out of the repository's settings, or check without --compared-with"
                    .to_owned()
            }
            Self::Stranger { .. } => {
                "take the inner repository out; a change that puts one there chooses what it is compared with"
                    .to_owned()
            }
            Self::PointerMoved { then, .. } => {
                format!("compare with the commit it was at: --compared-with {then}")
            }
            Self::BecameLink { .. } => "put the folder itself back in the place of the link".to_owned(),
            Self::MovedAway { .. } => {
                "move the records in a change of their own, and have it checked without --compared-with"
                    .to_owned()
            }
            Self::SeveralBases { revision } => {
                format!("merge it first: git merge {revision}")
            }
            Self::UnknownOutside { .. } => {
                "name the commit in full, all of its letters and digits".to_owned()
            }
            Self::Converted { .. } => {
                "take the attribute off the records, or check what is staged: --staged".to_owned()
            }
            Self::AllGone => "bring the records back".to_owned(),
            Self::OtherIndex { .. } => "unset GIT_INDEX_FILE, or use an index in .git".to_owned(),
            Self::Ambiguous { revision } => format!(
                "write it in full: refs/heads/{revision}, refs/remotes/{revision} or refs/tags/{revision}"
            ),
            Self::InConflict { .. } => "resolve the conflict and stage the file".to_owned(),
            Self::NoSuchRevision {
                is_shallow: true, ..
            } => format!("check the spelling; only a part of the history is here: {FETCH_HISTORY}"),
            Self::NoSuchRevision {
                is_shallow: false, ..
            } => "check the spelling, or fetch it: git fetch origin".to_owned(),
            Self::NoCommit => "commit the records, or check without --compared-with".to_owned(),
            Self::HistoryMissing { .. } => FETCH_HISTORY.to_owned(),
            Self::NoMergeBase { .. } => {
                "name a revision that what you have now comes from, such as the branch you began at"
                    .to_owned()
            }
            Self::Submodule { path } => format!(
                "go to its own folder and check there; or keep its files here: git rm --cached {path}, then git add {path}"
            ),
            Self::NotCheckedOut { .. } => {
                "check out all records: git sparse-checkout disable".to_owned()
            }
            Self::NotUtf8 { .. } => {
                "give it a name in UTF-8".to_owned()
            }
            Self::Git { .. } => {
                "try the same with git alone, or check without --compared-with".to_owned()
            }
        }
    }
}

/// A folder below the top, in words.
fn folder(below: &str) -> String {
    if below.is_empty() {
        "the top folder".to_owned()
    } else {
        format!("{below}/")
    }
}

/// What to do where the history is cut off; a build runner often fetches the last commit alone.
const FETCH_HISTORY: &str = "fetch the history: git fetch --unshallow; in a workflow, let the checkout fetch all of it \
    (fetch-depth: 0)";

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
