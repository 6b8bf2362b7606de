//! An empty reading is not filled in: no fault, told until it is filled in, and its test not done. It hides nothing: no
//! failing step passes by it, no due one becomes current, and what was merged stays as it was.

#![cfg(test)]

use crate::fixture::{Files, checked, checked_by_rules, found, listing, reading, settings};
use crate::steps_done::{VISIT, base, edited, states, steps};
use crate::versioned::{Repository, rules};
use std::collections::BTreeMap;
use swathlint::diagnostic::Severity;
use swathlint::due;
use swathlint::quantity::calendar::Period;
use swathlint::source::FileId;
use swathlint::yaml::{self, Node, Shape};

const TODAY: &str = "2026-06-01";
const LATER: &str = "calibrations/heron/2026-05-20.yaml";

/// The steps of the machine by the key their tests stand under.
const STEPS: [(&str, &str); 4] = [
    ("catch-tests", "catch test"),
    ("meter-tests", "meter test"),
    ("speed-tests", "speed test"),
    ("section-balance", "section balance"),
];

/// Each value of a record that may be left empty, by the outermost key it stands under and its bytes.
fn values(text: &str) -> Vec<(String, std::ops::Range<usize>)> {
    fn walk(node: Node<'_>, key: &str, found: &mut Vec<(String, std::ops::Range<usize>)>) {
        match node.shape() {
            Shape::Scalar => found.push((key.to_owned(), node.span().range())),
            Shape::Sequence if ["sections", "protective-gear"].contains(&key) => {}
            Shape::Sequence => node.items().for_each(|item| walk(item, key, found)),
            Shape::Mapping => {
                for (inner, value) in node.entries() {
                    if ["sections", "protective-gear"].contains(&inner.text().unwrap()) {
                        continue;
                    }
                    walk(value, key, found);
                }
            }
        }
    }
    let parsed = yaml::parse(FileId(0), text);
    let mut found = Vec::new();
    for (key, value) in parsed.tree.root().unwrap().entries() {
        let key = key.text().unwrap();
        if !["record", "machine", "date"].contains(&key) {
            walk(value, key, &mut found);
        }
    }
    found
}

/// The text with nothing in the place of a value: as a person leaves it, or as a list on one line needs it.
fn emptied(text: &str, at: &std::ops::Range<usize>) -> String {
    format!("{}~{}", &text[..at.start], &text[at.end..])
}

/// The steps that an empty value under an outermost key leaves undone.
fn undone_by(key: &str) -> Vec<&'static str> {
    let all = STEPS.iter();
    let own: Vec<_> = all.clone().filter(|(own, _)| *own == key).collect();
    let of = if own.is_empty() { all.collect() } else { own };
    of.into_iter().map(|(_, step)| *step).collect()
}

#[test]
fn whatever_is_empty_is_no_fault_and_its_test_is_not_done() {
    let files = base();
    let text = &files[VISIT];
    let values = values(text);
    assert!(30 < values.len(), "{}", values.len());
    for (key, at) in values {
        let mut begun = files.clone();
        begun.insert(VISIT.to_owned(), emptied(text, &at));
        let report = checked(&begun, TODAY);
        let told: Vec<&str> = report.findings.iter().map(|told| told.rule()).collect();
        let value = &text[at];
        assert!(told.contains(&"not-filled-in"), "{key} {value}: {told:?}");
        let heaviest = report.findings.iter().map(|told| told.severity()).max();
        assert_eq!(heaviest, Some(Severity::Note), "{key} {value}: {told:?}");
        let mut wanted = undone_by(&key);
        wanted.sort_unstable();
        let steps = steps(&begun);
        let never: Vec<&str> = steps.keys().map(String::as_str).collect();
        assert_eq!(never, wanted, "{key} {value}");
        for (name, step) in &steps {
            assert_eq!(step.state.word(), "never done", "{key} {value}: {name}");
            let because = format!("the {name} of 2026-03-09 is begun and not filled in: ");
            assert!(step.because.starts_with(&because), "{}", step.because);
        }
    }
}

/// The clean repository with each step failing at its only visit.
fn failing() -> Files {
    let mut files = base();
    let limits = "limits: {section-off-change-under-control: {error: 10 %, because: a test}}\n";
    files.get_mut("fleet.yaml").unwrap().push_str(limits);
    for (wrong, right) in [
        ("right: [37.0, 36.5]", "right: [37.0, 50.5]"),
        ("shown: 34.3 gal", "shown: 41 gal"),
        (
            "{elapsed: 32.4 s, shown: 200 ft}",
            "{elapsed: 32.4 s, shown: 240 ft}",
        ),
        (
            "{elapsed: 32.6 s, shown: 200 ft}",
            "{elapsed: 32.6 s, shown: 240 ft}",
        ),
        ("shown: 199 ft", "shown: 240 ft"),
        ("[left], as-found: 40.2 gal", "[left], as-found: 32.2 gal"),
    ] {
        files = edited(&files, VISIT, wrong, right);
    }
    files
}

#[test]
fn an_empty_reading_of_a_later_visit_leaves_failing_what_was() {
    let files = failing();
    let all: BTreeMap<String, &str> = STEPS
        .iter()
        .map(|(_, step)| ((*step).to_owned(), "failing"))
        .collect();
    assert_eq!(states(&files), all);
    let good = base()[VISIT].replace("date: 2026-03-09", "date: 2026-05-20");
    let good = good.replace("hours: 412 h", "hours: 450 h");
    let mut later = files;
    later.insert(LATER.to_owned(), good.clone());
    assert_eq!(states(&later), BTreeMap::new());
    for (key, at) in values(&good) {
        later.insert(LATER.to_owned(), emptied(&good, &at));
        let states = states(&later);
        let failing: Vec<&str> = states.keys().map(String::as_str).collect();
        let mut wanted = undone_by(&key);
        wanted.sort_unstable();
        assert_eq!(failing, wanted, "{key}: {}", &good[at]);
        assert!(
            states.values().all(|state| *state == "failing"),
            "{states:?}"
        );
    }
}

/// What a visit found bad it leaves bad where what was to show otherwise is empty, and the one before stays as it was.
#[test]
fn a_bad_test_is_not_put_right_by_an_empty_one() {
    let catch = "\x20 - pressure: 36 psi
    duration: 30 s
    jug: jug-2
    unit: fl oz
    caught:
      left: [36.5, 36.0, 36.5]
      right: [37.0, 50.5]
";
    let meter =
        "\x20 - {known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 41 gal}\n";
    let run = "{elapsed: 32.4 s, shown: 240 ft}";
    let speed = format!("  - {{distance: 200 ft, runs: [{run}, {run}, {run}]}}\n");
    for (step, key, bad, begun) in [
        (
            "catch test",
            "catch-tests",
            catch,
            "  - {pressure: 36 psi, duration: 30 s, jug: jug-2, unit: fl oz, caught: [~, ~, ~, ~, ~]}\n",
        ),
        // Far from the pressure of the first: none of it would stay.
        (
            "catch test",
            "catch-tests",
            catch,
            "  - {pressure: 10 psi, duration: 30 s, jug: jug-2, unit: fl oz, caught: [36.5, 36.0, 36.5, 37.0, ~]}\n",
        ),
        (
            "catch test",
            "catch-tests",
            catch,
            "  - {pressure: , duration: 30 s, unit: fl oz, caught: {left: , right: {2: ~}}}\n",
        ),
        (
            "meter test",
            "meter-tests",
            meter,
            "  - {known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: ~}\n",
        ),
        (
            "meter test",
            "meter-tests",
            meter,
            "  - {known-volume: , known-by: fill meter, shown: }\n",
        ),
        (
            "speed test",
            "speed-tests",
            &*speed,
            "  - {distance: 200 ft, runs: [{elapsed: 32.4 s, shown: ~}]}\n",
        ),
        (
            "speed test",
            "speed-tests",
            &*speed,
            "  - {distance: 200 ft, runs: }\n",
        ),
    ] {
        let text = format!(
            "record: calibration\nmachine: heron\ndate: 2026-05-20\nby: rm\nsetup: fairways\n{key}:\n{bad}{begun}"
        );
        let mut files = base();
        files.insert(LATER.to_owned(), text);
        let report = checked(&files, TODAY);
        let errors = report
            .findings
            .iter()
            .filter(|told| told.severity() == Severity::Error);
        assert_eq!(errors.count(), 1, "{begun}: {:?}", found(&report));
        let steps = steps(&files);
        assert_eq!(steps[step].state.word(), "failing", "{begun}");
        let because = &steps[step].because;
        assert!(because.contains("is begun and not filled in"), "{because}");
    }
}

#[test]
fn what_is_filled_in_is_judged_and_what_is_empty_is_listed_where_nothing_is_due() {
    let good = base()[VISIT].replace("date: 2026-03-09", "date: 2026-05-20");
    let begun = good
        .replace("hours: 412 h", "hours: 450 h")
        .replace("left: [36.5, 36.0, 36.5]", "left: [~, 50.0, null]")
        .replace("duration: 30 s", "duration:")
        .replace("right: [37.0, 36.5]", "right:\n        - 37.0\n        -")
        .replace("shown: 34.3 gal", "shown: 41 gal");
    let mut files = base();
    files.insert(LATER.to_owned(), begun);
    let report = checked_by_rules(&files, TODAY);
    let told: Vec<&str> = report.findings.iter().map(|told| told.message()).collect();
    let empty = "not filled in: catch test: duration and 3 readings";
    assert!(told.contains(&empty), "{told:?}");
    assert!(
        told.iter().any(|told| told.contains("the console shows")),
        "{told:?}"
    );
    let steps = steps(&files);
    assert_eq!(steps.keys().collect::<Vec<_>>(), ["meter test"]);
    let list = due(
        &listing(&files),
        &reading(&files),
        &settings(TODAY),
        Period::Days(0),
    );
    let [to_fill_in] = list.not_filled_in.as_slice() else {
        panic!("{:?}", list.not_filled_in);
    };
    assert_eq!((&*to_fill_in.what, &*to_fill_in.at.path), (empty, LATER));
}

#[test]
fn an_emptied_reading_alters_a_merged_record_and_a_filled_in_one_does_not() {
    let repository = Repository::new();
    let begun = repository
        .read(VISIT)
        .replace("date: 2026-03-09", "date: 2026-05-20")
        .replace("hours: 412 h", "hours:")
        .replace("left: [36.5, 36.0, 36.5]", "left: [~, ~, ~]")
        .replace("right: [37.0, 36.5]", "right:");
    repository.write(LATER, &begun);
    repository.land("a begun record");
    repository.branch("work");
    repository.change(
        "machines/heron.yaml",
        "course: saltmere",
        "course: saltmere # here",
    );
    let still = repository.compared_with("main");
    assert_eq!(still.code, 0, "{}", still.printed);
    assert_eq!(rules(&still), ["not-filled-in"; 2], "{}", still.printed);
    for (from, to) in [
        ("left: [~, ~, ~]", "left: [36.5, 36.0, 36.5]"),
        ("right:", "right: {1: 37.0, 2: 36.5}"),
        // A machine without an hour meter.
        ("hours:\n", ""),
    ] {
        repository.change(LATER, from, to);
    }
    let filled_in = repository.compared_with("main");
    assert_eq!(
        (filled_in.code, rules(&filled_in)),
        (0, vec![]),
        "{}",
        filled_in.printed
    );
    repository.change(LATER, "shown: 34.3 gal", "shown:");
    let altered = repository.compared_with("main");
    assert!(
        rules(&altered).contains(&"landed-record-altered"),
        "{}",
        altered.printed
    );
    assert_eq!(altered.code, 1);
}
