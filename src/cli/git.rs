//! What the records were at another revision, as git tells.
//!
//! Calls `git` as a process, changes nothing with it, and makes nothing of what is in a file. Where it cannot be sure of
//! what the records were, it says so and gives nothing.

use crate::Listing;
use crate::cli::failure::{CannotCompare, reason};
use crate::cli::files::{self, is_record, may_hold_records};
use crate::source::{LARGEST_TEXT, too_large};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Output, Stdio};
use std::sync::{Mutex, PoisonError};

/// The records as they stood at the commit that a revision and what is here now both come from.
#[derive(Debug)]
pub(crate) struct Revision {
    root: PathBuf,
    /// The commit they stood at, in full.
    pub(crate) commit: String,
    /// The records there were.
    pub(crate) listing: Listing,
    /// Paths of records that are not the same now, on either side; some may turn out to be.
    pub(crate) changed: BTreeSet<String>,
    /// The name git has for the contents of each record there was.
    objects: BTreeMap<String, String>,
    reader: Mutex<Option<ObjectReader>>,
}

impl Revision {
    /// Compares the records below a root, as listed now, with those of a revision.
    pub(crate) fn find(root: &Path, revision: &str, now: &Listing) -> Result<Self, CannotCompare> {
        let git = Git { root };
        git.is_in_repository()?;
        let commit = git.merge_base(revision)?;
        let before = git.records_at(&commit)?;
        let mut changed = git.changed_since(&commit, &before)?;
        let now: BTreeSet<&String> = now.paths.iter().collect();
        let of_one_side = before
            .objects
            .keys()
            .filter(|path| !now.contains(path))
            .chain(
                now.iter()
                    .copied()
                    .filter(|path| !before.objects.contains_key(*path)),
            );
        changed.extend(of_one_side.cloned());
        // What a link leads to may have changed without it, so that linked records are always looked at.
        changed.extend(before.links);
        changed.extend(now.into_iter().filter(|path| is_link(root, path)).cloned());
        Ok(Self {
            root: root.to_owned(),
            commit,
            listing: Listing {
                paths: before.objects.keys().cloned().collect(),
                ignored: 0,
            },
            changed,
            objects: before.objects,
            reader: Mutex::new(None),
        })
    }

    /// The bytes of a record as it was; an error is a reason, as a fragment.
    pub(crate) fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        if !self.changed.contains(path) {
            return files::read(&self.root, path);
        }
        let object = self.objects.get(path).ok_or("it was not there")?;
        let mut reader = self.reader.lock().unwrap_or_else(PoisonError::into_inner);
        let started = match reader.take() {
            Some(started) => started,
            None => ObjectReader::start(&self.root)?,
        };
        let (started, bytes) = started.read(object)?;
        *reader = Some(started);
        bytes
    }
}

fn is_link(root: &Path, path: &str) -> bool {
    fs::symlink_metadata(root.join(path)).is_ok_and(|metadata| metadata.is_symlink())
}

/// The records of a commit.
#[derive(Debug, Default)]
struct Records {
    objects: BTreeMap<String, String>,
    links: BTreeSet<String>,
}

/// Git, asked from the root of the records.
struct Git<'a> {
    root: &'a Path,
}

/// Whatever a user has set, git answers in English, without a pager, and touches nothing.
fn command(root: &Path) -> Command {
    let mut command = Command::new("git");
    command
        .current_dir(root)
        .args(["--no-pager", "--no-optional-locks", "--literal-pathspecs"])
        .args(["-c", "core.quotePath=false"])
        .env("LC_ALL", "C")
        .env("GIT_TERMINAL_PROMPT", "0");
    command
}

impl Git<'_> {
    fn ask(&self, arguments: &[&str]) -> Result<Output, CannotCompare> {
        command(self.root)
            .args(arguments)
            .stdin(Stdio::null())
            .output()
            .map_err(|error| CannotCompare::NoGit {
                reason: reason(&error),
            })
    }

    /// What git writes; an error where it does not end well.
    fn tell(&self, doing: &'static str, arguments: &[&str]) -> Result<Vec<u8>, CannotCompare> {
        let output = self.ask(arguments)?;
        if output.status.success() {
            Ok(output.stdout)
        } else {
            Err(CannotCompare::Git {
                doing,
                words: last_words(&output),
            })
        }
    }

    fn is_in_repository(&self) -> Result<(), CannotCompare> {
        let output = self.ask(&["rev-parse", "--is-inside-work-tree"])?;
        let root = self.root.to_owned();
        if output.status.success() {
            return match line(&output.stdout).as_str() {
                "true" => Ok(()),
                _ => Err(CannotCompare::NoRepository { root }),
            };
        }
        let words = last_words(&output);
        if words.contains("not a git repository") {
            Err(CannotCompare::NoRepository { root })
        } else if words.contains("dubious ownership") {
            Err(CannotCompare::NotTrusted { root })
        } else {
            Err(CannotCompare::Git {
                doing: "look at the repository",
                words,
            })
        }
    }

    fn is_shallow(&self) -> Result<bool, CannotCompare> {
        let told = self.tell(
            "look at its history",
            &["rev-parse", "--is-shallow-repository"],
        )?;
        Ok(line(&told) == "true")
    }

    /// A commit by any of its names; none where there is none.
    fn commit(&self, revision: &str) -> Result<Option<String>, CannotCompare> {
        // No revision begins so, and nothing a user names may be taken for an option.
        if revision.is_empty() || revision.starts_with('-') {
            return Ok(None);
        }
        let named = format!("{revision}^{{commit}}");
        let output = self.ask(&[
            "rev-parse",
            "--verify",
            "--quiet",
            "--end-of-options",
            &named,
        ])?;
        let name = line(&output.stdout);
        let is_name = !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_hexdigit());
        Ok((output.status.success() && is_name).then_some(name))
    }

    /// The commit that a revision and what is checked out both come from.
    fn merge_base(&self, revision: &str) -> Result<String, CannotCompare> {
        let revision_name = || revision.to_owned();
        let Some(other) = self.commit(revision)? else {
            return Err(CannotCompare::NoSuchRevision {
                revision: revision_name(),
                is_shallow: self.is_shallow()?,
            });
        };
        let Some(head) = self.commit("HEAD")? else {
            return Err(CannotCompare::NoCommit);
        };
        let output = self.ask(&["merge-base", &other, &head])?;
        let base = line(&output.stdout);
        let is_shallow = self.is_shallow()?;
        if output.status.code() == Some(1) || (output.status.success() && base.is_empty()) {
            return Err(if is_shallow {
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
        let is_sure = !is_shallow || base == other || base == head;
        if !is_sure && self.ends_before(&base, &other, &head)? {
            return Err(CannotCompare::HistoryMissing {
                revision: revision_name(),
            });
        }
        Ok(base)
    }

    /// Whether the history that is here ends somewhere between two commits and what they come from.
    fn ends_before(&self, base: &str, other: &str, head: &str) -> Result<bool, CannotCompare> {
        let doing = "look at its history";
        let path = self.tell(doing, &["rev-parse", "--git-path", "shallow"])?;
        let ends = fs::read_to_string(self.root.join(line(&path))).map_err(|error| {
            CannotCompare::Git {
                doing,
                words: reason(&error),
            }
        })?;
        let ends: BTreeSet<&str> = ends.lines().collect();
        let between = self.tell(doing, &["rev-list", other, head, "--not", base])?;
        let between = String::from_utf8_lossy(&between);
        Ok(between.lines().any(|commit| ends.contains(commit)))
    }

    fn records_at(&self, commit: &str) -> Result<Records, CannotCompare> {
        // Below a folder, git lists that folder, in paths relative to it.
        let told = self.tell("list the records of then", &["ls-tree", "-r", "-z", commit])?;
        let mut entries: Vec<(Entry, String)> = Vec::new();
        for entry in told
            .split(|byte| *byte == 0)
            .filter(|entry| !entry.is_empty())
        {
            let Some((entry, path)) = Entry::read(entry) else {
                return Err(CannotCompare::Git {
                    doing: "list the records of then",
                    words: "its answer makes no sense".to_owned(),
                });
            };
            let is_hidden = |path: &str| path.split('/').any(|part| part.starts_with('.'));
            match String::from_utf8(path.to_owned()) {
                Ok(path) if !is_hidden(&path) => entries.push((entry, path)),
                Ok(_) => {}
                Err(path) => {
                    let path = String::from_utf8_lossy(path.as_bytes()).into_owned();
                    if is_record(&path) && !is_hidden(&path) {
                        return Err(CannotCompare::NotUtf8 { path });
                    }
                }
            }
        }
        self.records(&entries)
    }

    /// The records among the entries of a commit, as they would be found on a disk.
    fn records(&self, entries: &[(Entry, String)]) -> Result<Records, CannotCompare> {
        let mut records = Records::default();
        let mut links = Vec::new();
        for (entry, path) in entries {
            match entry.kind {
                EntryKind::Submodule if may_hold_records(path) => {
                    return Err(CannotCompare::Submodule { path: path.clone() });
                }
                EntryKind::File if is_record(path) => {
                    records.objects.insert(path.clone(), entry.object.clone());
                }
                EntryKind::Link if is_record(path) => links.push((entry, path)),
                EntryKind::File | EntryKind::Link | EntryKind::Submodule => {}
            }
        }
        let mut targets = BTreeSet::new();
        for (entry, path) in links {
            let told = self.tell("read a link", &["cat-file", "blob", &entry.object])?;
            let target = linked(path, &String::from_utf8_lossy(&told));
            let mut files = entries
                .iter()
                .filter(|(entry, _)| entry.kind == EntryKind::File);
            let file = files.find(|(_, file)| Some(file) == target.as_ref());
            // As on a disk: read as the record it leads to, or by the first link to a file that is none itself.
            if let Some((file, target)) = file
                && !is_record(target)
                && targets.insert(target)
            {
                records.objects.insert(path.clone(), file.object.clone());
                records.links.insert(path.clone());
            }
        }
        Ok(records)
    }

    /// Records whose contents are, or may be, other than at a commit.
    fn changed_since(
        &self,
        commit: &str,
        before: &Records,
    ) -> Result<BTreeSet<String>, CannotCompare> {
        let doing = "tell what has changed";
        let differing = self.tell(
            doing,
            &[
                "diff",
                "--name-only",
                "-z",
                "--relative",
                "--no-renames",
                "--no-ext-diff",
                "--no-textconv",
                "--no-color",
                "--ignore-submodules=all",
                // A user's order of files is none of ours.
                "-O/dev/null",
                commit,
                "--",
                ".",
            ],
        )?;
        let mut changed: BTreeSet<String> = paths(&differing).collect();
        // Git takes these for unchanged without looking: the letter is a small one, or an S.
        let flagged = self.tell(doing, &["ls-files", "-v", "-z", "--", "."])?;
        for flagged in paths(&flagged) {
            let Some((letter, path)) = flagged.split_once(' ') else {
                continue;
            };
            if letter.starts_with(|letter: char| letter.is_ascii_lowercase() || letter == 'S') {
                let is_left_out = letter.eq_ignore_ascii_case("s")
                    && fs::symlink_metadata(self.root.join(path)).is_err();
                if is_left_out && before.objects.contains_key(path) {
                    return Err(CannotCompare::NotCheckedOut {
                        path: path.to_owned(),
                    });
                }
                changed.insert(path.to_owned());
            }
        }
        changed.retain(|path| is_record(path));
        Ok(changed)
    }
}

/// Paths that end in a NUL each; those that are not UTF-8 are told of where records are listed.
fn paths(told: &[u8]) -> impl Iterator<Item = String> {
    told.split(|byte| *byte == 0)
        .filter(|path| !path.is_empty())
        .filter_map(|path| String::from_utf8(path.to_owned()).ok())
}

/// What git keeps at a path.
#[derive(Debug)]
struct Entry {
    kind: EntryKind,
    object: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum EntryKind {
    File,
    Link,
    Submodule,
}

impl Entry {
    /// `MODE TYPE OBJECT<tab>PATH`.
    fn read(entry: &[u8]) -> Option<(Self, &[u8])> {
        let tab = entry.iter().position(|byte| *byte == b'\t')?;
        let mut head = std::str::from_utf8(&entry[..tab]).ok()?.split(' ');
        let kind = match head.next()? {
            "120000" => EntryKind::Link,
            "160000" => EntryKind::Submodule,
            _ => EntryKind::File,
        };
        let object = head.nth(1)?.to_owned();
        Some((Self { kind, object }, &entry[tab + 1..]))
    }
}

/// Where a link leads, below the root; none where that lies outside.
fn linked(link: &str, target: &str) -> Option<String> {
    let mut parts: Vec<&str> = link.split('/').collect();
    parts.pop();
    for part in target.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            name => parts.push(name),
        }
    }
    (!target.starts_with('/')).then(|| parts.join("/"))
}

/// One line, without its end.
fn line(told: &[u8]) -> String {
    let told = String::from_utf8_lossy(told);
    told.strip_suffix('\n').unwrap_or(&told).to_owned()
}

/// What git says of its failing, in one line.
fn last_words(output: &Output) -> String {
    let told = String::from_utf8_lossy(&output.stderr);
    let fatal = told.lines().rev().find(|line| line.starts_with("fatal: "));
    let last = fatal.or_else(|| told.lines().rev().find(|line| !line.trim().is_empty()));
    match last {
        Some(line) => line.trim_start_matches("fatal: ").to_owned(),
        None => match output.status.code() {
            Some(code) => format!("it ended with {code}"),
            None => "it was stopped".to_owned(),
        },
    }
}

/// One process that gives contents as they are asked for.
#[derive(Debug)]
struct ObjectReader {
    process: Child,
    asking: ChildStdin,
    answers: BufReader<ChildStdout>,
}

impl Drop for ObjectReader {
    fn drop(&mut self) {
        // Nothing can be done about a process that cannot be ended.
        self.process.kill().ok();
        self.process.wait().ok();
    }
}

impl ObjectReader {
    fn start(root: &Path) -> Result<Self, String> {
        let could_not = |error: &io::Error| format!("git could not be started: {}", reason(error));
        let mut process = command(root)
            .args(["cat-file", "--batch"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| could_not(&error))?;
        let (asking, answers) = (process.stdin.take(), process.stdout.take());
        Ok(Self {
            process,
            asking: asking.expect("the process was started with a pipe there"),
            answers: BufReader::new(answers.expect("the process was started with a pipe there")),
        })
    }

    /// The contents of an object, and the process where it can be asked again.
    fn read(mut self, object: &str) -> Result<(Self, Result<Vec<u8>, String>), String> {
        let bytes = self
            .ask(object)
            .map_err(|error| format!("git did not give it: {}", reason(&error)))?;
        Ok((self, bytes))
    }

    /// An error where the process answers no more; within it, why there are no contents.
    fn ask(&mut self, object: &str) -> io::Result<Result<Vec<u8>, String>> {
        writeln!(self.asking, "{object}")?;
        self.asking.flush()?;
        let mut head = String::new();
        self.answers.read_line(&mut head)?;
        // `OBJECT TYPE SIZE`, or `OBJECT missing`.
        let size = head.trim_end().split(' ').nth(2);
        let Some(size) = size.and_then(|size| size.parse::<u64>().ok()) else {
            if head.is_empty() {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
            return Ok(Err("git does not have what it was".to_owned()));
        };
        if usize::try_from(size).is_ok_and(|size| size <= LARGEST_TEXT) {
            let mut bytes = Vec::new();
            (&mut self.answers).take(size).read_to_end(&mut bytes)?;
            self.answers.read_exact(&mut [0])?;
            return Ok(Ok(bytes));
        }
        io::copy(&mut (&mut self.answers).take(size + 1), &mut io::sink())?;
        Ok(Err(too_large()))
    }
}
