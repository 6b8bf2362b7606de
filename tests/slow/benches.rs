//! Every case of the benches: the cause that must be told is told, what must not be said is not, and the text is as committed

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads and writes the fixtures"
)]

use crate::bench::wanted::all_told;
use crate::bench::{BENCHES, Bench, in_full, is_updating, not_yet};
use crate::fixture::{folder, tree};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;

const ACCEPT: &str = "accept with UPDATE_FIXTURES=1 cargo test --test slow benches";

/// What is not told yet is listed with what is wrong, so that what comes right or goes wrong shows in the diff.
#[test]
fn every_case_says_what_it_must_or_is_listed() {
    let cases: Vec<_> = BENCHES.iter().flat_map(Bench::cases).collect();
    let said: Vec<(Option<String>, String)> = cases
        .par_iter()
        .map(|case| {
            let report = case.checked();
            (case.faults(&report), in_full(&report))
        })
        .collect();
    let mut listed = String::new();
    let mut unlike = Vec::new();
    for (case, (faults, text)) in cases.iter().zip(&said) {
        if let Some(faults) = faults {
            writeln!(listed, "{}: {faults}", case.name).unwrap();
        }
        let (bench, name) = case.name.split_once('/').expect("a bench and a case");
        let path = folder().join(format!("benches/{bench}/said/{name}.txt"));
        if is_updating() {
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(&path, text).unwrap();
        } else if fs::read_to_string(&path).unwrap_or_default() != *text {
            unlike.push(format!("{}\n{text}", case.name));
        }
    }
    if is_updating() {
        fs::write(folder().join("benches/not-yet.txt"), &listed).unwrap();
    }
    let (now, before) = (lines(&listed), not_yet());
    let before = lines(&before);
    assert!(
        now == before,
        "now wrong: {:#?}\nlisted as wrong: {:#?}\n{ACCEPT}",
        now.difference(&before).collect::<Vec<_>>(),
        before.difference(&now).collect::<Vec<_>>(),
    );
    assert!(
        unlike.is_empty(),
        "not what is committed; {ACCEPT}\n{}",
        unlike.join("\n")
    );
}

fn lines(text: &str) -> BTreeSet<&str> {
    text.lines().collect()
}

/// Every cause has cases on the machine that can have all of them, and most on the others.
#[test]
fn every_cause_has_cases() {
    for (bench, n_cases, n_causes) in [("robin", 40, 20), ("plover", 113, 0), ("lapwing", 53, 18)] {
        let bench = BENCHES.iter().find(|one| one.name == bench).unwrap();
        let cases = bench.cases();
        assert!(cases.len() >= n_cases, "{}: {}", bench.name, cases.len());
        let names: BTreeSet<&String> = cases.iter().map(|case| &case.name).collect();
        assert_eq!(names.len(), cases.len(), "{}: a name twice", bench.name);
        let named: BTreeSet<&str> = cases.iter().flat_map(|case| case.wanted.ids()).collect();
        assert!(named.len() >= n_causes, "{}: {named:?}", bench.name);
        if bench.name == "plover" {
            let without: Vec<&str> = all_told().difference(&named).copied().collect();
            assert!(without.is_empty(), "causes without a case: {without:?}");
        }
    }
}

/// No text is kept of a case that is gone.
#[test]
fn every_text_is_of_a_case() {
    for bench in &BENCHES {
        let names: BTreeSet<String> = bench.cases().into_iter().map(|case| case.name).collect();
        for text in tree(&folder().join("benches").join(bench.name).join("said")).keys() {
            let name = format!("{}/{}", bench.name, text.trim_end_matches(".txt"));
            assert!(names.contains(&name), "{name} is no case");
        }
    }
}
