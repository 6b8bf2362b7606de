//! What a form asks for follows the records: its units, the number of runs, what a balance is read by, and what the boom may
//! average.

#![cfg(test)]

use crate::fixture::{Files, folder, listing, reading, tree};
use jiff::civil::{Date, date};
use swathlint::Workspace;
use swathlint::draft::{Dialogue, Entered, Extent, Field, Form, Kind, Session, Wanted, text};
use swathlint::procedure::Step;
use swathlint::quantity::calendar::Period;
use swathlint::quantity::unit::Unit;
use swathlint::render::{Paper, sheet};

const DAY: Date = date(2026, 6, 2);

/// The demo fleet with its machine and records of one machine alone, its machine file changed.
fn alone(machine: &str, changes: &[(&str, &str)]) -> Files {
    let mut files = tree(&folder().join("saltmere"));
    let own = format!("machines/{machine}.yaml");
    let records = format!("calibrations/{machine}/");
    files.retain(|path, _| *path == own || path.starts_with(&records) || path == "fleet.yaml");
    change(&mut files, &own, changes);
    files
}

fn change(files: &mut Files, path: &str, changes: &[(&str, &str)]) {
    let text = files.get_mut(path).unwrap();
    for (before, after) in changes {
        assert!(text.contains(before), "{before} is not in {path}");
        *text = text.replace(before, after);
    }
}

fn without_records(mut files: Files) -> Files {
    files.retain(|path, _| !path.starts_with("calibrations/"));
    files
}

fn workspace(files: &Files) -> Workspace {
    Workspace::of(&listing(files), &reading(files), DAY).0
}

fn session(files: &Files, machine: &str, setup: Option<&str>) -> Session {
    let wanted = Wanted {
        machine,
        setup,
        day: DAY,
        by: None,
    };
    Session::open(workspace(files), &wanted).unwrap()
}

fn form(files: &Files, machine: &str, setup: Option<&str>) -> Form {
    session(files, machine, setup).form().clone()
}

fn unit(form: &Form, field: Field) -> Unit {
    match form.at(field).map(|entry| &entry.kind) {
        Some(Kind::Quantity(_, unit)) => *unit,
        other => panic!("{field:?}: {other:?}"),
    }
}

const SAYS_NOTHING: (&str, &str) = (", pressure: 2.8 bar, speed: 6.2 km/h, rate: 300 L/ha}", "}");

#[test]
fn a_metric_setup_that_writes_no_values_is_asked_for_in_metric_units() {
    for (changes, pressure) in [
        (vec![SAYS_NOTHING], "bar"),
        // A size is a number on the tip: the spacing tells.
        (
            vec![
                SAYS_NOTHING,
                ("rated: {flow: 1.6 L/min, pressure: 3 bar}", "size: \"04\""),
            ],
            "bar",
        ),
        // What is rated in kPa is read in kPa.
        (
            vec![SAYS_NOTHING, ("pressure: 3 bar", "pressure: 300 kPa")],
            "kPa",
        ),
    ] {
        let files = without_records(alone(
            "avocet",
            &[&changes[..], &[("tank: 700 L\n", "")]].concat(),
        ));
        let mut fleet = workspace(&files);
        let errors = fleet.check().findings;
        assert!(errors.is_empty(), "{changes:?}: {errors:?}");
        let form = form(&files, "avocet", None);
        for (field, expected) in [
            (Field::Catch(0, "pressure"), pressure),
            (Field::Visit("boom-end-pressure"), pressure),
            (Field::Meter(0, "known-volume"), "L"),
            (Field::Speed(0, "distance"), "m"),
            (Field::Run(0, 0, "shown"), "m"),
            (Field::Balance("entered-speed"), "km/h"),
            (Field::Balance("all-on"), "L/ha"),
            (Field::Off(0, "as-found"), "L/ha"),
        ] {
            assert_eq!(
                unit(&form, field).to_string(),
                expected,
                "{field:?} {changes:?}"
            );
        }
        let mut visit = session(&files, "avocet", None);
        visit.type_in("catch.1.pressure", "2,8");
        let record = visit.record();
        assert!(
            record.contains(&format!("pressure: 2.8 {pressure}")),
            "{record}"
        );
        let paper = sheet(&form, Paper::A4);
        for foreign in ["psi", ", ft", "mph", "gal"] {
            assert!(!paper.contains(foreign), "{foreign} is on the sheet");
        }
    }
}

/// The questions of a visit, by the values they are of.
fn questions(files: &Files, machine: &str, setup: Option<&str>) -> Vec<(String, String)> {
    let mut dialogue = Dialogue::new(session(files, machine, setup), Entered::default(), true);
    let mut asked = Vec::new();
    while let Some(question) = dialogue.question() {
        asked.push((dialogue.next().unwrap().key.clone(), question.words));
        dialogue.answer("skip");
    }
    asked
}

const LAST: &str = "calibrations/heron/2026-03-09.yaml";

#[test]
fn digits_take_the_unit_of_what_was_read_last() {
    let mut files = alone("heron", &[]);
    let runs = "runs: [{elapsed: 32.5 s, shown: 200 ft}]}";
    change(
        &mut files,
        LAST,
        &[(
            runs,
            "runs: [{elapsed: 0.5 min, shown: 3 mph}, {elapsed: 30 s, shown: 5 km/h}, {elapsed: 30 s, shown: 200 ft}]}",
        )],
    );
    let asked = questions(&files, "heron", Some("fairways"));
    let of = |key: &str| {
        let mut all = asked.iter();
        let (_, words) = all.find(|(of, _)| of == key).unwrap();
        words.as_str()
    };
    for (key, expected) in [
        (
            "speed.1.run.1.shown",
            "run 1, console shows, mph (last 3 mph): ",
        ),
        // One column on paper, so one unit; a distance says nothing of a speed.
        (
            "speed.1.run.2.shown",
            "run 2, console shows, mph (last 3.11 mph): ",
        ),
        ("speed.1.run.3.shown", "run 3, console shows, mph: "),
    ] {
        assert_eq!(of(key), expected);
    }
    let elapsed = of("speed.1.run.1.elapsed");
    assert!(
        elapsed.starts_with("run 1, seconds (") && elapsed.contains("last 30.0 s"),
        "{elapsed}"
    );
    let mut visit = session(&files, "heron", Some("fairways"));
    visit.type_in("speed.1.run.1.elapsed", "32");
    visit.type_in("speed.1.run.1.shown", "3");
    let record = visit.record();
    assert!(record.contains("{elapsed: 32 s, shown: 3 mph}"), "{record}");
}

#[test]
fn each_reading_follows_its_own_last_reading() {
    let mut files = alone("turnstone", &[]);
    let path = "calibrations/turnstone/2026-04-08.yaml";
    let record = &files[path];
    let (head, balance) = record.split_once("section-balance:").unwrap();
    let (head, balance) = (head.to_owned(), balance.to_owned());
    let balance = balance
        .replace("all-on: 39 psi", "all-on: 2.7 bar")
        .replace("boom-end-pressure: 37 psi", "boom-end-pressure: 2.5 bar");
    files.insert(path.to_owned(), format!("{head}section-balance:{balance}"));
    let asked = questions(&files, "turnstone", None);
    let of = |key: &str| {
        let mut all = asked.iter();
        let (_, words) = all.find(|(of, _)| of == key).unwrap();
        words.as_str()
    };
    // 39 psi are 2.689 bar; the readings with a section off are read beside those with all on.
    for (key, expected) in [
        (
            "boom-end-pressure",
            "pressure at the boom end, bar (last 2.5 bar; Enter to leave it): ",
        ),
        (
            "balance.all-on",
            "all sections on, bar (target 2.69; last 2.7 bar): ",
        ),
        ("balance.off.1.as-found", "left off, bar (last 2.69 bar): "),
    ] {
        assert_eq!(of(key), expected);
    }
    // A balance that was read by rate tells nothing of pressures.
    let by_rate = balance
        .replace("2.7 bar", "50 gal/acre")
        .replace(" psi}", " gal/acre}");
    files.insert(path.to_owned(), format!("{head}section-balance:{by_rate}"));
    let form = form(&files, "turnstone", None);
    let all_on = form.at(Field::Balance("all-on")).unwrap();
    assert_eq!((all_on.kind.unit().as_str(), &all_on.last), ("psi", &None));
}

#[test]
fn a_course_has_as_many_runs_as_the_limit_in_force_wants() {
    let mut files = alone("heron", &[]);
    let runs_of = |files: &Files| form(files, "heron", Some("fairways")).runs();
    assert_eq!(runs_of(&files), 3);
    let limits = |limit: &str| {
        format!("limits:\n  too-few-runs: {{weakens: {limit}, because: our runs scatter}}\n")
    };
    for (limit, runs) in [
        ("at least 5", 5),
        ("at least 2", 2),
        ("at least 40", 9),
        ("none", 3),
    ] {
        let mut files = files.clone();
        change(
            &mut files,
            "fleet.yaml",
            &[("limits:\n", limits(limit).as_str())],
        );
        assert_eq!(runs_of(&files), runs, "{limit}");
    }
    change(
        &mut files,
        "fleet.yaml",
        &[("limits:\n", limits("at least 5").as_str())],
    );
    let mut visit = session(&files, "heron", Some("fairways"));
    for run in 1..=5 {
        visit.type_in(&format!("speed.1.run.{run}.elapsed"), "32.5");
        visit.type_in(&format!("speed.1.run.{run}.shown"), "200");
    }
    let record = visit.record();
    assert_eq!(
        record.matches("{elapsed: 32.5 s, shown: 200 ft}").count(),
        5
    );
    let form = form(&files, "heron", Some("fairways"));
    let begun = text(
        &form,
        &Entered::default(),
        Extent::Begun {
            all: true,
            schema: None,
        },
    );
    assert_eq!(begun.text.matches("- {elapsed: , shown: }").count(), 5);
    assert_eq!(Entered::of_record(&form, &record).unwrap().log().len(), 10);
    let paper = sheet(&form, Paper::Letter);
    assert!(paper.contains("speed.1.run.5.shown") && !paper.contains("speed.1.run.6.shown"));
}

#[test]
fn a_balance_that_is_read_by_pressure_brings_a_gauge() {
    let said = "control: flow\n";
    for (changes, is_by_pressure) in [
        (
            vec![(said, "control: manual\n"), ("balance-by: rate\n", "")],
            true,
        ),
        (vec![("balance-by: rate\n", "")], false),
        (vec![("balance-by: rate\n", "balance-by: pressure\n")], true),
    ] {
        let files = without_records(alone("avocet", &changes));
        let due = workspace(&files).due_of("avocet", Period::Days(30));
        let mut steps = due.steps.iter();
        let balance = steps.find(|step| step.of.step == Step::Balance).unwrap();
        let gauge = "pressure gauge".to_owned();
        assert_eq!(
            balance.bring.contains(&gauge),
            is_by_pressure,
            "{changes:?}"
        );
        let form = form(&files, "avocet", None);
        let unit = unit(&form, Field::Balance("all-on")).to_string();
        assert_eq!(unit == "bar", is_by_pressure, "{changes:?}");
    }
}

/// Stint sprays greens: each of its nozzles may be 10% off, and the boom 6%.
#[test]
fn the_average_of_the_boom_has_lines_of_its_own_on_the_sheet() {
    let files = alone("stint", &[]);
    let form = form(&files, "stint", None);
    let nozzle = form.entry("catch.1.nozzle.1").unwrap().aim.unwrap();
    let average = form.part(Step::Catch).unwrap().average.unwrap();
    let (low, high) = average.lines_shown().unwrap();
    assert_ne!(nozzle.lines_shown().unwrap(), (low.clone(), high.clone()));
    let near = |line: &str, share: f64| {
        let line: f64 = line.parse().unwrap();
        assert!((line / average.target - share).abs() < 0.005, "{line}");
    };
    near(&low, 0.94);
    near(&high, 1.06);
    let line = format!("{}: {low} to {high}", average.target_shown());
    assert!(sheet(&form, Paper::Letter).contains(&line), "{line}");
}
