//! Records that are not read: in the wrong folder, hidden, or with another ending; each is told, and nothing else is

use crate::fixture::{Files, checked, folder, found, tree};
use crate::versioned::{PROGRAM, Repository, TODAY, VISIT, findings, program, ran, rules};
use std::fs;
use std::process::Command;

/// The clean fleet, and one file more.
fn with(path: &str, text: &str) -> Files {
    let mut files = tree(&folder().join("base"));
    files.insert(path.to_owned(), text.to_owned());
    files
}

fn told(path: &str, text: &str) -> Vec<String> {
    found(&checked(&with(path, text), "2026-06-01"))
}

#[test]
fn a_record_that_is_not_read_is_told_where_it_lies() {
    let visit = &tree(&folder().join("base"))[VISIT];
    for (path, severity) in [
        ("calibration/heron/2026-04-20.yaml", "error"),
        ("Calibration/heron/2026-04-20.yaml", "error"),
        ("calibrations/2026-04-20.yaml", "error"),
        ("calibrations/heron/2026/04-20.yaml", "error"),
        ("calibrations/heron/.2026-04-20.yaml", "error"),
        ("calibrations/.heron/2026-04-20.yaml", "error"),
        (".calibrations/heron/2026-04-20.yaml", "error"),
        ("calibrations/heron/2026-04-20.txt", "error"),
        ("calibrations/heron/2026-04-20.yaml.txt", "error"),
        ("calibrations/heron/2026-04-20", "error"),
        ("calibrations/heron/2026-04-20.md", "error"),
        ("calibrations/heron/2026-04-20.json", "error"),
        ("calibrations/heron/2026-04-20.yaml.bak", "error"),
        ("calibrations/heron/2026-04-20.yaml~", "error"),
        ("calibrations/heron/2026-04-20.yaml.disabled", "error"),
        ("calibrations/heron/2026-04-20.yaml ", "error"),
        ("applications/heron/2026-04-20.pdf", "error"),
        ("2026-04-20.yaml", "error"),
        ("forms/2026-04-20.yaml", "warning"),
    ] {
        let wanted = format!("{path}:1 record-not-read {severity}");
        assert_eq!(told(path, visit), [wanted], "{path}");
        let commented = format!("# copied\n\n---\n{}", visit.replace('\n', "\r\n"));
        let wanted = format!("{path}:4 record-not-read {severity}");
        assert_eq!(told(path, &commented), [wanted], "{path}");
    }
}

#[test]
fn what_is_no_record_or_lies_where_no_record_does_is_not_told() {
    let visit = &tree(&folder().join("base"))[VISIT];
    let large = format!("{visit}# {}\n", "x".repeat(swathlint::tree::SMALL));
    let late = format!("# {}\n{visit}", "x".repeat(5_000));
    for (path, text) in [
        (".github/workflows/records.yml", visit.as_str()),
        (
            "calibrations/heron/2026-04-20.pdf",
            "%PDF-1.7\nrecord: calibration\n",
        ),
        (
            "calibrations/README.md",
            "How to write one:\n\nrecord: calibration\n",
        ),
        ("2026-04-20.pdf", visit),
        ("notes.txt", "the record: calibration of March\n"),
        ("zone.yaml", "record: A 192.0.2.1\n"),
        ("compose.yaml", "services: {}\n"),
        ("notes.yaml", "rows:\n  record: calibration\n"),
        ("large.yaml", &large),
        ("late.yaml", &late),
    ] {
        assert_eq!(told(path, text), Vec::<String>::new(), "{path}");
    }
}

#[test]
fn one_that_is_written_as_json_is_told_too() {
    let visit = "{\n  \"record\": \"calibration\", \"machine\": \"heron\"\n}\n";
    let path = "calibrations/heron/2026-04-20.json";
    assert_eq!(
        told(path, visit),
        [format!("{path}:2 record-not-read error")]
    );
}

#[test]
fn records_with_a_root_of_their_own_are_one_note() {
    let mut files = tree(&folder().join("base"));
    for (path, text) in files.clone() {
        files.insert(format!("other/{path}"), text);
    }
    let report = checked(&files, "2026-06-01");
    assert_eq!(found(&report), ["other/fleet.yaml:1 record-not-read note"],);
    assert_eq!(
        report.findings[0].help_text(),
        Some("check them by themselves: swathlint check other")
    );
}

#[test]
fn many_are_told_in_few_lines() {
    let mut files = tree(&folder().join("base"));
    let visit = files[VISIT].clone();
    for n in 0..300 {
        files.insert(format!("old/{n}.yaml"), visit.clone());
    }
    let report = checked(&files, "2026-06-01");
    assert_eq!(report.findings.len(), 100);
    let last = report
        .findings
        .iter()
        .filter(|one| one.message().contains("201 more records"));
    assert_eq!(last.count(), 0);
    let last = report
        .findings
        .iter()
        .filter(|one| one.message().contains("200 more records"));
    assert_eq!(last.count(), 1);
}

/// In a folder, staged and compared; no link leads to one.
#[test]
fn the_program_tells_of_them_in_every_way_it_is_asked() {
    let repository = Repository::new();
    let visit = repository.read(VISIT);
    repository.write("calibrations/heron/.2026-04-20.yaml", &visit);
    repository.git(&["add", "--all"]);
    for more in [&["--staged"][..], &["--compared-with=main"], &[]] {
        let ran = ran(program(&repository.records).args(more));
        assert_eq!(
            (ran.code, rules(&ran)),
            (1, vec!["record-not-read"]),
            "{more:?}: {}",
            ran.printed
        );
    }
    repository.land("hidden");
    assert_eq!(repository.compared_with("main").code, 0);
    #[cfg(unix)]
    {
        fs::remove_file(
            repository
                .records
                .join("calibrations/heron/.2026-04-20.yaml"),
        )
        .unwrap();
        repository.write("kept/visit", &visit);
        let link = repository.records.join("visit.yaml");
        std::os::unix::fs::symlink("kept/visit", link).unwrap();
        let ran = ran(&mut program(&repository.records));
        assert_eq!((ran.code, findings(&ran).len()), (0, 0), "{}", ran.printed);
    }
}

/// What is asked for stands on the machine file and the fleet file: their errors are not passed over in silence.
#[test]
fn errors_that_were_not_asked_for_are_named() {
    let repository = Repository::new();
    repository.change("machines/heron.yaml", "spacing: 20 in", "spacing: 20");
    repository.change("fleet.yaml", "record: fleet", "record: fleet\nnothing: 1");
    let ran = ran(program(&repository.records).arg("calibrations"));
    assert_eq!(ran.code, 0, "{}", ran.printed);
    let told = findings(&ran);
    let is_missing = |line: &&str| line.contains(": not calculated: ");
    assert!(told.iter().all(is_missing), "{}", ran.printed);
    assert!(
        ran.printed.contains(
            "not shown: errors in fleet.yaml and machines/heron.yaml, which the rest depends on"
        ),
        "{}",
        ran.printed
    );
}

/// Waived findings are counted, and named.
#[test]
fn waived_findings_are_named() {
    let repository = Repository::new();
    crate::versioned::faulty_visit(&repository, "calibrations/heron/2026-04-20.yaml");
    repository.write(
        "waivers.yaml",
        "record: waivers\nwaivers:\n  - {rule: nozzle-off-mean, machine: heron, reason: tips are on order, by: ko, \
         from: 2026-04-20, until: 2026-07-01}\n",
    );
    for format in ["plain", "terminal"] {
        let mut command = Command::new(PROGRAM);
        let format = format!("--format={format}");
        command.current_dir(&repository.records);
        command.args(["check", "--today", TODAY, &format]);
        let printed = ran(&mut command).printed;
        let words = printed.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            words.contains(
                "waived: nozzle-off-mean at calibrations/heron/2026-04-20.yaml:15 until 2026-07-01: tips are on order"
            ),
            "{printed}"
        );
    }
}
