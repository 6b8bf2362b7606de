//! What is told of causes against seeded simulations with the truth known: nothing of sound visits, and shares that are right as
//! often as they say.

use crate::bench_visit::Visit;
use crate::bench_visit::drawn::{FAULTS, Truth, faulty};
use std::collections::BTreeMap;
use swathlint::cause::{CauseSet, Explanation, explain};

fn explained(visit: &Visit) -> Explanation {
    explain(&visit.readings(), CauseSet::built_in()).unwrap()
}

fn name(cause: usize) -> String {
    CauseSet::built_in().causes()[cause].id.clone()
}

#[test]
fn nothing_is_told_of_sound_visits() {
    let mut told = Vec::new();
    for seed in 0..1_000 {
        let visit = Truth::good(seed).read();
        let explanation = explained(&visit);
        for cause in explanation.causes {
            told.push(format!(
                "{seed}: {} {:.3} {:?}",
                name(cause.row.cause),
                cause.row.share,
                cause.row.best.hypothesis.at
            ));
        }
    }
    assert!(told.is_empty(), "{} {told:#?}", told.len());
}

/// How often each true cause is told as which, and how often a share of 0.9 or more is right.
struct Tally {
    table: BTreeMap<(String, String), u32>,
    clear: u32,
    clear_and_right: u32,
    named: u32,
    named_and_right: u32,
    wrong: Vec<String>,
}

fn tally(visits_of_each: u64) -> Tally {
    let mut tally = Tally {
        table: BTreeMap::new(),
        clear: 0,
        clear_and_right: 0,
        named: 0,
        named_and_right: 0,
        wrong: Vec::new(),
    };
    for (kind, fault) in (0..).zip(FAULTS) {
        for seed in 0..visits_of_each {
            let drawn = faulty(1_000_000 * (kind + 1) + seed, fault);
            let explanation = explained(&drawn.visit);
            let truth = drawn.truth.first().copied().unwrap_or("none");
            let first = explanation
                .causes
                .first()
                .map_or("nothing".to_owned(), |told| {
                    let rival = told
                        .rival
                        .as_ref()
                        .map_or(String::new(), |rival| format!(" / {}", name(rival.cause)));
                    name(told.row.cause) + &rival
                });
            *tally.table.entry((truth.to_owned(), first)).or_default() += 1;
            for told in &explanation.causes {
                let id = name(told.row.cause);
                let is_right = drawn.truth.contains(&id.as_str());
                if told.rival.is_none() && told.row.share >= 0.9 {
                    tally.clear += 1;
                    tally.clear_and_right += u32::from(is_right);
                    if !is_right {
                        let at = &told.row.best.hypothesis.at;
                        tally
                            .wrong
                            .push(format!("{truth} {seed}: {id} {:.3} {at:?}", told.row.share));
                    }
                } else {
                    tally.named += 1;
                    let rival = told.rival.as_ref().map(|rival| name(rival.cause));
                    tally.named_and_right += u32::from(
                        is_right
                            || rival.is_some_and(|rival| drawn.truth.contains(&rival.as_str())),
                    );
                }
            }
        }
    }
    tally
}

#[test]
fn clear_shares_are_right_in_nine_of_ten() {
    let tally = tally(9);
    assert!(
        tally.clear_and_right * 10 >= tally.clear * 9,
        "{} of {}: {:#?}",
        tally.clear_and_right,
        tally.clear,
        tally.wrong
    );
}

/// `cargo test --release --test slow -- --ignored --nocapture true_against_told`
#[test]
#[ignore = "prints a table of 5,060 visits"]
fn true_against_told() {
    let tally = tally(220);
    for ((truth, told), many) in &tally.table {
        println!("{truth:24} {told:50} {many:5}");
    }
    println!(
        "at 0.9 and more: {} of {} right",
        tally.clear_and_right, tally.clear
    );
    println!(
        "two named: {} of {} have the right one",
        tally.named_and_right, tally.named
    );
    assert!(tally.clear_and_right * 10 >= tally.clear * 9);
}
