//! Each rule changed in one thing after the other: some case must notice.

#![expect(clippy::disallowed_methods, reason = "a test reads the fixtures")]

use crate::cases::{Case, cases};
use crate::fixture::{self, found};
use swathlint::Report;
use swathlint::figure::ShownAs;
use swathlint::figure::catalogue::FIGURES;
use swathlint::rule::{Bound, Decision, Rule, RuleSet, load};
use swathlint::source::FileId;

/// Mutations of the rules that no fixture can tell, and why.
const EQUIVALENT: &[(&str, &str, &str)] = &[
    (
        "short-catch",
        SWITCHED,
        "how long to catch is asked of what is written, which is exact",
    ),
    (
        "corrected-within-uncertainty",
        SWITCHED,
        "its limit is its own uncertainty",
    ),
    (
        "landed-record-altered",
        "error switched off",
        "no house rule replaces a guard",
    ),
    (
        "landed-record-amended",
        "note switched off",
        "no house rule replaces a guard",
    ),
    (
        "landed-record-deleted",
        "error switched off",
        "no house rule replaces a guard",
    ),
    (
        "requirement-relaxed",
        "warning switched off",
        "no house rule replaces a guard",
    ),
    (
        "short-speed-course",
        SWITCHED,
        "how long a course is is asked of what is written, which is exact",
    ),
    (
        "density-factor-off",
        SWITCHED,
        "what a machine file states is exact",
    ),
    (
        "entered-width-off",
        SWITCHED,
        "what a machine file states is exact",
    ),
    (
        "entered-speed-off-setup",
        SWITCHED,
        "a speed that is entered is exact",
    ),
    (
        "setup-sum-off",
        SWITCHED,
        "what a machine file states is exact",
    ),
    (
        "factor-not-continued",
        SWITCHED,
        "factors are entered, not measured",
    ),
    (
        "hours-back",
        SWITCHED,
        "hours are taken as they are written",
    ),
    (
        "hours-jump",
        SWITCHED,
        "hours are taken as they are written",
    ),
    (
        "beyond-gauge",
        SWITCHED,
        "whether a scale can show a reading is asked of what is written",
    ),
    (
        "beyond-jug",
        SWITCHED,
        "whether a jug can hold a reading is asked of what is written",
    ),
    (
        "filled-beyond-tank",
        SWITCHED,
        "whether a tank can hold a volume is asked of what is written",
    ),
    (
        "known-volume-beyond-tank",
        SWITCHED,
        "whether a tank can hold a volume is asked of what is written",
    ),
    (
        "fitted-off-setup",
        SWITCHED,
        "ratings are taken as they are written",
    ),
    (
        "mix-density-off",
        SWITCHED,
        "densities are taken as they are written",
    ),
    (
        "overdue-by-hours",
        SWITCHED,
        "hours are taken as they are written",
    ),
    (
        "readings-copied",
        "warning a step lower",
        "no readings come to such a chance exactly",
    ),
    (
        "readings-copied",
        "warning a step higher",
        "no readings come to such a chance exactly",
    ),
    (
        "readings-copied",
        "note a step lower",
        "no readings come to such a chance exactly",
    ),
    (
        "readings-copied",
        "note a step higher",
        "no readings come to such a chance exactly",
    ),
];

/// The decision made the other one.
const SWITCHED: &str = "decision switched";

/// Each rule changed in one thing must make some fixture fail: the fixtures hold the rules.
#[test]
fn a_rule_changed_in_anything_is_noticed() {
    let all = cases();
    let mut survived = Vec::new();
    for (name, text) in RuleSet::built_in_texts() {
        let id = name.trim_end_matches(".yaml");
        let rules = RuleSet::built_in().rules();
        let rule = rules.iter().find(|rule| rule.id == id).unwrap();
        for (what, changed) in mutants(text, rule) {
            let loaded = load(FileId(0), &changed);
            assert!(loaded.problems.is_empty(), "{id}: {what} is no rule");
            if EQUIVALENT
                .iter()
                .any(|(rule, mutant, _)| *rule == id && *mutant == what)
            {
                continue;
            }
            let noticed = all
                .iter()
                .filter(|case| concerns(&case.name, id))
                .any(|case| {
                    let report =
                        with_file(case, &format!("house-rules/{name}"), &changed).checked();
                    found(&report) != case.marks
                        || case.unsaid(&report).is_some()
                        || is_told_otherwise(&report, &case.name, id)
                });
            if !noticed {
                survived.push(format!("{id}: {what}"));
            }
        }
    }
    assert!(survived.is_empty(), "{survived:#?}");
}

/// The case with a file more, which was there before.
fn with_file(case: &Case, path: &str, text: &str) -> Case {
    let mut with = case.clone();
    for files in std::iter::once(&mut with.files).chain(&mut with.before) {
        files.insert(path.to_owned(), text.to_owned());
    }
    with
}

/// Whether the help of `fails.yaml` is another than the committed `fails.txt` has.
fn is_told_otherwise(report: &Report, case: &str, id: &str) -> bool {
    if case != format!("{id}/fails.yaml") {
        return false;
    }
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let committed = fixture::folder().join(id).join("fails.txt");
    let committed = words(&std::fs::read_to_string(committed).unwrap());
    let own = report.findings.iter().filter(|one| one.rule() == id);
    let mut helps = own.filter_map(|one| one.help_text());
    helps.any(|help| !committed.contains(&words(help)))
}

/// A rule's own cases, and those of the rules it may hold back or be held by.
fn concerns(case: &str, id: &str) -> bool {
    let of = case.split('/').next().unwrap();
    let follows = |one: &str, other: &str| {
        let rules = RuleSet::built_in().rules();
        let rule = rules.iter().find(|rule| rule.id == one);
        rule.is_some_and(|rule| rule.follows.iter().any(|cause| cause == other))
    };
    of == id || follows(of, id) || follows(id, of)
}

fn mutants(text: &str, rule: &Rule) -> Vec<(String, String)> {
    let mut mutants = Vec::new();
    let lines: Vec<&str> = text.lines().collect();
    let without = |key: &str| -> Option<String> {
        let kept: Vec<&str> = lines
            .iter()
            .copied()
            .filter(|line| !line.starts_with(key))
            .collect();
        (kept.len() < lines.len()).then(|| kept.join("\n") + "\n")
    };
    for (grade, limit) in &rule.limits {
        let written = |bound: &str| format!("{}: {bound}", grade.word());
        let now = match limit.bound {
            Bound::AtMost(quantity) => quantity.to_string(),
            Bound::AtLeast(quantity) => format!("at least {quantity}"),
            Bound::Any => "any".to_owned(),
            Bound::Told => "told from none".to_owned(),
            Bound::Off => "none".to_owned(),
        };
        let (how, other) = match limit.bound {
            Bound::Off => ("switched on", "any"),
            Bound::AtMost(_) | Bound::AtLeast(_) | Bound::Any | Bound::Told => {
                ("switched off", "none")
            }
        };
        let switched = text.replace(&written(&now), &written(other));
        assert_ne!(switched, *text, "{}: {now}", rule.id);
        mutants.push((format!("{} {how}", grade.word()), switched));
        if let Some(quantity) = limit.bound.quantity() {
            let number = quantity.decimal.to_string();
            let decimals = number.split_once('.').map_or(0, |(_, behind)| behind.len());
            let step = 0.1_f64.powi(i32::try_from(decimals).expect("few decimals"));
            for (how, step) in [("a step lower", -step), ("a step higher", step)] {
                let stepped = format!("{:.decimals$}", quantity.decimal.to_f64() + step);
                let changed = now.replacen(&number, &stepped, 1);
                let changed = text.replace(&written(&now), &written(&changed));
                assert_ne!(changed, *text, "{}: {now}", rule.id);
                mutants.push((format!("{} {how}", grade.word()), changed));
            }
        }
    }
    let (now, other) = match rule.decision {
        Decision::Simple => ("decision: simple", "decision: guarded"),
        Decision::Guarded => ("decision: guarded", "decision: simple"),
    };
    // What is counted has no uncertainty, so both decisions are one.
    let is_counted = matches!(
        FIGURES[rule.figure].shown_as,
        ShownAs::Count | ShownAs::Days
    );
    if !is_counted {
        mutants.push((SWITCHED.to_owned(), text.replace(now, other)));
    }
    let swapped: Vec<String> = lines
        .iter()
        .map(|line| match line.trim_start().split_once(": ") {
            Some(("low", text)) => format!("  high: {text}"),
            Some(("high", text)) => format!("  low: {text}"),
            Some(_) | None => (*line).to_owned(),
        })
        .collect();
    let swapped = swapped.join("\n") + "\n";
    if swapped != text {
        mutants.push(("high and low swapped".to_owned(), swapped));
    }
    mutants.extend(without("applies:").map(|text| ("applies dropped".to_owned(), text)));
    for cause in &rule.follows {
        let followed = lines
            .iter()
            .find(|line| line.starts_with("follows:"))
            .expect("a rule that follows says so");
        let others: Vec<&str> = rule
            .follows
            .iter()
            .map(String::as_str)
            .filter(|other| other != cause)
            .collect();
        let changed = match others.as_slice() {
            [] => without("follows:").expect("it is there"),
            others => text.replace(followed, &format!("follows: [{}]", others.join(", "))),
        };
        mutants.push((format!("follows not {cause}"), changed));
    }
    mutants
}
