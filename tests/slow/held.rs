//! What a cause holds back is what is gone once its mend is written into the record, and nothing else

use crate::bench::{BENCHES, Bench};
use crate::cases::cases;
use crate::fixture::{Files, checked, checked_by_rules, folder, tree};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use swathlint::Report;
use swathlint::finding::{Explained, Judged};
use swathlint::outcome::Key;
use swathlint::record::Mended;
use swathlint::source::Place;

/// The figures that causes explain without a number to mend: readings that repeat, and a nozzle that was not caught again.
const WITHOUT_A_NUMBER: [&str; 2] = ["readings-repeated", "nozzle-not-retested"];

/// The demo fleet, every case of every rule, and every case of the benches; seeded visits are in `tests/slow/seeded.rs`.
#[test]
fn what_a_cause_holds_is_gone_once_it_is_mended() {
    let today = "2026-06-01";
    let demo = [(
        "the demo fleet".to_owned(),
        tree(&folder().join("saltmere")),
        today.to_owned(),
    )];
    let of_rules = cases()
        .into_iter()
        .map(|case| (case.name, case.files, case.today));
    let benches = BENCHES.iter().flat_map(Bench::cases);
    let benches = benches.map(|case| (case.name, case.files, today.to_owned()));
    let all: Vec<(String, Files, String)> =
        demo.into_iter().chain(of_rules).chain(benches).collect();
    let wrong: Vec<String> = all
        .par_iter()
        .flat_map_iter(|(name, files, today)| {
            let wrong = mended_and_judged(files, today);
            wrong
                .into_iter()
                .map(move |wrong| format!("{name}: {wrong}"))
        })
        .collect();
    assert!(
        wrong.is_empty(),
        "{} in {}: {:#?}",
        wrong.len(),
        all.len(),
        &wrong[..wrong.len().min(20)]
    );
}

/// How what vanishes under the mends differs from what is held: each mend is written into the record, which is checked again
/// rule by rule.
///
/// Of two causes that are named together, only what vanishes under the likelier one is looked at. A size is no number, so
/// that a mend of one is not written.
pub(crate) fn mended_and_judged(files: &Files, today: &str) -> Vec<String> {
    let report = checked(files, today);
    let all: Vec<&Explained> = report
        .findings
        .iter()
        .filter_map(|one| one.explained())
        .collect();
    let Some(mended) = written(files, &report, &all) else {
        return Vec::new();
    };
    let still = of_rules(&checked_by_rules(&mended, today));
    let before = of_rules(&checked_by_rules(files, today));
    let held: BTreeSet<RuleAt> = all
        .iter()
        .flat_map(|one| &one.held)
        .filter(|held| !WITHOUT_A_NUMBER.contains(&held.figure))
        .map(rule_at)
        .collect();
    let is_alone = all.iter().all(|one| one.rival.is_none());
    let held_and_there = held.intersection(&still);
    let mut wrong: Vec<String> = held_and_there
        .map(|one| format!("{one:?} is held and still there"))
        .collect();
    // What follows from another finding is not told by itself.
    // How a step stands follows from a visit, and is no finding of it.
    let of_visits = report.findings.iter().filter_map(|one| one.judged());
    let of_visits = of_visits.filter(|judged| judged.key.stage.is_some());
    let own: BTreeSet<RuleAt> = of_visits.map(rule_at).collect();
    let gone = before
        .difference(&still)
        .filter(|one| is_alone && !all.is_empty() && own.contains(one));
    wrong.extend(gone.map(|one| format!("{one:?} is told by itself and gone")));
    wrong
}

/// A rule and where it holds, whichever file the numbers stand in.
type RuleAt = (String, Key);

fn rule_at(judged: &Judged) -> RuleAt {
    (judged.name.clone(), judged.key)
}

/// What rules found and is not put right, by itself or held back by another.
fn of_rules(report: &Report) -> BTreeSet<RuleAt> {
    let all = report
        .findings
        .iter()
        .flat_map(swathlint::report::Told::all_judged);
    all.map(rule_at).collect()
}

/// The files with each mend written into them; none where a mend is of what is no number.
fn written(files: &Files, report: &Report, all: &[&Explained]) -> Option<Files> {
    let mut mended: BTreeMap<Place, Mended> = BTreeMap::new();
    for (place, own) in all.iter().flat_map(|one| one.mends.each()) {
        let of_all = mended.entry(place).or_insert(Mended { times: 1.0, ..own });
        of_all.times *= own.times;
    }
    let mut files = files.clone();
    // From the end, so that what is before a number stays where it is.
    for (place, own) in mended.into_iter().rev() {
        let text = files.get_mut(report.path(place.file))?;
        let (start, end) = (place.span.start as usize, place.span.end as usize);
        let scaled = scaled(&text[start..end], own)?;
        text.replace_range(start..end, &scaled);
    }
    Some(files)
}

/// `30 s` times 0.5 as `15.000 s`, and `0` as what is multiplied instead of it; none of what does not begin with a number.
fn scaled(written: &str, mended: Mended) -> Option<String> {
    let bare = written.trim_matches('"');
    let end = bare
        .find(|letter: char| !letter.is_ascii_digit() && letter != '.')
        .unwrap_or(bare.len());
    let (number, unit) = bare.split_at(end);
    let is_size = unit.is_empty() && number.starts_with('0') && !number.contains('.');
    let value: f64 = match mended.instead {
        Some(instead) => instead,
        None => number.parse().ok().filter(|_| !is_size)?,
    };
    let scaled = value * mended.times;
    // As many places as written, and no fewer than five digits.
    let mut places = number.split_once('.').map_or(0, |(_, places)| places.len());
    let mut shown = scaled * [1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6][places.min(6)];
    while shown < 1e4 && places < 9 {
        shown *= 10.0;
        places += 1;
    }
    Some(format!("{scaled:.places$}{unit}"))
}
