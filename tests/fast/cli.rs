//! The program as people and build runners start it: exit codes, what it refuses, color, folders, threads.
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes and reads files as its user does"
)]

use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::time::Duration;
use swathlint::render::{DUE_FORMATS, REPORT_FORMATS};
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_swathlint");

/// Longer than any run here takes; a hang ends by it.
const PATIENCE: Duration = Duration::from_secs(20);

const FLEET: &str = "\
record: fleet
name: Saltmere Links Group
courses: {saltmere: Saltmere Links}
people: {rm: {may-sign: true}}
";

const MACHINE: &str = "\
record: machine
id: heron
course: saltmere
kind: boom-sprayer
in-service: 2024-03-01
control: pressure
speed-source: none
section-valves: shut-off
tank: 140 gal
boom:
  spacing: 20 in
  sections:
    - {name: left, nozzles: 2}
    - {name: right, nozzles: 2}
setups:
  fairways: {nozzle: {size: \"06\", material: ceramic}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}
";

/// No record, whatever the rules: the text ends inside a list.
const FAULTY: &str = "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: [rm\n";

/// A folder with a fleet and one machine.
fn clean_records() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "fleet.yaml", FLEET);
    write(folder.path(), "machines/heron.yaml", MACHINE);
    folder
}

/// The same with a record that is none.
fn faulty_records() -> TempDir {
    let folder = clean_records();
    write(folder.path(), "calibrations/heron/2026-03-09.yaml", FAULTY);
    folder
}

fn write(folder: &Path, path: &str, text: &str) {
    let path = folder.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

/// The program, started in a folder, with nothing of the tester's surroundings.
fn program(folder: &Path) -> Command {
    let mut command = Command::new(PROGRAM);
    command.current_dir(folder).timeout(PATIENCE);
    for name in [
        "NO_COLOR",
        "CLICOLOR",
        "CLICOLOR_FORCE",
        "TERM",
        "COLUMNS",
        "RAYON_NUM_THREADS",
    ] {
        command.env_remove(name);
    }
    command
}

/// `check` on the first of June 2026 with further arguments.
fn check(folder: &Path, arguments: &[&str]) -> Output {
    program(folder)
        .args(["check", "--today", "2026-06-01"])
        .args(arguments)
        .output()
        .unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("the program ends by itself")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn errors(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// Asserts that nothing was checked, and that the errors say all of `words`.
fn assert_refused(output: &Output, words: &[&str]) {
    let said = errors(output);
    assert_eq!(code(output), 2, "{said}");
    assert_eq!(out(output), "");
    // The lines end where the terminal does.
    let in_one_line = said.split_whitespace().collect::<Vec<_>>().join(" ");
    for word in words {
        assert!(in_one_line.contains(word), "{word:?} is not in:\n{said}");
    }
}

/// Asserts that the report names a file that could not be read, and why, and that the exit code says so.
fn assert_unread(output: &Output, path: &str, why: &str) {
    let (said, report) = (errors(output), out(output));
    assert_eq!(code(output), 2, "{report}{said}");
    let line = format!("could not read {path}: {why}");
    assert!(report.contains(&line), "{line:?} is not in:\n{report}");
    assert!(
        said.contains("some files or folders could not be read"),
        "{said}"
    );
}

#[test]
fn the_exit_code_says_whether_something_was_found() {
    let clean = check(clean_records().path(), &[]);
    assert_eq!(code(&clean), 0, "{}{}", out(&clean), errors(&clean));
    assert_eq!(errors(&clean), "");
    let faulty = faulty_records();
    let found = check(faulty.path(), &[]);
    assert_eq!(code(&found), 1, "{}", errors(&found));
    assert!(out(&found).contains("calibrations/heron/2026-03-09.yaml:"));
    assert_eq!(code(&check(faulty.path(), &["--fail-from", "never"])), 0);
}

/// Warnings alone are shown, and an error that one of them explains fails the run all the same; every format says why.
#[test]
fn an_error_that_is_not_shown_fails_the_run_and_is_told() {
    let demo = crate::fixture::folder().join("saltmere");
    for format in ["terminal", "plain"] {
        let arguments = ["service/heron", "--fail-from", "error", "--format", format];
        let run = check(&demo, &arguments);
        let said = out(&run);
        assert_eq!(code(&run), 1, "{said}{}", errors(&run));
        assert!(!said.contains("error: "), "{said}");
        assert!(said.contains("1 error (sprayed-while-void)"), "{said}");
        assert!(
            said.contains("0 errors (and 3 not shown), 3 warnings, 0 notes in"),
            "{said}"
        );
    }
    let run = check(&demo, &["service/heron", "--format", "jsonl"]);
    let summary = out(&run).lines().last().unwrap().to_owned();
    assert!(
        summary.contains(r#""errors":0,"warnings":3,"notes":0,"heaviest":"error""#),
        "{summary}"
    );
    assert!(summary.contains(r#""held-errors":3"#), "{summary}");
}

#[test]
fn a_folder_without_records_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    assert_refused(
        &check(folder.path(), &[]),
        &["no records found", "help: go to the folder"],
    );
    write(folder.path(), "group/fleet.yaml", FLEET);
    assert_refused(
        &check(folder.path(), &[]),
        &["help: name the folder: swathlint check group"],
    );
    fs::create_dir(folder.path().join("machines")).unwrap();
    assert_refused(
        &check(folder.path(), &[]),
        &["no record to check", "--allow-empty"],
    );
    let allowed = check(folder.path(), &["--allow-empty"]);
    assert_eq!((code(&allowed), errors(&allowed)), (0, String::new()));
    assert!(!out(&allowed).is_empty());
}

#[test]
fn paths_that_cannot_be_meant_are_refused() {
    let (records, others) = (clean_records(), clean_records());
    let folder = records.path();
    write(folder, "notes.txt", "");
    let other = others.path().to_str().unwrap();
    assert_refused(
        &check(folder, &["nowhere.yaml"]),
        &["nowhere.yaml does not exist"],
    );
    assert_refused(
        &check(folder, &["machines/heron.yaml/x"]),
        &["machines/heron.yaml/x does not exist"],
    );
    assert_refused(
        &check(folder, &["machines", other]),
        &["lies outside the records in"],
    );
    assert_refused(
        &check(folder, &["notes.txt"]),
        &["no record to check in notes.txt", "--allow-empty"],
    );
    assert_eq!(code(&check(folder, &["notes.txt", "--allow-empty"])), 0);
    assert_refused(
        &check(folder, &["-"]),
        &["`-` (standard input) is not supported"],
    );
}

#[test]
fn wrong_options_are_refused_with_what_is_right() {
    let records = clean_records();
    for (arguments, says) in [
        (["--today", "20260601"], "write `2026-06-01`"),
        (["--today", "2026-02-30"], "`2026-02-30`"),
        (["--fail-from", "info"], "error, warning, note or never"),
        (["--fail-from", "warnin"], "did you mean `warning`?"),
        (["--format", "xml"], "`xml` is not a value of --format"),
        (["--formt", "plain"], "did you mean `--format`?"),
        (["--allow-empty", "--allow-empty"], "may be given only once"),
        (["--allow-empty", "--width"], "--width needs a value"),
        (["--allow-empty=1", "."], "--allow-empty takes no value"),
        (["--also-write", "jsonl"], "as in jsonl=out.jsonl"),
        (
            ["--also-write", "jsonl=fleet.yaml"],
            "could write over a record",
        ),
        (
            ["--threads", "0"],
            "`0` is not a whole number from 1 to 256",
        ),
        (["--width", "3"], "`3` is not a whole number from 40 to 500"),
    ] {
        let refused = program(records.path())
            .arg("check")
            .args(arguments)
            .output()
            .unwrap();
        assert_refused(&refused, &[says]);
    }
    for (words, says) in [
        (["chek", "."].as_slice(), "did you mean `check`?"),
        (&["schema", "vist"], "`vist` is not a value of KIND"),
        (&["completions"], "completions needs SHELL"),
        (&["rules", "a", "b"], "takes no further argument `b`"),
        (&["figures", "--figure", "x"], "more"),
    ] {
        let refused = program(records.path()).args(words).output().unwrap();
        assert_refused(&refused, &[says]);
    }
    let twice = check(
        records.path(),
        &["--also-write", "jsonl=a", "--also-write", "plain=a"],
    );
    assert_refused(&twice, &["a is named twice"]);
    for wrong in ["--\u{202e}x", "--today=\n::error::x", "--width=##[error]x"] {
        let refused = program(records.path())
            .args(["check", wrong])
            .output()
            .unwrap();
        assert_refused(&refused, &[]);
        let first = errors(&refused).lines().next().unwrap().to_owned();
        let repeated = wrong.replace('\u{202e}', r"\u{202e}").replace('\n', "");
        let repeated = repeated.replace("##[", r"##\u{5b}");
        let value = repeated.rsplit('=').next().unwrap();
        assert!(first.contains(value), "{first}");
    }
}

#[test]
fn only_what_is_asked_for_is_reported() {
    let records = faulty_records();
    let all = check(records.path(), &["--format", "plain"]);
    assert!(out(&all).contains("calibrations/heron/2026-03-09.yaml:"));
    let machines = check(records.path(), &["--format", "plain", "machines"]);
    assert_eq!(code(&machines), 0, "{}", out(&machines));
    assert!(!out(&machines).contains("calibrations/heron/2026-03-09.yaml:"));
    let calibrations = check(
        records.path(),
        &[
            "--format",
            "plain",
            "calibrations/heron",
            "machines/heron.yaml",
        ],
    );
    assert_eq!(code(&calibrations), 1);
}

#[test]
fn the_folder_it_is_started_in_does_not_matter() {
    let records = faulty_records();
    let from = |folder: &str| check(&records.path().join(folder), &[]);
    let root = from(".");
    assert_eq!(code(&root), 1);
    for folder in ["machines", "calibrations", "calibrations/heron"] {
        assert_eq!(out(&from(folder)), out(&root), "{folder}");
    }
    let elsewhere = tempfile::tempdir().unwrap();
    let by_path = check(elsewhere.path(), &[records.path().to_str().unwrap()]);
    assert_eq!(out(&by_path), out(&root));
    let part = check(&records.path().join("calibrations"), &["heron"]);
    assert_eq!(
        out(&part),
        out(&check(records.path(), &["calibrations/heron"]))
    );
}

#[test]
fn the_number_of_threads_does_not_matter() {
    let records = faulty_records();
    for n in 0..50 {
        write(records.path(), &format!("machines/stilt-{n}.yaml"), MACHINE);
        write(
            records.path(),
            &format!("calibrations/stilt-{n}/2026-03-09.yaml"),
            FAULTY,
        );
    }
    for format in REPORT_FORMATS.iter().map(|format| format.name) {
        let with = |threads| {
            out(&check(
                records.path(),
                &["--threads", threads, "--format", format],
            ))
        };
        let one = with("1");
        assert!(one.len() > 2_000, "{format}: {one}");
        assert_eq!(with("8"), one, "{format}");
        assert_eq!(
            out(&check(records.path(), &["--format", format])),
            one,
            "{format}"
        );
    }
}

#[test]
fn reports_go_to_files_beside_the_output() {
    let records = faulty_records();
    let formats = || REPORT_FORMATS.iter().map(|format| format.name);
    let arguments: Vec<String> = formats()
        .map(|format| format!("--also-write={format}=report.{format}"))
        .collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let colored = check(
        records.path(),
        &[&arguments[..], &["--color", "always"]].concat(),
    );
    assert_eq!(code(&colored), 1);
    assert!(out(&colored).contains('\u{1b}'));
    for format in formats() {
        let file = records.path().join(format!("report.{format}"));
        assert_eq!(
            fs::read_to_string(file).unwrap(),
            out(&check(records.path(), &["--format", format])),
            "{format}"
        );
    }
    let nowhere = check(
        records.path(),
        &["--also-write", "plain=no/such/folder.txt"],
    );
    assert_refused(
        &nowhere,
        &["could not write no/such/folder.txt: it does not exist"],
    );
}

#[test]
fn a_file_to_write_takes_the_place_of_the_old_one_whole() {
    let records = clean_records();
    for command in ["check", "due"] {
        let also = |file: &str| {
            program(records.path())
                .args([command, "--today", "2026-06-01", "--also-write"])
                .arg(format!("jsonl={file}"))
                .output()
                .unwrap()
        };
        write(
            records.path(),
            "out/old.jsonl",
            "longer than anything ".repeat(99).as_str(),
        );
        for file in ["out/old.jsonl", "./out/../out/new.jsonl"] {
            let written = also(file);
            assert!(code(&written) < 2, "{}", errors(&written));
            let text = fs::read_to_string(records.path().join(file)).unwrap();
            assert!(text.starts_with('{') && text.ends_with("}\n"), "{text}");
        }
        let left: Vec<_> = fs::read_dir(records.path().join("out")).unwrap().collect();
        assert_eq!(left.len(), 2, "{left:?}");
        fs::remove_dir_all(records.path().join("out")).unwrap();
    }
}

#[test]
fn what_must_not_be_written_over_is_refused_before_any_work() {
    let records = clean_records();
    fs::create_dir_all(records.path().join(".git/hooks")).unwrap();
    fs::create_dir(records.path().join("folder")).unwrap();
    write(records.path(), "old.txt", "old");
    write(records.path(), "read-only.txt", "old");
    let read_only = records.path().join("read-only.txt");
    let mut permissions = fs::metadata(&read_only).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&read_only, permissions).unwrap();
    let absolute = records.path().join("old.txt").display().to_string();
    for (formats, rows) in
        [("check", ["plain", "jsonl"]), ("due", ["text", "csv"])].map(|(command, formats)| {
            (
                (command, formats),
                [
                    (vec![".git/hooks/post-checkout"], "it belongs to git"),
                    (
                        vec![".GIT/config"],
                        "could not write .GIT/config: it does not exist",
                    ),
                    (vec![".git/../.git/x"], "it belongs to git"),
                    (vec!["folder"], "it is a folder"),
                    (vec!["folder/.."], "it is a folder"),
                    (vec!["new/"], "`new/` is a folder"),
                    (vec!["read-only.txt"], "it is read-only"),
                    (vec!["old.txt/x"], "a part of the path is not a folder"),
                    (vec!["fleet.yaml"], "could write over a record"),
                    (
                        vec!["a.txt", "./a.txt"],
                        "./a.txt is named twice by --also-write, the first time as a.txt",
                    ),
                    (vec!["a.txt", "folder/../a.txt"], "is named twice"),
                    (vec!["a.txt", "A.TXT"], "A.TXT is named twice"),
                    (vec!["old.txt", &absolute], "is named twice"),
                ],
            )
        })
    {
        let (command, formats) = formats;
        for (files, says) in rows {
            let mut run = program(records.path());
            run.arg(command);
            for (format, file) in formats.iter().zip(&files) {
                run.arg(format!("--also-write={format}={file}"));
            }
            // On systems that take both for one name, this is git's folder too.
            let says = if files == [".GIT/config"] && records.path().join(".GIT").exists() {
                "it belongs to git"
            } else {
                says
            };
            let refused = run.arg("--width=500").output().unwrap();
            let said = errors(&refused).replace("\n    ", " ").replace("\n  ", " ");
            assert_eq!((code(&refused), &*out(&refused)), (2, ""), "{files:?}");
            assert!(said.contains(says), "{files:?}: {says:?} is not in {said}");
        }
    }
    assert_eq!(fs::read_to_string(absolute).unwrap(), "old");
    assert!(!records.path().join("a.txt").exists());
}

#[test]
fn the_list_of_what_is_due_goes_to_files_beside_the_output() {
    let records = clean_records();
    let due = |arguments: &[&str]| {
        program(records.path())
            .args(["due", "--today", "2026-06-01"])
            .args(arguments)
            .output()
            .unwrap()
    };
    let formats = || DUE_FORMATS.iter().map(|format| format.name);
    let also: Vec<String> = formats()
        .map(|format| format!("{format}=list.{format}"))
        .collect();
    let also = also.iter().flat_map(|also| ["--also-write", also]);
    let colored = due(&also.chain(["--color", "always"]).collect::<Vec<_>>());
    assert!(code(&colored) < 2, "{}", errors(&colored));
    for format in formats() {
        let file = records.path().join(format!("list.{format}"));
        let printed = due(&["--format", format]);
        assert_eq!(code(&printed), code(&colored));
        assert_eq!(fs::read_to_string(file).unwrap(), out(&printed), "{format}");
        assert!(!out(&printed).is_empty());
    }
    let nowhere = due(&["--also-write", "ics=no/such/folder.ics"]);
    assert_refused(&nowhere, &["could not write no/such/folder.ics"]);
}

#[test]
fn what_is_due_is_refused_where_it_cannot_be_told() {
    let records = clean_records();
    for (arguments, says) in [
        (
            &["--within", "14"][..],
            "as in `14d`, `2 weeks` or `1 month`",
        ),
        (&["--within", "36 psi"], "as in `14d`"),
        (
            &["--within", "1.5 days"],
            "no whole number of days or months",
        ),
        (&["--within", "20 years"], "more than 10 years"),
        (&["--today", "20260601"], "write `2026-06-01`"),
        (&["--format", "xml"], "text, markdown, csv, jsonl or ics"),
        (
            &["--also-write", "plain=a"],
            "`plain` is not a format; use text, markdown, csv",
        ),
        (
            &["--also-write", "ics=due.yaml"],
            "could write over a record",
        ),
        (
            &["--also-write", "ics=a", "--also-write", "csv=a"],
            "a is named twice",
        ),
        (&["machines/none.yaml"], "does not exist"),
    ] {
        let refused = program(records.path())
            .arg("due")
            .args(arguments)
            .output()
            .unwrap();
        assert_refused(&refused, &[says]);
    }
    let empty = tempfile::tempdir().unwrap();
    fs::create_dir(empty.path().join("machines")).unwrap();
    let due = |arguments: &[&str]| {
        program(empty.path())
            .arg("due")
            .args(arguments)
            .output()
            .unwrap()
    };
    assert_refused(&due(&[]), &["no record to check in"]);
    let allowed = due(&["--allow-empty"]);
    assert_eq!(code(&allowed), 0);
    assert_eq!(
        out(&allowed),
        "nothing was looked at: there are no records\n"
    );
}

#[test]
fn color_is_asked_for_by_option_then_by_environment() {
    let records = faulty_records();
    let is_colored = |option: Option<&str>, environment: &[(&str, &str)]| {
        let mut command = program(records.path());
        command
            .args(["check", "--today", "2026-06-01"])
            .envs(environment.iter().copied());
        if let Some(option) = option {
            command.args(["--color", option]);
        }
        out(&command.output().unwrap()).contains('\u{1b}')
    };
    let force = ("CLICOLOR_FORCE", "1");
    for (option, environment, expected) in [
        (None, &[][..], false),
        (Some("auto"), &[], false),
        (Some("always"), &[], true),
        (None, &[force], true),
        (None, &[("CLICOLOR_FORCE", "0")], false),
        (None, &[("CLICOLOR_FORCE", "")], false),
        (None, &[force, ("NO_COLOR", "1")], false),
        (None, &[force, ("NO_COLOR", "")], true),
        (Some("never"), &[force], false),
        (Some("always"), &[("NO_COLOR", "1")], true),
        (Some("always"), &[("TERM", "dumb")], true),
    ] {
        assert_eq!(
            is_colored(option, environment),
            expected,
            "{option:?} {environment:?}"
        );
    }
}

#[test]
fn a_closed_pipe_is_no_error() {
    let records = faulty_records();
    for arguments in [
        &["check", "--today", "2026-06-01"][..],
        &["check", "--help"],
        &["rules"],
        &["causes"],
        &["man"],
    ] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let mut command = std::process::Command::new(PROGRAM);
        command
            .current_dir(records.path())
            .args(arguments)
            .stdout(writer);
        let ended = command.output().unwrap();
        assert_eq!(errors(&ended), "", "{arguments:?}");
        let expected = i32::from(arguments[1..].contains(&"--today"));
        assert_eq!(code(&ended), expected, "{arguments:?}");
    }
}

#[test]
fn rules_and_schemas_are_told() {
    let records = clean_records();
    let run = |arguments: &[&str]| program(records.path()).args(arguments).output().unwrap();
    let list = run(&["rules"]);
    assert_eq!(code(&list), 0);
    let name = out(&list)
        .lines()
        .next()
        .unwrap()
        .split(' ')
        .next()
        .unwrap()
        .to_owned();
    let page = run(&["rules", &name]);
    assert_eq!(code(&page), 0);
    assert!(out(&page).starts_with(&name));
    let slip = format!("{name}x");
    assert_refused(
        &run(&["rules", &slip]),
        &[&format!("there is no rule `{slip}`"), &name],
    );
    let nowhere = tempfile::tempdir().unwrap();
    assert_eq!(
        code(&program(nowhere.path()).arg("rules").output().unwrap()),
        0
    );
    let causes = run(&["causes"]);
    assert_eq!(code(&causes), 0);
    assert!(out(&causes).starts_with("bypass-turned-wrong\n"));
    assert!(out(&causes).contains("healthy (never reported)\n"));
    let page = run(&["causes", "tip-worn"]);
    assert!(out(&page).starts_with("tip-worn\nA tip is worn\n"));
    // A name in brackets is looked up in one place, whichever of the two it is of.
    assert_eq!(out(&run(&["rules", "tip-worn"])), out(&page));
    assert_eq!(
        out(&run(&["causes", "overdue"])),
        out(&run(&["rules", "overdue"]))
    );
    assert_refused(
        &run(&["causes", "tip-wrn"]),
        &["there is no cause `tip-wrn`", "did you mean `tip-worn`?"],
    );
    assert_refused(
        &run(&["causes", "xyz"]),
        &[
            "there is no cause `xyz`",
            "see `swathlint causes` for all names",
        ],
    );

    let schema = run(&["schema", "machine"]);
    assert!(
        serde_json::from_slice::<serde_json::Value>(&schema.stdout)
            .unwrap()
            .is_object()
    );
    assert_refused(&run(&["schema", "tractor"]), &["machine"]);
}

#[test]
fn completions_and_manual_pages_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let run = |arguments: &[&str]| program(folder.path()).args(arguments).output().unwrap();
    let commands = swathlint::cli::command();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = run(&["completions", shell]);
        assert_eq!(code(&script), 0);
        for command in commands.get_subcommands() {
            let options = command.get_arguments().filter_map(clap::Arg::get_long);
            for word in options.chain([command.get_name()]) {
                assert!(out(&script).contains(word), "{shell}: {word}");
            }
        }
    }
    assert!(out(&run(&["man"])).contains(".TH swathlint 1"));
    for command in commands.get_subcommands() {
        let name = command.get_name();
        let page = out(&run(&["man", name]));
        assert!(page.contains(&format!(".TH swathlint-{name} 1")), "{page}");
    }
}

#[test]
fn help_is_as_reviewed() {
    let folder = tempfile::tempdir().unwrap();
    let mut helps = vec![
        ("help".to_owned(), vec!["--help"]),
        ("help_in_short".to_owned(), vec!["-h"]),
        ("help_check_in_short".to_owned(), vec!["check", "-h"]),
    ];
    let commands = swathlint::cli::command();
    for command in commands.get_subcommands() {
        let name = command.get_name();
        helps.push((format!("help_{name}"), vec![name, "--help"]));
    }
    for (name, arguments) in helps {
        let help = program(folder.path()).args(arguments).output().unwrap();
        assert_eq!((code(&help), errors(&help)), (0, String::new()));
        insta::assert_snapshot!(name, out(&help));
    }
}

/// What only Unix has: pipes, links, names of any bytes, and who may read what.
#[cfg(unix)]
mod unix {
    use super::*;
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
    use std::os::unix::process::CommandExt;

    fn pipe(path: &Path) {
        let made = std::process::Command::new("mkfifo")
            .arg(path)
            .status()
            .unwrap();
        assert!(made.success());
    }

    #[test]
    fn a_named_pipe_is_not_waited_for() {
        let records = clean_records();
        pipe(&records.path().join("machines/pipe.yaml"));
        let checked = check(records.path(), &[]);
        assert_unread(
            &checked,
            "machines/pipe.yaml",
            "a named pipe, not a file with a record",
        );

        let fleet_is_pipe = tempfile::tempdir().unwrap();
        write(fleet_is_pipe.path(), "machines/heron.yaml", MACHINE);
        pipe(&fleet_is_pipe.path().join("fleet.yaml"));
        assert_unread(
            &check(fleet_is_pipe.path(), &[]),
            "fleet.yaml",
            "a named pipe",
        );
        assert_eq!(
            code(&program(fleet_is_pipe.path()).arg("rules").output().unwrap()),
            2,
            "the limits shown may not be the group's"
        );
    }

    #[test]
    fn links_are_told_and_not_followed() {
        let records = clean_records();
        let at = |path: &str| records.path().join(path);
        symlink(records.path(), at("again")).unwrap();
        let alone = check(records.path(), &["--format", "jsonl"]);
        assert_eq!(code(&alone), 0, "{}{}", out(&alone), errors(&alone));
        assert!(
            out(&alone).contains("\"records\":2,"),
            "each file once: {}",
            out(&alone)
        );
        symlink("itself.yaml", at("machines/itself.yaml")).unwrap();
        symlink("heron.yaml", at("machines/same.yaml")).unwrap();
        symlink("/dev/zero", at("machines/zero.yaml")).unwrap();
        symlink("machines", at("service")).unwrap();
        let checked = check(records.path(), &["--width", "200"]);
        for path in [
            "machines/itself.yaml",
            "machines/same.yaml",
            "machines/zero.yaml",
            "service",
        ] {
            assert_unread(&checked, path, "a link is not followed");
        }
    }

    #[test]
    fn names_that_are_not_text_are_told() {
        let records = clean_records();
        let name = OsStr::from_bytes(b"\xff.yaml");
        fs::write(records.path().join("machines").join(name), MACHINE).unwrap();
        fs::create_dir_all(
            records
                .path()
                .join("service")
                .join(OsStr::from_bytes(b"\xfe")),
        )
        .unwrap();
        let checked = check(records.path(), &[]);
        assert_unread(&checked, "machines/\u{fffd}.yaml", "its name is not UTF-8");
        assert_unread(&checked, "service/\u{fffd}", "its name is not UTF-8");
        let asked = program(records.path())
            .args(["check", "--today", "2026-06-01", "machines"])
            .arg(name)
            .output();
        assert_refused(&asked.unwrap(), &["does not exist"]);
    }

    #[test]
    fn no_link_pipe_or_second_name_is_written_to() {
        let records = clean_records();
        let elsewhere = tempfile::tempdir().unwrap();
        let at = |path: &str| records.path().join(path);
        fs::create_dir(at(".git")).unwrap();
        write(records.path(), "target.txt", "old");
        symlink("target.txt", at("link.txt")).unwrap();
        symlink(elsewhere.path().join("nothing"), at("dangling.txt")).unwrap();
        symlink(elsewhere.path(), at("reports")).unwrap();
        symlink(".git", at("plain-folder")).unwrap();
        fs::create_dir(at("deep")).unwrap();
        symlink("../reports", at("deep/reports")).unwrap();
        fs::hard_link(at("target.txt"), at("second.txt")).unwrap();
        pipe(&at("pipe.txt"));
        let _socket = std::os::unix::net::UnixListener::bind(at("socket.txt")).unwrap();
        for (formats, command) in [(["plain", "jsonl"], "check"), (["text", "ics"], "due")] {
            for (files, says) in [
                (&["link.txt"][..], "it is a link"),
                (&["dangling.txt"], "it is a link"),
                (&["/dev/stdout"], "it is a link"),
                (&["/dev/null"], "a pipe, a socket or a device"),
                (&["pipe.txt"], "a pipe, a socket or a device"),
                (&["socket.txt"], "a pipe, a socket or a device"),
                (&["reports/new.txt"], "is a link within the repository"),
                (&["reports/../new.txt"], "is a link within the repository"),
                (&["deep/reports/new.txt"], "is a link within the repository"),
                (&["plain-folder/config"], "is a link within the repository"),
                (&["target.txt", "second.txt"], "second.txt is named twice"),
            ] {
                let mut run = program(records.path());
                run.arg(command);
                for (format, file) in formats.iter().zip(files) {
                    run.arg(format!("--also-write={format}={file}"));
                }
                let refused = run.output().unwrap();
                let said = errors(&refused).replace("\n  ", " ");
                assert_eq!(
                    (code(&refused), &*out(&refused)),
                    (2, ""),
                    "{files:?}: {said}"
                );
                assert!(said.contains(says), "{files:?}: {says:?} is not in {said}");
            }
        }
        assert_eq!(fs::read_to_string(at("target.txt")).unwrap(), "old");
        assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 0);

        // Links that are not in the repository are those of whoever runs the program.
        let own = tempfile::tempdir().unwrap();
        symlink(elsewhere.path(), own.path().join("reports")).unwrap();
        fs::set_permissions(at("second.txt"), fs::Permissions::from_mode(0o600)).unwrap();
        let file = own.path().join("reports/new.txt");
        let written = program(records.path())
            .args([
                "check",
                "--today=2026-06-01",
                "--also-write=plain=second.txt",
            ])
            .arg(format!("--also-write=jsonl={}", file.display()))
            .output()
            .unwrap();
        assert_eq!(code(&written), 0, "{}", errors(&written));
        assert!(file.exists());
        assert_ne!(fs::read_to_string(at("second.txt")).unwrap(), "old");
        assert_eq!(
            fs::metadata(at("second.txt")).unwrap().mode() & 0o777,
            0o600
        );
        assert_eq!(
            fs::read_to_string(at("target.txt")).unwrap(),
            "old",
            "its other name stays what it was"
        );
    }

    #[test]
    fn a_name_that_could_not_be_read_begins_no_line_of_its_own() {
        let records = clean_records();
        pipe(&records.path().join("machines/a\n::error::x.yaml"));
        for command in [
            "check",
            "check --format plain",
            "due",
            "due --format csv",
            "figures",
        ] {
            let ran = program(records.path()).args(command.split(' ')).output();
            let ran = ran.unwrap();
            let told = out(&ran) + &errors(&ran);
            assert!(told.contains(r"machines/a\n::error::x.yaml"), "{told}");
            assert!(!told.contains("\n::"), "{command}: {told}");
        }
    }

    /// Only Linux has a device that is always full.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_is_told() {
        let full = fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .unwrap();
        let records = clean_records();
        let mut command = std::process::Command::new(PROGRAM);
        command
            .current_dir(records.path())
            .args(["check", "--today", "2026-06-01"])
            .stdout(full);
        let ended = command.output().unwrap();
        assert_eq!(code(&ended), 2);
        assert!(
            errors(&ended).contains("could not write the output: no space left"),
            "{}",
            errors(&ended)
        );
    }

    /// A copy of the program that anybody may run, in the folder of records.
    ///
    /// Another process writes it: what this one has open to write, all that other threads are just starting has open
    /// too, and as long as anybody does, the system runs no such file.
    fn program_for_all(folder: &Path) -> PathBuf {
        let copy = folder.join("program");
        let copied = std::process::Command::new("cp")
            .arg(PROGRAM)
            .arg(&copy)
            .status();
        assert!(copied.unwrap().success());
        for path in [folder, &copy] {
            fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
        }
        copy
    }

    /// `check` as somebody whom permissions hold back: who may do everything becomes nobody.
    fn check_held_back(folder: &Path, arguments: &[&str]) -> Output {
        let mut command = std::process::Command::new(program_for_all(folder));
        command
            .current_dir(folder)
            .args(["check", "--today", "2026-06-01"])
            .args(arguments);
        // A file of one's own tells who one is without asking the system by unsafe means.
        if fs::metadata(folder).unwrap().uid() == 0 {
            command.uid(65534).gid(65534);
        }
        command.output().unwrap()
    }

    fn forbid(path: &Path) {
        fs::set_permissions(path, fs::Permissions::from_mode(0o000)).unwrap();
    }

    #[test]
    fn what_may_not_be_read_is_told() {
        let records = faulty_records();
        let at = |path: &str| records.path().join(path);
        write(records.path(), "machines/dunlin.yaml", MACHINE);
        write(records.path(), "service/heron/2026-05-02.yaml", MACHINE);
        write(records.path(), "elsewhere/x.yaml", MACHINE);
        let forbidden = ["machines/dunlin.yaml", "service/heron", "elsewhere"];
        for path in forbidden {
            forbid(&at(path));
        }
        let checked = check_held_back(records.path(), &[]);
        // The folder must be removable again.
        for path in forbidden {
            fs::set_permissions(at(path), fs::Permissions::from_mode(0o755)).unwrap();
        }
        assert_unread(&checked, "machines/dunlin.yaml", "permission denied");
        assert_unread(&checked, "service/heron", "permission denied");
        assert!(
            !out(&checked).contains("elsewhere"),
            "no record can lie there: {}",
            out(&checked)
        );
        assert!(
            out(&checked).contains("calibrations/heron/2026-03-09.yaml:"),
            "the others are checked all the same"
        );
    }

    #[test]
    fn records_that_may_not_be_listed_are_told() {
        let records = clean_records();
        forbid(&records.path().join("machines"));
        let checked = check_held_back(records.path(), &[]);
        fs::set_permissions(
            records.path().join("machines"),
            fs::Permissions::from_mode(0o755),
        )
        .unwrap();
        assert_unread(&checked, "machines", "permission denied");
    }
}

/// Neither of two files of one thing counts, and whatever command is asked says that something is amiss.
#[test]
fn every_command_tells_of_two_files_of_one_thing() {
    let records = clean_records();
    let folder = records.path();
    let run = |command: &str, more: &[&str]| {
        let mut program = program(folder);
        let dated = program.args([command, "--today", "2026-06-01"]);
        dated.args(more).output().unwrap()
    };
    assert!(out(&run("due", &[])).contains("heron"));
    assert_eq!(errors(&run("rules", &[])), "");
    write(folder, "machines/heron.yml", MACHINE);
    let checked = check(folder, &["--format", "plain"]);
    assert_eq!(code(&checked), 1);
    for name in ["machines/heron.yaml", "machines/heron.yml"] {
        assert!(out(&checked).contains(name), "{}", out(&checked));
    }
    let due = out(&run("due", &[]));
    assert!(
        due.contains("1 error on the records may change this list"),
        "{due}"
    );
    let figures = out(&run("figures", &[]));
    assert!(
        figures.contains("2 files could not be made sense of"),
        "{figures}"
    );
    fs::remove_file(folder.join("machines/heron.yml")).unwrap();
    let limited = "limits: {overdue: {warning: 3 months, because: a wet year}}\n";
    let named = ["overdue"];
    write(folder, "fleet.yaml", &format!("{FLEET}{limited}"));
    assert!(out(&run("rules", &named)).contains("at most 3 months"));
    write(folder, "fleet.yml", FLEET);
    let rules = run("rules", &named);
    assert!(!out(&rules).contains("at most 3 months"), "{}", out(&rules));
    let told = errors(&rules);
    assert!(
        told.contains("1 error may change these rules, at fleet.yml:1:9"),
        "{told}"
    );
}

/// The list of a night is not green where what does not count may be what is due.
#[test]
fn a_list_that_lacks_a_machine_is_not_nothing_due() {
    let records = clean_records();
    let due = || {
        program(records.path())
            .args(["due", "--today", "2026-06-01"])
            .output()
            .unwrap()
    };
    write(records.path(), "machines/heron.yml", MACHINE);
    let listed = due();
    assert_eq!(code(&listed), 2, "{}{}", out(&listed), errors(&listed));
    let told = out(&listed)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(told.contains("the list is not complete"), "{told}");
    assert!(told.contains("machines/heron.yml"), "{told}");
}
