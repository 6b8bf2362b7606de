//! A visit that is kept elsewhere than among the records, gone on with: nothing of anybody's is written over, and nothing
//! changes unseen.

use crate::fixture::{Files, folder, listing, reading, tree};
use jiff::civil::date;
use swathlint::Workspace;
use swathlint::draft::{Changed, GoneOn, Kept, Session, Wanted};

const FIRST: &str = "calibrations/heron/2026-06-01.yaml";
const SECOND: &str = "calibrations/heron/2026-06-01-2.yaml";
const THIRD: &str = "calibrations/heron/2026-06-01-3.yaml";

fn saltmere() -> Files {
    tree(&folder().join("saltmere"))
}

fn gone_on(files: &Files, setup: &str, kept: Kept) -> GoneOn {
    let day = date(2026, 6, 1);
    let (fleet, failures) = Workspace::of(&listing(files), &reading(files), day);
    assert!(failures.is_empty());
    let wanted = Wanted {
        machine: "heron",
        setup: Some(setup),
        day,
        by: None,
    };
    Session::go_on(fleet, &wanted, kept).unwrap()
}

fn log(values: &[(&str, &str)]) -> Vec<(String, String)> {
    let values = values.iter();
    values
        .map(|(key, text)| ((*key).to_owned(), (*text).to_owned()))
        .collect()
}

/// A visit as it is kept: its log, and its record at the end of it.
fn kept(session: &Session) -> Kept {
    let log = session.entered().log().to_vec();
    Kept {
        record: Some((log.len(), session.record())),
        path: Some(session.path().to_owned()),
        log,
        taken: Vec::new(),
    }
}

fn typed(setup: &str, values: &[(&str, &str)]) -> Session {
    let kept = Kept {
        log: log(values),
        ..Kept::default()
    };
    gone_on(&saltmere(), setup, kept).session
}

const CAUGHT: [(&str, &str); 4] = [
    ("by", "rm"),
    ("catch.1.pressure", "36"),
    ("catch.1.duration", "30"),
    ("catch.1.nozzle.1", "36,5"),
];

#[test]
fn the_record_of_another_setup_keeps_its_name() {
    let mut files = saltmere();
    let other = typed("greens", &CAUGHT).record();
    files.insert(FIRST.to_owned(), other);
    let visit = gone_on(&files, "fairways", Kept::default());
    assert_eq!(visit.session.path(), SECOND);
    assert!(!visit.is_of_record && visit.session.entered().is_empty());
}

#[test]
fn a_record_of_the_visit_is_gone_on_with_and_one_of_somebody_else_is_left_alone() {
    let mut files = saltmere();
    let before = typed("fairways", &CAUGHT);
    files.insert(FIRST.to_owned(), before.record());
    let visit = gone_on(&files, "fairways", Kept::default());
    assert_eq!(visit.session.path(), FIRST);
    assert!(visit.is_of_record);
    assert_eq!(visit.session.record(), before.record());

    // What is kept goes on with that record.
    let more = [&CAUGHT[..], &[("catch.1.nozzle.2", "36.4")]].concat();
    let visit = gone_on(&files, "fairways", kept(&typed("fairways", &more)));
    assert_eq!(visit.session.path(), FIRST);
    assert!(!visit.is_of_record && visit.changed.is_nothing());

    // What is kept is another visit, or the record holds what the form cannot keep.
    let other = kept(&typed("fairways", &[("catch.1.nozzle.1", "35")]));
    assert_eq!(
        gone_on(&files, "fairways", other.clone()).session.path(),
        SECOND
    );
    files.insert(
        FIRST.to_owned(),
        format!("{}notes: wind\n", before.record()),
    );
    for kept in [other, Kept::default(), kept(&before)] {
        let visit = gone_on(&files, "fairways", kept);
        assert_eq!(visit.session.path(), SECOND);
        assert!(!visit.is_of_record);
    }
}

#[test]
fn two_visits_that_are_kept_have_two_names() {
    let files = saltmere();
    let first = kept(&typed("fairways", &CAUGHT));
    let beside = |taken: &[&str], path: Option<&str>| {
        let taken = taken.iter().map(|path| (*path).to_owned()).collect();
        let kept = Kept {
            taken,
            path: path.map(str::to_owned),
            ..Kept::default()
        };
        gone_on(&files, "greens", kept).session.path().to_owned()
    };
    assert_eq!(first.path.as_deref(), Some(FIRST));
    assert_eq!(beside(&[FIRST], None), SECOND);
    assert_eq!(beside(&["calibrations/heron/2026-06-01.YML"], None), SECOND);
    assert_eq!(beside(&[FIRST], Some(THIRD)), THIRD);
    assert_eq!(beside(&[], Some(SECOND)), SECOND);
    for other in [
        "../../fleet.yaml",
        "machines/heron.yaml",
        "calibrations/heron/2026-06-02.yaml",
        "",
    ] {
        assert_eq!(beside(&[], Some(other)), FIRST, "{other}");
    }
}

/// Whoever goes on with a visit after the records changed is told what its record says now, and what it said.
#[test]
fn records_that_changed_are_told() {
    let before = kept(&typed("fairways", &CAUGHT));
    assert!(
        gone_on(&saltmere(), "fairways", before.clone())
            .changed
            .is_nothing()
    );

    // A value that was typed after the record was kept is no change of the records.
    let mut later = before.clone();
    later
        .log
        .push(("catch.1.nozzle.2".to_owned(), "36.4".to_owned()));
    let visit = gone_on(&saltmere(), "fairways", later);
    assert!(visit.changed.is_nothing(), "{:?}", visit.changed);
    assert!(visit.session.record().contains("[36.5, 36.4, ~]"));

    let changed = |path: &str, from: &str, to: &str| {
        let mut files = saltmere();
        let text = files[path].clone();
        assert!(text.contains(from), "{from} is not in {path}");
        files.insert(path.to_owned(), text.replace(from, to));
        gone_on(&files, "fairways", before.clone()).changed
    };
    let lines = |lines: &[&str]| {
        lines
            .iter()
            .map(|line| (*line).to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(
        changed(
            "machines/heron.yaml",
            "pressure: 36 psi",
            "pressure: 2.5 bar"
        ),
        Changed {
            was: lines(&["- pressure: 36 psi"]),
            is: lines(&["- pressure: 36 bar"]),
        }
    );
    let sections = changed("machines/heron.yaml", "{name: far-left,", "{name: outside,");
    assert_eq!(sections.was, lines(&["far-left: [36.5, ~, ~]"]));
    assert_eq!(sections.is, lines(&["outside: [36.5, ~, ~]"]));
}
