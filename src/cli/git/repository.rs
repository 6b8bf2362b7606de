//! The repository that the records lie in: the nearest real `.git` from their root upwards, and nothing else.
//!
//! What a change may bring, a folder that looks like a repository or a repository within the repository, is never asked.

use crate::cli::failure::{CannotCompare, reason};
use crate::cli::git::command::{Git, last_words, line};
use crate::cli::git::entry::{Entry, EntryKind};
use crate::cli::marks::{MARKS, has_git, nearest_root};
use crate::tree::is_record;
use std::collections::{BTreeMap, BTreeSet};
use std::env;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};

/// A repository and where in its working folder the records lie.
#[derive(Debug, Clone)]
pub(crate) struct Repository {
    pub(crate) git: Git,
    /// The root of the records below the top, `/` between parts; empty where they are the same.
    pub(crate) below: String,
    /// Whether names of contents are SHA-1.
    pub(crate) is_sha1: bool,
    is_shallow: bool,
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
        let named = told
            .next()
            .map(|rest| rest.strip_suffix('\n').unwrap_or(rest));
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

    /// Whether nothing was ever committed here, on any branch.
    pub(crate) fn is_empty(&self) -> Result<bool, CannotCompare> {
        let doing = "look at its history";
        Ok(self.commit("HEAD")?.is_none()
            && self
                .git
                .tell(doing, &["for-each-ref", "--count=1"])?
                .is_empty())
    }

    /// The commit that a revision and what is checked out both come from.
    pub(crate) fn merge_base(&self, revision: &str) -> Result<String, CannotCompare> {
        let revision_name = || revision.to_owned();
        let Some(head) = self.commit("HEAD")? else {
            return Err(CannotCompare::NoCommit);
        };
        let Some(other) = self.commit(revision)? else {
            return Err(CannotCompare::NoSuchRevision {
                revision: revision_name(),
                is_shallow: self.is_shallow,
            });
        };
        let output = self.git.ask(&["merge-base", "--all", &other, &head])?;
        let base = line(&output.stdout);
        if base.contains('\n') {
            return Err(CannotCompare::SeveralBases {
                revision: revision_name(),
            });
        }
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

    /// The folder below the top in which the records were looked for at a commit, from the same folder as now.
    pub(crate) fn root_at(
        &self,
        commit: &str,
        from: &Path,
    ) -> Result<Option<String>, CannotCompare> {
        let from = below(self.git.top(), from)?;
        let folders: Vec<&str> = upwards(&from).collect();
        let marks: Vec<String> = folders
            .iter()
            .flat_map(|folder| MARKS.map(|mark| joined(folder, mark)))
            .collect();
        let mut question = vec!["ls-tree", "-z", "--full-tree", commit, "--"];
        question.extend(marks.iter().map(String::as_str));
        let told = self.git.tell("list the records of then", &question)?;
        let there: BTreeMap<&[u8], EntryKind> = told
            .split(|byte| *byte == 0)
            .filter_map(Entry::of_tree)
            .map(|(entry, path)| (path, entry.kind))
            .collect();
        let kind = |folder: &str, mark: &str| there.get(joined(folder, mark).as_bytes()).copied();
        // Links count as they do in the working folder.
        let root = nearest_root(
            folders.into_iter(),
            |folder, mark| kind(folder, mark) == Some(EntryKind::File),
            |folder, mark| {
                matches!(
                    kind(folder, mark),
                    Some(EntryKind::Folder | EntryKind::Link)
                )
            },
        );
        Ok(root.map(str::to_owned))
    }

    /// A folder in which a commit has records that are gone now, wherever it lies.
    pub(crate) fn gone_from(&self, commit: &str) -> Result<Option<String>, CannotCompare> {
        let question = ["ls-tree", "-r", "-z", "--name-only", "--full-tree", commit];
        let told = self.git.tell("list the records of then", &question)?;
        let paths = told
            .split(|byte| *byte == 0)
            .filter_map(|path| std::str::from_utf8(path).ok());
        let mut gone = paths.filter_map(|path| {
            let root = root_of(path)?;
            (!self.is_plainly_there(path)).then(|| root.to_owned())
        });
        Ok(gone.next())
    }

    /// A folder of records at a commit that is a link now, as what is checked out has it.
    ///
    /// Whoever follows it, as a build runner that goes to its folder, checks other records than were merged.
    pub(crate) fn became_link(&self, commit: &str) -> Result<Option<String>, CannotCompare> {
        let question = [
            "diff-tree",
            "-r",
            "-z",
            "--no-renames",
            "--raw",
            commit,
            "HEAD",
        ];
        let told = self.git.tell("tell what has changed", &question)?;
        let told = String::from_utf8_lossy(&told);
        let mut parts = told.split('\0');
        let (mut links, mut gone) = (BTreeSet::new(), Vec::new());
        // `:OLD-MODE NEW-MODE OLD NEW STATUS`, then the path.
        while let (Some(modes), Some(path)) = (parts.next(), parts.next()) {
            match modes.split(' ').nth(1) {
                Some("120000") => {
                    links.insert(path);
                }
                Some("000000") => gone.push(path),
                Some(_) | None => {}
            }
        }
        let mut roots = gone.into_iter().filter_map(root_of);
        let is_link = |root: &&str| upwards(root).any(|folder| links.contains(folder));
        Ok(roots.find(is_link).map(str::to_owned))
    }

    /// Whether a path from the top leads to something without a link on the way.
    fn is_plainly_there(&self, path: &str) -> bool {
        let mut at = self.git.top().to_owned();
        path.split('/').all(|part| {
            at.push(part);
            at.symlink_metadata().is_ok_and(|there| !there.is_symlink())
        })
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

    /// The next repository outwards, in whose working folder this one lies.
    pub(crate) fn around(&self) -> Result<Option<Self>, CannotCompare> {
        let top = self.git.top();
        for outer in top.ancestors().skip(1).filter(|folder| has_git(folder)) {
            match Self::at(outer, top) {
                Ok(outer) => return Ok(Some(outer)),
                // None of these is what a change is checked out into.
                Err(
                    CannotCompare::NoRepository { .. }
                    | CannotCompare::LinkedRepository { .. }
                    | CannotCompare::NotTheTop { .. },
                ) => {}
                Err(cannot) => return Err(cannot),
            }
        }
        Ok(None)
    }

    /// The first of some files that git changes when it writes them into the working folder, and by which attribute.
    pub(crate) fn converted(
        &self,
        paths: &[&str],
    ) -> Result<Option<(String, String)>, CannotCompare> {
        const ATTRIBUTES: [&str; 3] = ["working-tree-encoding", "filter", "ident"];
        // As many names as fit on a command line everywhere.
        for some in paths.chunks(100) {
            let full: Vec<String> = some.iter().map(|path| joined(&self.below, path)).collect();
            // Of the index, as it is checked out: git does not look into the working folder.
            let mut question = vec!["check-attr", "--cached", "-z"];
            question.extend(ATTRIBUTES);
            question.push("--");
            question.extend(full.iter().map(String::as_str));
            let told = self.git.tell("tell how files are written", &question)?;
            let told = String::from_utf8_lossy(&told);
            let told: Vec<&str> = told.split('\0').collect();
            for row in told.chunks_exact(3) {
                if !matches!(row[2], "unspecified" | "unset") {
                    return Ok(Some((row[0].to_owned(), row[1].to_owned())));
                }
            }
        }
        Ok(None)
    }

    /// Whether what lies in a folder, a link or a file, is under version control.
    pub(crate) fn keeps(folder: &Path, name: &OsStr) -> Result<bool, CannotCompare> {
        let repository = match Self::above(folder) {
            Ok(Some(repository)) => repository,
            // A file or folder of that name is not yet a repository.
            Ok(None) | Err(CannotCompare::NoRepository { .. }) => return Ok(false),
            Err(cannot) => return Err(cannot),
        };
        let name = name.to_str().ok_or_else(|| CannotCompare::NotUtf8 {
            path: name.to_string_lossy().into_owned(),
        })?;
        let full = joined(&repository.below, name);
        let question = ["ls-files", "-z", "--", &full];
        Ok(!repository
            .git
            .tell("list what it keeps", &question)?
            .is_empty())
    }

    /// The index that a hook was given to look at; one of another repository is refused.
    pub(crate) fn index_of_hook(&self) -> Result<Option<PathBuf>, CannotCompare> {
        let Some(named) = env::var_os("GIT_INDEX_FILE") else {
            return Ok(None);
        };
        let told = self.git.tell(
            "look at the repository",
            &["rev-parse", "--absolute-git-dir"],
        )?;
        let own = fs::canonicalize(line(&told)).ok();
        // Git starts a hook at the top, and may name the index from there.
        let index = fs::canonicalize(self.git.top().join(&named)).ok();
        match index.filter(|index| own.is_some() && index.parent() == own.as_deref()) {
            Some(index) => Ok(Some(index)),
            None => Err(CannotCompare::OtherIndex {
                index: PathBuf::from(named),
            }),
        }
    }
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

/// The folder that a path would be a record below, the nearest to the top; none where it can be no record.
fn root_of(path: &str) -> Option<&str> {
    let starts = std::iter::once(0).chain(path.match_indices('/').map(|(at, _)| at + 1));
    let mut starts = starts.filter(|&start| is_record(&path[start..]));
    let start = starts.next()?;
    Some(path[..start].trim_end_matches('/'))
}

/// A folder and those around it, up to the top, which is empty.
fn upwards(folder: &str) -> impl Iterator<Item = &str> {
    std::iter::successors(Some(folder), |folder| match folder.rfind('/') {
        Some(at) => Some(&folder[..at]),
        None => (!folder.is_empty()).then_some(""),
    })
}

fn joined(folder: &str, name: &str) -> String {
    match (folder, name) {
        ("", name) => name.to_owned(),
        (folder, "") => folder.to_owned(),
        (folder, name) => format!("{folder}/{name}"),
    }
}
