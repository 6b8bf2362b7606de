//! The one place that starts git, with settings of ours over everybody's and nothing of the environment's.
//!
//! Git is asked for the names of commits, for lists of files, and for contents it keeps. It never looks at a file of the
//! working folder, so that no filter, attribute, hook, monitor or diff program has an occasion to run, and it writes
//! nothing: what follows holds where a later version of git finds one all the same.

use crate::cli::failure::{CannotCompare, reason};
use crate::cli::marks::has_git;
use std::env;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

/// Stands for a file or folder with nothing in it.
const NOTHING: &str = if cfg!(windows) { "NUL" } else { "/dev/null" };

/// What git is told, over the settings of the system, the user and the repository.
pub(crate) const SETTINGS: [(&str, &str); 22] = [
    // A repository is one by its `.git`; folders that only look like one are not.
    ("safe.bareRepository", "explicit"),
    // Programs that settings can name.
    ("core.fsmonitor", "false"),
    ("core.hooksPath", NOTHING),
    ("core.attributesFile", NOTHING),
    ("core.pager", "cat"),
    ("core.editor", "false"),
    ("core.askPass", ""),
    ("core.sshCommand", "false"),
    ("core.gitProxy", ""),
    ("core.alternateRefsCommand", "false"),
    ("credential.helper", ""),
    ("diff.external", ""),
    ("gpg.program", "false"),
    ("log.showSignature", "false"),
    // Nothing is fetched, of no remote and by no helper.
    ("protocol.allow", "never"),
    ("fetch.recurseSubmodules", "false"),
    ("submodule.recurse", "false"),
    // Nothing is written.
    ("diff.autoRefreshIndex", "false"),
    ("core.untrackedCache", "false"),
    ("gc.auto", "0"),
    // Answers are the same for everybody.
    ("core.quotePath", "false"),
    ("core.warnAmbiguousRefs", "true"),
];

/// What git finds in its environment, of all the variables that begin with `GIT_`; the others are cleared.
pub(crate) const ENVIRONMENT: [(&str, &str); 7] = [
    ("GIT_OPTIONAL_LOCKS", "0"),
    ("GIT_NO_LAZY_FETCH", "1"),
    ("GIT_NO_REPLACE_OBJECTS", "1"),
    ("GIT_GRAFT_FILE", NOTHING),
    ("GIT_ATTR_NOSYSTEM", "1"),
    ("GIT_TERMINAL_PROMPT", "0"),
    ("GIT_ASKPASS", ""),
];

/// Git, asked from the top of a working folder.
#[derive(Debug, Clone)]
pub(crate) struct Git {
    program: PathBuf,
    top: PathBuf,
}

impl Git {
    /// Git for the working folder with this top, which holds `.git`.
    pub(crate) fn at(top: &Path) -> Result<Self, CannotCompare> {
        Ok(Self {
            program: program(top)?,
            top: top.to_owned(),
        })
    }

    /// The top of the working folder.
    pub(crate) fn top(&self) -> &Path {
        &self.top
    }

    fn command(&self) -> Command {
        let mut command = Command::new(&self.program);
        command
            .current_dir(&self.top)
            .args(["--no-pager", "--no-optional-locks", "--no-replace-objects"])
            .arg("--literal-pathspecs");
        for (name, value) in SETTINGS {
            command.arg("-c").arg(format!("{name}={value}"));
        }
        for (name, _) in env::vars_os() {
            if is_of_git(&name) {
                command.env_remove(name);
            }
        }
        command
            .envs(ENVIRONMENT)
            .env("LC_ALL", "C")
            .env_remove("SSH_ASKPASS");
        // The repository is the one whose `.git` lies here, or none.
        if let Some(above) = self.top.parent() {
            command.env("GIT_CEILING_DIRECTORIES", above);
        }
        command
    }

    /// What git answers, however it ends.
    pub(crate) fn ask(&self, arguments: &[&str]) -> Result<Output, CannotCompare> {
        self.ask_with(arguments, None)
    }

    /// As `ask`, with another index than the repository's own.
    pub(crate) fn ask_with(
        &self,
        arguments: &[&str],
        index: Option<&Path>,
    ) -> Result<Output, CannotCompare> {
        let mut command = self.command();
        if let Some(index) = index {
            command.env("GIT_INDEX_FILE", index);
        }
        command
            .args(arguments)
            .stdin(Stdio::null())
            .output()
            .map_err(|error| CannotCompare::NoGit {
                reason: reason(&error),
            })
    }

    /// What git writes; an error where it does not end well.
    pub(crate) fn tell(
        &self,
        doing: &'static str,
        arguments: &[&str],
    ) -> Result<Vec<u8>, CannotCompare> {
        told(doing, self.ask(arguments)?)
    }

    /// A process that gives contents as they are asked for.
    pub(crate) fn contents(&self) -> Result<Child, String> {
        self.command()
            .args(["cat-file", "--batch"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| format!("git could not be started: {}", reason(&error)))
    }
}

/// What git wrote; an error where it did not end well.
pub(crate) fn told(doing: &'static str, output: Output) -> Result<Vec<u8>, CannotCompare> {
    if output.status.success() {
        Ok(output.stdout)
    } else {
        Err(CannotCompare::Git {
            doing,
            words: last_words(&output),
        })
    }
}

/// One line, without its end.
pub(crate) fn line(told: &[u8]) -> String {
    let told = String::from_utf8_lossy(told);
    told.strip_suffix('\n').unwrap_or(&told).to_owned()
}

/// What git says of its failing, in one line.
pub(crate) fn last_words(output: &Output) -> String {
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

/// Names are the same in any case on some systems.
fn is_of_git(name: &OsStr) -> bool {
    let name = name.as_encoded_bytes();
    name.len() >= 4 && name[..4].eq_ignore_ascii_case(b"GIT_")
}

/// The git of the machine: a program of the repository that is looked at is never run, whatever the search path says.
fn program(top: &Path) -> Result<PathBuf, CannotCompare> {
    let name = format!("git{}", env::consts::EXE_SUFFIX);
    let path = env::var_os("PATH").unwrap_or_default();
    let checkout = outermost(top);
    let is_elsewhere = |path: &Path| {
        path.canonicalize()
            .is_ok_and(|real| !real.starts_with(checkout))
    };
    env::split_paths(&path)
        .filter(|folder| folder.is_absolute() && is_elsewhere(folder))
        .map(|folder| folder.join(&name))
        .find(|program| is_elsewhere(program) && is_program(program))
        .ok_or_else(|| CannotCompare::NoGit {
            reason: "it is in no folder of the search path".to_owned(),
        })
}

/// The outermost folder under version control around one; a home that is under version control holds no checkout.
fn outermost(top: &Path) -> &Path {
    let home = env::home_dir().unwrap_or_default();
    top.ancestors()
        .filter(|folder| has_git(folder))
        .take_while(|folder| !home.starts_with(folder))
        .last()
        .unwrap_or(top)
}

#[cfg(unix)]
fn is_program(file: &Path) -> bool {
    use std::os::unix::fs::PermissionsExt;
    file.metadata()
        .is_ok_and(|file| file.is_file() && file.permissions().mode() & 0o111 != 0)
}

#[cfg(not(unix))]
fn is_program(file: &Path) -> bool {
    file.is_file()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_variable_of_git_is_known_by_its_name() {
        for name in ["GIT_DIR", "GIT_CONFIG_PARAMETERS", "Git_Dir", "GIT_"] {
            assert!(is_of_git(OsStr::new(name)), "{name}");
        }
        for name in ["PATH", "GIT", "DIGIT_DIR", "GITHUB_ACTIONS"] {
            assert!(!is_of_git(OsStr::new(name)), "{name}");
        }
    }

    #[test]
    fn the_policy_names_what_git_is_told() {
        let policy = include_str!("../../../SECURITY.md");
        let settings = SETTINGS.iter().chain(&ENVIRONMENT).map(|(name, _)| *name);
        for name in settings.chain(["GIT_CEILING_DIRECTORIES"]) {
            assert!(policy.contains(&format!("`{name}`")), "{name}");
        }
    }
}
