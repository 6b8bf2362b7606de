//! A test that is newer than the one that counts and does not count itself voids nothing, and nobody overlooks it.

use crate::fixture::{Files, folder, listing, reading, settings, tree};
use crate::tank::{asked, card_of};
use jiff::civil::{Date, date};
use serde_json::{Value, json};
use swathlint::draft::{Dialogue, Readiness, Session, Wanted};
use swathlint::due;
use swathlint::quantity::calendar::Period;
use swathlint::render::{DUE_FORMATS, Look, due_not_told, tank_text};
use swathlint::report::{DueList, TestNotCounted};
use swathlint::{Workspace, page};

const TODAY: Date = date(2026, 6, 1);
const NEWER: &str = "calibrations/robin/2026-05-30.yaml";

/// A machine with every step done on 2026-05-20.
fn robin() -> Files {
    tree(&folder().join("benches/robin/good"))
}

fn with(files: &Files, path: &str, tests: &str) -> Files {
    let day = path.rsplit('/').next().unwrap().trim_end_matches(".yaml");
    let mut files = files.clone();
    files.insert(
        path.to_owned(),
        format!("record: calibration\nmachine: robin\ndate: {day}\nby: jt\n{tests}\n"),
    );
    files
}

fn catch(caught: &str) -> String {
    format!(
        "catch-tests:\n  - {{pressure: 40 psi, duration: 30 s, jug: jug-A, unit: fl oz, caught: {caught}}}"
    )
}

const LEFT_AND_MIDDLE: &str = "left: [51.5, 51.5, 52.0], middle: [51.0, 51.5, 51.5]";

fn missed() -> String {
    catch(&format!(
        "{{{LEFT_AND_MIDDLE}, right: [missed, 51.5, missed]}}"
    ))
}

fn list(files: &Files) -> DueList {
    let (listing, read) = (listing(files), reading(files));
    due(&listing, &read, &settings("2026-06-01"), Period::Days(14))
}

fn says(list: &DueList) -> Vec<&str> {
    let not_counted = list.not_counted.iter();
    not_counted.map(|test| &*test.says).collect()
}

/// Every kind of test that the state of a step passes over, with what is said of it.
fn passed_over() -> Vec<(String, &'static str)> {
    let catch_says = |says| move |caught: &str| (catch(caught), says);
    vec![
        (
            missed(),
            "the catch test of 2026-05-30 does not count: nozzles 7 and 9 of 9 were not caught",
        ),
        (
            missed().replace("missed", "~"),
            "the catch test of 2026-05-30 is begun and not filled in: 2 readings",
        ),
        // A section that is left out.
        catch_says(
            "the catch test of 2026-05-30 does not count: nozzles 7, 8 and 9 of 9 were not caught",
        )(&format!("{{{LEFT_AND_MIDDLE}}}")),
        catch_says(
            "the catch test of 2026-05-30 does not count: nozzle 7 of 9 (right, 1st) was not caught",
        )("{right: {1: missed}}"),
        (
            catch("{right: {1: 25.7}}").replace("40 psi", "10 psi"),
            "the catch test of 2026-05-30 does not count: its pressure is more than 20% off the catch's",
        ),
        (
            "meter-tests: [{known-volume: 50.1 gal}]".to_owned(),
            "the meter test of 2026-05-30 does not count: it does not give what the console showed",
        ),
        (
            "speed-tests: [{distance: 200 ft, runs: [{elapsed: 45.4 s}]}]".to_owned(),
            "the speed test of 2026-05-30 does not count: no run gives what the console showed",
        ),
        (
            "section-balance: {entered-speed: 3 mph, rate-control: automatic, all-on: 79 gal/acre, \
             sections-off: [{sections: [left], as-found: 79 gal/acre}]}"
                .to_owned(),
            "the section balance of 2026-05-30 does not count: automatic rate control was on, so it proves nothing",
        ),
    ]
}

#[test]
fn every_format_names_a_newer_test_that_does_not_count_where_its_step_is_current() {
    assert_eq!(list(&robin()).not_counted, []);
    let look = Look {
        color: false,
        width: 1_000,
    };
    for (tests, told) in passed_over() {
        let list = list(&with(&robin(), NEWER, &tests));
        assert!(list.steps.is_empty(), "{told}: {:?}", list.steps);
        assert_eq!(says(&list), [told]);
        let TestNotCounted { counts, at, .. } = &list.not_counted[0];
        assert_eq!((*counts, &*at.path), (Some(date(2026, 5, 20)), NEWER));
        let beside = due_not_told(&list);
        let note = format!("robin: {told}; the one of 2026-05-20 still counts, at {NEWER}:");
        let [own] = beside.as_slice() else {
            panic!("one note and no other: {beside:?}");
        };
        assert!(own.starts_with(&note), "{own}");
        for format in DUE_FORMATS {
            let written = (format.write)(&list, &look);
            let mut all = (format.leaves_out)(&list);
            all.push(written.to_string());
            assert!(all.concat().contains(told), "{}: {all:?}", format.name);
        }
        let text = (DUE_FORMATS[0].write)(&list, &look).to_string();
        assert!(text.contains("1 newer test does not count"), "{text}");
    }
}

/// A nozzle that was to be caught again was, and the catch counts for it.
#[test]
fn a_retest_that_was_asked_for_is_not_told() {
    let last = "calibrations/robin/2026-05-20.yaml";
    let mut high = robin();
    let record = high[last].replace("right: [52.0, 51.5, 51.0]", "right: [60.0, 51.5, 51.0]");
    high.insert(last.to_owned(), record);
    let mut fitted = robin();
    let work = "record: service\nmachine: robin\ndate: 2026-05-25\nby: jt\n\
                work:\n  - nozzles-fitted: {at: {right: [1]}, nozzle: {size: \"08\", material: ceramic}}\n";
    fitted.insert("service/robin/2026-05-25.yaml".to_owned(), work.to_owned());
    for (files, asked_for) in [(robin(), false), (high, true), (fitted, true)] {
        let before = list(&files).steps.len();
        assert_eq!(before, usize::from(asked_for));
        let retest = with(&files, NEWER, &catch("{right: {1: 51.5}}"));
        let list = list(&retest);
        assert!(list.steps.is_empty(), "{:?}", list.steps);
        assert_eq!(list.not_counted.is_empty(), asked_for, "{:?}", says(&list));
    }
}

/// Once what was left out is caught, or the whole boom is, nothing is told any more.
#[test]
fn what_was_left_out_and_is_caught_later_is_told_no_more() {
    let missed = with(&robin(), NEWER, &missed());
    let later = "calibrations/robin/2026-05-31.yaml";
    for (caught, left) in [
        ("{right: {1: 51.5}}", 1),
        ("{right: {1: 51.5, 3: 51.0}}", 0),
    ] {
        let list = list(&with(&missed, later, &catch(caught)));
        assert_eq!(list.not_counted.len(), left, "{:?}", says(&list));
    }
}

/// Where a step is due, why it is due says it, and the data have it as well.
#[test]
fn a_step_that_is_due_tells_of_it_itself() {
    let files = with(&robin(), NEWER, &missed());
    let files: Files = files
        .into_iter()
        .filter(|(path, _)| !path.ends_with("20.yaml"))
        .collect();
    let list = list(&files);
    let catch = list.steps.iter().find(|step| step.step == "catch test");
    let [told] = says(&list)[..] else {
        panic!("{:?}", says(&list));
    };
    assert_eq!(catch.unwrap().because, told);
    assert!(due_not_told(&list).is_empty(), "{:?}", due_not_told(&list));
}

fn session(files: &Files, day: Date) -> Session {
    let (fleet, failures) = Workspace::of(&listing(files), &reading(files), day);
    assert!(failures.is_empty());
    let wanted = Wanted {
        machine: "robin",
        setup: None,
        day,
        by: Some("jt"),
    };
    Session::open(fleet, &wanted).unwrap()
}

/// The catch typed value after value; of the nozzles that are named something else.
fn typed(but: &str) -> Vec<(String, &str)> {
    let conditions = [("catch.1.pressure", "40"), ("catch.1.duration", "30")];
    let conditions = conditions.map(|(key, value)| (key.to_owned(), value));
    let nozzles = (1..=9).map(|number| {
        let caught = if [7, 9].contains(&number) {
            but
        } else {
            "51.5"
        };
        (format!("catch.1.nozzle.{number}"), caught)
    });
    conditions.into_iter().chain(nozzles).collect()
}

/// The machine of one who leaves out what is bad in a visit of the day, or in one before it.
#[test]
fn neither_the_closing_lines_nor_the_page_say_that_nothing_is_due() {
    let newer = date(2026, 5, 30);
    let before = with(&robin(), NEWER, &missed());
    for (files, day, but) in [
        (robin(), newer, Some("missed")),
        (robin(), newer, Some("")),
        (before, TODAY, None),
    ] {
        let told = match but {
            Some("") => {
                "robin: the catch test of 2026-05-30 is begun and not filled in: 2 readings"
            }
            _ => {
                "robin: the catch test of 2026-05-30 does not count: nozzles 7 and 9 of 9 were not caught"
            }
        };
        let values = but.map_or_else(Vec::new, typed);
        let mut visit = session(&files, day);
        for (key, value) in &values {
            visit.type_in(key, value);
        }
        let stays = visit.stays();
        assert_eq!(stays.readiness, Readiness::NotKnown);
        assert_eq!(stays.words(), "Not known whether ready to spray.");

        let entered = visit.entered().clone();
        let mut dialogue = Dialogue::new(session(&files, day), entered, true);
        let (mut closing, due) = dialogue.closing();
        closing.extend(due_not_told(&due));
        let closing = closing.join("\n");
        assert!(closing.contains(told), "{closing}");
        assert!(!closing.contains("nothing is due"), "{closing}");
        assert!(!closing.contains("No test keeps"), "{closing}");

        let answer = on_page(&files, day, &values);
        let ready = &answer["ready"];
        assert_eq!(ready["word"], "not known");
        assert_eq!(ready["words"], "Not known whether ready to spray.");
        let because = ready["because"].to_string();
        assert!(because.contains(told), "{because}");
    }
    let stays = session(&robin(), newer).stays();
    assert_eq!(stays.readiness, Readiness::Ready);
    assert!(stays.is_nothing_due());
}

/// What the page is told of a visit with these values.
fn on_page(files: &Files, day: Date, values: &[(String, &str)]) -> Value {
    let mut state = page::State::default();
    let mut ask = |request: Value| -> Value {
        serde_json::from_str(&page::answer(&mut state, &request.to_string())).unwrap()
    };
    let day = day.to_string();
    ask(json!({"open": {"files": files, "today": day}}));
    ask(json!({"begin": {"machine": "robin", "day": day, "by": "jt"}}));
    for (value, text) in values {
        ask(json!({"type": {"value": value, "text": text}}));
    }
    ask(json!({"so-far": {}}))
}

#[test]
fn a_mixing_card_warns_of_it() {
    let look = Look {
        color: false,
        width: 1_000,
    };
    let card = |files: &Files| {
        let asked = asked("robin", None, "1 acre", Vec::new());
        let card = card_of(files, TODAY, &asked);
        tank_text(&card.unwrap(), &look).to_string()
    };
    assert!(!card(&robin()).contains("this card stands on an older test"));
    for (tests, told) in passed_over() {
        let text = card(&with(&robin(), NEWER, &tests));
        let warning = format!("{told}; this card stands on an older test");
        assert!(text.contains(&warning), "{text}");
        assert!(
            text.contains("1 load"),
            "the older test still counts: {text}"
        );
    }
}
