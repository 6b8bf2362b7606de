//! A slice of the benches: their fleets are clean, their cases are well formed, and every fifth says what it must, or is listed

use crate::bench::{BENCHES, Bench, TODAY, in_full, not_yet};
use crate::fixture::checked;
use std::collections::BTreeMap;

#[test]
fn the_fleets_of_the_benches_give_nothing() {
    for bench in &BENCHES {
        let report = checked(&bench.clean(), TODAY);
        let is_clean = report.findings.is_empty() && report.failures.is_empty();
        assert!(
            is_clean && report.counts.records == 4,
            "{}: {}",
            bench.name,
            in_full(&report)
        );
    }
}

#[test]
fn every_fifth_case_says_what_it_must_or_is_listed() {
    let not_yet = not_yet();
    let listed: BTreeMap<&str, &str> = not_yet
        .lines()
        .filter_map(|line| line.split_once(": "))
        .collect();
    let mut wrong = Vec::new();
    for case in BENCHES.iter().flat_map(Bench::cases).step_by(5) {
        let faults = case.faults(&case.checked());
        if faults.as_deref() != listed.get(case.name.as_str()).copied() {
            wrong.push(format!("{}: {faults:?}", case.name));
        }
    }
    assert!(
        wrong.is_empty(),
        "`fixtures/benches/not-yet.txt` lists others; accept with UPDATE_FIXTURES=1 cargo test --test slow benches\n{}",
        wrong.join("\n")
    );
}
