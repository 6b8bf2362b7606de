//! One cause, one finding: what is held back is counted once, and stands alone once its cause is mended.

#![expect(clippy::disallowed_methods, reason = "a test reads the fixtures")]

use crate::cases::cases;
use crate::fixture::{self, Files, checked_by_rules, found};
use std::collections::BTreeMap;
use swathlint::Report;
use swathlint::diagnostic::Severity;
use swathlint::finding::WEAK_TEST;
use swathlint::outcome::Grade;
use swathlint::report::Told;
use swathlint::rule::{RuleSet, is_guard};

/// How often each rule found something.
type Tally = BTreeMap<String, usize>;

/// Every repository of the fixtures: each case, and the demo fleet.
fn repositories() -> Vec<(String, Files, String)> {
    let mut all: Vec<_> = cases()
        .into_iter()
        // A comparison leaves out what was there before: its counts are not those of a check.
        .filter(|case| case.before.is_none())
        // Every rule is replaced here, which the house rules of a case would be mixed up with.
        .filter(|case| !case.name.starts_with("house-rules/"))
        .map(|case| (case.name, case.files, case.today))
        .collect();
    let demo = fixture::tree(&fixture::folder().join("saltmere"));
    all.push(("saltmere".to_owned(), demo, "2026-06-01".to_owned()));
    // A waiver lets pass what stands, so it counts otherwise where something else is held back.
    for (_, files, _) in &mut all {
        files.remove("waivers.yaml");
    }
    all
}

/// All rules as house rules that follow what they are told to, where there is anything to follow; guards cannot be replaced.
fn following(causes: Option<&str>) -> Files {
    let texts = RuleSet::built_in_texts().iter();
    texts
        .filter(|(name, _)| !is_guard(name.trim_end_matches(".yaml")))
        .map(|(name, text)| {
            let mut lines: Vec<&str> = text
                .lines()
                .filter(|line| !line.starts_with("follows:"))
                .collect();
            let line = causes.map(|causes| format!("follows: [{causes}]"));
            if let Some(line) = &line {
                let limits = lines.iter().position(|line| line.starts_with("limits:"));
                lines.insert(limits.expect("every rule has limits"), line);
            }
            (format!("house-rules/{name}"), lines.join("\n") + "\n")
        })
        .collect()
}

fn with(files: &Files, more: &Files) -> Files {
    let mut files = files.clone();
    files.extend(more.clone());
    files
}

/// The findings of rules: the note that gathers what weakens a test leaves out what is explained.
fn of_rules(report: &Report) -> impl Iterator<Item = &Told> {
    report
        .findings
        .iter()
        .filter(|finding| finding.rule() != WEAK_TEST)
}

fn standing(report: &Report) -> Tally {
    let mut tally = Tally::new();
    for finding in of_rules(report) {
        *tally.entry(finding.rule().to_owned()).or_default() += 1;
    }
    tally
}

/// What stands and what is held back together.
fn standing_and_held(report: &Report) -> Tally {
    let mut tally = standing(report);
    for held in report.findings.iter().flat_map(|told| told.held()) {
        *tally.entry(held.rule.clone()).or_default() += 1;
    }
    tally
}

fn n_held(report: &Report) -> usize {
    let held = report.findings.iter().map(|finding| finding.held().len());
    held.sum()
}

#[test]
fn nothing_is_held_twice_or_lost() {
    let nobody_follows = following(None);
    let mut n_held_in_all = 0;
    for (name, files, today) in repositories() {
        let report = checked_by_rules(&files, &today);
        let alone = checked_by_rules(&with(&files, &nobody_follows), &today);
        assert_eq!(n_held(&alone), 0, "{name}");
        assert_eq!(report.counts.held, n_held(&report), "{name}");
        assert_eq!(standing_and_held(&report), standing(&alone), "{name}");
        n_held_in_all += n_held(&report);
    }
    assert!(n_held_in_all > 20, "the fixtures hold back {n_held_in_all}");
}

/// What a finding weighs is the grade of the limit it names, whatever it holds back; the report weighs the most of all.
#[test]
fn a_cause_keeps_its_own_grade_and_the_report_weighs_what_is_held() {
    let nobody_follows = following(None);
    let mut n_outweighed = 0;
    for (name, files, today) in repositories() {
        let report = checked_by_rules(&files, &today);
        let alone = checked_by_rules(&with(&files, &nobody_follows), &today);
        for finding in &report.findings {
            let judged = finding.judged();
            let limit = judged.and_then(|judged| judged.limit.as_ref());
            if let Some((grade, _)) = limit {
                let most = match grade {
                    Grade::Error => Severity::Error,
                    Grade::Warning => Severity::Warning,
                    Grade::Note | Grade::Weakens => Severity::Note,
                };
                assert!(finding.severity() <= most, "{name}: {}", finding.message());
            }
            n_outweighed += usize::from(finding.severity() < finding.heaviest());
        }
        assert_eq!(report.heaviest(), alone.heaviest(), "{name}");
    }
    assert!(
        n_outweighed > 5,
        "{n_outweighed} hold back what weighs more"
    );
}

/// Every rule follows every rule, itself too: the check ends, something stands, nothing is lost.
#[test]
fn rings_of_causes_end() {
    let names: Vec<&str> = RuleSet::built_in_texts()
        .iter()
        .map(|(name, _)| name.trim_end_matches(".yaml"))
        .collect();
    let all_follow_all = following(Some(&names.join(", ")));
    let nobody_follows = following(None);
    for (name, files, today) in repositories() {
        let alone = standing(&checked_by_rules(&with(&files, &nobody_follows), &today));
        let ring = checked_by_rules(&with(&files, &all_follow_all), &today);
        assert_eq!(standing_and_held(&ring), alone, "{name}");
        assert_eq!(ring.counts.held, n_held(&ring), "{name}");
        assert_eq!(of_rules(&ring).count() == 0, alone.is_empty(), "{name}");
    }
}

/// The `# mended: WRONG -> RIGHT` lines at the top of a case.
fn mended_lines(case: &str) -> Vec<(String, String)> {
    let text = std::fs::read_to_string(fixture::folder().join(case)).unwrap();
    let lines = text
        .lines()
        .filter_map(|line| line.strip_prefix("# mended: "));
    let pairs = lines.map(|line| line.split_once(" -> ").expect("`WRONG -> RIGHT`"));
    pairs
        .map(|(wrong, right)| (wrong.to_owned(), right.to_owned()))
        .collect()
}

/// Each cause taken to what its `# mended:` lines say is gone; what it held passes or stands alone,
/// and nothing new is found.
#[test]
fn what_a_mended_cause_held_passes_or_stands_alone() {
    let mut n_mended = 0;
    for case in cases() {
        let report = case.checked();
        assert_eq!(case.unsaid(&report), None, "{}", case.name);
        let causes: Vec<&str> = report
            .findings
            .iter()
            .filter(|finding| !finding.held().is_empty())
            .map(|told| told.rule())
            .collect();
        let lines = mended_lines(&case.name);
        if lines.is_empty() {
            assert!(
                causes.is_empty(),
                "{}: {causes:?} hold others back; say at the top how to mend the cause: \
                 `# mended: WRONG -> RIGHT`",
                case.name
            );
            continue;
        }
        assert!(!causes.is_empty(), "{}: nothing is held back", case.name);
        assert_eq!(found(&report), case.marks, "{}", case.name);
        let (mut files, mut today) = (case.files.clone(), case.today.clone());
        for (wrong, right) in &lines {
            if *wrong == today {
                today.clone_from(right); // Done in time: the day is what is late.
                continue;
            }
            let holding = files
                .values_mut()
                .find(|text| text.contains(wrong.as_str()));
            let text = holding.unwrap_or_else(|| panic!("{}: no `{wrong}`", case.name));
            *text = text.replacen(wrong.as_str(), right, 1);
        }
        let mended = checked_by_rules(&files, &today);
        let before = standing_and_held(&report);
        for (rule, count) in standing_and_held(&mended) {
            let earlier = before.get(&rule).copied().unwrap_or(0);
            assert!(count <= earlier, "{}: {rule} is new", case.name);
        }
        for cause in causes {
            let of = |report: &Report| {
                let findings = report.findings.iter();
                let holding = findings.filter(|one| one.rule() == cause && !one.held().is_empty());
                holding.count()
            };
            assert!(
                of(&mended) < of(&report),
                "{}: {cause} is not mended",
                case.name
            );
        }
        n_mended += 1;
    }
    assert!(n_mended > 5, "{n_mended} mended");
}
