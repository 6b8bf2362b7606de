//! A begun record, a typed one and one read back: the same values make the same record, whoever writes them and however,
//! and nothing that somebody wrote is lost.

#![cfg(test)]

use crate::cases::cases;
use crate::fixture::{Files, folder, listing, reading, tree};
use jiff::civil::{Date, date};
use std::collections::BTreeMap;
use swathlint::Workspace;
use swathlint::assess::MOST_A_DAY;
use swathlint::diagnostic::NOT_FILLED_IN;
use swathlint::draft::{
    Entered, Entry, Extent, Field, Form, Kind, MISSED, Session, Wanted, form, record_path,
    record_place, text,
};
use swathlint::report::Unusable;

/// The fleets of `fixtures/`, each with its name and a day.
fn fleets() -> Vec<(String, Files, Date)> {
    let day = date(2026, 6, 2);
    let mut fleets: Vec<(String, Files, Date)> = [
        "saltmere",
        "records",
        "base",
        "benches/plover/good",
        "benches/lapwing/good",
        "benches/robin/good",
    ]
    .map(|name| (name.to_owned(), tree(&folder().join(name)), day))
    .to_vec();
    let failing = cases().into_iter();
    let failing = failing.filter(|case| case.name.ends_with("/fails.yaml"));
    fleets.extend(failing.map(|case| {
        let today = case.today.parse().unwrap();
        (case.name, case.files, today)
    }));
    fleets
}

fn workspace(files: &Files, day: Date) -> Workspace {
    Workspace::of(&listing(files), &reading(files), day).0
}

/// The machines and setups that a visit can be begun of.
fn visits(files: &Files, day: Date) -> Vec<(String, Option<String>)> {
    let mut fleet = workspace(files, day);
    let mut visits = Vec::new();
    for machine in fleet.machines() {
        match form(&mut fleet, &wanted(&machine, None, day)) {
            Ok(_) => visits.push((machine, None)),
            Err(Unusable::WhichSetup { known: setups, .. }) => {
                visits.extend(
                    setups
                        .into_iter()
                        .map(|setup| (machine.clone(), Some(setup))),
                );
            }
            Err(_) => {}
        }
    }
    visits
}

fn wanted<'a>(machine: &'a str, setup: Option<&'a str>, day: Date) -> Wanted<'a> {
    Wanted {
        machine,
        setup,
        day,
        by: None,
    }
}

fn begun(all: bool) -> Extent<'static> {
    Extent::Begun { all, schema: None }
}

/// The rules that are found against a record, each with its message; what is wrong elsewhere is not of it.
fn found(fleet: &mut Workspace, machine: &str, path: &str, record: &str) -> Vec<(String, String)> {
    fleet.set(path, record);
    let report = fleet.check_machine(machine, vec![path.to_owned()]);
    let file = fleet.file(path);
    let findings = report.findings.iter();
    findings
        .filter(|told| Some(told.primary().place.file) == file)
        .map(|told| (told.rule().to_owned(), told.message().to_owned()))
        .collect()
}

#[test]
fn a_begun_record_of_every_machine_checks_clean_but_for_what_is_to_be_filled_in() {
    let mut n_begun = 0;
    for (name, files, day) in fleets() {
        for (machine, setup) in visits(&files, day) {
            let mut fleet = workspace(&files, day);
            let form = form(&mut fleet, &wanted(&machine, setup.as_deref(), day)).unwrap();
            let place = record_place(&fleet, &form).unwrap();
            if place.is_there {
                continue;
            }
            let is_case = name.contains("yaml");
            for all in [true, false].into_iter().filter(|all| *all || !is_case) {
                let record = text(&form, &Entered::default(), begun(all)).text;
                let mut found = found(&mut fleet, &machine, &place.path, &record);
                assert!(
                    !found.is_empty(),
                    "{name} {machine}: nothing to fill in:\n{record}"
                );
                // Where a group wants a second pair of eyes, they come last.
                found.retain(|(rule, _)| rule != NOT_FILLED_IN && rule != "not-checked-by-another");
                assert_eq!(found, [], "{name} {machine} {setup:?}:\n{record}");
                n_begun += 1;
            }
        }
    }
    assert!(n_begun > 60, "{n_begun}");
}

/// A likely reading of a value of the first round, as digits.
fn likely(entry: &Entry) -> Option<String> {
    if entry.field.round().unwrap_or(0) > 0 || entry.usual.is_some() {
        return None;
    }
    // A factor is entered where a test calls for it.
    let is_left_out = matches!(
        entry.field,
        Field::Visit("boom-end-pressure")
            | Field::Off(_, "as-left")
            | Field::Meter(_, "before" | "after")
            | Field::Speed(_, "before" | "after")
    );
    if is_left_out {
        return None;
    }
    let aimed = entry.aim.map(|aim| aim.target_shown());
    Some(match &entry.kind {
        Kind::Reading(_) | Kind::Number => aimed.unwrap_or_else(|| "36".to_owned()),
        Kind::Quantity(..) => aimed
            .or_else(|| entry.last.clone())
            .unwrap_or_else(|| "40".to_owned()),
        Kind::YesNo => "true".to_owned(),
        Kind::OneOf(words) => words[0].to_owned(),
        Kind::Unit => "fl oz".to_owned(),
        Kind::Named(names) => names.first().cloned().unwrap_or_else(|| "rm".to_owned()),
        Kind::List(names) => names[..2].join(", "),
    })
}

fn all_likely(form: &Form) -> Vec<(String, String)> {
    let values = form.entries();
    values
        .filter_map(|entry| Some((entry.key.clone(), likely(entry)?)))
        .collect()
}

/// The record as somebody fills it in by hand, empty place after empty place.
fn filled_in(form: &Form, record: &str, values: &[(String, String)]) -> String {
    let values: BTreeMap<&str, &str> = values
        .iter()
        .map(|(key, text)| (key.as_str(), text.as_str()))
        .collect();
    let written = |key: &str| {
        let typed = values.get(key)?;
        form.entry(key)?.kind.written(typed).ok()
    };
    let (mut under, mut nozzle, mut run, mut off) = (String::new(), 0, 0, 0);
    let mut lines = Vec::new();
    for line in record.lines() {
        let (code, comment) = match line.find('#') {
            Some(at) => line.split_at(at),
            None => (line, ""),
        };
        let mut code = code.trim_end().to_owned();
        if !code.starts_with(' ') && code.ends_with(':') {
            under = code.trim_end_matches(':').to_owned();
        } else if !code.is_empty() && !code.starts_with(' ') {
            under.clear();
        }
        let lead = match under.as_str() {
            "preparation" => "preparation.",
            "catch-tests" => "catch.1.",
            "meter-tests" => "flow.1.",
            "speed-tests" => "speed.1.",
            "section-balance" => "balance.",
            _ => "",
        };
        while code.contains('~') {
            nozzle += 1;
            let caught = written(&format!("catch.1.nozzle.{nozzle}")).unwrap();
            code = code.replacen('~', &caught, 1);
        }
        if code.contains("{elapsed: ") {
            run += 1;
            for key in ["elapsed", "shown"] {
                let value = written(&format!("speed.1.run.{run}.{key}")).unwrap_or_default();
                code = code.replacen(&format!("{key}: "), &format!("{key}: {value}"), 1);
            }
        }
        if code.contains("as-found: ") {
            off += 1;
            let value = written(&format!("balance.off.{off}.as-found")).unwrap();
            code = code.replacen("as-found: ", &format!("as-found: {value}"), 1);
        }
        if let Some(key) = code.trim_start_matches([' ', '-']).strip_suffix(':')
            && let Some(value) = written(&format!("{lead}{key}")).or_else(|| written(key))
        {
            code = format!("{code} {value}");
        }
        let gap = if code.is_empty() || comment.is_empty() {
            ""
        } else {
            "  "
        };
        let indent = if code.is_empty() {
            &line[..line.len() - line.trim_start().len()]
        } else {
            ""
        };
        lines.push(format!("{indent}{code}{gap}{comment}\n"));
    }
    lines.concat()
}

/// A record without its comments; what stays empty is left out.
fn without_comments(record: &str) -> String {
    let code = |line: &str| {
        line.split('#')
            .next()
            .unwrap_or_default()
            .trim_end()
            .to_owned()
    };
    let lines = record
        .lines()
        .map(code)
        .filter(|line| !line.trim().is_empty());
    lines.map(|line| line + "\n").collect()
}

#[test]
fn a_begun_record_filled_in_is_the_record_of_the_session_and_is_read_back_as_it() {
    let mut n_filled = 0;
    let own = fleets().into_iter().take(6);
    for (name, files, day) in own {
        for (machine, setup) in visits(&files, day) {
            let wanted = wanted(&machine, setup.as_deref(), day);
            let mut session = Session::open(workspace(&files, day), &wanted).unwrap();
            let values = all_likely(session.form());
            for (key, value) in &values {
                session.type_in(key, value);
            }
            let record = session.record();
            let form = session.form();
            let draft = text(form, &Entered::default(), begun(true)).text;
            let by_hand = filled_in(form, &draft, &values);
            assert_eq!(
                without_comments(&by_hand),
                record,
                "{name} {machine}:\n{by_hand}"
            );
            let mut fleet = workspace(&files, day);
            let path = record_path(&machine, day);
            let typed = found(&mut fleet, &machine, &path, &record);
            let read = found(&mut fleet, &machine, &path, &by_hand);
            assert_eq!(typed, read, "{name} {machine}");
            for text in [&record, &by_hand] {
                let entered = Entered::of_record(form, text);
                let entered = entered
                    .unwrap_or_else(|refused| panic!("{name} {machine}: {refused:?}\n{text}"));
                assert_eq!(
                    values_of(form, &entered),
                    values_of(form, session.entered())
                );
                assert_eq!(made(form, &entered), record);
            }
            n_filled += 1;
        }
    }
    assert!(n_filled > 15, "{n_filled}");
}

fn made(form: &Form, entered: &Entered) -> String {
    text(form, entered, Extent::Record).text
}

fn values_of(form: &Form, entered: &Entered) -> BTreeMap<String, Option<String>> {
    let values = form.entries();
    values
        .map(|entry| (entry.key.clone(), entered.value(form, entry)))
        .collect()
}

fn session(fleet: &str, machine: &str, setup: Option<&str>) -> Session {
    let day = date(2026, 6, 1);
    let files = tree(&folder().join(fleet));
    Session::open(workspace(&files, day), &wanted(machine, setup, day)).unwrap()
}

#[test]
fn what_was_typed_is_read_back_value_by_value() {
    type Typed<'t> = &'t [(&'t str, &'t str)];
    let rows: [(&str, &str, Option<&str>, Typed<'_>); 5] = [
        // Nothing but what the first test has.
        (
            "saltmere",
            "heron",
            Some("fairways"),
            &[("catch.1.pressure", "36"), ("catch.2.pressure", "36")],
        ),
        // Tests made again, with factors.
        (
            "saltmere",
            "heron",
            Some("fairways"),
            &[
                ("by", "rm"),
                ("preparation.protective-gear", "gloves, mask"),
                ("catch.1.pressure", "36"),
                ("catch.1.nozzle.7", "40,8"),
                ("catch.1.nozzle.8", MISSED),
                ("catch.2.nozzle.7", "36.5"),
                ("catch.3.nozzle.7", "36.4"),
                ("boom-end-pressure", "34"),
                ("flow.1.known-volume", "34"),
                ("flow.1.known-by", "weighed"),
                ("flow.1.shown", "36"),
                ("flow.1.after", "600"),
                ("flow.2.known-volume", "34.2"),
                ("flow.2.shown", "34.1"),
                ("speed.1.run.1.elapsed", "32.4"),
                ("speed.1.run.1.shown", "197"),
                ("balance.all-on", "40"),
                ("balance.off.2.as-found", "42"),
                ("balance.off.2.as-left", "40.2"),
            ],
        ),
        // A boom without names of sections.
        (
            "benches/robin/good",
            "robin",
            None,
            &[
                ("catch.1.nozzle.3", "0"),
                ("catch.1.nozzle.4", MISSED),
                ("catch.2.nozzle.3", "51"),
            ],
        ),
        (
            "saltmere",
            "avocet",
            None,
            &[
                ("by", "no"),
                ("preparation.liquid", "on"),
                ("flow.1.shown", "10,5"),
            ],
        ),
        (
            "saltmere",
            "stint",
            None,
            &[("speed.1.run.2.elapsed", "1:05.3")],
        ),
    ];
    for (fleet, machine, setup, typed) in rows {
        let mut visit = session(fleet, machine, setup);
        for (key, value) in typed {
            assert!(visit.form().entry(key).is_some(), "{machine} {key}");
            visit.type_in(key, value);
        }
        let form = visit.form();
        let record = visit.record();
        let entered = Entered::of_record(form, &record);
        let entered = entered.unwrap_or_else(|refused| panic!("{refused:?}\n{record}"));
        assert_eq!(made(form, &entered), record);
        // A run is numbered by its place in the record.
        if machine != "stint" {
            assert_eq!(
                values_of(form, &entered),
                values_of(form, visit.entered()),
                "{record}"
            );
        }
        let digits =
            |entered: &Entered, key: &str| entered.typed(key).map(|typed| typed.replace(',', "."));
        for (key, _) in typed.iter().filter(|_| machine != "stint") {
            assert_eq!(digits(&entered, key), digits(visit.entered(), key), "{key}");
        }
    }
}

#[test]
fn a_record_that_holds_more_than_is_asked_for_is_refused() {
    let mut visit = session("saltmere", "heron", Some("fairways"));
    for (key, value) in [
        ("by", "rm"),
        ("catch.1.pressure", "36"),
        ("catch.1.duration", "30"),
        ("catch.1.nozzle.1", "36.5"),
        ("catch.1.nozzle.2", "36.5"),
    ] {
        visit.type_in(key, value);
    }
    let record = visit.record();
    let form = visit.form();
    assert!(Entered::of_record(form, &record).is_ok(), "{record}");
    let retest = "  - pressure: 36 psi\n    duration: 30 s\n    jug: jug-2\n    gauge: gauge-3\n    watch: watch-1\n    unit: fl oz\n    caught:\n      left: {1: 36}\n";
    assert!(
        Entered::of_record(form, &format!("{record}{}", retest.repeat(2))).is_ok(),
        "{record}{retest}"
    );
    for (text, says) in [
        (format!("{record}notes: windy\n"), "`notes` would be lost"),
        (
            format!("{record}checked-by: ko\n"),
            "`checked-by` would be lost",
        ),
        (format!("{record}{}", retest.repeat(3)), "would be lost"),
        (
            format!("{record}# the gauge sticks\n"),
            "has a comment that would be lost",
        ),
        (
            record.replace("by: rm", "by: rm # for tg"),
            "line 4 has a comment",
        ),
        (
            record.replace("[36.5, 36.5", "[[36.5, 36.0], 36.5"),
            "would be lost",
        ),
        (
            record.replace("[36.5, 36.5, ~]", "{1: 36.5, 2: 36.5}"),
            "leaves out `far-left`",
        ),
        (
            record.replace("    watch: watch-1\n", ""),
            "leaves out `watch`",
        ),
        (
            record.replace("pressure: 36 psi", "pressure: 36 mph"),
            "line",
        ),
        (
            record.replace("setup: fairways", "setup: greens"),
            "`setup` would be lost",
        ),
        (
            record.replace("2026-06-01", "2026-06-02"),
            "`date` would be lost",
        ),
        (record.replace("by: rm", "by: [rm"), "cannot be read"),
        (format!("{record}---\n{record}"), "cannot be read"),
        (format!("{record}by: ko\n"), "cannot be read"),
        (String::new(), "cannot be read"),
    ] {
        assert_ne!(text, record, "{says}");
        let refused = Entered::of_record(form, &text).unwrap_err();
        assert!(
            refused.message.contains(says),
            "{refused:?} for {says}:\n{text}"
        );
        assert!(!refused.help.is_empty());
    }
}

#[test]
fn no_text_makes_the_reading_back_panic() {
    let visit = session("saltmere", "heron", Some("fairways"));
    let form = visit.form();
    let draft = text(form, &Entered::default(), begun(true)).text;
    let record = format!("{draft}notes: 'é # no'\n");
    for (at, _) in record.char_indices() {
        let (head, tail) = record.split_at(at);
        for text in [
            head.to_owned(),
            tail.to_owned(),
            format!("{head}#é{tail}"),
            format!("{head}\r\n{tail}"),
        ] {
            if let Ok(entered) = Entered::of_record(form, &text) {
                let again = made(form, &entered);
                let read = Entered::of_record(form, &again).unwrap();
                assert_eq!(made(form, &read), again);
            }
        }
    }
}

#[test]
fn a_visit_goes_to_its_own_record_of_the_day() {
    let day = date(2026, 6, 1);
    let files = tree(&folder().join("saltmere"));
    let mut fleet = workspace(&files, day);
    let fairways = form(&mut fleet, &wanted("heron", Some("fairways"), day)).unwrap();
    let greens = form(&mut fleet, &wanted("heron", Some("greens"), day)).unwrap();
    let path = |number: &str| format!("calibrations/heron/2026-06-01{number}.yaml");
    let place = |fleet: &Workspace, form: &Form| {
        let place = record_place(fleet, form).unwrap();
        (place.path, place.is_there)
    };
    assert_eq!(place(&fleet, &fairways), (path(""), false));
    fleet.set(&path(""), made(&fairways, &Entered::default()));
    assert_eq!(place(&fleet, &fairways), (path(""), true));
    assert_eq!(place(&fleet, &greens), (path("-2"), false));
    fleet.set(&path("-2"), made(&greens, &Entered::default()));
    assert_eq!(place(&fleet, &greens), (path("-2"), true));
    // What cannot be read may be anybody's, and another ending is the same record.
    fleet.set(&path(""), "record: [");
    assert_eq!(place(&fleet, &greens), (path(""), true));
    fleet.remove(&path(""));
    let yml = "calibrations/heron/2026-06-01.yml";
    fleet.set(yml, made(&fairways, &Entered::default()));
    assert_eq!(place(&fleet, &fairways), (yml.to_owned(), true));
}

/// So many records of a day are checked; a visit beyond them has no place, and the last of them is looked at as every other.
#[test]
fn a_day_that_is_full_has_no_place_for_another_visit() {
    let day = date(2026, 6, 1);
    let mut fleet = workspace(&tree(&folder().join("saltmere")), day);
    let fairways = form(&mut fleet, &wanted("heron", Some("fairways"), day)).unwrap();
    let greens = form(&mut fleet, &wanted("heron", Some("greens"), day)).unwrap();
    let path = |number: usize| match number {
        1 => "calibrations/heron/2026-06-01.yaml".to_owned(),
        _ => format!("calibrations/heron/2026-06-01-{number}.yaml"),
    };
    for number in 1..MOST_A_DAY {
        fleet.set(&path(number), made(&greens, &Entered::default()));
    }
    let last = path(MOST_A_DAY);
    let place = record_place(&fleet, &fairways).unwrap();
    assert_eq!((&place.path, place.is_there), (&last, false));
    fleet.set(&last, made(&fairways, &Entered::default()));
    assert!(record_place(&fleet, &fairways).unwrap().is_there);
    fleet.set(&last, made(&greens, &Entered::default()));
    let refused = record_place(&fleet, &fairways).unwrap_err();
    assert!(refused.message.contains("has 100 records of 2026-06-01"));
}
