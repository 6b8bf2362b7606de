//! The formats that services read: each parsed back, nothing lost, nothing rendered, the same bytes from anywhere.
//!
//! Validators that are not of this language hold them too: `tests/formats/run.py`.

use crate::fixture::{self, checked, listing, reading};
use crate::harmless::HOSTILE;
use crate::outputs::hostile_report;
use crate::versioned::{PROGRAM, Repository, faulty_visit, ran};
use pulldown_cmark::{Event, Options, Parser, Tag};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;
use std::sync::{Arc, LazyLock};
use swathlint::diagnostic::{Diagnostic, Label, Severity};
use swathlint::render::{Look, REPORT_FORMATS};
use swathlint::report::Report;
use swathlint::source::{FileId, Place, SourceFile, Span};

const TODAY: &str = "2026-06-01";

static DEMO: LazyLock<Report> =
    LazyLock::new(|| checked(&fixture::tree(&fixture::folder().join("saltmere")), TODAY));

fn written(name: &str, report: &Report) -> String {
    let format = REPORT_FORMATS.iter().find(|format| format.name == name);
    let look = Look {
        color: false,
        width: 80,
    };
    (format.unwrap().write)(report, &look).to_string()
}

/// How many findings a format has, and how many more it says there are.
fn counted(name: &str, text: &str) -> (usize, usize) {
    let more = |marks: &str| {
        let at = text.lines().find(|line| line.contains(marks));
        at.map_or(0, |line| number_before(line, marks))
    };
    match name {
        "sarif" => {
            let log: Value = serde_json::from_str(text).unwrap();
            let run = &log["runs"][0];
            let results = run["results"].as_array().unwrap();
            let n = results.iter().filter(|one| one["kind"] == "fail").count();
            let n_open = results.len() - n;
            let more = usize::try_from(run["properties"]["moreResults"].as_u64().unwrap()).unwrap();
            let of_findings = usize::try_from(run["properties"]["findings"].as_u64().unwrap());
            // Findings come first: where any is cut, nothing open is left.
            assert!(more == 0 || n_open == 0 || n == of_findings.unwrap());
            (n, if n_open == 0 { more } else { 0 })
        }
        "annotations" => {
            let commands = text.lines().filter(|line| line.starts_with("::"));
            let (more, own): (Vec<&str>, Vec<&str>) =
                commands.partition(|line| line.contains(" not shown here: "));
            let own = own.iter().filter(|line| line.contains(",line="));
            let more = more.iter().map(|line| number_before(line, " more::"));
            (own.count(), more.sum())
        }
        "markdown" => {
            let rows = text.lines().filter(|line| {
                ["| ◆ ", "| ◈ ", "| ◇ "]
                    .iter()
                    .any(|mark| line.starts_with(mark))
            });
            (rows.count(), more(" more findings not shown here"))
        }
        "junit" => {
            let document = roxmltree::Document::parse(text).unwrap();
            let failures = document
                .descendants()
                .filter(|node| node.has_tag_name("failure"));
            (failures.count(), 0)
        }
        "code-quality" => {
            let issues: Vec<Value> = serde_json::from_str(text).unwrap();
            let findings = issues
                .iter()
                .filter(|issue| issue["check_name"] != "totals" && issue["severity"] != "blocker");
            (findings.count(), 0)
        }
        "jsonl" => {
            let lines = text.lines().map(|line| serde_json::from_str(line).unwrap());
            let findings = lines.filter(|line: &Value| line["kind"] == "finding");
            (findings.count(), 0)
        }
        "plain" => {
            let findings = text.lines().filter(|line| line.ends_with(']'));
            let findings = findings.filter(|line| !line.contains(": not calculated: "));
            (findings.count(), 0)
        }
        other => panic!("say how findings are counted in {other}"),
    }
}

/// The number right before some words.
fn number_before(line: &str, words: &str) -> usize {
    let (before, _) = line.split_once(words).unwrap();
    let digits = before
        .rsplit(|letter: char| !letter.is_ascii_digit())
        .next();
    digits.unwrap().parse().unwrap()
}

#[test]
fn findings_written_and_those_said_to_be_more_are_all_there_are() {
    let many = many_findings(60_000);
    for (what, report) in [("the demo fleet", &*DEMO), ("60,000 findings", &many)] {
        for format in REPORT_FORMATS {
            if format.name == "terminal" {
                // It gathers what is alike; `outputs` counts it.
                continue;
            }
            let text = written(format.name, report);
            let (n, more) = counted(format.name, &text);
            assert_eq!(n + more, report.findings.len(), "{}, {what}", format.name);
            if format.name == "markdown" {
                assert!(text.len() <= 1024 * 1024, "{} bytes", text.len());
            }
        }
    }
    assert_eq!(counted("sarif", &written("sarif", &many)), (25_000, 35_000));
    assert_eq!(counted("annotations", &written("annotations", &many)).0, 27);
    assert!(counted("markdown", &written("markdown", &many)).1 > 0);
}

/// So many findings of every severity on one file.
fn many_findings(n: usize) -> Report {
    let mut report = Report {
        paths: vec!["machines/heron.yaml".to_owned()],
        ..Report::default()
    };
    let source = SourceFile::new("machines/heron.yaml", "record: machine\nid: heron\n");
    report.sources.keep(FileId(0), Arc::new(source));
    let place = Place {
        file: FileId(0),
        span: Span::new(0, 6),
    };
    report.findings = (0..n)
        .map(|at| {
            let severity = Severity::ALL[at % 3];
            Diagnostic::new(
                "rule",
                severity,
                format!("fault {at}"),
                Label::new(place, ""),
            )
            .of_machine(format!("machine-{}", at % 7))
            .into()
        })
        .collect();
    report
}

fn results(report: &Report) -> Vec<Value> {
    let log: Value = serde_json::from_str(&written("sarif", report)).unwrap();
    log["runs"][0]["results"].as_array().unwrap().clone()
}

fn fingerprint(result: &Value) -> String {
    let fingerprint = &result["partialFingerprints"]["primaryLocationLineHash"];
    fingerprint.as_str().unwrap().to_owned()
}

#[test]
fn code_scanning_gets_rules_places_and_notifications() {
    let log: Value = serde_json::from_str(&written("sarif", &DEMO)).unwrap();
    let run = &log["runs"][0];
    let rules = run["tool"]["driver"]["rules"].as_array().unwrap();
    for result in run["results"].as_array().unwrap() {
        let index = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
        assert_eq!(rules[index]["id"], result["ruleId"]);
        let (kind, level) = (&result["kind"], &result["level"]);
        assert_eq!(kind == "open", level == "none", "{result}");
        if kind == "fail" && result["properties"]["verdict"] == "undecided" {
            assert_ne!(result["properties"]["severity"], "error", "{result}");
        }
    }
    for rule in rules {
        for description in ["shortDescription", "fullDescription"] {
            let text = rule[description]["text"].as_str().unwrap();
            assert!((1..=1_024).contains(&text.chars().count()), "{rule}");
        }
        assert_ne!(rule["help"]["markdown"], "", "{rule}");
    }
    let nozzle = rules.iter().find(|rule| rule["id"] == "nozzle-off-mean");
    let help = nozzle.unwrap()["help"]["markdown"].as_str().unwrap();
    for part in [
        "## What to do",
        "## Why",
        "## Limits",
        "## Sources",
        "at most 10%",
    ] {
        assert!(help.contains(part), "{part}: {help}");
    }
    let invocation = &run["invocations"][0];
    assert_eq!(invocation["executionSuccessful"], true);
    let told = |id: &str| {
        let notifications = invocation["toolExecutionNotifications"].as_array().unwrap();
        let own = notifications
            .iter()
            .filter(|one| one["descriptor"]["id"] == id);
        own.count()
    };
    assert_eq!(told("waived"), DEMO.waived.len());
    assert_eq!(told("not-calculated"), DEMO.not_computed.len());
    assert_eq!(told("held-back"), DEMO.counts.held);
    assert!(told("weakens") > 0 && told("totals") > 1);

    let mut broken = hostile_report("x");
    broken.folder = "golf course/".to_owned();
    let log: Value = serde_json::from_str(&written("sarif", &broken)).unwrap();
    let invocation = &log["runs"][0]["invocations"][0];
    assert_eq!(invocation["executionSuccessful"], false);
    let not_read = invocation["toolExecutionNotifications"].as_array().unwrap();
    let not_read = not_read
        .iter()
        .find(|one| one["descriptor"]["id"] == "not-read");
    let not_read = not_read.unwrap();
    assert_eq!(not_read["level"], "error");
    let uri = &not_read["locations"][0]["physicalLocation"]["artifactLocation"]["uri"];
    assert_eq!(uri, "golf%20course/x");
}

/// A fingerprint stays with its finding where lines move and other readings are edited, and is nobody else's.
#[test]
fn fingerprints_are_unique_and_stay() {
    let files = fixture::tree(&fixture::folder().join("saltmere"));
    let before = results(&DEMO);
    let unique: BTreeSet<String> = before.iter().map(fingerprint).collect();
    assert_eq!(unique.len(), before.len());

    let mut edited = files.clone();
    let path = "calibrations/dunlin/2025-09-16.yaml";
    let text = edited.get_mut(path).unwrap();
    // The nozzle's own reading, its neighbor's, and lines before them.
    *text = text.replace("right: [30.0, 36.0,", "right: [29.5, 36.5,");
    *text = text.replacen(
        "machine: dunlin\n",
        "# caught again\n\nmachine: dunlin\n",
        1,
    );
    assert_ne!(*text, files[path]);
    let after = results(&checked(&edited, TODAY));
    let of_nozzle = |results: &[Value]| {
        let own = results.iter().find(|result| {
            let text = result["message"]["text"].as_str().unwrap();
            result["kind"] == "fail"
                && text.contains("nozzle 9 of 13")
                && result["properties"]["machine"] == "dunlin"
        });
        let own = own.unwrap();
        let line = &own["locations"][0]["physicalLocation"]["region"]["startLine"];
        (
            fingerprint(own),
            line.as_u64().unwrap(),
            own["message"]["text"].to_string(),
        )
    };
    let (old, old_line, old_message) = of_nozzle(&before);
    let (new, new_line, new_message) = of_nozzle(&after);
    assert_eq!((new, new_line), (old, old_line + 2));
    assert_ne!(new_message, old_message, "the value is another one");

    // Of two machines alike in all but the name, each has its own.
    let issues: Vec<Value> = serde_json::from_str(&written("code-quality", &DEMO)).unwrap();
    let unique: BTreeSet<&str> = issues
        .iter()
        .map(|one| one["fingerprint"].as_str().unwrap())
        .collect();
    assert_eq!(unique.len(), issues.len());
    let many: Vec<Value> =
        serde_json::from_str(&written("code-quality", &many_findings(50))).unwrap();
    let unique: BTreeSet<&str> = many
        .iter()
        .map(|one| one["fingerprint"].as_str().unwrap())
        .collect();
    assert_eq!(unique.len(), many.len());
}

#[test]
fn a_clean_record_is_a_passing_case_and_no_name_is_there_twice() {
    assert_eq!(DEMO.records.len(), DEMO.counts.records);
    let text = written("junit", &DEMO);
    let document = roxmltree::Document::parse(&text).unwrap();
    let cases: Vec<_> = document
        .descendants()
        .filter(|node| node.has_tag_name("testcase"))
        .collect();
    let names: BTreeSet<_> = cases
        .iter()
        .map(|case| (case.attribute("classname"), case.attribute("name")))
        .collect();
    assert_eq!(names.len(), cases.len());
    let passing: BTreeSet<_> = cases
        .iter()
        .filter(|case| !case.has_children())
        .map(|case| case.attribute("classname").unwrap())
        .collect();
    let found: BTreeSet<FileId> = DEMO
        .findings
        .iter()
        .map(|finding| finding.primary().place.file)
        .collect();
    let clean = DEMO.records.iter().filter(|file| !found.contains(file));
    let clean: BTreeSet<&str> = clean.map(|file| DEMO.path(*file)).collect();
    assert!(clean.len() > 150);
    assert_eq!(passing, clean);
    let suite = document
        .descendants()
        .find(|node| node.has_tag_name("testsuite"));
    let suite = suite.unwrap();
    for (attribute, tag) in [
        ("failures", "failure"),
        ("skipped", "skipped"),
        ("errors", "error"),
    ] {
        let n = document
            .descendants()
            .filter(|node| node.has_tag_name(tag))
            .count();
        assert_eq!(suite.attribute(attribute), Some(&*n.to_string()));
    }
    assert_eq!(suite.attribute("tests"), Some(&*cases.len().to_string()));
}

#[test]
fn annotations_keep_to_the_limits_worst_first() {
    for report in [&*DEMO, &many_findings(100)] {
        let text = written("annotations", report);
        let mut words = Vec::new();
        for line in text.lines().filter(|line| line.starts_with("::")) {
            let (command, message) = line[2..].split_once("::").unwrap();
            assert!(message.chars().count() <= 4_096);
            let (word, properties) = command.split_once(' ').unwrap();
            words.push(word);
            let named: BTreeMap<&str, &str> = properties
                .split(',')
                .map(|one| one.split_once('=').unwrap())
                .collect();
            // Columns only where the range is on one line.
            assert!(named.get("line") == named.get("endLine") || !named.contains_key("col"));
        }
        let mut sorted = words.clone();
        sorted.sort_by_key(|word| {
            ["error", "warning", "notice"]
                .iter()
                .position(|one| one == word)
        });
        assert_eq!(words, sorted);
        for word in ["error", "warning", "notice"] {
            assert!(words.iter().filter(|one| **one == word).count() <= 10);
        }
    }
}

/// What first meets the eye: who may not spray and why, how much was found, and what a check is not.
#[test]
fn a_superintendent_reads_first_what_may_not_spray() {
    let text = written("markdown", &DEMO);
    let (top, _) = text.split_once("\n### ").unwrap();
    for told in [
        "16 errors (and 3 not shown), 30 warnings, 23 notes in 58 of 242 records",
        "**Not ready to spray: 5 machines**",
        "- `avocet`: meter test failing: the flow meter reads 6.7% high",
        "**Not known whether ready to spray: 1 machine**",
        "neither an inspection nor permission to spray",
        "The label limits are the numbers that were typed in",
    ] {
        assert!(top.contains(told), "{told}\n{top}");
    }
    let list = swathlint::due(
        &listing(&fixture::tree(&fixture::folder().join("saltmere"))),
        &reading(&fixture::tree(&fixture::folder().join("saltmere"))),
        &fixture::settings(TODAY),
        swathlint::quantity::calendar::Period::Days(0),
    );
    let due: BTreeSet<&str> = list
        .steps
        .iter()
        .filter(|step| step.state.forbids_spraying())
        .map(|step| &*step.machine)
        .collect();
    let told: BTreeSet<&str> = DEMO
        .not_ready
        .iter()
        .filter(|one| one.steps.iter().any(|step| step.state.forbids_spraying()))
        .map(|one| &*one.machine)
        .collect();
    assert_eq!(told, due, "as `due` has it");
}

/// Nothing of a record's text renders: what there is of markup is ours, and what a service could link stands in code.
#[test]
fn no_text_of_a_record_renders() {
    let others = [
        "<b>|`'\"\\ & ${x} %0A ]]> -->",
        "@team #12 GH-3 owner/name#4 a@b.invalid :smile: $x$ !5 ~bug 0123abcd",
        "see http://x.invalid, www.x.invalid and mailto:a@b.invalid|#7|`@z`",
        "**bold** __bold__ ~~gone~~ ![x](y) [x]: y <!-- &lt; &amp;#64;",
    ];
    for hostile in HOSTILE.into_iter().chain(others) {
        let text = written("markdown", &hostile_report(hostile));
        let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
        for event in Parser::new_ext(&text, options) {
            assert!(
                !matches!(
                    event,
                    Event::Html(_)
                        | Event::InlineHtml(_)
                        | Event::Start(
                            Tag::Link { .. }
                                | Tag::Image { .. }
                                | Tag::Strikethrough
                                | Tag::CodeBlock(_)
                                | Tag::BlockQuote(_)
                        )
                ),
                "{hostile:?}: {event:?}\n{text}"
            );
            if let Event::Text(plain) = event {
                let is_number = |behind: &str| behind.starts_with(char::is_numeric);
                let is_linked = plain.contains('@')
                    || plain.contains("://")
                    || plain.contains("www.")
                    || plain.split('#').skip(1).any(is_number);
                assert!(!is_linked, "{hostile:?}: {plain}\n{text}");
            }
        }
        // Each row has its four cells, whatever the text.
        let rows = text.lines().filter(|line| line.starts_with("| ◆"));
        for row in rows {
            assert_eq!(row.matches('|').count(), 5, "{row}");
        }
    }
}

#[test]
fn hostile_text_breaks_no_format() {
    for hostile in HOSTILE
        .into_iter()
        .chain(["]]>&<\"'", &"x".repeat(10_000), "\u{fffe}\u{ffff}"])
    {
        let report = hostile_report(hostile);
        for name in ["sarif", "annotations", "markdown", "junit", "code-quality"] {
            let (n, more) = counted(name, &written(name, &report));
            assert_eq!(n + more, report.findings.len(), "{name} {hostile:?}");
        }
    }
}

/// From wherever it is run, a file is named from the top of the repository, and the bytes are the same.
#[test]
fn the_folder_and_the_threads_change_nothing() {
    let repository = Repository::with_records_in("golf course/records");
    faulty_visit(&repository, "calibrations/heron/2026-03-19.yaml");
    let top = repository.records.ancestors().nth(2).unwrap();
    let formats = ["sarif", "annotations", "markdown", "junit", "code-quality"];
    for format in formats {
        let from = |folder: &Path, path: &str, threads: &str, language: &str| {
            let mut program = Command::new(PROGRAM);
            program.args(["check", "--today", TODAY, "--format", format]);
            program.args(["--threads", threads, path]);
            ran(program.current_dir(folder).env("LC_ALL", language)).printed
        };
        let whole = from(top, "golf course/records", "1", "C");
        let named = match format {
            "sarif" => "\"golf%20course/records/calibrations/heron/2026-03-19.yaml\"",
            _ => "golf course/records/calibrations/heron/2026-03-19.yaml",
        };
        assert!(whole.contains(named), "{format}: {whole}");
        for (folder, path, threads, language) in [
            (top, "golf course/records", "2", "de_DE.UTF-8"),
            (&repository.records, ".", "2", "tr_TR.UTF-8"),
            (&repository.records.join("machines"), "..", "1", "C"),
        ] {
            assert_eq!(
                from(folder, path, threads, language),
                whole,
                "{format} {path}"
            );
        }
    }
}
