//! `swathlint draft` and `swathlint enter`: what is written, when, and what is never written over. The record is that of
//! the session, whatever was interrupted or taken back on the way.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes and reads files as its user does"
)]

use crate::fixture::{folder, listing, reading, tree};
use crate::harmless::assert_harmless;
use crate::versioned::{PROGRAM, copy};
use jiff::civil::date;
use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};
use swathlint::Workspace;
use swathlint::draft::{Dialogue, Entered, Session, Wanted};
use swathlint::render::{Paper, sheet};
use tempfile::TempDir;

const DAY: &str = "2026-06-01";

/// The demo fleet, to write in.
struct Fleet(TempDir);

impl Fleet {
    fn new() -> Self {
        let scratch = tempfile::tempdir().unwrap();
        copy(&folder().join("saltmere"), scratch.path());
        Self(scratch)
    }

    fn path(&self, path: &str) -> PathBuf {
        self.0.path().join(path)
    }

    fn record(&self, machine: &str) -> PathBuf {
        self.path(&format!("calibrations/{machine}/{DAY}.yaml"))
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command
            .current_dir(self.0.path())
            .env("NO_COLOR", "1")
            .args(arguments)
            .args(["--date", DAY])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        command
    }

    fn spawned(&self, arguments: &[&str]) -> Child {
        self.command(arguments).spawn().unwrap()
    }

    /// The exit code, the output and the errors of a command that is given lines.
    fn run(&self, arguments: &[&str], lines: &[&str]) -> (i32, String, String) {
        let mut child = self.spawned(arguments);
        let mut input = child.stdin.take().unwrap();
        let text = lines.iter().map(|line| format!("{line}\n"));
        // A program that ends early reads no more.
        input.write_all(text.collect::<String>().as_bytes()).ok();
        drop(input);
        said(&child.wait_with_output().unwrap())
    }
}

fn said(output: &Output) -> (i32, String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    let code = output.status.code().unwrap();
    (code, text(&output.stdout), text(&output.stderr))
}

fn session(machine: &str, setup: Option<&str>) -> Session {
    session_of("saltmere", machine, setup)
}

fn session_of(fleet: &str, machine: &str, setup: Option<&str>) -> Session {
    let day = date(2026, 6, 1);
    let files = tree(&folder().join(fleet));
    let (fleet, _) = Workspace::of(&listing(&files), &reading(&files), day);
    let wanted = Wanted {
        machine,
        setup,
        day,
        by: None,
    };
    Session::open(fleet, &wanted).unwrap()
}

/// The lines that a visit is typed with in the order it is asked for, and the record of a session with the same values.
fn typed(machine: &str, setup: Option<&str>, values: &[(&str, &str)]) -> (Vec<String>, String) {
    let known: BTreeMap<&str, &str> = values.iter().copied().collect();
    let mut dialogue = Dialogue::new(session(machine, setup), Entered::default(), false);
    let mut lines = Vec::new();
    let mut visit = session(machine, setup);
    while dialogue.question().is_some() {
        let key = dialogue.next().unwrap().key.clone();
        let line = known.get(key.as_str()).copied().unwrap_or("skip");
        if line != "skip" {
            visit.type_in(&key, line);
        }
        dialogue.answer(line);
        lines.push(line.to_owned());
    }
    let asked: Vec<&str> = lines
        .iter()
        .map(String::as_str)
        .filter(|line| *line != "skip")
        .collect();
    assert_eq!(
        asked.len(),
        values.len(),
        "every value is asked for: {asked:?}"
    );
    (lines, visit.record())
}

fn strs(lines: &[String]) -> Vec<&str> {
    lines.iter().map(String::as_str).collect()
}

const HERON: [&str; 4] = ["enter", "heron", "--setup", "fairways"];

/// A nozzle that is off and caught again, and a speed factor that is entered and tested.
fn heron() -> (Vec<String>, String) {
    let mut values = vec![
        ("by", "rm"),
        ("hours", "470,5"),
        ("preparation.rinsed", "yes"),
        ("preparation.neutralized", "yes"),
        ("preparation.liquid", "clean water"),
        ("preparation.protective-gear", "gloves, eye protection"),
        ("catch.1.pressure", "36"),
        ("catch.1.duration", "30"),
        ("catch.2.pressure", "36"),
        ("catch.2.duration", "30"),
        ("catch.2.nozzle.7", "36.5"),
        ("speed.1.surface", "turf"),
        ("speed.1.tank", "half"),
        ("speed.1.run.1.elapsed", "32.4"),
        ("speed.1.run.1.shown", "180"),
        ("speed.1.run.2.elapsed", "32.5"),
        ("speed.1.run.2.shown", "181"),
        ("speed.1.run.3.elapsed", "32.6"),
        ("speed.1.run.3.shown", "180"),
        ("speed.2.run.1.elapsed", "32.4"),
        ("speed.2.run.1.shown", "180"),
        ("speed.2.run.2.elapsed", "32.5"),
        ("speed.2.run.2.shown", "180"),
        ("speed.2.run.3.elapsed", "32.6"),
        ("speed.2.run.3.shown", "181"),
        ("speed.2.after", "1050"),
        ("speed.3.run.1.elapsed", "32.4"),
        ("speed.3.run.1.shown", "200"),
        ("speed.3.run.2.elapsed", "32.5"),
        ("speed.3.run.2.shown", "200"),
        ("speed.3.run.3.elapsed", "32.6"),
        ("speed.3.run.3.shown", "200"),
        ("balance.entered-speed", "4.2"),
        ("balance.rate-control", "manual"),
        ("balance.all-on", "40"),
        ("balance.off.1.as-found", "43,5"),
        ("balance.off.1.as-left", "40.2"),
        ("balance.off.2.as-found", "40.1"),
        ("balance.off.3.as-found", "40.2"),
        ("balance.off.4.as-found", "40"),
        ("balance.off.5.as-found", "40.1"),
    ];
    let nozzles: Vec<String> = (1..=15)
        .map(|number| format!("catch.1.nozzle.{number}"))
        .collect();
    for (at, key) in nozzles.iter().enumerate() {
        let caught = if at == 6 {
            "42,8"
        } else {
            ["36.5", "36", "36,5"][at % 3]
        };
        values.push((key, caught));
    }
    typed("heron", Some("fairways"), &values)
}

#[test]
fn a_visit_in_us_units_is_asked_for_in_order_and_written_as_the_session_has_it() {
    let fleet = Fleet::new();
    let (lines, record) = heron();
    let (code, out, errors) = fleet.run(&HERON, &strs(&lines));
    assert_eq!(code, 0, "{out}{errors}");
    assert_eq!(fs::read_to_string(fleet.record("heron")).unwrap(), record);
    for said in [
        "nozzle 7, fl oz (target 36.4, 32.8 to 40.0; last 36.0): 42,8",
        "17.5% high: catch it again",
        "Catch test again",
        "Speed test again",
        "help: ",
        "far-left off, gal/acre (target 40",
    ] {
        assert!(errors.contains(said), "{said} is not in:\n{errors}");
    }
    assert!(
        out.contains(
            "nothing is due for heron, fairways\nNo test keeps the machine from spraying. "
        ),
        "{out}"
    );
    // What is found in the end is what a check of the record finds.
    let mut check = Command::new(PROGRAM);
    check.current_dir(fleet.0.path()).env("NO_COLOR", "1");
    check
        .args(["check", "--today", DAY])
        .arg(fleet.record("heron"));
    let checked = said(&check.output().unwrap()).1;
    let findings = |text: &str| text.split("\nnot calculated").next().unwrap().to_owned();
    assert_eq!(findings(&checked), findings(&out));
}

/// By pressure the rate is off as the root of what is read: 0.95² and 1.05² of 39 psi are 35.20 and 43.00, of 3 bar 2.71 and
/// 3.31.
#[test]
fn a_balance_by_pressure_has_the_same_lines_at_the_machine_and_on_the_sheet() {
    for (fleet, machine, all_on, lines) in [
        ("saltmere", "turnstone", "39 psi", "35.2 to 42.9"),
        ("benches/plover/good", "plover", "3 bar", "2.71 to 3.30"),
    ] {
        let visit = || session_of(fleet, machine, None);
        let mut dialogue = Dialogue::new(visit(), Entered::default(), true);
        let asked = loop {
            let question = dialogue.question().unwrap();
            let key = dialogue.next().unwrap().key.clone();
            match key.as_str() {
                "balance.all-on" => dialogue.answer(all_on),
                "balance.off.1.as-found" => break question.words,
                _ => dialogue.answer("skip"),
            };
        };
        assert!(asked.contains(&format!(", {lines}")), "{asked}");
        let sheet = sheet(visit().form(), Paper::Letter);
        for line in ["all on × 0.903<", "all on × 1.102<"] {
            assert!(sheet.contains(line), "{line}");
        }
    }
}

#[test]
fn a_catch_that_is_weighed_begins_with_the_scale() {
    let begun = |machine, setup| {
        let mut dialogue = Dialogue::new(session(machine, setup), Entered::default(), true);
        let mut told = String::new();
        loop {
            let question = dialogue.question().unwrap();
            told.push_str(&question.heading.concat());
            if dialogue.next().unwrap().key == "catch.1.pressure" {
                return told;
            }
            dialogue.answer("skip");
        }
    };
    let zero = "Zero the scale with the empty wet jug on it";
    assert!(begun("curlew", None).contains(zero));
    assert!(!begun("heron", Some("fairways")).contains(zero));
}

#[test]
fn a_visit_in_si_units_is_written_as_the_session_has_it_and_what_is_not_begun_stays_due() {
    let fleet = Fleet::new();
    let mut values = vec![
        ("by", "ko"),
        ("catch.1.pressure", "2,8"),
        ("catch.1.duration", "30"),
    ];
    let nozzles: Vec<String> = (1..=18)
        .map(|number| format!("catch.1.nozzle.{number}"))
        .collect();
    values.extend(nozzles.iter().map(|key| (key.as_str(), "775")));
    let mut visit = session("avocet", None);
    for (key, value) in &values {
        visit.type_in(key, value);
    }
    let mut lines = vec!["ko", "next", "add catch", "go catch.1.pressure", "2,8"];
    lines.extend(["go seconds", "30", "go nozzle 1"]);
    lines.extend(nozzles.iter().map(|_| "775"));
    lines.push("done");
    let (code, out, errors) = fleet.run(&["enter", "avocet"], &lines);
    let record = fs::read_to_string(fleet.record("avocet")).unwrap();
    assert_eq!(record, visit.record(), "{errors}");
    assert!(
        record.contains("pressure: 2.8 bar") && !record.contains("meter-tests"),
        "{record}"
    );
    let has_error = visit
        .check()
        .findings
        .iter()
        .any(|told| told.severity().word() == "error");
    assert_eq!(code, i32::from(has_error), "{out}");
    let due: Vec<String> = visit
        .stays()
        .steps()
        .iter()
        .map(|step| format!("still due: {},", step.step))
        .collect();
    for step in &due {
        assert!(out.contains(step.as_str()), "{step} is not in:\n{out}");
    }
    assert!(errors.contains("nozzle 1, mL"), "{errors}");
}

/// Waits until a file holds a text.
fn wait_for(file: &Path, text: &str) {
    let begun = Instant::now();
    while !fs::read_to_string(file).is_ok_and(|held| held.contains(text)) {
        assert!(
            begun.elapsed() < Duration::from_mins(1),
            "{text} is never in {}",
            file.display()
        );
        thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn what_was_typed_before_the_program_was_killed_is_there_and_is_gone_on_with() {
    let fleet = Fleet::new();
    let (lines, record) = heron();
    let at = lines.iter().position(|line| line == "42,8").unwrap() + 1;
    let mut child = fleet.spawned(&HERON);
    let mut input = child.stdin.take().unwrap();
    for line in &lines[..at] {
        writeln!(input, "{line}").unwrap();
    }
    input.flush().unwrap();
    wait_for(&fleet.record("heron"), "42.8");
    child.kill().unwrap();
    child.wait().unwrap();
    let folder = fleet.path("calibrations/heron");
    let hidden = |entry: &fs::DirEntry| entry.file_name().to_string_lossy().starts_with('.');
    let left = fs::read_dir(folder)
        .unwrap()
        .filter(|entry| hidden(entry.as_ref().unwrap()));
    assert_eq!(left.count(), 0);
    let (code, out, errors) = fleet.run(&HERON, &strs(&lines[at..]));
    assert_eq!(code, 0, "{out}{errors}");
    assert!(
        errors.contains(&format!("Going on with calibrations/heron/{DAY}.yaml")),
        "{errors}"
    );
    assert_eq!(fs::read_to_string(fleet.record("heron")).unwrap(), record);
}

#[test]
fn a_value_is_taken_back_or_refused_and_the_record_follows() {
    let fleet = Fleet::new();
    let lines = [
        "undo",
        "",
        "?",
        "list",
        "by",
        "undo",
        "rm",
        "1,234",
        "470",
        "go nozzle 99",
        "add catch",
        "next",
        "36 mph",
        "36",
        "30",
        "plugged",
        "0",
        "Missed",
        "skip",
        "undo",
        "36.5",
        "undo",
        "36.6",
        "go speed",
        "again rest",
        "again balance",
        "again catch",
        "list",
        "done",
    ];
    let (code, _, errors) = fleet.run(&HERON, &lines);
    assert_eq!(code, 1, "{errors}");
    let record = fs::read_to_string(fleet.record("heron")).unwrap();
    for line in [
        "by: rm\n",
        "hours: 470 h\n",
        "pressure: 36 psi\n",
        "far-left: [0, missed, 36.6]\n",
    ] {
        assert!(record.contains(line), "{line} is not in:\n{record}");
    }
    for said in [
        "nothing to take back",
        "type the initials, or skip",
        "undo         take back",
        "nothing was entered yet",
        "took back: initials",
        "type 1.234 or 1234",
        "no value `nozzle 99`",
        "type 0 for a plugged nozzle, and missed",
        "nozzle 1 0 fl oz",
        "Speed test, void",
        "type again with catch, flow or speed",
        "a record takes no more tests of it",
        "Catch test again",
    ] {
        assert!(errors.contains(said), "{said} is not in:\n{errors}");
    }
}

#[test]
fn nothing_is_written_over_that_somebody_else_wrote() {
    let fleet = Fleet::new();
    // Nothing typed, nothing written.
    assert_eq!(fleet.run(&HERON, &["done"]).0, 0);
    assert!(!fleet.record("heron").exists());
    let refused = |text: &str, says: &str| {
        fs::write(fleet.record("heron"), text).unwrap();
        let (code, out, errors) = fleet.run(&HERON, &["rm"]);
        assert_eq!((code, out.as_str()), (2, ""), "{errors}");
        let errors = errors.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(errors.contains(says), "{says} is not in: {errors}");
        assert_eq!(fs::read_to_string(fleet.record("heron")).unwrap(), text);
    };
    let record = "record: calibration\nmachine: heron\ndate: 2026-06-01\nby: rm\nsetup: fairways\n";
    refused(
        &format!("{record}notes: windy\n"),
        "line 6: `notes` would be lost or changed",
    );
    refused("record: [", "the record cannot be read");
    refused(
        &format!("{record}# windy\n"),
        "line 6 has a comment that would be lost",
    );
    let no_text = [record.as_bytes(), b"notes: caf\xe9\n"].concat();
    fs::write(fleet.record("heron"), &no_text).unwrap();
    let (code, out, errors) = fleet.run(&HERON, &["rm"]);
    assert_eq!((code, out.as_str()), (2, ""), "{errors}");
    assert!(errors.contains("is not UTF-8 text"), "{errors}");
    assert_eq!(fs::read(fleet.record("heron")).unwrap(), no_text);
    // Changed while the program waits.
    fs::write(fleet.record("heron"), record).unwrap();
    let mut child = fleet.spawned(&HERON);
    let mut input = child.stdin.take().unwrap();
    writeln!(input, "471").unwrap();
    wait_for(&fleet.record("heron"), "471 h");
    fs::write(fleet.record("heron"), format!("{record}notes: mine\n")).unwrap();
    writeln!(input, "yes").unwrap();
    drop(input);
    let (code, _, errors) = said(&child.wait_with_output().unwrap());
    assert_eq!(code, 2, "{errors}");
    assert!(errors.contains("it was changed"), "{errors}");
    assert!(
        fs::read_to_string(fleet.record("heron"))
            .unwrap()
            .ends_with("notes: mine\n")
    );
    // Another setup that day has a record of its own.
    let (_, _, errors) = fleet.run(&["enter", "heron", "--setup", "greens"], &["rm"]);
    let second = fleet.path(&format!("calibrations/heron/{DAY}-2.yaml"));
    assert!(
        fs::read_to_string(second)
            .unwrap()
            .contains("setup: greens"),
        "{errors}"
    );
}

#[cfg(unix)]
#[test]
fn no_record_is_written_through_a_link() {
    use std::os::unix::fs::symlink;
    let fleet = Fleet::new();
    let outside = tempfile::tempdir().unwrap();
    let target = outside.path().join("target.yaml");
    symlink(&target, fleet.record("heron")).unwrap();
    let (code, _, errors) = fleet.run(&HERON, &["rm"]);
    assert_eq!(code, 2, "{errors}");
    assert!(!target.exists());
    let calibrations = fleet.path("calibrations/dunlin");
    fs::remove_dir_all(&calibrations).unwrap();
    symlink(outside.path(), &calibrations).unwrap();
    for (arguments, line) in [
        (&["enter", "dunlin"][..], "rm"),
        (&["draft", "dunlin", "--write"], ""),
    ] {
        let (code, _, errors) = fleet.run(arguments, &[line]);
        assert_eq!(code, 2, "{errors}");
    }
    assert_eq!(fs::read_dir(outside.path()).unwrap().count(), 0);
}

#[test]
fn a_draft_is_written_once_and_gone_on_with() {
    let fleet = Fleet::new();
    let draft = ["draft", "heron", "--setup", "fairways", "--by", "rm"];
    let (code, printed, errors) = fleet.run(&draft, &[]);
    assert_eq!((code, errors.as_str()), (0, ""));
    assert!(!printed.contains("yaml-language-server") && !fleet.record("heron").exists());
    assert!(
        printed.contains("catch-tests:") && !printed.contains("meter-tests:"),
        "{printed}"
    );
    let (_, all, _) = fleet.run(&[&draft[..], &["--all"]].concat(), &[]);
    assert!(
        all.contains("meter-tests:") && all.contains("factor: {before: 636}"),
        "{all}"
    );
    // With a schema beside the records, an editor is told of it.
    fs::create_dir(fleet.path("schemas")).unwrap();
    fs::write(fleet.path("schemas/calibration.json"), "{}").unwrap();
    let write = [&draft[..], &["--write"]].concat();
    let (code, out, errors) = fleet.run(&write, &[]);
    assert_eq!(code, 0, "{out}{errors}");
    let record = fs::read_to_string(fleet.record("heron")).unwrap();
    let schema = "# yaml-language-server: $schema=../../schemas/calibration.json\n";
    assert_eq!(record, format!("{schema}{printed}"));
    let (code, _, errors) = fleet.run(&write, &[]);
    assert_eq!(code, 2);
    assert!(
        errors.contains("is there already") && errors.contains("swathlint enter heron"),
        "{errors}"
    );
    assert_eq!(fs::read_to_string(fleet.record("heron")).unwrap(), record);
    let (lines, whole) = heron();
    let (code, out, errors) = fleet.run(&HERON, &strs(&lines[1..]));
    assert_eq!(code, 0, "{out}{errors}");
    assert_eq!(fs::read_to_string(fleet.record("heron")).unwrap(), whole);
}

#[test]
fn every_step_is_drafted_where_none_is_due() {
    let fleet = Fleet::new();
    let (lines, _) = heron();
    assert_eq!(fleet.run(&HERON, &strs(&lines)).0, 0);
    let mut next = Command::new(PROGRAM);
    next.current_dir(fleet.0.path()).env("NO_COLOR", "1");
    next.args([
        "draft",
        "heron",
        "--setup",
        "fairways",
        "--date",
        "2026-06-02",
    ]);
    let (code, out, errors) = said(&next.output().unwrap());
    assert_eq!(code, 0, "{errors}");
    assert!(
        out.contains("meter-tests:") && out.contains("section-balance:"),
        "{out}"
    );
    assert!(errors.contains("nothing is due for heron"), "{errors}");
    let (code, _, errors) = fleet.run(&["draft", "heron"], &[]);
    assert_eq!(code, 2);
    assert!(errors.contains("--setup"), "{errors}");
    let (code, _, errors) = fleet.run(&["enter", "herron"], &[]);
    assert_eq!(code, 2);
    assert!(errors.contains("did you mean `heron`?"), "{errors}");
}

#[test]
fn nothing_that_is_named_or_typed_drives_a_terminal() {
    let fleet = Fleet::new();
    let machine = fleet.path("machines/heron.yaml");
    let text = fs::read_to_string(&machine).unwrap();
    let hostile = r#""a\e[31m ##vso[task] ::error \u202e""#;
    let text = text.replace("  fairways: {", &format!("  {hostile}: {{"));
    let text = text.replace("{name: left,", &format!("{{name: {hostile},"));
    let text = text.split("  greens:").next().unwrap();
    fs::write(&machine, text).unwrap();
    let (code, record, errors) = fleet.run(&["draft", "heron", "--by", "\u{1b}[31mrm"], &[]);
    assert_eq!(code, 0, "{errors}");
    assert!(record.contains("vso"), "{record}");
    assert_harmless("draft", &record, "\n");
    assert_harmless("draft", &errors, "\n");
    let lines = [
        "\u{1b}[31mrm",
        "::error",
        "go \u{1b}[2J",
        "list",
        "##vso[task]",
        "next",
        "list",
        "done",
    ];
    let (code, out, errors) = fleet.run(&["enter", "heron"], &lines);
    assert!(code < 2, "{errors}");
    assert!(errors.contains("vso"), "{errors}");
    let record = fs::read_to_string(fleet.record("heron")).unwrap();
    for text in [&out, &errors, &record] {
        assert_harmless("enter", text, "\n");
    }
}
