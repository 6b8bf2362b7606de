//! A list of what is due made by hand, rendered in every format: nothing lost, nothing harmful, and a calendar that keeps every byte of the standard.

use crate::harmless::{self, line_end, without_color};
use icalendar::{CalendarComponent, Component};
use jiff::ToSpan;
use jiff::civil::{Date, DateTime, date};
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use swathlint::procedure::Step;
use swathlint::render::{
    DUE_FORMATS, Look, due_calendar, due_csv, due_jsonl, due_markdown, due_not_told, due_text,
};
use swathlint::report::{
    BrokenMachine, DueBy, DueList, DueState, DueStep, DueWaiver, Failure, HoursUnread,
    LaidUpMachine, RowPlace, StepOf, TestNotCounted, ToFillIn, UnsureMachine, WaitingStep,
    WhyHoursUnread,
};
use swathlint::words::clean::clean;
use unicode_width::UnicodeWidthStr;

const PLAIN_LOOK: Look = Look {
    color: false,
    width: 80,
};
const COLOR_LOOK: Look = Look {
    color: true,
    width: 80,
};
const TODAY: Date = date(2026, 6, 1);

/// Text as only somebody hostile, or a broken file, has it.
const HOSTILE: [&str; 18] = [
    "::error file=a::b",
    "\n::error::c",
    "   ::warning::d",
    "##[error]e",
    "=cmd|' /C calc'!A0",
    "+1",
    "-2+3",
    "@somebody",
    "\tf",
    "\rg",
    "a | b `c` ``` #1 <b>h</b> [i](https://example.org) ![j](k) **l** _m_",
    "- [x] n\r\n# o",
    "\u{1b}[31mred\u{1b}[0m\u{9b}1m\u{7}\0",
    "ok\u{202e}ko\u{200b}\u{feff}",
    "quotes \" ' and, commas; semicolons: colons \\ backslashes \\n \\,",
    "BEGIN:VEVENT\r\nEND:VCALENDAR",
    "",
    " ",
];

fn step(machine: &str, step: &'static str, state: DueState) -> DueStep {
    DueStep {
        course: Some("Saltmere Links".to_owned()),
        machine: machine.to_owned(),
        setup: None,
        only_setup: None,
        step,
        of: StepOf {
            step: Step::Catch,
            setup: None,
        },
        state,
        due: None,
        by: DueBy::Calendar,
        because: "the interval ends".to_owned(),
        to_do: None,
        interval: Some("12 months, group decision of 2026-01-10".to_owned()),
        last_done: None,
        at: None,
        waived: Vec::new(),
        bring: Vec::new(),
        target: None,
        cautions: &["never blow through a tip"],
        events: 12,
    }
}

fn things(things: &[&str]) -> Vec<String> {
    things.iter().map(|thing| (*thing).to_owned()).collect()
}

fn waiver(rule: &str, because: &str) -> DueWaiver {
    DueWaiver {
        rule: rule.to_owned(),
        until: Some(date(2026, 7, 15)),
        because: Some(because.to_owned()),
        at: place("waivers.yaml", 3),
    }
}

fn place(path: &str, line: u32) -> RowPlace {
    RowPlace {
        path: path.to_owned(),
        line,
        column: 3,
    }
}

/// Every state, on two courses and on none.
fn saltmere() -> DueList {
    let void = DueStep {
        setup: Some("greens".to_owned()),
        due: Some(date(2026, 5, 12)),
        by: DueBy::Work,
        because: "new nozzles were fitted to the whole boom after the last catch".to_owned(),
        interval: None,
        last_done: Some(date(2026, 3, 9)),
        at: Some(place("service/dunlin/2026-05-12.yaml", 6)),
        bring: things(&["jug", "stopwatch", "clean water"]),
        target: Some(
            "36.4 fl oz from each nozzle in 30 s at 36 psi (low 32.8, high 40.0)".to_owned(),
        ),
        ..step("dunlin", "catch test", DueState::Void)
    };
    let never = DueStep {
        by: DueBy::Nothing,
        because: "no record shows a speed test".to_owned(),
        at: Some(place("machines/dunlin.yaml", 2)),
        bring: things(&["measuring wheel", "stopwatch"]),
        ..step("dunlin", "speed test", DueState::NeverDone)
    };
    let failing = DueStep {
        setup: Some("fairways".to_owned()),
        due: Some(date(2026, 5, 31)),
        by: DueBy::Finding,
        because: "nozzle 9 of 13 (right, 1st) passes 15.95 ± 0.95% less than the boom's mean; at most 10%"
            .to_owned(),
        to_do: Some("clean the tip and its strainer and catch again".to_owned()),
        last_done: Some(date(2026, 5, 31)),
        at: Some(place("calibrations/heron/2026-05-31.yaml", 17)),
        bring: things(&["jug", "stopwatch", "tips of the setup"]),
        ..step("heron", "catch test", DueState::Failing)
    };
    let overdue = DueStep {
        due: Some(date(2026, 4, 2)),
        by: DueBy::Hours,
        because: "112 h since the last meter test; at most 100 h".to_owned(),
        interval: Some("100 h, group decision of 2026-01-10".to_owned()),
        last_done: Some(date(2025, 9, 1)),
        bring: things(&["fill meter"]),
        waived: vec![waiver("overdue-by-hours", "shop closed")],
        ..step("heron", "meter test", DueState::Overdue)
    };
    let again = DueStep {
        course: Some("The Dunes".to_owned()),
        due: Some(TODAY),
        by: DueBy::Work,
        because: "the pump was repaired".to_owned(),
        at: Some(place("service/knot/2026-06-01.yaml", 5)),
        ..step("knot", "section balance", DueState::Recheck)
    };
    let coming = DueStep {
        course: None,
        due: Some(date(2026, 6, 2)),
        because: "the 12 months since the last speed test end".to_owned(),
        last_done: Some(date(2025, 6, 2)),
        ..step("robin", "speed test", DueState::ComingDue)
    };
    let forecast = DueStep {
        course: None,
        due: Some(date(2026, 6, 15)),
        by: DueBy::Applications,
        because: "20 of 20 applications are made".to_owned(),
        interval: Some("20 applications, our own".to_owned()),
        ..step("robin", "catch test", DueState::ComingDue)
    };
    let waived = DueStep {
        course: None,
        due: Some(date(2026, 5, 31)),
        by: DueBy::Finding,
        because: "the boom averages 12% over rated flow".to_owned(),
        waived: vec![waiver("mean-off-rated", "new tips on order")],
        ..step("stint", "catch test", DueState::Waived)
    };
    DueList {
        today: TODAY,
        within_days: 14,
        steps: vec![
            void, never, failing, overdue, again, coming, forecast, waived,
        ],
        sequence: 412,
        current: 23,
        without_interval: 0,
        broken: vec![BrokenMachine {
            is_record: false,
            machine: "curlew".to_owned(),
            has_file: true,
            errors: vec![place("machines/curlew.yaml", 7)],
        }],
        laid_up: vec![LaidUpMachine {
            machine: "godwit".to_owned(),
            until: date(2026, 6, 30),
            waiting: vec![WaitingStep {
                step: "catch test",
                setup: Some("greens".to_owned()),
                state: DueState::Overdue,
            }],
        }],
        hours_unread: vec![HoursUnread {
            machine: "whimbrel".to_owned(),
            why: WhyHoursUnread::NotRead,
            steps: vec![("catch test", None), ("speed test", None)],
        }],
        cautions: &["wear gloves", "put rinsate only where the label allows"],
        unsure: vec![UnsureMachine {
            machine: "plover".to_owned(),
            steps: vec!["meter test", "speed test"],
            says_nothing_of: vec!["control", "speed-source"],
        }],
        not_filled_in: vec![ToFillIn {
            at: place("calibrations/dunlin/2026-05-30.yaml", 6),
            what: "not filled in: catch test: 12 readings and duration".to_owned(),
        }],
        not_counted: vec![
            not_counted("ruff", "calibrations/ruff/2026-05-30.yaml", false),
            not_counted("robin", "calibrations/robin/2026-05-28.yaml", true),
        ],
        records: 61,
        errors: vec![
            place("calibrations/curlew/2025-04-15.yaml", 12),
            place("calibrations/dunlin/2025-04-10.yaml", 11),
        ],
        failures: vec![Failure {
            path: "service/knot/2026-04-01.yaml".to_owned(),
            reason: "permission denied".to_owned(),
        }],
    }
}

fn not_counted(machine: &str, path: &str, is_told_by_step: bool) -> TestNotCounted {
    TestNotCounted {
        machine: machine.to_owned(),
        setup: None,
        step: "catch test",
        of: StepOf {
            step: Step::Catch,
            setup: Some("greens".to_owned()),
        },
        day: date(2026, 5, 30),
        is_begun: false,
        says: "the catch test of 2026-05-30 does not count: nozzles 7 and 9 of 9 were not caught"
            .to_owned(),
        counts: Some(date(2026, 5, 20)),
        at: place(path, 8),
        is_told_by_step,
    }
}

fn nothing_due() -> DueList {
    DueList {
        today: TODAY,
        within_days: 14,
        steps: Vec::new(),
        sequence: 9648,
        current: 23,
        without_interval: 0,
        broken: Vec::new(),
        laid_up: Vec::new(),
        hours_unread: Vec::new(),
        unsure: Vec::new(),
        not_filled_in: Vec::new(),
        not_counted: Vec::new(),
        cautions: &["wear gloves"],
        records: 61,
        errors: Vec::new(),
        failures: Vec::new(),
    }
}

/// A list whose every text from a record is one of these.
fn of_texts(texts: &[&str]) -> DueList {
    let text = |at: usize| texts[at % texts.len()].to_owned();
    let steps = (0..texts.len()).map(|at| DueStep {
        course: Some(text(at + 4)),
        machine: text(at),
        setup: Some(text(at + 1)),
        because: text(at + 2),
        interval: Some(text(at + 3)),
        at: Some(place(&text(at + 5), 1)),
        due: Some(TODAY),
        waived: vec![waiver(&text(at), &text(at + 1))],
        bring: vec![text(at + 2)],
        target: Some(text(at + 3)),
        ..step("", "catch test", DueState::ALL[at % DueState::ALL.len()])
    });
    DueList {
        steps: steps.collect(),
        unsure: vec![UnsureMachine {
            machine: text(0),
            steps: vec!["speed test"],
            says_nothing_of: vec!["speed-source"],
        }],
        broken: vec![BrokenMachine {
            is_record: false,
            machine: text(0),
            has_file: true,
            errors: vec![place(&text(1), 1)],
        }],
        laid_up: vec![LaidUpMachine {
            machine: text(2),
            until: TODAY,
            waiting: vec![WaitingStep {
                step: "catch test",
                setup: Some(text(3)),
                state: DueState::Void,
            }],
        }],
        hours_unread: vec![HoursUnread {
            machine: text(4),
            why: WhyHoursUnread::WentBack(TODAY),
            steps: vec![("catch test", Some(text(5)))],
        }],
        not_filled_in: vec![ToFillIn {
            at: place(&text(4), 1),
            what: text(0),
        }],
        not_counted: vec![TestNotCounted {
            setup: Some(text(2)),
            says: text(3),
            ..not_counted(&text(1), &text(5), false)
        }],
        errors: vec![place(&text(3), 1)],
        failures: vec![Failure {
            path: text(1),
            reason: text(2),
        }],
        ..nothing_due()
    }
}

fn hostile() -> DueList {
    of_texts(&HOSTILE)
}

/// What no output may hold, whatever is in a record.
fn assert_harmless(due: &DueList) {
    for format in DUE_FORMATS {
        let text = (format.write)(due, &PLAIN_LOOK);
        let line_end = line_end(format.name);
        harmless::assert_harmless(format.name, &text, line_end);
        assert!(
            text.split(line_end).all(|line| clean(line) == line),
            "{}",
            format.name
        );
    }
}

/// Every format tells every step, and in it or beside it all that may hide one.
#[test]
fn every_format_tells_all_of_it() {
    let mut due = saltmere();
    due.steps = ["avocet", "curlew", "dunlin"]
        .map(|machine| step(machine, "catch test", DueState::Overdue))
        .to_vec();
    let DueList {
        today: _,
        within_days: _,
        steps,
        // How many are left out, and the number of the edition, are no part of a list of steps alone.
        sequence: _,
        current: _,
        without_interval: _,
        records: _,
        broken,
        laid_up,
        hours_unread,
        unsure,
        not_filled_in,
        not_counted,
        cautions,
        errors,
        failures,
    } = &due;
    let steps = steps.iter().map(|step| step.machine.clone());
    let unsure = unsure.iter().map(|unsure| unsure.machine.clone());
    let errors = errors.iter().map(|place| place.path.clone());
    let failures = failures
        .iter()
        .flat_map(|f| [f.path.clone(), f.reason.clone()]);
    let broken = broken
        .iter()
        .flat_map(|broken| [broken.machine.clone(), broken.errors[0].path.clone()]);
    let laid_up = laid_up.iter().map(|laid_up| laid_up.machine.clone());
    let hours_unread = hours_unread.iter().map(|unread| unread.machine.clone());
    let not_filled_in = not_filled_in
        .iter()
        .flat_map(|one| [one.what.clone(), one.at.path.clone()]);
    // Of the other its step says it.
    let not_counted = [&not_counted[0]].into_iter();
    let not_counted = not_counted.flat_map(|test| {
        [
            test.machine.clone(),
            test.says.clone(),
            test.at.path.clone(),
        ]
    });
    let cautions = cautions.iter().map(|caution| (*caution).to_owned());
    let of_steps = due.steps.iter().flat_map(|step| step.cautions);
    let of_steps = of_steps.map(|caution| (*caution).to_owned());
    let all: Vec<String> = steps
        .chain(unsure)
        .chain(errors)
        .chain(failures)
        .chain(broken)
        .chain(laid_up)
        .chain(hours_unread)
        .chain(not_filled_in)
        .chain(not_counted)
        .chain(cautions)
        .chain(of_steps)
        .collect();
    let wide = Look {
        color: false,
        width: 1_000,
    };
    for format in DUE_FORMATS {
        let written = (format.write)(&due, &wide).replace("\r\n ", "");
        let told = format!("{written}\n{}", (format.leaves_out)(&due).join("\n"));
        for each in &all {
            assert!(told.contains(each), "{}, {each}:\n{told}", format.name);
        }
    }
}

#[test]
fn the_list_as_text() {
    insta::assert_snapshot!(due_text(&saltmere(), &PLAIN_LOOK));
}

#[test]
fn the_list_in_color() {
    let colored = due_text(&saltmere(), &COLOR_LOOK);
    assert_eq!(without_color(&colored), *due_text(&saltmere(), &PLAIN_LOOK));
    insta::assert_snapshot!(colored.replace('\u{1b}', "ESC"));
}

#[test]
fn the_list_as_a_task_list() {
    insta::assert_snapshot!(due_markdown(&saltmere()));
}

#[test]
fn the_list_as_csv() {
    insta::assert_snapshot!(due_csv(&saltmere()).replace('\r', "␍"));
}

#[test]
fn the_list_as_json_lines() {
    insta::assert_snapshot!(due_jsonl(&saltmere()));
}

#[test]
fn the_list_as_a_calendar() {
    insta::assert_snapshot!(due_calendar(&saltmere()).replace('\r', "␍"));
}

#[test]
fn hostile_text_is_harmless_in_every_format() {
    assert_harmless(&hostile());
    assert_harmless(&of_texts(&harmless::HOSTILE));
    insta::assert_snapshot!(due_text(&hostile(), &PLAIN_LOOK));
    insta::assert_snapshot!("hostile_text_in_a_task_list", due_markdown(&hostile()));
}

/// The states in their order, each with a word and a shape that no other has and no severity has.
#[test]
fn every_state_has_a_word_and_a_shape_of_its_own() {
    let mut list = saltmere();
    // The record of one of them is written wrong.
    let mut of_record = list.steps[0].clone();
    of_record.state = DueState::RecordToCorrect;
    list.steps.push(of_record);
    let text = due_text(&list, &PLAIN_LOOK);
    let mut shapes = BTreeSet::new();
    let legend = text
        .rsplit("\n\n")
        .find(|part| part.contains("its interval has run out"));
    for state in DueState::ALL {
        let marked = format!(" {}: ", state.word());
        let line = text.lines().find(|line| line.contains(&marked)).unwrap();
        assert!(
            legend.unwrap().contains(&line.trim()[..'□'.len_utf8()]),
            "{line}"
        );
        let shape = line.trim_start().chars().next().unwrap();
        assert!(!shape.is_alphanumeric() && !['◆', '◈', '◇'].contains(&shape));
        assert!(due_markdown(&list).contains(&format!("{shape} {}: ", state.word())));
        shapes.insert(shape);
    }
    assert_eq!(shapes.len(), DueState::ALL.len());
}

#[test]
fn who_is_not_ready_to_spray_stands_at_the_top() {
    for (text, next) in [
        (due_text(&saltmere(), &PLAIN_LOOK), "\n\nSaltmere"),
        (due_markdown(&saltmere()), "\n\n- "),
    ] {
        let text = text.split(next).next().unwrap();
        assert!(text.contains("not ready to spray:"), "{text}");
        for (machine, named) in [("dunlin", 1), ("heron", 1), ("knot", 0), ("robin", 0)] {
            assert_eq!(text.matches(machine).count(), named, "{machine}: {text}");
        }
    }
    let mut sprays = saltmere();
    sprays
        .steps
        .retain(|step| step.state > DueState::RecordToCorrect);
    for format in DUE_FORMATS {
        let text = (format.write)(&sprays, &PLAIN_LOOK);
        assert!(
            !text.contains("not ready to spray"),
            "{}: {text:?}",
            format.name
        );
    }
}

/// One step in each state: every format says of it alone whether its machine is not ready to spray.
#[test]
fn every_format_says_which_states_forbid_spraying() {
    for state in DueState::ALL {
        let mut due = nothing_due();
        due.steps = vec![step("heron", "catch test", state)];
        let forbids = matches!(
            state,
            DueState::NeverDone | DueState::Void | DueState::Failing | DueState::RecordToCorrect
        );
        assert_eq!(state.forbids_spraying(), forbids, "{state:?}");
        for format in DUE_FORMATS {
            let text = (format.write)(&due, &PLAIN_LOOK);
            let said = match format.name {
                "csv" => {
                    let mut reader = csv::Reader::from_reader(text.as_bytes());
                    let heading = reader.headers().unwrap().clone();
                    let column = |name: &&str| *name == "not-ready-to-spray";
                    let at = heading.iter().position(|name| column(&name)).unwrap();
                    let row = reader.records().next().unwrap().unwrap();
                    row[at].parse().unwrap()
                }
                "jsonl" => {
                    let lines: Vec<Value> = text
                        .lines()
                        .map(|line| serde_json::from_str(line).unwrap())
                        .collect();
                    let machines: &[&str] = if forbids { &["heron"] } else { &[] };
                    assert_eq!(lines[1]["not-ready-to-spray"], serde_json::json!(machines));
                    lines[0]["not-ready-to-spray"].as_bool().unwrap()
                }
                _ => text.contains("not ready to spray"),
            };
            assert_eq!(said, forbids, "{}, {state:?}: {text}", format.name);
        }
    }
}

#[test]
fn nothing_due_says_how_much_is_current_and_until_when() {
    let text = due_text(&nothing_due(), &PLAIN_LOOK);
    let said = "nothing is due by 2026-06-15: 23 steps current in 61 records";
    assert_eq!(*text, format!("{said}\n"));
    assert_eq!(*due_markdown(&nothing_due()), format!("**{said}.**\n"));
    let no_records = DueList {
        records: 0,
        current: 0,
        without_interval: 0,
        ..nothing_due()
    };
    assert_eq!(
        &*due_text(&no_records, &PLAIN_LOOK),
        "nothing was looked at: there are no records\n"
    );
    let not_known = DueList {
        steps: Vec::new(),
        ..saltmere()
    };
    let text = due_text(&not_known, &PLAIN_LOOK);
    assert!(text.contains("not known whether due: meter test and speed test of plover"));
    let told = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.ends_with("nothing else is due by 2026-06-15"),
        "{text}"
    );
    let last_days = DueList {
        today: Date::MAX,
        ..nothing_due()
    };
    assert!(due_text(&last_days, &PLAIN_LOOK).contains("by 9999-12-31"));
}

#[test]
fn the_totals_stand_last_and_reconcile() {
    let text = due_text(&saltmere(), &PLAIN_LOOK);
    let last = text.split("\n\n").last().unwrap().replace("\n  ", " ");
    assert_eq!(
        last,
        "8 steps of 5 machines due by 2026-06-15: 1 never done, 1 void, 1 failing, 1 overdue, 1 recheck, \
         2 coming due, 1 failing, waived; 23 current; 1 newer test does not count\n"
    );
    let words: Vec<&str> = text.split_whitespace().collect();
    assert!(words.join(" ").contains("the label is the law"));
}

/// A line is longer than it may be only where it is one long word.
#[test]
fn lines_of_text_keep_within_the_width() {
    let long = format!("{} heron", "very-".repeat(60));
    for due in [saltmere(), hostile(), of_texts(&[&long, "a b"])] {
        for width in [40, 80, 160] {
            let look = Look {
                color: false,
                width,
            };
            for line in due_text(&due, &look).lines() {
                let is_one_word = !line.trim().contains(' ');
                assert!(is_one_word || line.width() <= width, "{width}: {line}");
            }
        }
    }
}

#[test]
fn what_to_bring_is_told_once_a_machine() {
    let text = due_text(&saltmere(), &PLAIN_LOOK);
    let bring: Vec<&str> = text
        .lines()
        .filter_map(|line| line.trim().strip_prefix("bring: "))
        .collect();
    assert_eq!(
        bring,
        [
            "jug, stopwatch, clean water, measuring wheel",
            "jug, stopwatch, tips of the setup, fill meter"
        ]
    );
}

#[test]
fn days_away_are_counted() {
    use DueState::{ComingDue, Failing, NeverDone, Overdue, Recheck, Void};
    let said = |state, days: i32| {
        let due = DueList {
            steps: vec![DueStep {
                due: Some(TODAY + days.days()),
                ..step("heron", "catch test", state)
            }],
            ..nothing_due()
        };
        let text = due_text(&due, &PLAIN_LOOK);
        let line = text.lines().find(|line| line.contains("test, ")).unwrap();
        line.split_once("test, ").unwrap().1.to_owned()
    };
    for (state, days, words) in [
        (Overdue, -1, "due 2026-05-31 (1 day ago)"),
        (Overdue, -366, "due 2025-05-31 (366 days ago)"),
        (Void, 0, "since 2026-06-01 (today)"),
        (Failing, -2, "since the visit of 2026-05-30 (2 days ago)"),
        (Recheck, -2, "since 2026-05-30 (2 days ago)"),
        (Recheck, 3, "due 2026-06-04 (in 3 days)"),
        (ComingDue, 0, "due 2026-06-01 (today)"),
        (ComingDue, 1, "due 2026-06-02 (in 1 day)"),
        (NeverDone, 14, "due 2026-06-15 (in 14 days)"),
    ] {
        assert_eq!(said(state, days), words, "{state:?} {days}");
    }
}

#[test]
fn what_a_format_of_steps_cannot_hold_is_told_beside_it() {
    assert_eq!(
        due_not_told(&saltmere()),
        [
            "not known whether ready to spray: curlew, whose machine file has 1 error, at machines/curlew.yaml:7:3",
            "2 errors on the records may change this list, at calibrations/curlew/2025-04-15.yaml:12:3 and \
             calibrations/dunlin/2025-04-10.yaml:11:3: run `swathlint check`",
            "could not read service/knot/2026-04-01.yaml: permission denied",
            "not known whether due: meter test and speed test of plover, whose machine file says nothing of control and \
             speed-source",
            "laid up until 2026-06-30: godwit; before it sprays again: catch test (greens) overdue",
            "catch test and speed test of whimbrel never come due by hours: no engine hours were read since; write \
             `hours` in its records",
            "ruff: the catch test of 2026-05-30 does not count: nozzles 7 and 9 of 9 were not caught; the one of 2026-05-20 \
             still counts, at calibrations/ruff/2026-05-30.yaml:8:3",
            "not filled in: catch test: 12 readings and duration, at calibrations/dunlin/2026-05-30.yaml:6:3",
        ]
    );
    assert!(due_not_told(&nothing_due()).is_empty());
    let many = DueList {
        errors: (1..=9).map(|line| place("fleet.yaml", line)).collect(),
        ..nothing_due()
    };
    assert_eq!(
        due_not_told(&many),
        [
            "9 errors on the records may change this list, at fleet.yaml:1:3, fleet.yaml:2:3, fleet.yaml:3:3, \
             fleet.yaml:4:3, fleet.yaml:5:3, fleet.yaml:6:3, fleet.yaml:7:3, fleet.yaml:8:3 and 1 more: run \
             `swathlint check`"
        ]
    );
}

// Markdown, read by another reader.

/// The text inside code spans, the text outside, and how many tasks there are.
#[expect(
    clippy::wildcard_enum_match_arm,
    reason = "whatever else markup can be is not wanted"
)]
fn read_markdown(text: &str) -> (Vec<String>, String, usize) {
    let options =
        Options::ENABLE_TASKLISTS | Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    let (mut code, mut outside, mut n_tasks) = (Vec::new(), String::new(), 0);
    for event in Parser::new_ext(text, options) {
        match event {
            Event::Code(span) => code.push(span.into_string()),
            Event::Text(text) => outside.push_str(&text),
            Event::TaskListMarker(is_done) => {
                assert!(!is_done);
                n_tasks += 1;
            }
            Event::Start(
                Tag::Paragraph
                | Tag::Heading { .. }
                | Tag::List(None)
                | Tag::Item
                | Tag::Emphasis
                | Tag::Strong,
            ) => {}
            Event::SoftBreak
            | Event::HardBreak
            | Event::End(
                TagEnd::Paragraph
                | TagEnd::Heading(_)
                | TagEnd::List(false)
                | TagEnd::Item
                | TagEnd::Emphasis
                | TagEnd::Strong,
            ) => outside.push('\n'),
            other => panic!("only headings, lists and code spans are wanted: {other:?}"),
        }
    }
    (code, outside, n_tasks)
}

#[test]
fn text_of_records_stands_in_code_spans_alone() {
    for due in [saltmere(), hostile()] {
        let (code, outside, n_tasks) = read_markdown(&due_markdown(&due));
        assert_eq!(n_tasks, due.steps.len());
        for step in &due.steps {
            let texts = [&step.machine, &step.because];
            let more = [&step.course, &step.setup, &step.interval];
            for text in texts.into_iter().chain(more.into_iter().flatten()) {
                let shown = clean(text).replace("##[", r"##\u{5b}");
                let is_shown = code.iter().any(|span| span.trim() == shown.trim());
                assert!(is_shown, "{shown:?} in {code:#?}");
            }
        }
        for sign in ['|', '<', '@', '`', '#', '[', '=', '\\'] {
            assert!(!outside.contains(sign), "{sign} in {outside}");
        }
    }
}

#[test]
fn a_long_task_list_is_cut_and_says_by_how_much() {
    let long = "a reason of many words ".repeat(13);
    let wide = "`\u{1f426}".repeat(800);
    for (because, n_machines) in [(&*long, 400), (&*wide, 60), (&*wide, 10), ("short", 20_000)] {
        let name: String = because.chars().take(400).collect();
        let steps = (0..n_machines).map(|at| DueStep {
            because: because.to_owned(),
            ..step(&format!("{at}-{name}"), "catch test", DueState::Void)
        });
        let due = DueList {
            steps: steps.collect(),
            failures: vec![
                Failure {
                    path: "a`b".repeat(400),
                    reason: "c".repeat(400)
                };
                400
            ],
            ..nothing_due()
        };
        let text = due_markdown(&due);
        assert!(text.chars().count() <= 60_000);
        let (_, outside, n_tasks) = read_markdown(&text);
        let n_left = outside
            .lines()
            .find_map(|line| line.strip_suffix(" more: run  to see all."))
            .map_or(0, |line| line.split(' ').next().unwrap().parse().unwrap());
        assert_eq!(n_tasks + n_left, n_machines);
        assert!(n_tasks > 0);
        assert!(text.contains("375 more like these"));
        if n_machines > 25 {
            let more = format!(" and {} more.", n_machines - 25);
            assert!(text.contains(&more), "{more}");
        }
        assert!(text.contains("the label is the law"));
    }
}

// CSV, read by another reader.

#[test]
fn csv_reads_back_and_no_cell_is_a_formula() {
    for due in [saltmere(), hostile(), nothing_due()] {
        let text = due_csv(&due);
        assert!(text.ends_with("\r\n"));
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        assert_eq!(text.matches('\r').count(), text.matches("\r\n").count());
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let heading = reader.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), due.steps.len());
        for (row, step) in rows.iter().zip(&due.steps) {
            let cell = |name: &str| {
                let at = heading.iter().position(|heading| heading == name).unwrap();
                row.get(at).unwrap()
            };
            for text in row {
                assert!(!text.trim_start().starts_with(harmless::FORMULA), "{text}");
            }
            let is = |cell: &str, text: &str| {
                let cell = cell.strip_prefix('\'').unwrap_or(cell);
                assert_eq!(cell, harmless::broken(&clean(text)));
            };
            is(cell("machine"), &step.machine);
            is(cell("because"), &step.because);
            is(cell("course"), step.course.as_deref().unwrap_or_default());
            is(cell("setup"), step.setup.as_deref().unwrap_or_default());
            is(
                cell("interval"),
                step.interval.as_deref().unwrap_or_default(),
            );
            assert_eq!(cell("state"), step.state.word());
            assert_eq!(cell("due-by"), step.by.word());
            is(cell("bring"), &step.bring.join("; "));
        }
    }
}

// JSON lines.

#[test]
fn json_lines_lose_nothing() {
    for due in [saltmere(), hostile(), nothing_due()] {
        let lines: Vec<Value> = due_jsonl(&due)
            .lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect();
        let (summary, steps) = lines.split_last().unwrap();
        assert_eq!(steps.len(), due.steps.len());
        for (line, step) in steps.iter().zip(&due.steps) {
            assert_eq!(line["kind"], "step");
            assert_eq!(line["schema-version"], 1);
            assert_eq!(line["machine"], *step.machine);
            assert_eq!(line["course"].as_str(), step.course.as_deref());
            assert_eq!(line["setup"].as_str(), step.setup.as_deref());
            assert_eq!(line["because"], *step.because);
            assert_eq!(line["interval"].as_str(), step.interval.as_deref());
            assert_eq!(line["state"], step.state.word());
            assert_eq!(line["due"].as_str().is_some(), step.due.is_some());
            assert_eq!(
                line["place"]["path"].as_str(),
                step.at.as_ref().map(|at| &*at.path)
            );
        }
        assert_eq!(summary["kind"], "summary");
        assert_eq!(summary["due"], due.steps.len());
        assert_eq!(summary["current"], due.current);
        assert_eq!(
            summary["not-known"].as_array().unwrap().len(),
            due.unsure.len()
        );
        assert_eq!(
            summary["failures"].as_array().unwrap().len(),
            due.failures.len()
        );
        let states = summary["states"].as_object().unwrap();
        let total: u64 = states.values().map(|n| n.as_u64().unwrap()).sum();
        assert_eq!((states.len(), total), (8, due.steps.len() as u64));
    }
}

// The calendar: the rules of RFC 5545 byte by byte, then another reader.

/// A state as the summary of an event ends with it.
fn in_a_calendar(state: DueState) -> String {
    match state {
        DueState::NeverDone | DueState::Void | DueState::Failing | DueState::RecordToCorrect => {
            format!("{}, not ready to spray", state.word())
        }
        DueState::Overdue | DueState::Recheck | DueState::ComingDue | DueState::Waived => {
            state.word().to_owned()
        }
    }
}

/// The content lines of a calendar, unfolded, after what 3.1 says of lines is held.
fn content_lines(calendar: &str) -> Vec<String> {
    assert!(calendar.ends_with("\r\n"));
    let mut lines: Vec<Vec<u8>> = Vec::new();
    for line in calendar.as_bytes().split_inclusive(|&byte| byte == b'\n') {
        let line = line
            .strip_suffix(b"\r\n")
            .expect("every line ends with CRLF");
        assert!(line.len() <= 75, "{} octets", line.len());
        // Read alone, so that no character lies across a fold.
        let text = std::str::from_utf8(line).unwrap();
        assert!(!text.chars().any(char::is_control), "{text:?}");
        match line.strip_prefix(b" ") {
            Some(rest) => lines.last_mut().unwrap().extend_from_slice(rest),
            None => lines.push(line.to_vec()),
        }
    }
    lines
        .into_iter()
        .map(|line| String::from_utf8(line).unwrap())
        .collect()
}

/// A component with its properties as written and the components in it.
#[derive(Debug, Default)]
struct Block {
    name: String,
    properties: Vec<(String, String)>,
    blocks: Vec<Block>,
}

impl Block {
    /// The only property of this name.
    fn only(&self, name: &str) -> &str {
        let mut values = self.properties.iter().filter(|(known, _)| known == name);
        let (_, value) = values
            .next()
            .unwrap_or_else(|| panic!("{name} in {self:?}"));
        assert!(values.next().is_none(), "{name} stands twice");
        value
    }

    /// The names of its properties, without parameters.
    fn names(&self) -> BTreeSet<&str> {
        let names = self.properties.iter();
        names
            .map(|(name, _)| name.split(';').next().unwrap())
            .collect()
    }
}

fn blocks(calendar: &str) -> Block {
    let mut open = vec![Block::default()];
    for line in content_lines(calendar) {
        let (name, value) = line.split_once(':').expect("a content line has a colon");
        let is_name = |letter: char| letter.is_ascii_uppercase() || "-;=".contains(letter);
        assert!(!name.is_empty() && name.chars().all(is_name), "{name}");
        match name {
            "BEGIN" => open.push(Block {
                name: value.to_owned(),
                ..Block::default()
            }),
            "END" => {
                let closed = open.pop().unwrap();
                assert_eq!(closed.name, value);
                open.last_mut().unwrap().blocks.push(closed);
            }
            _ => open
                .last_mut()
                .unwrap()
                .properties
                .push((name.to_owned(), value.to_owned())),
        }
    }
    assert_eq!(open.len(), 1);
    let mut top = open.remove(0);
    assert_eq!((top.blocks.len(), top.properties.len()), (1, 0));
    top.blocks.remove(0)
}

/// A TEXT value read back (3.3.11): every comma, semicolon and backslash is escaped, and nothing else.
fn unescaped(value: &str) -> String {
    let mut out = String::new();
    let mut letters = value.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '\\' => match letters.next() {
                Some('n') => out.push('\n'),
                Some(escaped @ ('\\' | ';' | ',')) => out.push(escaped),
                other => panic!("no escape: {other:?}"),
            },
            ';' | ',' => panic!("{letter} is not escaped in {value}"),
            letter => out.push(letter),
        }
    }
    out
}

/// What of a text is shown in the calendar.
fn shown(raw: &str) -> String {
    harmless::broken(&clean(raw))
}

/// The day of an event: what is due already is to be done today.
fn start(step: &DueStep, today: Date) -> Date {
    match step.state {
        DueState::ComingDue => step.due.unwrap().max(today),
        DueState::NeverDone
        | DueState::Void
        | DueState::Failing
        | DueState::RecordToCorrect
        | DueState::Overdue
        | DueState::Recheck
        | DueState::Waived => today,
    }
}

/// When an alarm rings, against the midnight that its event begins with (RFC 5545, 3.3.6 and 3.8.6.3).
fn rings(trigger: &str, start: Date) -> DateTime {
    let span: jiff::Span = trigger.parse().unwrap();
    start.at(0, 0, 0, 0).checked_add(span).unwrap()
}

fn assert_keeps_the_standard(due: &DueList) {
    let text = due_calendar(due);
    let calendar = blocks(&text);
    assert_eq!(calendar.name, "VCALENDAR");
    assert_eq!(calendar.only("VERSION"), "2.0");
    assert!(!calendar.only("PRODID").is_empty());
    assert!(!calendar.names().contains("METHOD"));
    assert!(
        !calendar.blocks.is_empty(),
        "3.6: a calendar holds something"
    );
    let events: Vec<&Block> = calendar
        .blocks
        .iter()
        .filter(|block| block.name == "VEVENT")
        .collect();
    assert_eq!(events.len(), due.steps.len());
    let mut identities = BTreeSet::new();
    for (event, step) in events.into_iter().zip(&due.steps) {
        let stamp = due.today.strftime("%Y%m%dT000000Z").to_string();
        assert_eq!(event.only("DTSTAMP"), stamp);
        let start = start(step, due.today);
        let day = start.strftime("%Y%m%d").to_string();
        assert_eq!(event.only("DTSTART;VALUE=DATE"), day);
        let identity = uuid::Uuid::parse_str(event.only("UID")).unwrap();
        assert_eq!(identity.get_version_num(), 5);
        assert_eq!(identity.get_variant(), uuid::Variant::RFC4122);
        assert!(identities.insert(identity), "{identity} stands twice");
        assert!(event.only("SEQUENCE").parse::<i32>().unwrap() >= 0);
        assert_eq!(event.only("TRANSP"), "TRANSPARENT");
        assert!(["CONFIRMED", "TENTATIVE"].contains(&event.only("STATUS")));
        let summary = unescaped(event.only("SUMMARY"));
        assert!(summary.starts_with(&shown(&format!("{}:", step.machine))));
        assert!(summary.ends_with(&in_a_calendar(step.state)));
        let description = unescaped(event.only("DESCRIPTION"));
        assert_eq!(description.lines().next().unwrap(), shown(&step.because));
        match &step.course {
            Some(course) => assert_eq!(unescaped(event.only("LOCATION")), shown(course)),
            None => assert!(!event.names().contains("LOCATION")),
        }
        let [alarm] = &*event.blocks else {
            panic!("one alarm")
        };
        assert_eq!(alarm.name, "VALARM");
        assert_eq!(
            alarm.names(),
            BTreeSet::from(["ACTION", "DESCRIPTION", "TRIGGER"])
        );
        assert_eq!(alarm.only("ACTION"), "DISPLAY");
        assert!(rings(alarm.only("TRIGGER"), start) > due.today.at(7, 59, 0, 0));
        assert_eq!(alarm.only("DESCRIPTION"), event.only("SUMMARY"));
        for name in event.names() {
            let same = event.properties.iter();
            let same = same.filter(|(known, _)| known.split(';').next() == Some(name));
            assert_eq!(same.count(), 1, "{name}");
        }
    }
}

#[test]
fn a_calendar_keeps_every_rule_of_the_standard() {
    for due in [saltmere(), hostile(), nothing_due()] {
        assert_keeps_the_standard(&due);
    }
}

/// Characters of one to four octets on either side of every place where a line could be folded.
#[test]
fn no_character_lies_across_a_fold() {
    for letters in ["é", "針", "\u{1f426}", "aé針\u{1f426}"] {
        for before in 0..80 {
            let text = format!("{}{}", "a".repeat(before), letters.repeat(100));
            assert_keeps_the_standard(&of_texts(&[&text]));
        }
    }
    // Backslashes at the folds, and what a log obeys at the beginning of a line.
    for before in 0..80 {
        for command in ["\\,;::", "x   --- ", "[command]", "::: "] {
            let text = format!("{}{}::b", "a".repeat(before), command.repeat(60));
            let due = of_texts(&[&text]);
            assert_keeps_the_standard(&due);
            assert_harmless(&due);
        }
    }
}

#[test]
fn another_reader_reads_the_calendar_as_it_is_meant() {
    for due in [saltmere(), hostile()] {
        let calendar: icalendar::Calendar = due_calendar(&due).parse().unwrap();
        let events: Vec<&icalendar::Event> = calendar
            .components
            .iter()
            .map(|component| {
                let CalendarComponent::Event(event) = component else {
                    panic!("no event: {component:?}")
                };
                event
            })
            .collect();
        assert_eq!(events.len(), due.steps.len());
        for (event, step) in events.into_iter().zip(&due.steps) {
            let setup = step.setup.as_ref();
            let name = setup.map_or(step.step.to_owned(), |setup| {
                format!("{} ({setup})", step.step)
            });
            let state = in_a_calendar(step.state);
            let summary = format!("{}: {name} {state}", step.machine);
            assert_eq!(
                event.get_summary().unwrap().trim_end(),
                shown(&summary).trim_end()
            );
            let description = event.get_description().unwrap();
            let why = description.split('\n').next().unwrap();
            assert_eq!(why, shown(&step.because));
            assert!(uuid::Uuid::parse_str(event.get_uid().unwrap()).is_ok());
            let day = start(step, due.today).to_string();
            match event.get_start().unwrap() {
                icalendar::DatePerhapsTime::Date(date) => assert_eq!(date.to_string(), day),
                other @ icalendar::DatePerhapsTime::DateTime(_) => panic!("{other:?}"),
            }
            let alarms = event.components().iter();
            assert_eq!(
                alarms
                    .filter(|one| one.component_kind() == "VALARM")
                    .count(),
                1
            );
        }
    }
}

/// Names of what a calendar reader matches events by, and how it tells an old event from a new one.
fn identities(due: &DueList) -> Vec<(String, i32)> {
    let calendar = blocks(&due_calendar(due));
    let events = calendar.blocks.iter();
    events
        .map(|event| {
            let sequence = event.only("SEQUENCE").parse().unwrap();
            (event.only("UID").to_owned(), sequence)
        })
        .collect()
}

#[test]
fn a_date_that_moves_keeps_the_name() {
    let before = identities(&saltmere());
    assert_eq!(
        identities(&saltmere()),
        before,
        "the same list, the same bytes"
    );
    let mut moved = saltmere();
    moved.today = date(2026, 6, 2);
    moved.sequence += 1;
    for step in &mut moved.steps {
        step.due = Some(date(2027, 6, 2));
        step.state = DueState::ComingDue;
        step.because = "something else".to_owned();
        step.course = None;
    }
    for ((uid, sequence), (old_uid, old)) in identities(&moved).into_iter().zip(&before) {
        assert_eq!((uid, sequence), (old_uid.clone(), old + 1));
    }
    moved.sequence = u32::MAX;
    assert_eq!(identities(&moved)[0].1, i32::MAX);
}

/// An alarm in the past never rings: what is due already rings on the morning of the list, the rest a week before or on
/// its own day.
#[test]
fn every_alarm_can_still_ring() {
    let ahead = |days: i32| {
        let due = DueList {
            steps: vec![DueStep {
                due: Some(TODAY + days.days()),
                ..step("heron", "catch test", DueState::ComingDue)
            }],
            ..nothing_due()
        };
        let calendar = blocks(&due_calendar(&due));
        let event = &calendar.blocks[0];
        let start = event.only("DTSTART;VALUE=DATE").to_owned();
        (start, event.blocks[0].only("TRIGGER").to_owned())
    };
    for (days, start, trigger) in [
        (-3, "20260601", "PT8H"),
        (0, "20260601", "PT8H"),
        (6, "20260607", "PT8H"),
        (7, "20260608", "-P6DT16H"),
        (14, "20260615", "-P6DT16H"),
    ] {
        assert_eq!(
            ahead(days),
            (start.to_owned(), trigger.to_owned()),
            "{days}"
        );
    }
    let calendar = blocks(&due_calendar(&saltmere()));
    assert_eq!(calendar.only("NAME"), "Sprayer calibration");
    let is_vendors = |name: &&str| name.starts_with("X-");
    assert_eq!(calendar.names().into_iter().find(is_vendors), None);
    for (event, step) in calendar.blocks.iter().zip(&saltmere().steps) {
        if step.state != DueState::ComingDue {
            assert_eq!(
                event.only("DTSTART;VALUE=DATE"),
                "20260601",
                "{}",
                step.step
            );
            assert_eq!(event.blocks[0].only("TRIGGER"), "PT8H", "{}", step.step);
        }
    }
}

/// A waiver hides nothing: every format says of a waived step that it is waived, by which rule, until when and why.
#[test]
fn every_format_says_what_is_waived() {
    for format in DUE_FORMATS {
        let wide = Look {
            color: false,
            width: 1_000,
        };
        let text = (format.write)(&saltmere(), &wide).replace("\r\n ", "");
        for said in [
            "mean-off-rated",
            "2026-07-15",
            "new tips on order",
            "shop closed",
        ] {
            assert!(text.contains(said), "{}, {said}: {text}", format.name);
        }
    }
}

/// The name of an event never changes between releases: computed by the `uuid5` of Python 3's standard library.
#[test]
fn the_name_of_an_event_is_the_one_it_always_was() {
    let uids: BTreeMap<String, String> = saltmere()
        .steps
        .iter()
        .zip(identities(&saltmere()))
        .map(|(step, (uid, _))| (format!("{} {}", step.machine, step.step), uid))
        .collect();
    assert_eq!(
        uids["dunlin catch test"],
        "f0dcf7a7-a825-5080-a6ad-f44f99f88d25"
    );
    assert_eq!(
        uids["knot section balance"],
        "0dcc6eed-ea50-551d-9c9c-6bd4df52ee81"
    );
}

/// Names that would be one if they were only put behind each other.
#[test]
fn steps_of_different_machines_and_setups_have_different_names() {
    let of = |machine: &str, setup: &str| DueStep {
        setup: Some(setup.to_owned()),
        ..step(machine, "catch test", DueState::Void)
    };
    let due = DueList {
        steps: vec![
            of("heron", "greens"),
            of("herong", "reens"),
            of("heron,6", "greens"),
            of("heron", "6:greens"),
            of("heron", ""),
            of("", "heron"),
        ],
        ..nothing_due()
    };
    assert_keeps_the_standard(&due);
}

/// A day that is forecast may move; one that is past or set by the calendar does not.
#[test]
fn what_is_forecast_is_tentative() {
    let calendar = blocks(&due_calendar(&saltmere()));
    let status: Vec<&str> = calendar
        .blocks
        .iter()
        .map(|event| event.only("STATUS"))
        .collect();
    let tentative = status
        .iter()
        .filter(|status| **status == "TENTATIVE")
        .count();
    assert_eq!((tentative, status[6]), (1, "TENTATIVE"));
}

proptest! {
    #[test]
    fn whatever_the_text_every_format_is_harmless(texts in prop::collection::vec("(\\PC|\\pC|#|\\[|##vso\\[|\\[command\\]|--- |:|`| |,|\n){0,60}", 7)) {
        let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
        let due = of_texts(&texts);
        assert_harmless(&due);
        let (_, outside, n_tasks) = read_markdown(&due_markdown(&due));
        prop_assert_eq!(n_tasks, due.steps.len());
        prop_assert!(!outside.contains(['`', '[', '<', '@']), "{}", outside);
        prop_assert_eq!(csv::Reader::from_reader(due_csv(&due).as_bytes()).records().map(Result::unwrap).count(), due.steps.len());
        for line in due_jsonl(&due).lines() {
            prop_assert!(serde_json::from_str::<Value>(line).is_ok());
        }
        let is_unlike = due.steps.iter().map(|step| (&step.machine, &step.setup)).collect::<BTreeSet<_>>().len() == texts.len();
        if is_unlike {
            assert_keeps_the_standard(&due);
        }
    }
}
