//! Seeded visits with known truth: nothing over a limit is hidden, nothing forbidden is advised, and a share is worth what it says
//!
//! `SEEDED_VISITS=2000 cargo test --release --test slow seeded` looks at more visits than the suite does, and
//! `SEEDED_VISITS=5000 cargo test --release --test slow -- --ignored --nocapture true_against_told` prints the table of what
//! is true against what is told.

#![expect(
    clippy::disallowed_methods,
    reason = "one variable says how many visits are looked at"
)]

mod calibration;

use crate::advice;
use crate::bench::told::{Finding, Told};
use crate::fixture::{checked, checked_by_rules};
use crate::held::mended_and_judged;
use crate::seeded_faults::{Seeded, TODAY, VISIT, faulty, seeded};
use calibration::calibration;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::LazyLock;
use swathlint::render::jsonl;

/// How many visits the suite looks at.
const SLICE: u64 = 200;

fn n_visits() -> u64 {
    let asked = std::env::var("SEEDED_VISITS").ok();
    asked.map_or(SLICE, |asked| asked.parse().expect("a whole number"))
}

/// The visits of the suite, each with what a check tells of it.
static VISITS: LazyLock<Vec<(Seeded, Told)>> = LazyLock::new(|| visits(n_visits(), faulty));

fn visits(n: u64, drawn: fn(u64) -> Seeded) -> Vec<(Seeded, Told)> {
    let checked = |seed| {
        let seeded = drawn(seed);
        let told = Told::read(&jsonl(&checked(&seeded.files, TODAY)));
        (seeded, told)
    };
    (0..n).into_par_iter().map(checked).collect()
}

/// What is wrong of each visit, which is nothing.
fn assert_of_all(visits: &[(Seeded, Told)], wrong: fn(&Seeded, &Told) -> Vec<String>) {
    let wrong = wrong_of(visits, wrong);
    let first: Vec<&str> = wrong.iter().take(20).map(String::as_str).collect();
    assert!(
        wrong.is_empty(),
        "{} in {} visits:\n{}",
        wrong.len(),
        visits.len(),
        first.join("\n")
    );
}

/// All that is wrong, with the seed and the truth of its visit.
fn wrong_of(visits: &[(Seeded, Told)], wrong: fn(&Seeded, &Told) -> Vec<String>) -> Vec<String> {
    let mut all = Vec::new();
    for (seed, (seeded, told)) in visits.iter().enumerate() {
        let truths: Vec<&str> = seeded.truths.iter().map(|truth| truth.cause).collect();
        let of = format!("seed {seed}, {}", truths.join(" and "));
        let wrong = wrong(seeded, told).into_iter();
        all.extend(wrong.map(|wrong| format!("{of}: {wrong}")));
    }
    all
}

/// Every file that is drawn is a record: what is wrong with it is wrong with the machine, the instruments, or the figures.
#[test]
fn what_is_drawn_is_read() {
    assert_of_all(&VISITS, |seeded, told| {
        let of_the_text = [
            "unknown-key",
            "wrong-unit",
            "missing-key",
            "missing-unit",
            "unlike-boom",
            "unreadable-number",
            "wrong-type",
        ];
        let findings = told
            .findings
            .iter()
            .filter(|finding| of_the_text.contains(&finding.rule.as_str()));
        let mut wrong: Vec<String> = findings.map(Finding::words).collect();
        if seeded.readings().len() != seeded.machine.nozzles() {
            wrong.push("a reading is not found".to_owned());
        }
        wrong
    });
}

/// Good tips, honest instruments and careful people: no cause is told. Two may be named that are not to be told apart, where
/// scatter alone takes a figure over a limit; of a hundred visits that is one or two.
#[test]
fn no_cause_is_told_of_a_clean_visit() {
    let clean = visits(n_visits().max(1_000), |seed| seeded(1_000_000 + seed, 0));
    assert_of_all(&clean, |_, told| {
        let is_sure = |finding: &&Finding| finding.causes[0].share >= 0.9;
        let sure = told.explained().filter(is_sure);
        sure.map(Finding::words).collect()
    });
    let named = clean
        .iter()
        .filter(|(_, told)| told.explained().count() > 0);
    let n_named = named.count();
    assert!(
        50 * n_named < clean.len(),
        "{n_named} of {} name a cause",
        clean.len()
    );
}

/// A nozzle more than 13% from both its rated flow and the middle of the boom, a console more than 8% from the known volume.
fn far_over(seeded: &Seeded) -> Vec<(String, (u64, u64))> {
    let mut far = Vec::new();
    let visit = &seeded.visit;
    let ml = match visit.unit {
        "fl oz" => 29.573_53,
        "wt oz" => 28.349_52,
        _ => 1.0,
    };
    let seconds = visit.duration.number
        * if visit.duration.unit == "min" {
            60.0
        } else {
            1.0
        };
    let rated = seeded.machine.rated_at(&visit.pressure) * seconds / ml;
    let mut sorted: Vec<f64> = visit.caught.iter().map(|caught| caught.number).collect();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted[sorted.len() / 2];
    let is_far = |ratio: f64| (ratio - 1.0).abs() > 0.13;
    let again = visit.retest.as_ref().map(|retest| retest.nozzle);
    for (nozzle, (caught, bytes)) in visit.caught.iter().zip(seeded.readings()).enumerate() {
        if is_far(caught.number / rated) && is_far(caught.number / middle) && again != Some(nozzle)
        {
            far.push((format!("nozzle {}", nozzle + 1), bytes));
        }
    }
    let volume = visit.volume.as_ref();
    if let Some((known, shown)) = volume.and_then(|test| Some((&test.known, test.shown.as_ref()?)))
    {
        let is_of_one_unit = known.unit == shown.unit;
        if is_of_one_unit && (shown.number / known.number - 1.0).abs() > 0.08 {
            far.push(("meter".to_owned(), seeded.section("meter-tests").unwrap()));
        }
    }
    far
}

/// On its own, held back, or too close to call: each line of that kind has its place.
#[test]
fn nothing_far_over_a_limit_is_without_a_line_at_its_place() {
    assert_of_all(&VISITS, |seeded, told| {
        let far = far_over(seeded).into_iter();
        let hidden = far.filter(|(_, bytes)| {
            let mut lines = told.findings.iter().chain(&told.others);
            !lines.any(|line| line.covers(VISIT, *bytes))
        });
        hidden
            .map(|(what, _)| format!("{what} is named nowhere"))
            .collect()
    });
}

/// An explanation never lowers what the check ends with: what is far over stays an error, whatever is told of it.
#[test]
fn what_is_far_over_fails_the_check_whatever_explains_it() {
    assert_of_all(&VISITS, |seeded, told| {
        let nozzles = far_over(seeded)
            .into_iter()
            .filter(|(what, _)| what.starts_with("nozzle"));
        let is_lowered = nozzles.count() > 0 && told.heaviest.as_deref() != Some("error");
        let mut wrong = Vec::new();
        if is_lowered {
            wrong.push(format!("ends with {:?}", told.heaviest));
        }
        wrong.extend(lowered(seeded, told));
        wrong
    });
}

/// How the check ends otherwise rule by rule.
fn lowered(seeded: &Seeded, told: &Told) -> Option<String> {
    let by_rules = Told::read(&jsonl(&checked_by_rules(&seeded.files, TODAY)));
    (by_rules.heaviest != told.heaviest).then(|| {
        format!(
            "ends with {:?}, and with {:?} rule by rule",
            told.heaviest, by_rules.heaviest
        )
    })
}

/// Mend and judge: what a cause held is gone once its mend is applied, and what it did not hold is still there.
#[test]
fn a_cause_holds_what_vanishes_when_it_is_mended() {
    assert_of_all(&VISITS, |seeded, _| mended_and_judged(&seeded.files, TODAY));
}

/// How often the visits of the slice are still advised what they must not be. It may only fall, and none is the aim.
const STILL_ABSURD: usize = 1;

/// What must never be advised where it is known what is wrong.
#[test]
fn no_advice_is_absurd() {
    let wrong = wrong_of(&VISITS, |seeded, told| {
        let mut wrong = advice::absurd(told, &seeded.files, seeded.machine.gauge_span());
        for finding in &told.findings {
            wrong.extend(misled(seeded, finding));
        }
        wrong
    });
    let is_slice = n_visits() == SLICE;
    let first: Vec<&str> = wrong.iter().take(60).map(String::as_str).collect();
    assert!(
        if is_slice {
            wrong.len() == STILL_ABSURD
        } else {
            wrong.is_empty()
        },
        "{} where the slice has {STILL_ABSURD}:\n{}",
        wrong.len(),
        first.join("\n")
    );
}

/// How a text sends somebody wrong, by what is true: a number to enter that comes from a wrong value, a neighbor that is out
/// the same way, a set of tips where the tips are good.
fn misled(seeded: &Seeded, finding: &Finding) -> Vec<String> {
    let mut wrong = Vec::new();
    let is_true = |cause: &str| seeded.truths.iter().any(|truth| truth.cause == cause);
    let is_suspect = seeded.truths.iter().any(|truth| {
        let stands_there = seeded
            .section(truth.key)
            .is_some_and(|bytes| finding.covers(VISIT, bytes));
        let is_of_the_sheet = truth.key == "setups" && finding.path.starts_with("machines/");
        truth.is_of_record() && (stands_there || is_of_the_sheet)
    });
    if is_suspect && let Some(text) = advice::enters_a_number(finding, &seeded.files) {
        wrong.push(format!("`{text}`"));
    }
    let worn = [
        "tip-worn",
        "tip-other-size",
        "set-worn",
        "section-high",
        "sheet-size-wrong",
        "pressure-falls",
    ];
    if advice::sells_a_set(finding) && seeded.machine.has_volume && !worn.into_iter().any(is_true) {
        wrong.push("sells a set of good tips".to_owned());
    }
    if let Some(with) = advice::swap_with(finding) {
        let readings = seeded.readings();
        let out = readings
            .iter()
            .position(|bytes| finding.covers(VISIT, *bytes));
        let off = |nozzle: usize| seeded.off_the_middle(nozzle);
        let with = usize::from(with) - 1;
        if let Some(out) = out
            && off(out) * off(with) > 0.0
            && off(with).abs() > 0.06
        {
            wrong.push(format!(
                "swap nozzle {} with {}, which is out the same way",
                out + 1,
                with + 1
            ));
        }
    }
    wrong
}

impl Seeded {
    /// How far a nozzle's reading is from the middle one: a ratio less one.
    fn off_the_middle(&self, nozzle: usize) -> f64 {
        let readings = &self.visit.caught;
        let mut sorted: Vec<f64> = readings.iter().map(|caught| caught.number).collect();
        sorted.sort_by(f64::total_cmp);
        readings[nozzle].number / sorted[sorted.len() / 2] - 1.0
    }
}

/// Of what is told at a share of 0.9 or more, at least 90% is right. Asked of a slice in the suite, and of 5,000 by the command above.
#[test]
fn what_is_told_is_right_nine_times_in_ten() {
    let (table, right, told) = calibration(&VISITS);
    // So few in a slice that two in a hundred are given to chance.
    assert!(
        told < 20.0 || right >= 0.88 * told,
        "{right} of {told}\n{table}"
    );
}

#[test]
#[ignore = "a table for people, of 5,000 visits"]
fn true_against_told() {
    let (table, right, told) = calibration(&VISITS);
    println!("{table}");
    assert!(told < 1.0 || right >= 0.9 * told, "{right} of {told}");
}

/// Tells what a check finds in clean visits, by rule and grade, and the texts of one: `SEEDED_VISITS` is which.
#[test]
#[ignore = "for people, who want to see what is drawn"]
fn what_clean_visits_give() {
    let mut rules: BTreeMap<String, u64> = BTreeMap::new();
    let mut n_clean = 0;
    for (_, told) in visits(500, |seed| seeded(1_000_000 + seed, 0)) {
        n_clean += u64::from(told.findings.is_empty());
        for finding in &told.findings {
            *rules
                .entry(format!("{} {}", finding.severity, finding.rule))
                .or_default() += 1;
        }
    }
    println!("{n_clean} of 500 without a finding; findings: {rules:#?}");
    let seeded = faulty(n_visits());
    for (path, text) in &seeded.files {
        println!("# file: {path}\n{text}");
    }
    println!("{:#?}", seeded.truths);
}
