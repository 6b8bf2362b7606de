//! Why a machine that is asked for cannot be used: the same words from every command that asks for one.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes and reads files as its user does"
)]

use crate::fixture::folder;
use crate::versioned::{PROGRAM, copy};
use std::fs;
use std::path::Path;
use std::process::Command;

/// Every command that asks for one machine.
const COMMANDS: [&[&str]; 5] = [
    &["draft"],
    &["enter"],
    &["sheet"],
    &["settings"],
    &["tank", "--area", "3 acres"],
];

/// What a command says of a machine, in one line.
fn said(fleet: &Path, command: &[&str], machine: &str) -> (Option<i32>, String) {
    let mut run = Command::new(PROGRAM);
    run.current_dir(fleet).env("NO_COLOR", "1");
    let output = run.args(command).arg(machine).output().unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    let words: Vec<&str> = errors.split_whitespace().collect();
    (output.status.code(), words.join(" "))
}

/// A machine with records alone is told as such, and is no name to offer for another.
#[test]
fn a_machine_without_a_machine_file_is_told_the_same_by_every_command() {
    let fleet = tempfile::tempdir().unwrap();
    copy(&folder().join("base"), fleet.path());
    let records = fleet.path().join("calibrations");
    copy(&records.join("heron"), &records.join("ghost"));
    fs::write(fleet.path().join("machines/stint.yaml"), "record: machine").unwrap();
    for command in COMMANDS {
        let no_file =
            "ghost has records, but no machine file help: add its machine file to machines/";
        let (code, errors) = said(fleet.path(), command, "ghost");
        assert_eq!(code, Some(2), "{command:?}: {errors}");
        assert!(errors.contains(no_file), "{command:?}: {errors}");

        let unknown = "there is no machine `ghosts` help: name one of heron and stint";
        let (code, errors) = said(fleet.path(), command, "ghosts");
        assert_eq!(code, Some(2), "{command:?}: {errors}");
        assert!(errors.contains(unknown), "{command:?}: {errors}");
    }
}
