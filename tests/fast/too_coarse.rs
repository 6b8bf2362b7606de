//! Readings too coarse to tell anything: they renew no step, end nothing that failed, and hide nothing that was found.

#![cfg(test)]

use crate::fixture::{Files, checked, checked_by_rules, listing, reading, settings};
use crate::steps_done::{VISIT, base, edited, renamed, states, steps, with_visit};
use swathlint::diagnostic::Severity;
use swathlint::figures;

const TODAY: &str = "2026-06-01";

/// A catch, a meter test, a speed test and a balance that are read to a quart, a gallon, a tenth of a mile and a pint.
const COARSE: [(&str, &str); 4] = [
    (
        "catch test",
        "catch-tests: [{pressure: 36 psi, duration: 52 s, jug: jug-2, unit: qt, caught: [2, 2, 2, 2, 2]}]",
    ),
    (
        "meter test",
        "meter-tests: [{known-volume: 5 gal, known-by: tank marks, duration: 43 s, shown: 5 gal}]",
    ),
    (
        "speed test",
        "speed-tests: [{distance: 528 ft, surface: turf, tank: half, \
         runs: [{elapsed: 83.8 s, shown: 0.1 mi}, {elapsed: 83.6 s, shown: 0.1 mi}, {elapsed: 83.7 s, shown: 0.1 mi}]}]",
    ),
    (
        "section balance",
        "section-balance: {entered-speed: 4.2 mph, rate-control: manual, all-on: 7 pt/1000 ft2, sections-off: \
         [{sections: [left], as-found: 7 pt/1000 ft2}, {sections: [right], as-found: 7 pt/1000 ft2}]}",
    ),
];

/// The clean repository a year on: every step is overdue.
fn a_year_on() -> Files {
    let files = edited(&base(), VISIT, "date: 2026-03-09", "date: 2025-03-09");
    renamed(files, VISIT, "calibrations/heron/2025-03-09.yaml")
}

#[test]
fn a_test_whose_uncertainty_is_more_than_the_limit_renews_nothing() {
    for (step, test) in COARSE {
        let files = with_visit(&a_year_on(), "2026-05-02", test);
        let of_step = &steps(&files)[step];
        assert_eq!(of_step.state.word(), "overdue", "{}", of_step.because);
        let told = checked(&files, TODAY);
        let mut told = told.findings.iter();
        let not_counted = told.find(|told| told.rule() == "test-not-counted");
        let message = not_counted
            .unwrap_or_else(|| panic!("{step}: nothing is told"))
            .message();
        assert!(message.ends_with("its uncertainty is more than the limit, so it proves nothing"));
    }
}

#[test]
fn what_is_proven_as_found_stands_until_a_test_proves_it_right() {
    let bad = "{known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 37.0 gal}";
    for (second, is_right) in [
        (
            "{known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 34.3 gal}",
            true,
        ),
        (
            "{known-volume: 2 gal, known-by: tank marks, shown: 2 gal}",
            false,
        ),
        (
            "{known-volume: 12 gal, known-by: tank marks, duration: 104 s, shown: 13 gal}",
            false,
        ),
        (
            "{known-volume: 34.2 gal, known-by: fill meter, duration: 12 min}",
            false,
        ),
    ] {
        let files = with_visit(
            &base(),
            "2026-05-02",
            &format!("meter-tests: [{bad}, {second}]"),
        );
        let report = checked_by_rules(&files, TODAY);
        let mut errors = report
            .findings
            .iter()
            .filter(|told| told.severity() == Severity::Error);
        let is_told =
            errors.any(|told| told.rule() == "meter-off" && told.message().contains("8.19"));
        assert_eq!(is_told, !is_right, "{second}");
        let state = states(&files).get("meter test").copied();
        assert_eq!(state == Some("failing"), !is_right, "{second}: {state:?}");
    }
}

#[test]
fn a_time_is_known_to_the_last_digit_that_is_written() {
    let expanded = |elapsed: &str| {
        let run = format!("{{elapsed: {elapsed}, shown: 200 ft}}");
        let test = format!(
            "speed-tests: [{{distance: 200 ft, surface: turf, tank: half, runs: [{run}, {run}, {run}]}}]"
        );
        let files = with_visit(&base(), "2026-05-02", &test);
        let table = figures(&listing(&files), &reading(&files), &settings(TODAY));
        let mut rows = table
            .rows
            .iter()
            .filter(|row| row.figure == "speed-off-setup");
        let row = rows.find(|row| row.date == "2026-05-02".parse().ok());
        row.unwrap().expanded.unwrap()
    };
    // To the nearest minute: 30 s at most either way, over the root of three, and of three runs alike; by k = 2.
    assert!(15.0 < expanded("1 min"), "{}", expanded("1 min"));
    assert!(expanded("32.5 s") < 2.0, "{}", expanded("32.5 s"));
}
