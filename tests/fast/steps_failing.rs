//! What a visit left failing, or work made void, ends only with a test that shows it right again.

#![cfg(test)]

use crate::fixture::{Files, checked};
use crate::steps_done::{VISIT, base, catch, edited, states, steps, with_visit, with_work};

const TODAY: &str = "2026-06-01";

fn state(files: &Files, step: &str) -> Option<&'static str> {
    states(files).get(step).copied()
}

#[test]
fn a_nozzle_caught_alone_at_a_far_pressure_clears_nothing() {
    let state = |files: &Files| state(files, "catch test");
    let at = |pressure: &str| catch("{right: {2: 36.5}}").replace("36 psi", pressure);
    let failing = edited(&base(), VISIT, "right: [37.0, 36.5]", "right: [37.0, 43.0]");
    let missed = edited(
        &base(),
        VISIT,
        "right: [37.0, 36.5]",
        "right: [37.0, missed]",
    );
    let fitted = "nozzles-fitted: {at: {right: [2]}, nozzle: {size: \"06\"}}";
    let void = with_work(&base(), fitted);
    for (files, left) in [
        (&failing, "failing"),
        (&missed, "never done"),
        (&void, "void"),
    ] {
        assert_eq!(state(files), Some(left));
        for far in ["28 psi", "44 psi"] {
            let files = with_visit(files, "2026-05-02", &at(far));
            let step = &steps(&files)["catch test"];
            assert_eq!(step.state.word(), left, "{far}");
            let because =
                "the catch test of 2026-05-02 does not count: its pressure is more than 20% off";
            assert!(step.because.contains(because), "{}", step.because);
            let told = checked(&files, TODAY);
            let mut told = told.findings.iter();
            assert!(told.any(|finding| finding.rule() == "test-not-counted"));
        }
        assert_eq!(state(&with_visit(files, "2026-05-02", &at("36 psi"))), None);
        for near in ["30 psi", "42 psi"] {
            let near = with_visit(files, "2026-05-02", &at(near));
            let step = steps(&near).remove("catch test");
            assert!(step.is_none_or(|step| !step.because.contains("does not count")));
        }
    }
    // A flat list that leaves out the others is no catch of the whole boom.
    let flat = catch("[missed, missed, missed, missed, 36.5]").replace("36 psi", "60 psi");
    let files = with_visit(&failing, "2026-05-02", &flat);
    assert_eq!(state(&files), Some("failing"));
}

#[test]
fn a_meter_that_failed_is_right_again_once_the_console_shows_it() {
    let state = |files: &Files| state(files, "meter test");
    let taken = "known-volume: 34.2 gal, known-by: fill meter, duration: 12 min";
    let whole = catch("[36.5, 36.0, 36.5, 37.0, 36.5]");
    let meter = |more: &str| format!("{whole}\nmeter-tests: [{{{taken}{more}}}]");
    let failing = edited(&base(), VISIT, "shown: 34.3 gal", "shown: 41 gal");
    let void = with_work(&base(), "flow-meter: {what: replaced}");
    for (files, left) in [(&failing, "failing"), (&void, "void")] {
        assert_eq!(state(files), Some(left));
        for more in ["", ", factor: {as-found: 100, as-left: 120}"] {
            let hidden = with_visit(files, "2026-05-02", &meter(more));
            assert_eq!(state(&hidden), Some(left), "{more}");
            let because = &steps(&hidden)["meter test"].because;
            let lacks = "the meter test of 2026-05-02 does not count: it does not give what the console showed";
            assert!(because.contains(lacks), "{because}");
            let shown = with_visit(&hidden, "2026-05-03", &meter(", shown: 34.3 gal"));
            assert_eq!(state(&shown), None, "{more}");
        }
    }
    // Where nothing speaks against the step, a console that takes the true value renews it.
    let next_year = edited(&base(), VISIT, "date: 2026-03-09", "date: 2025-03-09");
    let next_year =
        crate::steps_done::renamed(next_year, VISIT, "calibrations/heron/2025-03-09.yaml");
    assert_eq!(state(&next_year), Some("overdue"));
    assert_eq!(
        state(&with_visit(&next_year, "2026-05-02", &meter(""))),
        None
    );
}

#[test]
fn a_speed_sensor_that_failed_is_not_mended_by_taking_it_out() {
    let failing = edited(&base(), VISIT, "shown: 200 ft", "shown: 240 ft");
    let failing = edited(&failing, VISIT, "shown: 199 ft", "shown: 240 ft");
    assert_eq!(state(&failing, "speed test"), Some("failing"));
    let without = with_work(&failing, "speed-source: {to: none}");
    let run = "{elapsed: 32.5 s}";
    let driven = format!("speed-tests: [{{distance: 200 ft, runs: [{run}, {run}, {run}]}}]");
    let driven = with_visit(&without, "2026-05-02", &driven);
    let step = &steps(&driven)["speed test"];
    assert_eq!(step.state.word(), "failing", "{step:?}");
    assert!(
        step.because.contains("no sensor was tested"),
        "{}",
        step.because
    );
}

#[test]
fn a_test_too_weak_to_tell_does_not_end_what_failed() {
    let failing = edited(&base(), VISIT, "shown: 34.3 gal", "shown: 41 gal");
    let meter = |known: &str, by: &str, shown: &str| {
        let test = format!(
            "meter-tests: [{{known-volume: {known}, known-by: {by}, duration: 12 min, shown: {shown}}}]"
        );
        state(&with_visit(&failing, "2026-05-02", &test), "meter test")
    };
    assert_eq!(meter("1 gal", "tank marks", "1.06 gal"), Some("failing"));
    assert_eq!(meter("1 gal", "tank marks", "1 gal"), Some("failing"));
    assert_eq!(meter("34.2 gal", "fill meter", "34.3 gal"), None);
    let failing = edited(&base(), VISIT, "shown: 200 ft", "shown: 240 ft");
    let speed = |distance: &str, elapsed: &str, shown: &str| {
        let run = format!("{{elapsed: {elapsed}, shown: {shown}}}");
        let test = format!(
            "speed-tests: [{{distance: {distance}, surface: turf, tank: half, runs: [{run}, {run}, {run}]}}]"
        );
        state(&with_visit(&failing, "2026-05-02", &test), "speed test")
    };
    assert_eq!(speed("10 ft", "1.6 s", "11 ft"), Some("failing"));
    assert_eq!(speed("200 ft", "32.5 s", "200 ft"), None);
}

#[test]
fn a_section_that_failed_is_right_again_once_it_is_tested_again() {
    let control = |files: &Files| {
        edited(
            files,
            "machines/heron.yaml",
            "control: flow",
            "control: pressure",
        )
    };
    let state = |files: &Files| state(files, "section balance");
    let failing = edited(
        &control(&base()),
        VISIT,
        "as-found: 40.2 gal/acre",
        "as-found: 32.2 gal/acre",
    );
    assert_eq!(state(&failing), Some("failing"));
    let balance = |control: &str, sections: &[&str]| {
        let read = sections
            .iter()
            .map(|section| format!("\n    - {{sections: [{section}], as-found: 40.2 gal/acre}}"));
        let read: String = read.collect();
        format!(
            "section-balance:\n  entered-speed: 4.2 mph\n  rate-control: {control}\n  \
             all-on: 40.3 gal/acre\n  sections-off:{read}"
        )
    };
    let with = |control, sections: &[&str]| {
        with_visit(&failing, "2026-05-02", &balance(control, sections))
    };
    assert_eq!(state(&with("manual", &["right"])), Some("failing"));
    assert_eq!(state(&with("automatic", &["left"])), Some("failing"));
    assert_eq!(state(&with("manual", &["left"])), None);
    let later = with_visit(
        &with("manual", &["right"]),
        "2026-05-03",
        &balance("manual", &["left"]),
    );
    assert_eq!(state(&later), None);
}

/// A balance at one speed and rate, the same with each section off.
fn balance(speed: &str, rate: &str) -> String {
    format!(
        "section-balance: {{entered-speed: {speed}, rate-control: manual, all-on: {rate}, sections-off: \
         [{{sections: [left], as-found: {rate}}}, {{sections: [right], as-found: {rate}}}]}}"
    )
}

#[test]
fn a_balance_under_conditions_that_cannot_be_does_not_count() {
    let state = |files: &Files| state(files, "section balance");
    let wrong = edited(
        &base(),
        VISIT,
        "{sections: [left], as-found: 40.2 gal/acre}",
        "{sections: [left], as-found: 30.2 gal/acre}",
    );
    // Only where no console corrects it, a balance that is off is an error.
    let by_pressure = |files: &Files| {
        edited(
            files,
            "machines/heron.yaml",
            "control: flow",
            "control: pressure",
        )
    };
    let failing = by_pressure(&wrong);
    assert_eq!(state(&failing), Some("failing"));
    let void = with_work(&base(), "section-valve: {section: left, what: replaced}");
    assert_eq!(state(&void), Some("void"));
    let mut never = base();
    never.remove(VISIT);
    let never = with_visit(
        &never,
        "2026-05-01",
        &catch("[36.5, 36.5, 36.5, 36.5, 36.5]"),
    );
    assert_eq!(state(&never), Some("never done"));
    for (files, left) in [
        (&failing, "failing"),
        (&void, "void"),
        (&never, "never done"),
    ] {
        for (speed, rate) in [("1130 mph", "40.2 gal/acre"), ("4.2 mph", "402 gal/acre")] {
            let files = with_visit(files, "2026-05-02", &balance(speed, rate));
            let step = &steps(&files)["section balance"];
            assert_eq!(step.state.word(), left, "{speed}, {rate}");
            let because = "the section balance of 2026-05-02 does not count: its speed, rate, or pressure cannot \
                           be of this boom";
            assert!(step.because.contains(because), "{}", step.because);
        }
        // Far off the setup is told, and counts: a technician may choose another speed.
        for (speed, rate) in [("4.2 mph", "40.2 gal/acre"), ("6.8 mph", "24.7 gal/acre")] {
            let files = with_visit(files, "2026-05-02", &balance(speed, rate));
            assert_eq!(state(&files), None, "{speed}, {rate}");
        }
    }
    // What nobody tested before is bad by what cannot be.
    let files = with_visit(&base(), "2026-05-02", &balance("1130 mph", "40.2 gal/acre"));
    assert_eq!(state(&files), Some("failing"));
    let files = with_visit(&files, "2026-05-03", &balance("4.2 mph", "40.2 gal/acre"));
    assert_eq!(state(&files), None);
}
