//! A step is done only where its figure could be worked out; what does not count is told, and a nozzle caught again
//! makes good what was of that nozzle only.

#![cfg(test)]

use crate::fixture::{Files, checked, folder, listing, reading, settings, tree};
use std::collections::BTreeMap;
use swathlint::quantity::calendar::Period;
use swathlint::report::{DueStep, FigureRow};
use swathlint::{due, figures};

const TODAY: &str = "2026-06-01";

/// The steps that are not current, by what they are called: `catch test`, `speed test (greens)`.
pub(crate) fn steps(files: &Files) -> BTreeMap<String, DueStep> {
    let (listing, read) = (listing(files), reading(files));
    let list = due(&listing, &read, &settings(TODAY), Period::Days(0));
    let named = list.steps.into_iter().map(|step| {
        let setup = step.setup.as_ref();
        let setup = setup.map_or_else(String::new, |setup| format!(" ({setup})"));
        (format!("{}{setup}", step.step), step)
    });
    named.collect()
}

/// The states of these steps.
pub(crate) fn states(files: &Files) -> BTreeMap<String, &'static str> {
    let steps = steps(files).into_iter();
    steps
        .map(|(name, step)| (name, step.state.word()))
        .collect()
}

/// The small clean repository, whose machine was tested in full on 2026-03-09.
pub(crate) fn base() -> Files {
    tree(&folder().join("base"))
}

pub(crate) fn edited(files: &Files, path: &str, wrong: &str, right: &str) -> Files {
    let mut files = files.clone();
    let text = files.get_mut(path).unwrap();
    assert!(text.contains(wrong), "{path} has no {wrong}");
    *text = text.replace(wrong, right);
    files
}

pub(crate) fn with_visit(files: &Files, day: &str, tests: &str) -> Files {
    let text = format!(
        "record: calibration\nmachine: heron\ndate: {day}\nby: rm\nsetup: fairways\n{tests}\n"
    );
    let mut files = files.clone();
    files.insert(format!("calibrations/heron/{day}.yaml"), text);
    files
}

pub(crate) fn with_work(files: &Files, work: &str) -> Files {
    let text =
        format!("record: service\nmachine: heron\ndate: 2026-05-01\nby: rm\nwork:\n  - {work}\n");
    let mut files = files.clone();
    files.insert("service/heron/2026-05-01.yaml".to_owned(), text);
    files
}

pub(crate) fn catch(caught: &str) -> String {
    format!(
        "catch-tests:\n  - {{pressure: 36 psi, duration: 30 s, jug: jug-2, unit: fl oz, caught: {caught}}}"
    )
}

pub(crate) const VISIT: &str = "calibrations/heron/2026-03-09.yaml";

/// Tests of three steps, none of which a figure comes of.
fn nothing() -> String {
    let catch = catch("[missed, missed, missed, missed, missed]");
    format!(
        "{catch}\nmeter-tests: [{{known-volume: 34 gal}}]\n\
         speed-tests: [{{distance: 200 ft, runs: [{{elapsed: 32.5 s}}]}}]"
    )
}

#[test]
fn what_no_figure_comes_of_clears_nothing_and_is_told() {
    let failing = edited(&base(), VISIT, "shown: 34.3 gal", "shown: 41 gal");
    let files = with_visit(&failing, "2026-05-02", &nothing());
    let steps = steps(&files);
    assert_eq!(steps.len(), 1, "{steps:?}");
    let meter = &steps["meter test"];
    assert_eq!(meter.state.word(), "failing");
    let because =
        "; the meter test of 2026-05-02 does not count: it does not give what the console showed";
    assert!(meter.because.ends_with(because), "{}", meter.because);
    let report = checked(&files, TODAY);
    let told = report.findings.iter();
    let told: Vec<&str> = told
        .filter(|finding| finding.rule() == "test-not-counted")
        .map(|finding| finding.message())
        .collect();
    assert_eq!(told.len(), 3, "{told:?}");
    assert!(told[0].contains("no nozzle was caught"), "{told:?}");
}

#[test]
fn a_first_record_that_no_figure_comes_of_does_no_step() {
    let mut files = base();
    files.remove(VISIT);
    let files = with_visit(&files, "2026-05-02", &nothing());
    let steps = steps(&files);
    for (step, because) in [
        (
            "catch test",
            "the catch test of 2026-05-02 does not count: no nozzle was caught",
        ),
        (
            "meter test",
            "the meter test of 2026-05-02 does not count: it does not give what the console showed",
        ),
        (
            "speed test",
            "the speed test of 2026-05-02 does not count: no run gives what the console showed",
        ),
    ] {
        let step = &steps[step];
        assert_eq!((step.state.word(), &*step.because), ("never done", because));
        let at = step.at.as_ref().map(|at| at.path.as_str());
        assert_eq!(at, Some("calibrations/heron/2026-05-02.yaml"));
    }
}

#[test]
fn a_catch_counts_once_what_it_left_out_is_caught() {
    let mut files = base();
    files.remove(VISIT);
    let files = with_visit(
        &files,
        "2026-05-02",
        &catch("[36.5, 36.5, 36.5, 36.5, missed]"),
    );
    let step = &steps(&files)["catch test"];
    assert_eq!(step.state.word(), "never done");
    assert_eq!(
        step.because,
        "the catch test of 2026-05-02 does not count: nozzle 5 of 5 (right, 2nd) was not caught"
    );
    let other = with_visit(&files, "2026-05-03", &catch("{right: {1: 36.5}}"));
    assert!(states(&other).contains_key("catch test"));
    let caught = with_visit(&files, "2026-05-03", &catch("{right: {2: 36.5}}"));
    assert!(!states(&caught).contains_key("catch test"));
}

#[test]
fn a_new_boom_stays_void_where_it_was_not_caught() {
    let fitted = with_work(&base(), "nozzles-fitted: {nozzle: {size: \"06\"}}");
    let files = with_visit(
        &fitted,
        "2026-05-02",
        &catch("[36.5, missed, 36.5, 36.5, missed]"),
    );
    let step = &steps(&files)["catch test"];
    assert_eq!(step.state.word(), "void");
    let to_do = "catch nozzles 2 and 5 of 5 again at the working pressure";
    assert_eq!(step.to_do.as_deref(), Some(to_do));
    let files = with_visit(&files, "2026-05-03", &catch("{left: {2: 36.5}}"));
    let to_do = "catch nozzle 5 of 5 (right, 2nd) again at the working pressure";
    assert_eq!(steps(&files)["catch test"].to_do.as_deref(), Some(to_do));
    let files = with_visit(&files, "2026-05-04", &catch("{right: {2: 36.5}}"));
    assert!(!states(&files).contains_key("catch test"));
}

#[test]
fn a_nozzle_caught_again_makes_good_what_was_of_it_only() {
    let failing = edited(&base(), VISIT, "right: [37.0, 36.5]", "right: [37.0, 43.0]");
    let worn = edited(
        &base(),
        VISIT,
        "left: [36.5, 36.0, 36.5]\n      right: [37.0, 36.5]",
        "left: [43.5, 43.0, 43.5]\n      right: [43.0, 43.5]",
    );
    let fitted = "nozzles-fitted: {at: {right: [2]}, nozzle: {size: \"06\"}}";
    let alone = catch("{right: {2: 36.5}}");
    let unrated = |files: &Files| {
        let nozzle = "nozzle: {size: \"06\", material: ceramic}, ";
        edited(files, "machines/heron.yaml", nozzle, "")
    };
    let state = |files: &Files| states(files).get("catch test").copied();
    // Failing, then replaced, then caught again.
    assert_eq!(state(&failing), Some("failing"));
    assert_eq!(state(&with_work(&failing, fitted)), Some("void"));
    let replaced = with_work(&failing, fitted);
    assert_eq!(state(&with_visit(&replaced, "2026-05-02", &alone)), None);
    let unrated_replaced = with_visit(&unrated(&replaced), "2026-05-02", &alone);
    assert_eq!(state(&unrated_replaced), None);
    // Cleaned only: held against its rated flow, or it is its own average.
    assert_eq!(state(&with_visit(&failing, "2026-05-02", &alone)), None);
    let unrated_alone = with_visit(&unrated(&failing), "2026-05-02", &alone);
    assert_eq!(state(&unrated_alone), Some("failing"));
    // Still bad, another nozzle, missed, or a boom that is off as a whole.
    for caught in [
        "{right: {2: 43.0}}",
        "{right: {1: 36.5}}",
        "{right: {2: missed}}",
    ] {
        let files = with_visit(&failing, "2026-05-02", &catch(caught));
        assert_eq!(state(&files), Some("failing"), "{caught}");
    }
    assert_eq!(
        state(&with_visit(&worn, "2026-05-02", &alone)),
        Some("failing")
    );
    // What a lone catch found bad is of its nozzle too.
    let bad_again = with_visit(&failing, "2026-05-02", &catch("{right: {2: 43.0}}"));
    assert_eq!(state(&with_visit(&bad_again, "2026-05-03", &alone)), None);
}

const MANUAL: &str = "control: manual\nspeed-source: none\n";

#[test]
fn the_speed_of_a_machine_that_measures_none_comes_due() {
    let machine_file = "machines/heron.yaml";
    let manual = edited(
        &base(),
        machine_file,
        "control: flow\nspeed-source: wheel\n",
        MANUAL,
    );
    let two = edited(
        &manual,
        machine_file,
        "setups:\n",
        "setups:\n  greens: {nozzle: {size: \"06\"}, pressure: 36 psi, speed: 2.7 mph, rate: 2 gal/1000 ft2}\n",
    );
    // No meter, and a speed for each setup.
    let wanted = [
        ("catch test (greens)", "never done"),
        ("section balance (greens)", "never done"),
        ("speed test (greens)", "never done"),
    ];
    let wanted = wanted.map(|(step, state)| (step.to_owned(), state));
    assert_eq!(states(&two), BTreeMap::from(wanted));
    // By the stopwatch: the console need not show anything.
    let run = "{elapsed: 50.5 s}";
    let driven = format!("speed-tests: [{{distance: 200 ft, runs: [{run}, {run}, {run}]}}]");
    let driven = with_visit(&two, "2026-05-02", &driven);
    let greens = edited(
        &driven,
        "calibrations/heron/2026-05-02.yaml",
        "setup: fairways",
        "setup: greens",
    );
    assert!(!states(&greens).contains_key("speed test (greens)"));
    // Without a speed of the setup there is nothing to hold it against.
    let unsaid = edited(&greens, machine_file, "speed: 2.7 mph, ", "");
    let because = "the speed test of 2026-05-02 does not count: the machine file gives no speed of the setup to compare with";
    assert_eq!(steps(&unsaid)["speed test (greens)"].because, because);
    // Work on what makes the speed.
    for (work, state) in [
        ("tires: {what: replaced}", "void"),
        ("setup: {setup: greens, speed: 3 mph}", "recheck"),
    ] {
        let files = with_work(&two, work);
        let files = edited(&greens, machine_file, "spacing", "spacing")
            .into_iter()
            .chain(files)
            .collect::<Files>();
        let files = edited(
            &files,
            "service/heron/2026-05-01.yaml",
            "2026-05-01",
            "2026-05-20",
        );
        let files = renamed(
            files,
            "service/heron/2026-05-01.yaml",
            "service/heron/2026-05-20.yaml",
        );
        assert_eq!(states(&files)["speed test (greens)"], state, "{work}");
    }
}

pub(crate) fn renamed(mut files: Files, from: &str, to: &str) -> Files {
    let text = files.remove(from).unwrap();
    files.insert(to.to_owned(), text);
    files
}

#[test]
fn a_boom_without_sections_has_no_section_balance() {
    let machine_file = "machines/heron.yaml";
    let plain = edited(
        &base(),
        machine_file,
        "  sections:\n    - {name: left, nozzles: 3, entered-width: 60 in}\n    - {name: right, nozzles: 2, entered-width: 40 in}\n",
        "  nozzles: 5\n",
    );
    let plain = with_visit(
        &plain,
        "2026-03-09",
        &catch("[36.5, 36.5, 36.5, 36.5, 36.5]"),
    );
    for files in [
        &plain,
        &edited(&plain, machine_file, "section-valves: bypass\n", ""),
    ] {
        let list = due(
            &listing(files),
            &reading(files),
            &settings(TODAY),
            Period::Days(0),
        );
        assert!(list.unsure.is_empty(), "{:?}", list.unsure);
        let mut steps = list.steps.iter().map(|step| step.step);
        assert!(!steps.any(|step| step == "section balance"));
    }
}

/// The figures of a step, of which one at least is worked out where the step is done.
fn figures_of(step: &str, is_driven: bool) -> &'static [&'static str] {
    match step {
        "catch test" => &["boom-flow"],
        "meter test" => &["meter-error", "known-off-catch"],
        "speed test" if is_driven => &["speed-off-setup"],
        "speed test" => &["sensor-error"],
        "section balance" => &["section-off-change"],
        _ => panic!("{step} has no figures"),
    }
}

/// A reading taken out of a text, each in turn: a word that stands for one, and what stands in its place.
fn with_less(text: &str) -> Vec<String> {
    let mut texts = vec![text.to_owned()];
    for key in [
        "shown: ",
        "known-volume: ",
        "elapsed: ",
        "distance: ",
        "duration: ",
        "unit: ",
        "all-on: ",
        "known-by: ",
    ] {
        for (at, _) in text.match_indices(key) {
            // The key is not known then: a finding tells of it, and the reading is not there.
            let mut less = text.to_owned();
            less.replace_range(at..at + key.len() - 2, "remark");
            texts.push(less);
        }
    }
    let numbers = text.match_indices(['[', ' ']).filter_map(|(at, _)| {
        let rest = &text[at + 1..];
        let length = rest.find([',', ']'])?;
        rest[..length].parse::<f64>().ok()?;
        Some(at + 1..at + 1 + length)
    });
    for number in numbers.step_by(7) {
        let mut less = text.to_owned();
        less.replace_range(number, "missed");
        texts.push(less);
    }
    texts
}

#[test]
fn a_step_is_done_exactly_where_its_figure_is_worked_out() {
    let mut compared = BTreeMap::new();
    for fleet in ["records", "saltmere"] {
        let all = tree(&folder().join(fleet));
        let visits: Vec<&String> = all
            .keys()
            .filter(|path| path.starts_with("calibrations/"))
            .collect();
        for visit in visits
            .into_iter()
            .filter(|path| !path.contains("2026-06-12"))
            .step_by(3)
        {
            let machine = visit.split('/').nth(1).unwrap();
            let machine_file = format!("machines/{machine}.yaml");
            for text in with_less(&all[visit]) {
                let mut files = Files::new();
                files.insert("fleet.yaml".to_owned(), all["fleet.yaml"].clone());
                files.insert(
                    machine_file.clone(),
                    all[&machine_file].replace("  setups:", "setups:"),
                );
                files.insert(visit.clone(), text);
                compare(&files, &mut compared);
            }
        }
    }
    for step in ["catch test", "meter test", "speed test", "section balance"] {
        for is_done in [true, false] {
            assert!(compared[&(step, is_done)] >= 3, "{compared:?}");
        }
    }
}

/// Holds the steps of a machine with one visit to the figures of that visit.
fn compare(files: &Files, compared: &mut BTreeMap<(&'static str, bool), usize>) {
    let (listing, read) = (listing(files), reading(files));
    let machine_file = files
        .iter()
        .find(|(path, _)| path.starts_with("machines/"))
        .unwrap()
        .1;
    let visit = files
        .iter()
        .find(|(path, _)| path.starts_with("calibrations/"))
        .unwrap()
        .1;
    let is_driven = machine_file.contains("speed-source: none");
    let table = figures(&listing, &read, &settings(TODAY));
    // As left, where there is such a row: what a last test corrected is known as found only.
    let is_worked_out = |step: &str| {
        let of_step = |row: &&FigureRow| figures_of(step, is_driven).contains(&row.figure);
        let rows: Vec<&FigureRow> = table.rows.iter().filter(of_step).collect();
        let left = rows.iter().any(|row| row.stage == Some("as left"));
        let mut told = rows.iter();
        told.any(|row| row.value.is_ok() && (!left || row.stage == Some("as left")))
    };
    // A year and more before the visit nothing is coming due, so that what is listed is never done.
    let list = due(&listing, &read, &settings(TODAY), Period::Months(36));
    let setup_of_visit = visit.lines().find_map(|line| line.strip_prefix("setup: "));
    for (step, key) in [
        ("catch test", "catch-tests:"),
        ("meter test", "meter-tests:"),
        ("speed test", "speed-tests:"),
        ("section balance", "section-balance:"),
    ] {
        let mut of_step = list.steps.iter().filter(|one| {
            one.step == step
                && one
                    .setup
                    .as_deref()
                    .is_none_or(|setup| Some(setup) == setup_of_visit)
        });
        let Some(listed) = of_step.next().filter(|_| visit.contains(key)) else {
            continue; // The machine does not have it.
        };
        if visit.contains("rate-control: automatic") && machine_file.contains("control: flow") {
            continue; // The console holds the rate, so the figure proves nothing.
        }
        let is_done = listed.state.word() != "never done";
        assert_eq!(
            is_done,
            is_worked_out(step),
            "{step}: {}\n{visit}",
            listed.because
        );
        *compared.entry((step, is_done)).or_default() += 1;
    }
}
