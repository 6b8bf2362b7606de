//! The repository that the records lie in: the nearest real `.git` from their root upwards, and nothing else.
//!
//! What a change may bring, a folder that looks like a repository or a repository within the repository, is never asked.

use crate::cli::failure::{CannotCompare, reason};
use crate::cli::files::is_record;
use crate::cli::git::command::{Git, last_words, line};
use crate::cli::git::entry::{Entry, EntryKind};
use std::collections::BTreeSet;
use std::env;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};

/// A repository and where in its working folder the records lie.
#[derive(Debug)]
pub(crate) struct Repository {
    pub(crate) git: Git,
    /// The root of the records below the top, `/` between parts; empty where they are the same.
    pub(crate) below: String,
    /// Whether names of contents are SHA-1.
    pub(crate) is_sha1: bool,
    is_shallow: bool,
}

/// What a repository around another one keeps where that lies.
#[derive(Debug, Default, PartialEq, Eq)]
struct Kept {
    /// Files, or anything that is no link to a commit.
    has_files: bool,
    /// The commit of a submodule.
    commit: Option<String>,
}

impl Repository {
    /// The repository that the records below a root lie in; none where there is no `.git` from there upwards.
    pub(crate) fn above(root: &Path) -> Result<Option<Self>, CannotCompare> {
        match root.ancestors().find(|folder| has_git(folder)) {
            Some(top) => Self::at(top, root).map(Some),
            None => Ok(None),
        }
    }

    /// As `above`, for what cannot be done without.
    pub(crate) fn of(root: &Path) -> Result<Self, CannotCompare> {
        Self::above(root)?.ok_or_else(|| CannotCompare::NoRepository {
            root: root.to_owned(),
        })
    }

    fn at(top: &Path, root: &Path) -> Result<Self, CannotCompare> {
        let marker = top.join(".git");
        if marker
            .symlink_metadata()
            .is_ok_and(|metadata| metadata.is_symlink())
        {
            return Err(CannotCompare::LinkedRepository { marker });
        }
        let git = Git::at(top)?;
        let output = git.ask(&[
            "rev-parse",
            "--is-inside-work-tree",
            "--is-shallow-repository",
            "--show-object-format",
            "--show-toplevel",
        ])?;
        let not_one = || CannotCompare::NoRepository {
            root: root.to_owned(),
        };
        if !output.status.success() {
            let words = last_words(&output);
            return Err(if words.contains("dubious ownership") {
                CannotCompare::NotTrusted {
                    root: top.to_owned(),
                }
            } else if words.contains("not a git repository")
                || words.contains("cannot use bare repository")
                || words.contains("must be run in a work tree")
            {
                not_one()
            } else {
                CannotCompare::Git {
                    doing: "look at the repository",
                    words,
                }
            });
        }
        let told = String::from_utf8_lossy(&output.stdout);
        let mut told = told.splitn(4, '\n');
        let (inside, shallow, format) = (told.next(), told.next(), told.next());
        // A name may hold line breaks; only the last one is git's.
        let named = told.next().map(|rest| rest.trim_end_matches('\n'));
        if inside != Some("true") {
            return Err(not_one());
        }
        let is_here = named.is_some_and(|named| {
            let named = fs::canonicalize(named);
            named.is_ok_and(|named| fs::canonicalize(top).is_ok_and(|top| top == named))
        });
        if !is_here {
            return Err(CannotCompare::NotTheTop {
                top: top.to_owned(),
                named: named.unwrap_or_default().to_owned(),
            });
        }
        Ok(Self {
            git,
            below: below(top, root)?,
            is_sha1: format == Some("sha1"),
            is_shallow: shallow == Some("true"),
        })
    }

    /// The first of some records that is under version control, is not in the folder, and is not meant to be.
    pub(crate) fn left_out(&self, gone: &BTreeSet<&str>) -> Result<Option<String>, CannotCompare> {
        if gone.is_empty() {
            return Ok(None);
        }
        let told = self.git.tell(
            "tell what has changed",
            &["ls-files", "-v", "-z", "--full-name"],
        )?;
        Ok(told.split(|byte| *byte == 0).find_map(|flagged| {
            // A letter, a space, the path: an S, small or not, is of what is left out.
            let (b'S' | b's', rest) = flagged.split_first()? else {
                return None;
            };
            let path = self.below_root(rest.strip_prefix(b" ")?)?;
            let path = std::str::from_utf8(path).ok()?;
            gone.contains(path).then(|| path.to_owned())
        }))
    }

    /// A path of the repository as it is below the records' root; none where it lies elsewhere.
    pub(crate) fn below_root<'p>(&self, full: &'p [u8]) -> Option<&'p [u8]> {
        if self.below.is_empty() {
            return Some(full);
        }
        let rest = full.strip_prefix(self.below.as_bytes())?;
        rest.strip_prefix(b"/")
    }

    /// A commit by any of its names; none where there is none.
    pub(crate) fn commit(&self, revision: &str) -> Result<Option<String>, CannotCompare> {
        // No revision begins so, and nothing a user names may be taken for an option.
        if revision.is_empty() || revision.starts_with('-') {
            return Ok(None);
        }
        let named = format!("{revision}^{{commit}}");
        let output = self
            .git
            .ask(&["rev-parse", "--verify", "--end-of-options", &named])?;
        let name = line(&output.stdout);
        let is_name = !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_hexdigit());
        // Whoever may push a tag could otherwise put it before the branch that is meant.
        if String::from_utf8_lossy(&output.stderr).contains("is ambiguous") {
            return Err(CannotCompare::Ambiguous {
                revision: revision.to_owned(),
            });
        }
        Ok((output.status.success() && is_name).then_some(name))
    }

    /// The commit that a revision and what is checked out both come from.
    pub(crate) fn merge_base(&self, revision: &str) -> Result<String, CannotCompare> {
        let revision_name = || revision.to_owned();
        let Some(other) = self.commit(revision)? else {
            return Err(CannotCompare::NoSuchRevision {
                revision: revision_name(),
                is_shallow: self.is_shallow,
            });
        };
        let Some(head) = self.commit("HEAD")? else {
            return Err(CannotCompare::NoCommit);
        };
        let output = self.git.ask(&["merge-base", &other, &head])?;
        let base = line(&output.stdout);
        if output.status.code() == Some(1) || (output.status.success() && base.is_empty()) {
            return Err(if self.is_shallow {
                CannotCompare::HistoryMissing {
                    revision: revision_name(),
                }
            } else {
                CannotCompare::NoMergeBase {
                    revision: revision_name(),
                }
            });
        }
        if !output.status.success() {
            return Err(CannotCompare::Git {
                doing: "find the commit both come from",
                words: last_words(&output),
            });
        }
        // Behind the end of a shallow history there may be a nearer one, unless one comes from the other.
        let is_sure = !self.is_shallow || base == other || base == head;
        if !is_sure && self.ends_before(&base, &other, &head)? {
            return Err(CannotCompare::HistoryMissing {
                revision: revision_name(),
            });
        }
        Ok(base)
    }

    /// Refuses a comparison with a commit that has the records in another folder: all would seem to be new.
    pub(crate) fn has_not_moved_away(&self, commit: &str) -> Result<(), CannotCompare> {
        let question = ["ls-tree", "-r", "-z", "--name-only", "--full-tree", commit];
        let told = self.git.tell("list the records of then", &question)?;
        let paths = told.split(|byte| *byte == 0);
        let moved = paths
            .filter_map(|path| std::str::from_utf8(path).ok())
            .find_map(|path| {
                let root = root_of(path)?;
                let is_gone = || self.git.top().join(path).symlink_metadata().is_err();
                (overlap(root, &self.below) || is_gone()).then(|| root.to_owned())
            });
        match moved {
            Some(from) => Err(CannotCompare::MovedAway { from }),
            None => Ok(()),
        }
    }

    /// Whether the history that is here ends somewhere between two commits and what they come from.
    fn ends_before(&self, base: &str, other: &str, head: &str) -> Result<bool, CannotCompare> {
        let doing = "look at its history";
        let path = self
            .git
            .tell(doing, &["rev-parse", "--git-path", "shallow"])?;
        let ends = fs::read_to_string(self.git.top().join(line(&path))).map_err(|error| {
            CannotCompare::Git {
                doing,
                words: reason(&error),
            }
        })?;
        let ends: BTreeSet<&str> = ends.lines().collect();
        let between = self
            .git
            .tell(doing, &["rev-list", other, head, "--not", base])?;
        let between = String::from_utf8_lossy(&between);
        Ok(between.lines().any(|commit| ends.contains(commit)))
    }

    /// Refuses a repository that a repository around it did not have as its submodule where the comparison begins.
    ///
    /// A change of the outer one could put a repository in the place of the records, and so choose what they are
    /// compared with.
    pub(crate) fn is_no_stranger(&self, revision: &str) -> Result<(), CannotCompare> {
        let top = self.git.top();
        let outer = top.ancestors().skip(1).filter(|folder| has_git(folder));
        for outer in outer {
            match Self::at(outer, top) {
                Ok(outer) => outer.knows(self, revision)?,
                // A file or folder of that name is not yet a repository.
                Err(CannotCompare::NoRepository { .. }) => {}
                Err(cannot) => return Err(cannot),
            }
        }
        Ok(())
    }

    /// Whether this one, around another, has that as its submodule, or nothing at all in its place, now and then.
    fn knows(&self, inner: &Self, revision: &str) -> Result<(), CannotCompare> {
        let stranger = || CannotCompare::Stranger {
            inner: inner.git.top().to_owned(),
            outer: self.git.top().to_owned(),
        };
        let then = match self.commit(revision)? {
            Some(_) => self.merge_base(revision)?,
            None => String::new(),
        };
        let kept_then = self.kept(&then)?;
        let kept_now = self.kept("HEAD")?;
        let is_nothing =
            |kept: &Option<Kept>| kept.as_ref().is_none_or(|kept| *kept == Kept::default());
        if is_nothing(&kept_then) && is_nothing(&kept_now) && !self.has_staged()? {
            return Ok(());
        }
        let commit = |kept: Option<Kept>| kept.filter(|kept| !kept.has_files)?.commit;
        let is_then_known = kept_then.is_some();
        match (commit(kept_then), commit(kept_now)) {
            (Some(then), Some(now)) => {
                // What the outer one moves is compared with where that moved it from.
                let is_moved = then != now && inner.commit(revision)?.as_ref() != Some(&then);
                if is_moved {
                    return Err(CannotCompare::PointerMoved {
                        inner: inner.git.top().to_owned(),
                        then,
                    });
                }
                Ok(())
            }
            (None, Some(_)) if !is_then_known => Ok(()),
            (_, _) => Err(stranger()),
        }
    }

    /// What a commit keeps at the place this one was asked for; none where there is no such commit.
    fn kept(&self, commit: &str) -> Result<Option<Kept>, CannotCompare> {
        let Some(commit) = self.commit(commit)? else {
            return Ok(None);
        };
        let told = self.git.tell(
            "look at what is around the records",
            &["ls-tree", "-z", "--full-tree", &commit, "--", &self.below],
        )?;
        let mut kept = Kept::default();
        for entry in told
            .split(|byte| *byte == 0)
            .filter(|entry| !entry.is_empty())
        {
            match Entry::of_tree(entry) {
                Some((entry, _)) if entry.kind == EntryKind::Submodule => {
                    kept.commit = Some(entry.object);
                }
                Some(_) | None => kept.has_files = true,
            }
        }
        Ok(Some(kept))
    }

    fn has_staged(&self) -> Result<bool, CannotCompare> {
        let told = self.git.tell(
            "look at what is around the records",
            &["ls-files", "-z", "--", &self.below],
        )?;
        Ok(!told.is_empty())
    }

    /// The index that a hook was given to look at, where it is one of this repository's own.
    pub(crate) fn index_of_hook(&self) -> Result<Option<PathBuf>, CannotCompare> {
        let Some(index) = env::var_os("GIT_INDEX_FILE") else {
            return Ok(None);
        };
        let told = self.git.tell(
            "look at the repository",
            &["rev-parse", "--absolute-git-dir"],
        )?;
        let own = fs::canonicalize(line(&told)).ok();
        let index = fs::canonicalize(&index).ok();
        Ok(index.filter(|index| index.parent() == own.as_deref()))
    }
}

/// The folder that a path would be a record below, the nearest to the top; none where it can be no record.
fn root_of(path: &str) -> Option<&str> {
    let ends = std::iter::once(0).chain(path.match_indices('/').map(|(at, _)| at + 1));
    let mut starts = ends.filter(|&start| is_record(&path[start..]));
    let start = starts.next()?;
    Some(path[..start].trim_end_matches('/'))
}

/// Whether one of two folders holds the other, or is it.
fn overlap(one: &str, other: &str) -> bool {
    let holds = |outer: &str, inner: &str| {
        let rest = inner.strip_prefix(outer);
        outer.is_empty() || rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    holds(one, other) || holds(other, one)
}

/// Whether a folder has what marks a repository; a name that git writes differently on some systems is none.
fn has_git(folder: &Path) -> bool {
    folder.join(".git").symlink_metadata().is_ok()
}

/// The part of a path below a top, `/` between its parts.
fn below(top: &Path, root: &Path) -> Result<String, CannotCompare> {
    let below = root.strip_prefix(top).unwrap_or(root);
    let parts: Option<Vec<&str>> = below.iter().map(OsStr::to_str).collect();
    parts
        .map(|parts| parts.join("/"))
        .ok_or_else(|| CannotCompare::NotUtf8 {
            path: below.display().to_string(),
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_of_a_record_and_folders_that_overlap() {
        let rows = [
            ("fleet.yaml", Some("")),
            ("a/b/machines/heron.yaml", Some("a/b")),
            ("machines/heron.yaml", Some("")),
            ("a/calibrations/heron/2026-03-09.yaml", Some("a")),
            ("a/notes.txt", None),
        ];
        for (path, root) in rows {
            assert_eq!(root_of(path), root, "{path}");
        }
        for (one, other, expected) in [
            ("", "a", true),
            ("a", "a/b", true),
            ("a", "ab", false),
            ("a", "a", true),
        ] {
            assert_eq!(overlap(one, other), expected, "{one} {other}");
            assert_eq!(overlap(other, one), expected, "{other} {one}");
        }
    }
}
