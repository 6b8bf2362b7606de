//! The rules are data, so they are tested as data: names, order, texts, limits, sources, coverage.

use crate::cases::cases;
use crate::fixture;
use std::collections::{BTreeMap, BTreeSet};
use swathlint::figure::catalogue::FIGURES;
use swathlint::finding::WEAK_TEST;
use swathlint::outcome::Grade;
use swathlint::rule::{Bound, Decision, Guard, Rule, RuleSet, Status, guard, load};
use swathlint::source::FileId;
use swathlint::yaml;

/// The fields of a rule file, in the order a reader meets them.
const FIELDS: [&str; 15] = [
    "record", "id", "since", "status", "figure", "applies", "follows", "limits", "interval",
    "decision", "title", "message", "help", "why", "sources",
];

/// A rule's name names the fault and reads after "allow".
const BANNED_PREFIXES: [&str; 6] = ["check-", "avoid-", "should-", "no-", "must-", "prefer-"];

/// What a help may begin with.
pub(crate) const VERBS: [&str; 23] = [
    "catch", "check", "clean", "close", "compare", "correct", "count", "delete", "divide", "do",
    "drive", "enter", "expect", "find", "have", "leave", "look", "measure", "open", "repeat",
    "rinse", "set", "switch",
];
/// More of them, less usual.
pub(crate) const MORE_VERBS: [&str; 17] = [
    "stop",
    "add",
    "name",
    "read",
    "tell",
    "write",
    "declare",
    "use",
    "move",
    "weigh",
    "collect",
    "multiply",
    "order",
    "put",
    "spray",
    "calibrate",
    "turn",
];

/// Rules that cannot come out exactly at a limit, or never do in records: and why.
const NO_EDGE: &[(&str, &str)] = &[
    ("may-not-sign", "may or may not"),
    ("not-checked-by-another", "checked or not"),
    ("unsafe-preparation", "counting from none"),
    ("automatic-control-on", "it is on or it is not"),
    (
        "before-in-service",
        "the first day itself is the passing case",
    ),
    (
        "corrected-within-uncertainty",
        "its limit is its own uncertainty",
    ),
    ("date-unlike-name", "alike or not"),
    ("density-factor-lacking", "it is there or it is not"),
    ("factor-not-continued", "the same or not"),
    ("known-volume-off-catch", "guarded: a tie is undecided"),
    ("product-not-judged", "judged or not"),
    ("landed-record-altered", "counting from none"),
    ("landed-record-amended", "counting from none"),
    ("landed-record-deleted", "counting from none"),
    ("mean-off-rated", "guarded: a tie is undecided"),
    ("meter-off", "guarded: a tie is undecided"),
    ("nozzle-not-caught", "counting from none"),
    ("nozzle-off-rated", "guarded: a tie is undecided"),
    ("not-tested-again", "counting from none"),
    ("preparation-lacking", "counting from none"),
    ("product-over-label", "guarded: a tie is undecided"),
    ("product-under-label", "guarded: a tie is undecided"),
    ("rate-applied-off", "guarded: a tie is undecided"),
    ("rate-by-catch-off", "guarded: a tie is undecided"),
    ("readings-copied", "the same or not"),
    ("requirement-relaxed", "relaxed or not"),
    ("running-pressure-off", "guarded: a tie is undecided"),
    ("runs-apart", "a speed is a quotient: no decimals tie"),
    ("section-not-tested", "counting from none"),
    ("speed-off-setup", "a speed is a quotient: no decimals tie"),
    ("speed-sensor-off", "guarded: a tie is undecided"),
    ("sprayed-while-failing", "counting from none"),
    ("sprayed-while-void", "counting from none"),
    ("step-to-recheck", "asked for or not"),
    ("step-void", "void or not"),
    ("hard-surface", "hard or not"),
    ("test-not-counted", "counts or not"),
    ("tank-not-half", "half or not"),
    ("true-rate-off", "guarded: a tie is undecided"),
    ("unknown-instrument", "known or not"),
    ("unknown-person", "known or not"),
    (
        "wear-near-limit",
        "a forecast is a quotient: no decimals tie",
    ),
    ("too-few-runs", "three runs are the passing case"),
];

fn rules() -> &'static [Rule] {
    RuleSet::built_in().rules()
}

#[test]
fn every_rule_file_loads_without_a_finding() {
    for (name, text) in RuleSet::built_in_texts() {
        let loaded = load(FileId(0), text);
        assert!(loaded.problems.is_empty(), "{name}: {:#?}", loaded.problems);
        let rule = loaded.rule.unwrap();
        assert_eq!(format!("{}.yaml", rule.id), *name);
    }
}

#[test]
fn fields_stand_in_their_order_and_none_is_empty() {
    for (name, text) in RuleSet::built_in_texts() {
        assert!(!text.contains("TODO"), "{name}");
        let parsed = yaml::parse(FileId(0), text);
        let root = parsed.tree.root().unwrap();
        let mut last = 0;
        for (key, value) in root.entries() {
            let key = key.text().unwrap();
            let at = FIELDS.iter().position(|field| *field == key).unwrap();
            assert!(last <= at, "{name}: {key} stands too late");
            last = at;
            let empty = value.text().is_some_and(|text| text.trim().is_empty());
            assert!(!empty, "{name}: {key} is empty");
        }
    }
}

#[test]
fn names_name_the_fault() {
    for rule in rules() {
        let kebab = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(rule.id.chars().all(kebab), "{}", rule.id);
        for banned in BANNED_PREFIXES {
            assert!(!rule.id.starts_with(banned), "{}", rule.id);
        }
        let title = rule.title.chars().next().unwrap();
        assert!(
            title.is_uppercase() && !rule.title.ends_with('.'),
            "{}",
            rule.title
        );
        assert!(rule.why.ends_with('.'), "{}: {}", rule.id, rule.why);
    }
}

#[test]
fn what_a_rule_follows_exists() {
    let ids: BTreeSet<&str> = rules().iter().map(|rule| rule.id.as_str()).collect();
    for rule in rules() {
        for cause in &rule.follows {
            assert!(ids.contains(cause.as_str()), "{} follows {cause}", rule.id);
        }
    }
}

/// What guards merged records must fail a build, everywhere and whatever else is found.
#[test]
fn guards_are_errors_that_nothing_narrows() {
    let guards = rules().iter();
    let guards: Vec<&Rule> = guards.filter(|rule| guard(&rule.id).is_some()).collect();
    assert_eq!(guards.len(), 4);
    for rule in guards {
        let limits: Vec<(Grade, Bound)> = rule
            .limits
            .iter()
            .map(|(grade, limit)| (*grade, limit.bound))
            .collect();
        if guard(&rule.id) == Some(Guard::Fixed) {
            assert_eq!(limits, [(Grade::Error, Bound::Any)], "{}", rule.id);
        }
        assert!(
            rule.applies.wanted.is_empty(),
            "{} applies somewhere only",
            rule.id
        );
        assert!(rule.follows.is_empty(), "{} can be held back", rule.id);
        assert_eq!(
            (rule.status, rule.decision),
            (Status::Settled, Decision::Simple)
        );
        assert!(rule.interval.is_none());
    }
}

#[test]
fn every_rule_has_limits_and_sources() {
    for rule in rules() {
        assert!(!rule.limits.is_empty(), "{}", rule.id);
        assert!(!rule.sources.is_empty(), "{}", rule.id);
        let mut worst_first = rule.limits.keys();
        let mut last = worst_first.next();
        for grade in worst_first {
            assert!(last < Some(grade));
            last = Some(grade);
        }
        let weakens = rule.limits.contains_key(&Grade::Weakens);
        assert!(
            !weakens || rule.limits.len() == 1,
            "{} weakens and more",
            rule.id
        );
    }
}

#[test]
fn every_figure_is_judged_or_there_to_be_read() {
    let judged: BTreeSet<usize> = rules().iter().map(|rule| rule.figure).collect();
    for (at, figure) in FIGURES.iter().enumerate() {
        assert_ne!(
            judged.contains(&at),
            figure.is_informational(),
            "{}: judged by a rule, or informational, not both and not neither",
            figure.id,
        );
        assert!(
            !figure.title.is_empty() && !figure.formula.is_empty() && !figure.source.is_empty()
        );
    }
}

#[test]
fn since_is_no_later_than_this_version() {
    let parts =
        |version: &str| -> Vec<u32> { version.split('.').map(|n| n.parse().unwrap()).collect() };
    for rule in rules() {
        assert!(
            parts(&rule.since) <= parts(env!("CARGO_PKG_VERSION")),
            "{}",
            rule.id
        );
    }
}

#[test]
fn every_rule_has_its_cases() {
    let no_edge: BTreeMap<&str, &str> = NO_EDGE.iter().copied().collect();
    for rule in rules() {
        let has = |case: &str| {
            let file = fixture::folder()
                .join(&rule.id)
                .join(format!("{case}.yaml"));
            file.is_file()
        };
        assert!(
            has("fails") && has("passes"),
            "{} has no fails or no passes",
            rule.id
        );
        assert!(
            has("edge") || no_edge.contains_key(rule.id.as_str()),
            "{} has no edge and no reason",
            rule.id,
        );
        assert!(
            !(has("edge") && no_edge.contains_key(rule.id.as_str())),
            "{} has an edge and a reason for none",
            rule.id,
        );
        let guarded = rule.decision == Decision::Guarded;
        assert!(!guarded || has("undecided"), "{} has no undecided", rule.id);
        let narrow = !rule.applies.wanted.is_empty();
        assert!(
            !narrow || has("not-applicable"),
            "{} has no not-applicable",
            rule.id
        );
    }
}

/// Every text of every case is told by some fixture, and reads as a finding should.
#[test]
fn every_text_is_told_and_reads_well() {
    let mut told: BTreeMap<String, Vec<(String, Option<String>)>> = BTreeMap::new();
    for case in cases() {
        let report = case.checked();
        for finding in &report.findings {
            told.entry(finding.rule().to_owned()).or_default().push((
                finding.message().to_owned(),
                finding.help_text().map(str::to_owned),
            ));
        }
    }
    for rule in rules()
        .iter()
        .filter(|rule| !rule.limits.contains_key(&Grade::Weakens))
    {
        let findings = &told[&rule.id];
        for (message, help) in findings {
            let message = message.strip_prefix("as found, ").unwrap_or(message);
            // All that was altered is told, up to 700 characters: a count could hide what matters.
            let is_list =
                ["landed-record-altered", "landed-record-amended"].contains(&rule.id.as_str());
            let longest = if is_list { 850 } else { 150 };
            assert!(message.chars().count() <= longest, "{}: {message}", rule.id);
            assert!(!message.ends_with('.'), "{message}");
            assert!(!message.starts_with(char::is_uppercase), "{message}");
            assert!(!message.contains("unknown value"), "{message}");
            if let Some(help) = help {
                let verb = help.split([' ', ',']).next().unwrap();
                assert!(
                    VERBS.contains(&verb) || MORE_VERBS.contains(&verb),
                    "{}: {help}",
                    rule.id,
                );
                assert!(!help.contains("unknown value"), "{help}");
            }
        }
        for (case, text) in rule.message.all() {
            assert!(
                is_told(&text.as_written(), findings.iter().map(|told| &told.0)),
                "{}: the message for {case} is told by no fixture",
                rule.id
            );
        }
        let helps: Vec<&String> = findings.iter().filter_map(|told| told.1.as_ref()).collect();
        for (case, text) in rule.help.all() {
            assert!(
                is_told(&text.as_written(), helps.iter().copied()),
                "{}: the help for {case} is told by no fixture",
                rule.id
            );
        }
    }
}

/// What only weakens a test is told in the test's one note: as its message, a label, or its help.
#[test]
fn every_text_that_weakens_is_told_in_a_note() {
    let mut told: Vec<String> = Vec::new();
    for case in cases() {
        let findings = case.checked().findings;
        for note in findings.iter().filter(|note| note.rule() == WEAK_TEST) {
            told.push(note.message().to_owned());
            told.extend(note.related().iter().map(|label| label.text.clone()));
            told.extend(note.help_text().map(str::to_owned));
        }
    }
    for rule in rules()
        .iter()
        .filter(|rule| rule.limits.contains_key(&Grade::Weakens))
    {
        for (case, text) in rule.message.all().chain(rule.help.all()) {
            let written = text.as_written();
            assert!(
                is_told(&written, told.iter()),
                "{} {case}: {written}",
                rule.id
            );
        }
    }
}

/// Whether some told text has the words between the slots, in their order.
fn is_told<'t>(written: &str, mut told: impl Iterator<Item = &'t String>) -> bool {
    let words: Vec<&str> = written
        .split(['<', '>'])
        .step_by(2)
        .filter(|words| !words.is_empty())
        .collect();
    told.any(|told| {
        let mut rest = told.as_str();
        words.iter().all(|words| match rest.find(words) {
            Some(at) => {
                rest = &rest[at + words.len()..];
                true
            }
            None => false,
        })
    })
}

/// What says what is wanted: the limit, what a limit of 100% or of hours stands for, or the most there can be.
const WANTED: [&str; 4] = ["<limit>", "<label>", "<wear limit>", "<most>"];

/// Messages say what was found and the limit, where there is a number to say.
#[test]
fn messages_say_what_was_found_and_wanted() {
    for rule in rules() {
        let numbers = rule
            .limits
            .values()
            .any(|limit| limit.bound.quantity().is_some());
        for (case, text) in rule.message.all() {
            let written = text.as_written();
            assert!(
                !numbers
                    || WANTED.iter().any(|slot| written.contains(slot))
                    || rule.limits.contains_key(&Grade::Weakens),
                "{} {case}: {written}",
                rule.id
            );
        }
    }
}
