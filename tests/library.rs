//! The library as a program that embeds it uses it: a fleet in memory, without command line, threads and files.
//!
//! Also run with `--no-default-features`, as `.ci/run` does.
#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test reads the demo fleet")]

use jiff::civil::{Date, date};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use swathlint::quantity::calendar::Period;
use swathlint::report::Report;
use swathlint::source::PositionIn;
use swathlint::{Listing, Settings, Workspace, check, due};

const TODAY: Date = date(2026, 6, 1);

/// The demo fleet, by path.
fn saltmere() -> BTreeMap<String, String> {
    fn walk(root: &Path, folder: &Path, files: &mut BTreeMap<String, String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(root, &path, files);
            } else {
                let name = path.strip_prefix(root).unwrap().to_str().unwrap();
                files.insert(name.replace('\\', "/"), fs::read_to_string(&path).unwrap());
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/saltmere");
    let mut files = BTreeMap::new();
    walk(&root, &root, &mut files);
    files
}

fn held<'f>(files: impl IntoIterator<Item = (&'f String, &'f String)>) -> Workspace {
    let mut fleet = Workspace::new(TODAY);
    for (path, text) in files {
        fleet.set(path, text.as_str());
    }
    fleet
}

fn listing(files: &BTreeMap<String, String>) -> Listing {
    Listing {
        paths: files.keys().cloned().collect(),
        ..Listing::default()
    }
}

/// One line a finding, with all that a report says of it.
fn told(report: &Report) -> Vec<String> {
    let findings = report.findings.iter();
    let lines = findings.map(|finding| {
        let place = finding.primary().place;
        let related = finding.related().iter().map(|label| {
            let path = report.path(label.place.file);
            format!("{path} {:?} {}", label.place.span, label.text)
        });
        format!(
            "{} {:?} {} {:?} {} {:?} {:?} {:?} {:?}",
            report.path(place.file),
            place.span,
            finding.rule(),
            finding.severity(),
            finding.message(),
            finding.help_text(),
            finding.derivation(),
            finding.held(),
            related.collect::<Vec<_>>(),
        )
    });
    let mut lines: Vec<String> = lines.collect();
    lines.push(format!("{:?}", report.counts));
    lines
}

#[test]
fn a_fleet_in_memory_is_told_of_as_one_that_is_read() {
    let files = saltmere();
    let read = |path: &str| Ok(files[path].clone().into_bytes());
    let expected = check(&listing(&files), &read, &Settings::on(TODAY));
    let within = Period::Days(30);
    let expected_due = due(&listing(&files), &read, &Settings::on(TODAY), within);
    assert!(expected.findings.len() > 20);

    let in_order = held(&files);
    let backwards = held(files.iter().rev());
    // Neither by path nor back: the second half first.
    let halves = files.len() / 2;
    let turned = held(files.iter().skip(halves).chain(files.iter().take(halves)));
    let table = swathlint::figures(&listing(&files), &read, &Settings::on(TODAY));
    for mut fleet in [in_order, backwards, turned] {
        assert_eq!(told(&fleet.check()), told(&expected));
        assert_eq!(fleet.due(within), expected_due);
        let machines = fleet.machines().into_iter();
        let rows: Vec<_> = machines
            .flat_map(|machine| fleet.figures(&machine))
            .collect();
        assert_eq!(rows, table.rows);
    }
}

#[test]
fn only_the_machine_of_a_changed_file_is_assessed_again() {
    let files = saltmere();
    let mut fleet = held(&files);
    let before = told(&fleet.check());
    let machines = fleet.machines();
    assert_eq!(fleet.assessments_made(), machines.len());
    assert_eq!(told(&fleet.check()), before);
    fleet.due(Period::Days(14));
    assert_eq!(fleet.assessments_made(), machines.len(), "nothing changed");

    let (path, text) = files
        .iter()
        .rfind(|(path, _)| path.starts_with("calibrations/heron/"))
        .unwrap();
    fleet.set(path, text.replace("unit: fl oz", "unit: pints"));
    assert_ne!(told(&fleet.check()), before);
    assert_eq!(fleet.assessments_made(), machines.len() + 1);

    fleet.set(path, text.as_str());
    assert_eq!(told(&fleet.check()), before);
    assert_eq!(fleet.assessments_made(), machines.len() + 2);

    fleet.set(path, text.as_str());
    fleet.check();
    assert_eq!(
        fleet.assessments_made(),
        machines.len() + 2,
        "the same text"
    );
}

#[test]
fn files_come_and_go() {
    let files = saltmere();
    let mut fleet = held(&files);
    let before = told(&fleet.check());
    let machines = fleet.machines().len();

    fleet.set(
        "calibrations/heron/2026-05-31.yaml",
        "record: calibration\n",
    );
    let report = fleet.check();
    assert_ne!(told(&report), before);
    assert_eq!(
        fleet.assessments_made(),
        machines + 1,
        "a file more of one machine"
    );

    fleet.remove("calibrations/heron/2026-05-31.yaml");
    fleet.remove("calibrations/heron/never-there.yaml");
    assert_eq!(told(&fleet.check()), before);
    assert_eq!(fleet.assessments_made(), machines + 2);

    // A folder whose name differs in case alone: then neither counts, of another machine too.
    fleet.set("machines/HERON.yaml", "record: machine\nid: HERON\n");
    let report = fleet.check();
    let twice = report
        .findings
        .iter()
        .filter(|one| one.rule() == "duplicate-file");
    assert_eq!(twice.count(), 1);
    fleet.remove("machines/HERON.yaml");
    assert_eq!(told(&fleet.check()), before);
}

/// What is told of two files for one record points into their texts, which may change.
#[test]
fn files_that_do_not_count_change_too() {
    let mut fleet = Workspace::new(TODAY);
    fleet.set(
        "machines/heron.yaml",
        "# a long first line\nrecord: machine\nid: heron\n",
    );
    fleet.set(
        "machines/heron.yml",
        "# another long first line\nrecord: machine\nid: heron\n",
    );
    fleet.check();
    for text in [
        "record: machine\n",
        "",
        "# longer than the other two\nrecord: machine\n",
    ] {
        fleet.set("machines/heron.yml", text);
        let files = BTreeMap::from(
            [
                (
                    "machines/heron.yaml",
                    "# a long first line\nrecord: machine\nid: heron\n",
                ),
                ("machines/heron.yml", text),
            ]
            .map(|(path, text)| (path.to_owned(), text.to_owned())),
        );
        let read = |path: &str| Ok(files[path].clone().into_bytes());
        let fresh = check(&listing(&files), &read, &Settings::on(TODAY));
        assert_eq!(told(&fleet.check()), told(&fresh), "{text:?}");
        fleet.due(Period::Days(14));
    }
}

#[test]
fn a_place_of_an_earlier_text_is_none_of_a_later() {
    let mut fleet = Workspace::new(TODAY);
    fleet.set("machines/heron.yaml", "record: machine\nid: hern\n");
    let report = fleet.check();
    let mut findings = report.findings.iter();
    let finding = findings
        .find(|one| one.rule() == "unlike-file-name")
        .unwrap();
    let place = finding.primary().place;
    assert!(fleet.position(place, PositionIn::Utf16).is_some());
    fleet.set("machines/heron.yaml", "é");
    assert_eq!(fleet.position(place, PositionIn::Utf16), None);
    fleet.remove("machines/heron.yaml");
    assert_eq!(fleet.position(place, PositionIn::Utf16), None);
}

#[test]
fn what_the_group_declares_is_of_every_machine() {
    let files = saltmere();
    let mut fleet = held(&files);
    fleet.check();
    let machines = fleet.machines().len();
    let declared = files["fleet.yaml"].replace("name: ", "name: The ");
    fleet.set("fleet.yaml", declared);
    fleet.check();
    assert_eq!(fleet.assessments_made(), 2 * machines);

    fleet.set_today(date(2026, 6, 2));
    fleet.check();
    assert_eq!(fleet.assessments_made(), 3 * machines);
    fleet.set_today(date(2026, 6, 2));
    fleet.check();
    assert_eq!(fleet.assessments_made(), 3 * machines, "the same day");
}

#[test]
fn two_fleets_are_compared() {
    let files = saltmere();
    let mut before = held(&files);
    let mut fleet = held(&files);
    let all = fleet.check().findings.len();
    assert!(fleet.compared_with(&before, "main").findings.is_empty());

    let path = "applications/heron/2026-05-30.yaml";
    fleet.set(path, "record: application\nmachine: heron\n");
    let report = fleet.compared_with(&before, "main");
    assert!(!report.findings.is_empty() && report.findings.len() < all);
    let machines = |report: &Report| report.compared.as_ref().map(|one| one.passed_over);
    assert_eq!(machines(&report), Some(before.machines().len() - 1));
}

#[test]
fn places_are_counted_as_an_editor_counts() {
    let mut fleet = Workspace::new(TODAY);
    fleet.set(
        "machines/heron.yaml",
        "# 𝄞\nrecord: machine\nid: \"hé𝄞n\" # here\n",
    );
    let report = fleet.check();
    let finding = report
        .findings
        .iter()
        .find(|one| one.rule() == "unlike-file-name")
        .unwrap();
    let place = finding.primary().place;
    assert_eq!(fleet.path(place.file), Some("machines/heron.yaml"));
    for (counted_in, columns) in [
        (PositionIn::Bytes, [4, 14]),
        (PositionIn::Characters, [4, 10]),
        (PositionIn::Utf16, [4, 11]),
    ] {
        let ends = fleet.position(place, counted_in).unwrap();
        assert_eq!(ends.map(|end| end.line), [2, 2]);
        assert_eq!(ends.map(|end| end.column), columns, "{counted_in:?}");
    }
}

#[test]
fn figures_of_a_machine_are_those_of_the_table() {
    let files = saltmere();
    let mut fleet = held(&files);
    let read = |path: &str| Ok(files[path].clone().into_bytes());
    let table = swathlint::figures(&listing(&files), &read, &Settings::on(TODAY));
    let of_heron: Vec<_> = table
        .rows
        .into_iter()
        .filter(|row| row.machine == "heron")
        .collect();
    assert!(of_heron.len() > 100);
    assert_eq!(fleet.figures("heron"), of_heron);
    assert!(fleet.figures("nobody").is_empty());
}
