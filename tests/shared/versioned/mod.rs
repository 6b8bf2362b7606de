//! The clean fleet of the fixtures under version control, and the program run on it.
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes repositories as its user does"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_swathlint");
pub(crate) const TODAY: &str = "2026-06-01";
pub(crate) const VISIT: &str = "calibrations/heron/2026-03-09.yaml";

/// The clean fleet of the fixtures under version control, merged in one commit on `main`.
pub(crate) struct Repository {
    pub(crate) folder: TempDir,
    /// The records' root below the repository's.
    pub(crate) records: PathBuf,
}

/// What a run printed, and its exit code.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) printed: String,
    pub(crate) errors: String,
}

impl Repository {
    pub(crate) fn new() -> Self {
        Self::with_records_in("")
    }

    pub(crate) fn with_records_in(below: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let records = folder.path().join(below);
        let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/base");
        copy(&base, &records);
        let repository = Self { folder, records };
        repository.git(&["init", "--quiet", "--initial-branch=main"]);
        repository.land("merged");
        repository
    }

    pub(crate) fn git(&self, arguments: &[&str]) -> Output {
        let output = git_in(self.folder.path(), arguments);
        assert!(output.status.success(), "git {arguments:?}: {output:?}");
        output
    }

    pub(crate) fn land(&self, message: &str) {
        self.git(&["add", "--all"]);
        self.git(&["commit", "--quiet", "--allow-empty", "--message", message]);
    }

    pub(crate) fn branch(&self, name: &str) {
        self.git(&["checkout", "--quiet", "-b", name]);
    }

    pub(crate) fn write(&self, path: &str, text: &str) {
        let path = self.records.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    pub(crate) fn read(&self, path: &str) -> String {
        fs::read_to_string(self.records.join(path)).unwrap()
    }

    pub(crate) fn change(&self, path: &str, from: &str, to: &str) {
        let text = self.read(path);
        assert!(text.contains(from), "{path} has no {from}");
        self.write(path, &text.replacen(from, to, 1));
    }

    pub(crate) fn compared_with(&self, revision: &str) -> Ran {
        compared_in(&self.records, revision)
    }
}

pub(crate) fn git_in(folder: &Path, arguments: &[&str]) -> Output {
    Command::new("git")
        .args(["-c", "user.name=rm", "-c", "user.email=rm@example.invalid"])
        .args(["-c", "protocol.file.allow=always"])
        .args(arguments)
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .current_dir(folder)
        .output()
        .unwrap()
}

pub(crate) fn program(folder: &Path) -> Command {
    let mut program = Command::new(PROGRAM);
    program
        .current_dir(folder)
        .args(["check", "--today", TODAY, "--format", "plain"])
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .env("NO_COLOR", "1");
    program
}

pub(crate) fn ran(command: &mut Command) -> Ran {
    let output = command.output().unwrap();
    Ran {
        code: output.status.code().unwrap(),
        printed: String::from_utf8(output.stdout).unwrap(),
        errors: String::from_utf8(output.stderr).unwrap(),
    }
}

pub(crate) fn compared_in(folder: &Path, revision: &str) -> Ran {
    ran(program(folder).arg(format!("--compared-with={revision}")))
}

pub(crate) fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

/// One finding a line; the last line is the totals.
pub(crate) fn findings(ran: &Ran) -> Vec<&str> {
    let lines: Vec<&str> = ran.printed.lines().collect();
    lines[..lines.len() - 1].to_vec()
}

pub(crate) fn rules(ran: &Ran) -> Vec<&str> {
    let lines = findings(ran).into_iter();
    lines
        .map(|line| line.rsplit_once('[').unwrap().1.trim_end_matches(']'))
        .collect()
}

/// A new visit whose third nozzle on the left passes 15% too much.
pub(crate) fn faulty_visit(repository: &Repository, path: &str) {
    let text = repository.read(VISIT);
    let day = Path::new(path).file_stem().unwrap().to_str().unwrap();
    let text = text.replace("date: 2026-03-09", &format!("date: {day}"));
    let at = text.find("left: [").unwrap();
    let (head, rest) = text.split_at(at);
    repository.write(path, &format!("{head}{}", rest.replacen("36.5", "42.5", 1)));
}

/// It fails closed: exit code 2, in words, and with what to do.
pub(crate) fn refused(ran: &Ran, words: &str, help: &str) {
    assert_eq!(ran.code, 2, "{}{}", ran.printed, ran.errors);
    let errors = ran.errors.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(errors.contains(words), "{errors}");
    assert!(errors.contains(help), "{errors}");
    assert!(!ran.printed.contains("nothing found"), "{}", ran.printed);
}
