//! A visit typed value after value: what is said of each, what is next, and the record it comes to.

use crate::fixture::{Files, folder, listing, reading, tree};
use jiff::civil::{Date, date};
use swathlint::Workspace;
use swathlint::draft::{Mark, Readiness, Session, SoFar, Wanted};
use swathlint::report::Unusable;

fn open(files: &Files, machine: &str, setup: Option<&str>) -> Result<Session, Unusable> {
    open_on(date(2026, 6, 1), files, machine, setup)
}

fn open_on(
    day: Date,
    files: &Files,
    machine: &str,
    setup: Option<&str>,
) -> Result<Session, Unusable> {
    let (fleet, failures) = Workspace::of(&listing(files), &reading(files), day);
    assert!(failures.is_empty());
    let wanted = Wanted {
        machine,
        setup,
        day,
        by: Some("rm"),
    };
    Session::open(fleet, &wanted)
}

fn saltmere() -> Files {
    tree(&folder().join("saltmere"))
}

fn heron() -> Session {
    open(&saltmere(), "heron", Some("fairways")).unwrap()
}

/// Types values, and tells what is said after the last.
fn typed<K: AsRef<str>, V: AsRef<str>>(visit: &mut Session, values: &[(K, V)]) -> SoFar {
    for (key, value) in values {
        visit.type_in(key.as_ref(), value.as_ref());
    }
    visit.so_far()
}

/// A catch at 36 psi in 30 s of 15 nozzles, all of them near 36.4 fl oz but those that are told.
fn catch(but: &[(u32, &str)]) -> Vec<(String, String)> {
    let conditions = [("catch.1.pressure", "36"), ("catch.1.duration", "30")];
    let conditions = conditions.map(|(key, value)| (key.to_owned(), value.to_owned()));
    let nozzles = (1..=15).map(|number| {
        let other = but.iter().find(|(of, _)| *of == number);
        let near = format!("36.{}", (number * 7) % 10);
        let caught = other.map_or(near, |(_, caught)| (*caught).to_owned());
        (format!("catch.1.nozzle.{number}"), caught)
    });
    conditions.into_iter().chain(nozzles).collect()
}

#[test]
fn a_nozzle_that_is_off_is_told_as_soon_as_it_is_typed_and_caught_again() {
    let mut visit = heron();
    let values = catch(&[(7, "40,8")]);
    let so_far = typed(&mut visit, &values[..9]);
    // (40.8 - 36.43) / 36.43; nozzles 8 to 15 are not caught yet.
    let seventh = &so_far.values["catch.1.nozzle.7"];
    assert_eq!(seventh.mark, Mark::Off);
    assert_eq!(seventh.words, "12.0% high: catch it again after nozzle 15");
    assert_eq!(seventh.written.as_deref(), Some("40.8"));
    assert_eq!(
        so_far.next.words,
        "nozzle 7 is 12.0% high: catch it again after nozzle 15"
    );
    assert_eq!(so_far.next.value.as_deref(), Some("catch.1.nozzle.8"));
    assert_eq!(so_far.values["catch.1.nozzle.6"].mark, Mark::Good);
    assert_eq!(so_far.values["catch.1.nozzle.8"].mark, Mark::Empty);

    let so_far = typed(&mut visit, &values[9..]);
    let errors = |so_far: &SoFar| {
        let found = so_far.found.findings.iter();
        let heavy =
            found.filter(|told| told.words.severity() != swathlint::diagnostic::Severity::Note);
        heavy
            .map(|told| told.words.rule().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(errors(&so_far), ["tip-worn"]);
    assert!(so_far.next.words.starts_with("catch this nozzle again"));
    let is_due = |so_far: &SoFar, step| so_far.stays.steps().iter().any(|due| due.step == step);
    assert!(is_due(&so_far, "catch test"));

    // What was read in the first catch stands for nothing that was read in the second.
    let so_far = typed(&mut visit, &[("catch.2.nozzle.7", "36.5")]);
    assert!(is_due(&so_far, "catch test"));
    let conditions = [("catch.2.pressure", "36"), ("catch.2.duration", "30")];
    let so_far = typed(&mut visit, &conditions);
    assert_eq!(errors(&so_far), Vec::<String>::new());
    assert!(!is_due(&so_far, "catch test"), "{:?}", so_far.stays.steps());
    assert!(is_due(&so_far, "speed test"));
    // As at a terminal, what was passed over comes first.
    assert_eq!(so_far.next.value.as_deref(), Some("hours"));
    for key in ["catch.2.pressure", "catch.2.duration", "catch.2.nozzle.7"] {
        assert!(so_far.shown.contains(key), "{key}");
    }
    assert!(!so_far.shown.contains("catch.2.nozzle.6"));
    let record = visit.record();
    assert!(record.contains("middle: [40.8, 36.6, 36.3]"), "{record}");
    assert!(record.contains("middle: {1: 36.5}"), "{record}");
}

#[test]
fn what_is_typed_wrongly_is_said_at_once_and_not_in_the_record() {
    let mut visit = heron();
    let so_far = typed(
        &mut visit,
        &[("catch.1.pressure", "36"), ("catch.1.nozzle.1", "1,234")],
    );
    let first = &so_far.values["catch.1.nozzle.1"];
    assert_eq!(first.mark, Mark::Refused);
    assert_eq!(so_far.next.value.as_deref(), Some("catch.1.nozzle.1"));
    assert_eq!(
        so_far.next.words,
        "nozzle 1: `1,234` may be 1.234 or 1234: type 1.234 or 1234"
    );
    assert!(!visit.record().contains("1,234"));
    assert_eq!(visit.undo().as_deref(), Some("catch.1.nozzle.1"));
    assert_eq!(visit.so_far().values["catch.1.nozzle.1"].mark, Mark::Empty);
    visit.type_in("no.such.value", "1");
    assert_eq!(visit.entered().log().len(), 1);
}

/// The known volume is 34 gal and the console shows 36: 636 pulses/gal times 36/34 is 673.4.
#[test]
fn a_meter_that_is_off_is_corrected_and_tested_again() {
    let mut visit = heron();
    let so_far = typed(
        &mut visit,
        &[
            ("flow.1.known-volume", "34"),
            ("flow.1.duration", "5"),
            ("flow.1.shown", "36"),
        ],
    );
    assert_eq!(so_far.values["flow.1.shown"].mark, Mark::Off);
    assert_eq!(so_far.values["flow.1.shown"].words, "5.9% high");
    assert!(
        so_far
            .next
            .words
            .contains("set the flow factor from 636 to 673.4 pulses/gal"),
        "{}",
        so_far.next.words
    );
    assert_eq!(
        told_factor(&visit, &so_far, "flow.1.after").as_deref(),
        Some("673.4")
    );
    let so_far = typed(&mut visit, &[("flow.1.after", "673")]);
    let after = &so_far.values["flow.1.after"];
    assert_eq!(
        (after.mark, after.words.as_str()),
        (Mark::Noted, "it fits the test")
    );
    assert!(
        so_far
            .next
            .words
            .starts_with("do the meter test again with the new factor")
    );
    let so_far = typed(&mut visit, &[("flow.1.after", "601")]);
    assert_eq!(so_far.values["flow.1.after"].mark, Mark::Off);
    let so_far = typed(
        &mut visit,
        &[
            ("flow.1.after", "673"),
            ("flow.2.known-volume", "34"),
            ("flow.2.shown", "34.1"),
        ],
    );
    assert_eq!(so_far.values["flow.2.shown"].mark, Mark::Good);
    let record = visit.record();
    assert!(
        record.contains("factor: {before: 636, after: 673}"),
        "{record}"
    );
    assert!(record.contains("duration: 5 min"), "{record}");
    assert!(!record.contains("speed-tests"), "{record}");
    assert!(!record.contains("catch-tests"), "{record}");
}

/// The factor that is told beside its box.
fn told_factor(visit: &Session, so_far: &SoFar, key: &str) -> Option<String> {
    let entry = visit.form().entry(key).unwrap();
    so_far.aim(entry).map(|aim| aim.target_shown())
}

/// The course is 200 ft and the console shows 220: 1164 pulses/100 ft times 220/200 is 1280.4. After a second test with that
/// factor, no other one is to be entered.
#[test]
fn a_speed_factor_that_is_off_is_told_beside_its_box() {
    let mut visit = heron();
    let run = |round: usize, shown: &'static str| {
        (1..=3).flat_map(move |run| {
            [("elapsed", "32.5"), ("shown", shown)]
                .map(|(key, value)| (format!("speed.{round}.run.{run}.{key}"), value))
        })
    };
    let values: Vec<(String, &str)> = run(1, "220").collect();
    let so_far = typed(&mut visit, &values);
    assert_eq!(
        told_factor(&visit, &so_far, "speed.1.after").as_deref(),
        Some("1280.4")
    );
    let corrected = [("speed.1.after".to_owned(), "1280")];
    let values: Vec<(String, &str)> = corrected.into_iter().chain(run(2, "200")).collect();
    let so_far = typed(&mut visit, &values);
    assert_eq!(told_factor(&visit, &so_far, "speed.2.after"), None);
}

/// Where the fill meter may be what is wrong, no factor is told: what is suspected is none to work out a factor from.
#[test]
fn no_factor_is_told_while_what_it_is_held_against_is_doubted() {
    let mut visit = open(&saltmere(), "heron", Some("greens")).unwrap();
    let so_far = typed(
        &mut visit,
        &[
            ("flow.1.known-volume", "20"),
            ("flow.1.duration", "4"),
            ("flow.1.shown", "22.4"),
        ],
    );
    let rules: Vec<&str> = so_far
        .found
        .findings
        .iter()
        .map(|told| told.words.rule())
        .collect();
    assert!(
        so_far.values["flow.1.shown"].mark == Mark::Off && !rules.contains(&"meter-off"),
        "{rules:?}"
    );
    assert_eq!(told_factor(&visit, &so_far, "flow.1.after"), None);
    // The test is made again before anything is corrected.
    assert_eq!(so_far.next.value.as_deref(), Some("flow.2.known-volume"));
    let again = [("flow.2.known-volume", "20"), ("flow.2.shown", "22.3")];
    let so_far = typed(&mut visit, &again);
    assert_eq!(so_far.next.value.as_deref(), Some("flow.2.after"));
    assert_eq!(told_factor(&visit, &so_far, "flow.2.after"), None);
}

/// A boom whose sections have no names takes one list: what is not caught yet is no nozzle that was missed.
#[test]
fn a_boom_without_sections_is_judged_while_it_is_caught() {
    let files = tree(&folder().join("records"));
    let mut visit = open(&files, "plover", None).unwrap();
    assert_eq!(visit.form().sections[0].name, None);
    // Size 04 is 0.4 gal/min at 40 psi: 51.2 fl oz in the 60 s of its last catch.
    let aim = visit.form().entry("catch.1.nozzle.1").unwrap().aim.unwrap();
    assert_eq!(aim.target_shown(), "51.2");
    let so_far = typed(
        &mut visit,
        &[
            ("catch.1.pressure", "40"),
            ("catch.1.duration", "60"),
            ("catch.1.nozzle.1", "51.0"),
            ("catch.1.nozzle.2", "60.0"),
        ],
    );
    assert_eq!(so_far.values["catch.1.nozzle.1"].mark, Mark::Good);
    assert_eq!(so_far.values["catch.1.nozzle.2"].mark, Mark::Off);
    let uncaught = so_far.found.findings.iter();
    assert!(
        uncaught
            .map(|told| told.words.rule())
            .all(|rule| rule != "nozzle-not-caught")
    );
    assert!(so_far.record.contains("caught: [51.0, 60.0, ~, ~, ~, ~]"));
}

#[test]
fn a_visit_that_nobody_can_begin_says_why() {
    let files = saltmere();
    let cannot = |machine, setup| open(&files, machine, setup).unwrap_err();
    assert!(
        matches!(cannot("hern", None), Unusable::NoSuchMachine { known, .. } if known.contains(&"heron".to_owned()))
    );
    let setups = ["fairways", "greens"];
    assert!(matches!(cannot("heron", None), Unusable::WhichSetup { known, .. } if known == setups));
    assert!(
        matches!(cannot("heron", Some("tees")), Unusable::NoSuchSetup { known, .. } if known == setups)
    );
}

/// A record of the machine that nobody can read may hide a step that forbids spraying, and so may an error of no step.
#[test]
fn nothing_sounds_ready_where_nobody_knows() {
    let of = |files: &Files| {
        let mut visit = open(files, "heron", None).unwrap();
        let stays = visit.so_far().stays;
        let sounds_ready = stays.words().contains("No test keeps");
        assert_eq!(sounds_ready, stays.readiness == Readiness::Ready);
        stays
    };
    let mut files = tree(&folder().join("base"));
    let stays = of(&files);
    assert_eq!(stays.readiness, Readiness::Ready);
    assert!(stays.words().starts_with("Nothing is due. "));
    let text = "record: [".into();
    files.insert("calibrations/heron/2026-05-30.yaml".to_owned(), text);
    let stays = of(&files);
    assert_eq!(stays.readiness, Readiness::NotKnown);
    assert_eq!(stays.due.errors.len(), 1);
    assert_eq!(stays.words(), "Not known whether ready to spray.");

    let so_far = typed(&mut heron(), &catch(&[(7, "41.5")]));
    assert_eq!(so_far.stays.readiness, Readiness::NotReady);
    // The hour meter cannot have gone back, and no test shows why it did.
    let rule = include_str!("../../rules/hours-back.yaml");
    let rule = rule
        .replace("id: hours-back", "id: house-hours-back")
        .replace("{warning: any}", "{error: any}");
    let mut files = saltmere();
    files.insert("house-rules/house-hours-back.yaml".to_owned(), rule);
    let mut visit = open(&files, "heron", Some("fairways")).unwrap();
    let so_far = typed(&mut visit, &[("hours", "1")]);
    let because = so_far.stays.because.unwrap();
    assert!(because.starts_with("1 error is found"), "{because}");
}

/// At 30 psi a tip puts out the square root of 30/36 of what it does at 36 psi, and in 20 s two thirds of what it does in 30 s
/// (the rated flow of size 06 is 0.6 US gal/min at 40 psi, ISO 10625: 36.43 fl oz at 36 psi in 30 s).
#[test]
fn what_a_nozzle_should_give_follows_what_was_read() {
    let mut visit = heron();
    let lines = |visit: &Session, so_far: &SoFar| {
        let aim = so_far
            .aim(visit.form().entry("catch.1.nozzle.3").unwrap())
            .unwrap();
        (aim.target_shown(), aim.lines_shown().unwrap())
    };
    let told = |target: &str, low: &str, high: &str| {
        (target.to_owned(), (low.to_owned(), high.to_owned()))
    };
    let so_far = visit.so_far();
    assert_eq!(lines(&visit, &so_far), told("36.4", "32.8", "40.0"));
    let so_far = typed(&mut visit, &[("catch.1.pressure", "30")]);
    assert_eq!(lines(&visit, &so_far), told("33.3", "30.0", "36.5"));
    let so_far = typed(&mut visit, &[("catch.1.duration", "20")]);
    assert_eq!(lines(&visit, &so_far), told("22.2", "20.0", "24.3"));
    let so_far = typed(
        &mut visit,
        &[("catch.1.pressure", "0"), ("catch.1.duration", "30")],
    );
    assert_eq!(lines(&visit, &so_far), told("36.4", "32.8", "40.0"));
}

/// What is not taken is not in the record, so it comes before all else, whatever was typed since.
#[test]
fn a_value_that_is_not_taken_is_asked_for_first() {
    let mut visit = heron();
    let values = catch(&[(7, "42,800")]);
    let so_far = typed(&mut visit, &values);
    assert_eq!(so_far.values["catch.1.nozzle.15"].mark, Mark::Good);
    assert_eq!(so_far.next.value.as_deref(), Some("catch.1.nozzle.7"));
    assert!(
        so_far.next.words.contains("42.800 or 42800"),
        "{}",
        so_far.next.words
    );
}

/// Nobody goes on with a mix and bare hands, or with a console that hides what is looked for, without being told at once.
#[test]
fn what_makes_a_test_unsafe_or_worthless_is_said_at_once() {
    let mut visit = heron();
    let so_far = typed(
        &mut visit,
        &[
            ("by", "rm"),
            ("hours", "470"),
            ("preparation.rinsed", "no"),
            ("preparation.neutralized", "no"),
            ("preparation.liquid", "tank mix"),
            ("preparation.protective-gear", "none"),
        ],
    );
    assert!(
        so_far.next.words.starts_with("put on gloves"),
        "{}",
        so_far.next.words
    );
    let so_far = typed(&mut visit, &[("balance.rate-control", "automatic")]);
    let control = &so_far.values["balance.rate-control"];
    assert_eq!(control.mark, Mark::Off);
    assert!(
        control.words.starts_with("switch to manual"),
        "{}",
        control.words
    );
    let so_far = typed(
        &mut visit,
        &[
            ("balance.rate-control", "manual"),
            ("balance.all-on", "40"),
            ("balance.off.1.as-found", "37.2"),
        ],
    );
    assert_eq!(
        so_far.values["balance.off.1.as-found"].words,
        "7.0% low: check its entered width, then close its bypass a little at a time until it reads as with all on"
    );
}

/// After a tip was fitted, its nozzle alone is enough; a record of it counts as the card says.
#[test]
fn the_nozzle_of_a_new_tip_is_enough() {
    let mut visit = open_on(date(2026, 5, 3), &saltmere(), "heron", Some("fairways")).unwrap();
    let is_optional = |number: u32| {
        let entry = visit.form().entry(&format!("catch.1.nozzle.{number}"));
        entry.unwrap().is_optional
    };
    assert!((1..=15).all(|number| is_optional(number) == (number != 12)));
    let is_due = |so_far: &SoFar| {
        so_far
            .stays
            .steps()
            .iter()
            .any(|due| due.step == "catch test")
    };
    let so_far = typed(
        &mut visit,
        &[("catch.1.pressure", "36"), ("catch.1.duration", "30")],
    );
    assert!(is_due(&so_far));
    assert_eq!(so_far.next.value.as_deref(), Some("catch.1.nozzle.12"));
    let so_far = typed(&mut visit, &[("catch.1.nozzle.12", "36.4")]);
    assert!(!is_due(&so_far), "{:?}", so_far.stays.steps());
    assert!(
        visit
            .record()
            .contains("    caught:\n      right: {3: 36.4}\n"),
        "{}",
        visit.record()
    );
    // Whoever catches one more is asked for the rest, which may be left.
    let so_far = typed(&mut visit, &[("catch.1.nozzle.13", "36.5")]);
    assert_eq!(so_far.next.value.as_deref(), Some("catch.1.nozzle.14"));
}
