//! An oracle that shares nothing with the program: how every step of every machine stands on any day of
//! random histories, and on days of histories made by hand for each row and each order.

use crate::fixture;
use crate::naive::judged::{Answer, Looked, StepOf};
use crate::naive::{Fleet, MACHINES, SETUPS, by_hand, drawn, written};
use jiff::ToSpan;
use jiff::civil::Date;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use swathlint::quantity::calendar::Period;
use swathlint::report::DueList;
use swathlint::{Listing, Settings, due};

/// A step of the list: machine, setup where it has several, words for the step.
type Row = (String, Option<String>, &'static str);

/// What the program lists as due.
fn listed(files: &BTreeMap<String, String>, today: Date, within: Period) -> DueList {
    let listing = Listing {
        paths: files.keys().cloned().collect(),
        ..Listing::default()
    };
    let read = |path: &str| {
        let text = files.get(path).ok_or("it is not there")?;
        Ok(text.clone().into_bytes())
    };
    let settings = Settings::on(today);
    due(&listing, &read, &settings, within)
}

/// All that a list says of steps.
#[derive(Debug, PartialEq, Eq)]
struct Said {
    steps: BTreeMap<Row, Answer>,
    current: usize,
    waiting: BTreeSet<Row>,
    unsure: BTreeSet<(String, &'static str)>,
}

fn said_by_the_program(files: &BTreeMap<String, String>, today: Date, within: Period) -> Said {
    let list = listed(files, today, within);
    let steps = list.steps.iter().map(|step| {
        let answer = Answer {
            state: step.state.word(),
            // Which of several unread records is named is no matter.
            due: step
                .due
                .filter(|_| step.state.word() != "recheck" || step.by.word() == "work"),
            by: step.by.word(),
            last_done: step.last_done,
        };
        (
            (step.machine.clone(), step.setup.clone(), step.step),
            answer,
        )
    });
    Said {
        steps: steps.collect(),
        current: list.current,
        waiting: list
            .laid_up
            .iter()
            .flat_map(|laid_up| {
                let steps = laid_up.waiting.iter();
                steps.map(|step| (laid_up.machine.clone(), step.setup.clone(), step.step))
            })
            .collect(),
        unsure: list
            .unsure
            .iter()
            .flat_map(|unsure| {
                let steps = unsure.steps.iter();
                steps.map(|step| (unsure.machine.clone(), *step))
            })
            .collect(),
    }
}

fn said_by_the_oracle(fleet: &Fleet, today: Date, within: Period) -> Said {
    let mut said = Said {
        steps: BTreeMap::new(),
        current: 0,
        waiting: BTreeSet::new(),
        unsure: BTreeSet::new(),
    };
    let until = within.after(today).unwrap();
    for (number, name) in MACHINES.into_iter().enumerate().take(fleet.machines.len()) {
        let looked = Looked {
            fleet,
            number,
            today,
        };
        if !looked.is_in_service() {
            continue;
        }
        for of in looked.steps() {
            let answer = looked.answer(of, until);
            let machine = name.to_owned();
            match looked.has(of.step) {
                Some(false) => continue,
                None if answer.by == "nothing on record" => {
                    said.unsure.insert((machine, of.step.test()));
                    continue;
                }
                None | Some(true) => {}
            }
            if answer.state == "current" {
                said.current += 1;
            } else if answer.state == "waiting" {
                said.waiting.insert(row(fleet, number, of));
            } else {
                said.steps.insert(row(fleet, number, of), answer);
            }
        }
    }
    said
}

fn row(fleet: &Fleet, number: usize, of: StepOf) -> Row {
    let has_several = fleet.machines[number].setups > 1;
    let setup = of.setup.filter(|_| has_several);
    (
        MACHINES[number].to_owned(),
        setup.map(|setup| SETUPS[setup].to_owned()),
        of.step.test(),
    )
}

/// Days on which something changes by the oracle, with the day before, and some others.
fn days_to_ask(fleet: &Fleet, others: &[Date]) -> BTreeSet<Date> {
    let events = fleet.machines.iter().flat_map(|machine| &machine.events);
    let days: BTreeSet<Date> = events.map(|event| event.day).collect();
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return others.iter().copied().collect();
    };
    let (mut day, end) = (*first - 2.days(), *last + 60.days());
    let mut asked: BTreeSet<Date> = others.iter().copied().collect();
    let mut before = said_by_the_oracle(fleet, day, Period::Days(14));
    while day < end {
        let next = day + 1.days();
        let said = said_by_the_oracle(fleet, next, Period::Days(14));
        if said != before {
            asked.extend([day, next]);
        }
        (before, day) = (said, next);
    }
    asked
}

/// What the two disagree on, with all it takes to see why.
#[expect(clippy::use_debug, reason = "for whoever looks into a failed test")]
fn disagreement(fleet: &Fleet, today: Date, within: Period) -> Option<String> {
    let files = written::files(fleet);
    let (program, oracle) = (
        said_by_the_program(&files, today, within),
        said_by_the_oracle(fleet, today, within),
    );
    if program == oracle {
        return None;
    }
    let mut text = format!("on {today}, within {within:?}:\n");
    let rows: BTreeSet<&Row> = program.steps.keys().chain(oracle.steps.keys()).collect();
    for row in rows {
        let (said, meant) = (program.steps.get(row), oracle.steps.get(row));
        if said != meant {
            writeln!(text, "{row:?}\n  program {said:?}\n  oracle  {meant:?}").unwrap();
        }
    }
    if program.current != oracle.current {
        writeln!(
            text,
            "current: program {}, oracle {}",
            program.current, oracle.current
        )
        .unwrap();
    }
    if program.waiting != oracle.waiting {
        let (program, oracle) = (&program.waiting, &oracle.waiting);
        writeln!(text, "waiting: program {program:?}, oracle {oracle:?}").unwrap();
    }
    if program.unsure != oracle.unsure {
        writeln!(
            text,
            "unsure: program {:?}, oracle {:?}",
            program.unsure, oracle.unsure
        )
        .unwrap();
    }
    for (path, file) in files {
        writeln!(text, "# file: {path}\n{file}").unwrap();
    }
    Some(text)
}

/// The most days a history is asked on; every so many of those on which something changes.
const DAYS: usize = 8;

proptest! {
    #![proptest_config(ProptestConfig {
        cases: ProptestConfig::default().cases.max(300),
        failure_persistence: None,
        max_shrink_iters: 20_000,
        ..ProptestConfig::default()
    })]

    /// Every step of every machine, on days on which anything changes and some others.
    #[test]
    fn every_step_stands_as_the_oracle_says(
        fleet in drawn::fleet(),
        others in prop::collection::vec(drawn::day(), 1..4),
        within in prop::sample::select(vec![
            Period::Days(14),
            Period::Days(0),
            Period::Months(1),
            Period::Months(30),
        ]),
        first in 0_usize..1000,
    ) {
        let days = days_to_ask(&fleet, &others);
        let stride = days.len().div_ceil(DAYS).max(1);
        for today in days.into_iter().skip(first % stride).step_by(stride) {
            if let Some(text) = disagreement(&fleet, today, within) {
                return Err(TestCaseError::fail(text));
            }
        }
    }
}

/// What is listed, by state: `fairways catch test` for a step of a setup.
fn by_state(files: &BTreeMap<String, String>, today: &str) -> BTreeMap<&'static str, Vec<String>> {
    let mut by_state: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for step in listed(files, today.parse().unwrap(), Period::Days(14)).steps {
        let setup = step.setup.map_or_else(String::new, |setup| setup + " ");
        let steps = by_state.entry(step.state.word()).or_default();
        steps.push(format!("{setup}{}", step.step));
        steps.sort();
    }
    by_state
}

#[test]
fn each_kind_of_work_voids_and_asks_for_what_it_must() {
    assert_eq!(
        by_state(&by_hand::done_in_march(), "2026-06-01"),
        BTreeMap::new()
    );
    for by_hand::Row {
        work,
        machine_file,
        void,
        recheck,
    } in by_hand::WORK
    {
        let mut files = by_hand::done_in_march();
        if let Some((wrong, right)) = machine_file {
            let machine_file = files.get_mut("machines/heron.yaml").unwrap();
            assert!(machine_file.contains(wrong));
            *machine_file = machine_file.replace(wrong, right);
        }
        by_hand::service(&mut files, None, work);
        let wanted: BTreeMap<&str, Vec<String>> = [("void", void), ("recheck", recheck)]
            .into_iter()
            .filter(|(_, steps)| !steps.is_empty())
            .map(|(state, steps)| (state, steps.iter().map(|&step| step.to_owned()).collect()))
            .collect();
        assert_eq!(
            by_state(&files, "2026-06-01"),
            wanted,
            "{work} {machine_file:?}"
        );
        assert_eq!(by_state(&files, "2026-05-02"), wanted, "that day: {work}");
        assert_eq!(
            by_state(&files, "2026-05-01"),
            BTreeMap::new(),
            "before: {work}"
        );
    }
}

#[test]
fn a_machine_out_of_service_is_not_listed_from_then_on() {
    let mut files = by_hand::done_in_march();
    by_hand::service(&mut files, None, "out-of-service: {because: sold}");
    // All would be overdue.
    assert_eq!(by_state(&files, "2029-06-01"), BTreeMap::new());
    assert_eq!(by_state(&files, "2026-05-01"), BTreeMap::new());
    files.remove("service/heron/2026-05-02.yaml");
    assert_eq!(by_state(&files, "2029-06-01")["overdue"].len(), 6);
}

const METER_TEST: &str = "meter-tests:\n  - {known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 34.2 gal}";
const TIP_CAUGHT_AGAIN: &str =
    "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: {right: {2: 36.5}}}";
const TIP_MISSED_AGAIN: &str = "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: {right: {2: missed}}}";
const OTHER_TIP_CAUGHT: &str =
    "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: {right: {1: 36.5}}}";
const TIP_FITTED: &str =
    "nozzles-fitted: {setup: fairways, at: {right: [2]}, nozzle: {size: \"06\"}}";

#[test]
fn service_comes_before_a_visit_of_the_same_day_unless_hours_say_otherwise() {
    for (of_service, of_visit, is_visit_later) in by_hand::ONE_DAY {
        for (work, tests, step) in [
            ("flow-meter: {what: replaced}", METER_TEST, "meter test"),
            (TIP_FITTED, TIP_CAUGHT_AGAIN, "fairways catch test"),
        ] {
            let mut files = by_hand::done_in_march();
            by_hand::service(&mut files, *of_service, work);
            by_hand::visit(&mut files, *of_visit, tests);
            let void = by_state(&files, "2026-06-01")
                .remove("void")
                .unwrap_or_default();
            let wanted = if *is_visit_later {
                Vec::new()
            } else {
                vec![step.to_owned()]
            };
            assert_eq!(
                void, wanted,
                "{work} at {of_service:?}, tested at {of_visit:?}"
            );
        }
    }
}

#[test]
fn a_position_is_restored_by_its_own_reading_only() {
    for (tests, is_void) in [
        (TIP_CAUGHT_AGAIN, false),
        (TIP_MISSED_AGAIN, true),
        (OTHER_TIP_CAUGHT, true),
    ] {
        let mut files = by_hand::done_in_march();
        by_hand::service(&mut files, None, TIP_FITTED);
        by_hand::visit(&mut files, None, tests);
        let void = by_state(&files, "2026-06-01")
            .remove("void")
            .unwrap_or_default();
        assert_eq!(!void.is_empty(), is_void, "{tests}: {void:?}");
        // Nor does it renew the step: a year after the whole boom was caught it is overdue, or void.
        let later = by_state(&files, "2027-03-10");
        let state = if is_void { "void" } else { "overdue" };
        assert!(
            later[state].contains(&"fairways catch test".to_owned()),
            "{tests}: {later:?}"
        );
    }
}

#[test]
fn a_whole_boom_of_new_nozzles_is_restored_by_a_whole_catch_only() {
    const BOOM_FITTED: &str = "nozzles-fitted: {setup: fairways, nozzle: {size: \"06\"}}";
    const LEFT_CAUGHT: &str = "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: {left: [36.5, 36.5, 36.5]}}";
    const RIGHT_CAUGHT: &str = "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: {right: [36.5, 36.5]}}";
    const BOOM_CAUGHT: &str = "catch-tests:\n  - {pressure: 36 psi, duration: 30 s, unit: fl oz, caught: [36.5, 36.5, 36.5, 36.5, 36.5]}";
    let catch = "fairways catch test".to_owned();
    let mut files = by_hand::done_in_march();
    by_hand::service(&mut files, None, BOOM_FITTED);
    for (day, tests, is_void) in [
        ("2026-05-03", LEFT_CAUGHT, true),
        ("2026-05-04", RIGHT_CAUGHT, true),
        ("2026-05-05", BOOM_CAUGHT, false),
    ] {
        by_hand::visit(&mut files, None, tests);
        let visit = files.remove("calibrations/heron/2026-05-02.yaml").unwrap();
        files.insert(
            format!("calibrations/heron/{day}.yaml"),
            visit.replace("2026-05-02", day),
        );
        let listed = by_state(&files, "2026-06-01");
        let void = listed.get("void").map_or(&[][..], Vec::as_slice);
        assert_eq!(void.contains(&catch), is_void, "{day}: {listed:?}");
    }
}

#[test]
fn a_visit_comes_before_an_application_of_the_same_day_unless_hours_say_otherwise() {
    for (of_visit, from, is_application_later) in by_hand::ONE_DAY {
        let mut files = by_hand::done_in_march();
        let fleet = files.get_mut("fleet.yaml").unwrap();
        fleet.push_str("intervals: {flow: 1 application, because: as decided}\n");
        by_hand::visit(&mut files, *of_visit, METER_TEST);
        by_hand::application(&mut files, *from);
        let state = if *is_application_later {
            "coming due"
        } else {
            "current"
        };
        let listed = by_state(&files, "2026-06-01");
        let coming = listed
            .get("coming due")
            .is_some_and(|steps| steps == &["meter test"]);
        assert_eq!(
            coming, *is_application_later,
            "{of_visit:?} {from:?} is {state}: {listed:?}"
        );
    }
}

#[test]
fn an_application_comes_before_service_of_the_same_day_unless_hours_say_otherwise() {
    for (from, of_service, is_service_later) in by_hand::ONE_DAY {
        let mut files = by_hand::done_in_march();
        by_hand::application(&mut files, *from);
        by_hand::service(&mut files, *of_service, "flow-meter: {what: replaced}");
        // Done again since, so that the finding stands alone.
        by_hand::visit(&mut files, None, METER_TEST);
        let visit = files.remove("calibrations/heron/2026-05-02.yaml").unwrap();
        files.insert(
            "calibrations/heron/2026-05-20.yaml".to_owned(),
            visit.replace("2026-05-02", "2026-05-20"),
        );
        let report = fixture::checked(&files, "2026-06-01");
        let mut findings = report.findings.iter();
        let was_void = findings.any(|finding| finding.rule() == "sprayed-while-void");
        let told = fixture::found(&report);
        assert_eq!(
            was_void, !is_service_later,
            "{from:?} {of_service:?}: {told:?}"
        );
    }
}
