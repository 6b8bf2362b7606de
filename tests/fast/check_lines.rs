//! The JSON lines of `check`: each has the shape of its schema, the counts reconcile, and nothing that is no finding hides.

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads a page and one variable that says whether to write it"
)]

use crate::cases::cases;
use crate::fixture::{self, Files, listing, reading};
use crate::harmless::{HOSTILE, assert_harmless};
use rayon::prelude::*;
use serde_json::{Map, Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::LazyLock;
use swathlint::quantity::calendar::Period;
use swathlint::render::{FIGURE_FORMATS, Look, due_jsonl, figure_text, jsonl};
use swathlint::schema;
use swathlint::{Report, Settings, check};

const TODAY: &str = "2026-06-01";

/// The kinds of lines, in the order a report has them.
const KINDS: [&str; 8] = [
    "finding",
    "held-back",
    "waived",
    "undecided",
    "weakens",
    "not-calculated",
    "not-read",
    "summary",
];

static SCHEMA: LazyLock<Value> =
    LazyLock::new(|| serde_json::from_str(schema::named(schema::CHECK_LINES).unwrap()).unwrap());

static VALIDATOR: LazyLock<jsonschema::Validator> =
    LazyLock::new(|| jsonschema::options().offline().build(&SCHEMA).unwrap());

fn settings(today: &str) -> Settings {
    fixture::settings(today)
}

fn demo_fleet() -> Files {
    fixture::tree(&fixture::folder().join("saltmere"))
}

fn checked(files: &Files) -> Report {
    check(&listing(files), &reading(files), &settings(TODAY))
}

/// The lines of a report, each of which has the shape of its schema, after what holds for all reports is held.
fn lines(name: &str, report: &Report) -> Vec<Value> {
    let text = jsonl(report);
    assert_harmless(name, &text, "\n");
    let lines: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    for line in &lines {
        let kind = line["kind"].as_str().unwrap();
        assert!(KINDS.contains(&kind), "{name}: {kind}");
        if !VALIDATOR.is_valid(line) {
            // The branch of the kind tells more of a fault than the choice of all.
            let branch = json!({"$ref": format!("#/$defs/{kind}"), "$defs": SCHEMA["$defs"]});
            let validator = jsonschema::options().offline().build(&branch).unwrap();
            let errors = validator.iter_errors(line).map(|error| error.to_string());
            panic!(
                "{name}: {}\n{line:#}",
                errors.collect::<Vec<_>>().join("\n")
            );
        }
    }
    assert_reconciles(name, &lines);
    lines
}

fn of_kind<'l>(lines: &'l [Value], kind: &str) -> impl Iterator<Item = &'l Value> {
    lines.iter().filter(move |line| line["kind"] == kind)
}

fn text_of<'l>(line: &'l Value, field: &str) -> &'l str {
    line[field].as_str().unwrap()
}

/// Every count of the summary is the number of its lines, and every line that names a finding names one that is there.
fn assert_reconciles(name: &str, lines: &[Value]) {
    let count = |kind: &str| of_kind(lines, kind).count();
    let (summary, before) = lines.split_last().unwrap();
    assert_eq!(summary["kind"], "summary", "{name}");
    assert_eq!(count("summary"), 1, "{name}");
    let n_findings = count("finding");
    let first = before.iter().take(n_findings);
    assert!(
        first.clone().all(|line| line["kind"] == "finding"),
        "{name}"
    );
    for (severity, counted) in [
        ("error", "errors"),
        ("warning", "warnings"),
        ("note", "notes"),
    ] {
        let own = first.clone().filter(|line| line["severity"] == severity);
        assert_eq!(summary[counted], own.count(), "{name}: {severity}");
    }
    assert_eq!(summary["waived"], count("waived"), "{name}");
    assert_eq!(summary["held"], count("held-back"), "{name}");
    let told: Vec<&Value> = ["finding", "waived"]
        .into_iter()
        .flat_map(|kind| of_kind(lines, kind))
        .collect();
    let held: u64 = told.iter().map(|line| line["held"].as_u64().unwrap()).sum();
    assert_eq!(summary["held"], held, "{name}");
    assert_grades_reconcile(name, lines, summary);

    // Several findings of one rule may stand at one place.
    let is_same = |one: &Value, other: &Value| {
        ["rule", "path", "start-byte", "end-byte"]
            .iter()
            .all(|field| one[field] == other[field])
    };
    let under = |finding: &Value, kind: &str| {
        let all = of_kind(lines, kind);
        all.filter(|line| is_same(&line["finding"], finding))
            .count() as u64
    };
    for finding in &told {
        let alike = told.iter().filter(|other| is_same(other, finding));
        let held: u64 = alike.map(|line| line["held"].as_u64().unwrap()).sum();
        assert_eq!(under(finding, "held-back"), held, "{name}: {finding:#}");
        if finding["rule"] == "weak-test" {
            let points = under(finding, "undecided") + under(finding, "weakens");
            assert!(points > 0, "{name}: {finding:#}");
        }
    }
    for line in before {
        if let Some(finding) = line.get("finding").filter(|finding| !finding.is_null()) {
            assert!(
                told.iter().any(|one| is_same(one, finding)),
                "{name}: {line:#}"
            );
        }
    }

    let by_rule = |lines: &mut dyn Iterator<Item = &Value>| {
        let mut counts: BTreeMap<String, u64> = BTreeMap::new();
        for line in lines {
            *counts.entry(text_of(line, "rule").to_owned()).or_default() += 1;
        }
        counts
    };
    let counted: BTreeMap<String, u64> =
        serde_json::from_value(summary["unavailable"].clone()).unwrap();
    let listed = by_rule(&mut of_kind(lines, "not-calculated"));
    assert_eq!(listed, counted, "{name}");
    if summary.get("compared").is_none() {
        let mut undecided = before
            .iter()
            .filter(|line| line["judged"]["verdict"] == "undecided");
        let counted: BTreeMap<String, u64> =
            serde_json::from_value(summary["undecided"].clone()).unwrap();
        assert_eq!(by_rule(&mut undecided), counted, "{name}");
    }

    let failures: BTreeSet<&str> = summary["failures"]
        .as_array()
        .unwrap()
        .iter()
        .map(|failure| text_of(failure, "path"))
        .collect();
    let not_read: BTreeSet<&str> = of_kind(lines, "not-read")
        .map(|line| text_of(line, "path"))
        .collect();
    assert!(failures.is_subset(&not_read), "{name}");
    let unreadable = not_read.difference(&failures).count();
    if failures.is_empty() {
        assert_eq!(summary["unreadable"], unreadable, "{name}");
    }
}

/// What a finding weighs at most is its own grade or one of those it holds, which stand on its lines of kind held-back.
fn assert_grades_reconcile(name: &str, lines: &[Value], summary: &Value) {
    let order = ["note", "warning", "error"];
    let weight = |grade: &Value| order.iter().position(|one| grade == one);
    let mut heaviest = None;
    for finding in of_kind(lines, "finding") {
        let severities = finding["held-severities"].as_array().unwrap();
        assert_eq!(severities.len() as u64, finding["held"], "{name}");
        let held = severities.iter().map(weight).max().flatten();
        let of_finding = held.max(weight(&finding["severity"]));
        assert_eq!(
            of_finding,
            weight(&finding["heaviest"]),
            "{name}: {finding:#}"
        );
        heaviest = heaviest.max(of_finding);
    }
    assert_eq!(heaviest, weight(&summary["heaviest"]), "{name}");
    for (grade, counted) in [
        ("error", "held-errors"),
        ("warning", "held-warnings"),
        ("note", "held-notes"),
    ] {
        let held = of_kind(lines, "held-back").filter(|line| line["severity"] == grade);
        assert_eq!(summary[counted], held.count(), "{name}: {grade}");
    }
}

/// The demo fleet, every folder of records and every case of a rule; every kind of line is seen.
#[test]
fn every_line_of_the_fixtures_has_the_shape_of_its_schema_and_the_counts_reconcile() {
    let mut kinds: BTreeSet<String> = ["saltmere", "records", "base"]
        .into_iter()
        .flat_map(|folder| {
            let files = fixture::tree(&fixture::folder().join(folder));
            kinds_of(&lines(folder, &checked(&files)))
        })
        .collect();
    let of_cases: Vec<BTreeSet<String>> = cases()
        .into_par_iter()
        .map(|case| {
            let report = case.checked_with(&settings(&case.today));
            kinds_of(&lines(&case.name, &report))
        })
        .collect();
    assert!(of_cases.len() > 300, "only {} were seen", of_cases.len());
    kinds.extend(of_cases.into_iter().flatten());
    assert_eq!(kinds, KINDS.map(str::to_owned).into());
}

fn kinds_of(lines: &[Value]) -> BTreeSet<String> {
    let kinds = lines.iter().map(|line| text_of(line, "kind").to_owned());
    kinds.collect()
}

/// A text as YAML and JSON both read it, without any character in it that a text must not hold.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        if (letter.is_ascii_graphic() || letter == ' ') && !['"', '\\'].contains(&letter) {
            quoted.push(letter);
        } else {
            write!(quoted, "\\U{:08x}", u32::from(letter)).unwrap();
        }
    }
    quoted.push('"');
    quoted
}

/// The demo fleet with a text in the place of a setup, a section, a jug, a course, a reason of a limit and of a waiver.
fn with_everywhere(text: &str) -> Files {
    let quoted = quoted(text);
    let mut files = demo_fleet();
    for text in files.values_mut() {
        for (before, word, behind) in [
            ("setup: ", "fairways", "\n"),
            ("  ", "fairways", ":"),
            ("name: ", "right", ","),
            ("  ", "right", ":"),
            ("{", "right", ":"),
            ("[", "right", "]"),
            ("jug: ", "jug-2", "\n"),
            ("  ", "jug-2", ":"),
            ("because: ", "fine turf", "}"),
            ("because: ", "group decision of 2026-01-10", "\n"),
            ("reason: ", "new tips on order", ","),
        ] {
            let to = format!("{before}{quoted}{behind}");
            *text = text.replace(&format!("{before}{word}{behind}"), &to);
        }
    }
    files
}

/// Whatever a record holds, every line keeps its shape, drives no log, and gives the text back as it was.
#[test]
fn hostile_records_give_lines_of_the_same_shape() {
    HOSTILE.par_iter().for_each(|hostile| {
        let lines = lines(hostile, &checked(&with_everywhere(hostile)));
        let has = |kind: &str, pointer: &str| {
            of_kind(&lines, kind).any(|line| {
                let value = line.pointer(pointer).and_then(Value::as_str);
                value == Some(hostile)
            })
        };
        assert!(has("finding", "/judged/setup"), "{hostile:?}");
        assert!(has("held-back", "/judged/part/section"), "{hostile:?}");
        assert!(has("waived", "/judged/limit/set-at/because"), "{hostile:?}");
        assert!(has("waived", "/waiver/because"), "{hostile:?}");
        assert!(has("not-calculated", "/setup"), "{hostile:?}");
    });
}

/// Long texts are repeated in part: a line does not grow with what somebody wrote.
#[test]
fn long_texts_are_shortened() {
    let lines = lines(
        "a long text",
        &checked(&with_everywhere(&"x".repeat(100_000))),
    );
    for line in lines {
        let length = line.to_string().len();
        assert!(length < 40_000, "{length} bytes");
    }
}

/// A waived finding is a whole finding, with its waiver.
#[test]
fn what_is_waived_is_an_item() {
    let lines = lines("saltmere", &checked(&demo_fleet()));
    let waived: Vec<&Value> = of_kind(&lines, "waived").collect();
    let [of_2025, waived] = waived[..] else {
        panic!("{waived:#?}");
    };
    // Held back by a nozzle off the boom average, and waived all the same.
    assert_eq!(of_2025["path"], "calibrations/dunlin/2025-09-16.yaml");
    assert_eq!(waived["rule"], "nozzle-off-rated");
    assert_eq!(waived["machine"], "dunlin");
    assert_eq!(waived["path"], "calibrations/dunlin/2026-04-14.yaml");
    assert_eq!(waived["judged"]["part"]["number"], 10);
    let waiver = &waived["waiver"];
    assert_eq!(
        (&waiver["path"], &waiver["line"]),
        (&"waivers.yaml".into(), &3.into())
    );
    assert_eq!(waiver["until"], "2026-06-30");
    assert_eq!(waiver["because"], "new tips on order");
    // The limit is the group's own.
    let limit = &waived["judged"]["limit"];
    assert_eq!(limit["comparison"], "at most");
    assert_eq!(
        (&limit["value"], &limit["unit"]),
        (&5.0.into(), &"%".into())
    );
    assert_eq!(limit["set-by"], "group");
    assert_eq!(limit["set-at"]["path"], "fleet.yaml");
    assert_eq!(limit["set-at"]["scope"], "course copperbeck");
    assert_eq!(limit["set-at"]["because"], "fine turf");
}

/// A figure without its readings is told with the reason and its place.
#[test]
fn what_is_not_calculated_is_an_item() {
    let lines = lines("saltmere", &checked(&demo_fleet()));
    // The pressure of this catch has no unit, so it is not read.
    let path = "calibrations/dunlin/2025-04-10.yaml";
    let missing: Vec<&Value> = of_kind(&lines, "not-calculated")
        .filter(|line| line["path"] == path && line["rule"] == "mean-off-rated")
        .collect();
    let [missing] = missing[..] else {
        panic!("{missing:#?}");
    };
    assert_eq!(missing["figure"], "mean-off-rated");
    assert!(
        text_of(missing, "reason").contains("pressure"),
        "{missing:#}"
    );
    assert_eq!(missing["date"], "2025-04-10");
    assert_eq!(missing["step"], "catch test");
    assert!(missing["line"].as_u64() > Some(1), "{missing:#}");
}

/// The numbers of every item are those of the table of figures.
#[test]
fn numbers_are_those_of_the_figures() {
    let files = demo_fleet();
    let table = swathlint::figures(&listing(&files), &reading(&files), &settings(TODAY));
    let lines = lines("saltmere", &checked(&files));
    let mut seen = 0;
    for line in &lines {
        let judged = &line["judged"];
        if !judged.is_object() {
            continue;
        }
        let date = judged["date"].as_str();
        let row = table.rows.iter().find(|row| {
            row.figure == judged["figure"]
                && row.machine == line["machine"]
                && row.date.map(|date| date.to_string()).as_deref() == date
                && row.setup.as_deref() == judged["setup"].as_str()
                && row.stage == judged["stage"].as_str()
                && row.place.path == line["path"]
                && row.value.as_ref().ok() == judged["value"].as_f64().as_ref()
        });
        let row = row.unwrap_or_else(|| panic!("no figure is this: {line:#}"));
        assert_eq!(judged["unit"], row.unit, "{line:#}");
        let expanded = judged["expanded-uncertainty"].as_f64().unwrap();
        assert!(
            (row.expanded.unwrap_or_default() - expanded).abs() < 1e-9,
            "{line:#}"
        );
        seen += 1;
    }
    assert!(seen > 80, "only {seen} were seen");
}

/// A file that cannot be read and a record of no sense each have a line that says why.
#[test]
fn what_is_not_read_is_an_item() {
    let mut files = demo_fleet();
    let (lost, broken) = (
        "calibrations/heron/2026-03-09.yaml",
        "calibrations/dunlin/2026-04-14.yaml",
    );
    assert!(files.contains_key(lost));
    files.insert(
        broken.to_owned(),
        "record: calibration\nby: [rm\n".to_owned(),
    );
    let read = |path: &str| match path {
        path if path == lost => Err("permission denied".to_owned()),
        path => reading(&files)(path),
    };
    let report = check(&listing(&files), &read, &settings(TODAY));
    let lines = lines("not read", &report);
    let of = |path: &str| {
        let mut own = of_kind(&lines, "not-read").filter(|line| line["path"] == path);
        let only = own.next().unwrap();
        assert!(own.next().is_none(), "{path} stands there twice");
        only
    };
    assert_eq!(of(lost)["reason"], "permission denied");
    assert!(of(lost)["finding"].is_null());
    let told = of_kind(&lines, "finding").find(|line| line["path"] == broken);
    assert_eq!(of(broken)["reason"], told.unwrap()["message"]);
    assert_eq!(of(broken)["finding"]["rule"], told.unwrap()["rule"]);
}

/// Of what was asked for, everything is told: counts and items alike.
#[test]
fn the_counts_are_those_of_what_was_asked_for() {
    let files = demo_fleet();
    let of = |selected: &[&str]| {
        let settings = Settings {
            selected: selected.iter().copied().map(str::to_owned).collect(),
            ..settings(TODAY)
        };
        check(&listing(&files), &reading(&files), &settings)
    };
    let of_heron = jsonl(&of(&["calibrations/heron"]));
    let lines: Vec<Value> = of_heron
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let (summary, _) = lines.split_last().unwrap();
    assert_eq!(summary["held"], of_kind(&lines, "held-back").count());
    assert_eq!(summary["waived"], 0);
    assert_eq!(of_kind(&lines, "waived").count(), 0);
    assert!(of_kind(&lines, "finding").count() > 0);
    for line in of_kind(&lines, "not-calculated") {
        assert!(text_of(line, "path").starts_with("calibrations/heron/"));
    }
}

/// What cannot be calculated is listed by the program where its output, or a file beside it, is of this format.
#[test]
fn the_program_lists_what_is_not_calculated() {
    let folder = tempfile::tempdir().unwrap();
    let beside = folder.path().join("lines.jsonl");
    let run = |arguments: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_swathlint"))
            .args(["check", "fixtures/saltmere", "--today", TODAY])
            .args(arguments)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(1));
        String::from_utf8(output.stdout).unwrap()
    };
    let own = run(&["--format", "jsonl"]);
    run(&["--also-write", &format!("jsonl={}", beside.display())]);
    assert_eq!(own, *jsonl(&checked(&demo_fleet())));
    assert_eq!(fs::read_to_string(beside).unwrap(), own);
}

#[test]
fn the_schema_is_of_draft_2020_12_and_describes_every_field() {
    jsonschema::draft202012::meta::validate(&SCHEMA).unwrap();
    let definitions = SCHEMA["$defs"].as_object().unwrap();
    let branches = SCHEMA["oneOf"].as_array().unwrap().iter();
    let kinds = branches.map(|branch| text_of(branch, "$ref").trim_start_matches("#/$defs/"));
    assert_eq!(kinds.collect::<Vec<_>>(), KINDS);
    for (name, definition) in definitions {
        let fields = definition["properties"].as_object();
        for part in fields.into_iter().flat_map(Map::values).chain([definition]) {
            let said = part["description"].as_str().unwrap_or_default();
            assert!(said.ends_with('.'), "{name}: {part}");
        }
    }
}

/// The tables of the page, from the schema: a section a kind of line, then the parts they share.
pub(crate) fn tables() -> String {
    let definitions = SCHEMA["$defs"].as_object().unwrap();
    let is_fact = |name: &str| name.starts_with("fact-");
    // The page says what these two are, which every line has.
    let is_own = |field: &String| field != "kind" && field != "schema-version";
    let mut page = String::new();
    for (name, definition) in definitions {
        if is_fact(name) {
            continue;
        }
        let title = if KINDS.contains(&name.as_str()) {
            format!("`\"kind\": \"{name}\"`")
        } else {
            capital(text_of(definition, "title"))
        };
        write!(
            page,
            "\n### {title}\n\n{}",
            text_of(definition, "description")
        )
        .unwrap();
        for part in definition["allOf"].as_array().into_iter().flatten() {
            write!(page, " It has the fields of {} too.", called(part)).unwrap();
        }
        page.push('\n');
        let fields = definition["properties"].as_object();
        if let Some(fields) = fields.filter(|fields| fields.keys().any(is_own)) {
            page.push_str("\n| field | what it is | value |\n|---|---|---|\n");
            for (field, value) in fields.iter().filter(|(field, _)| is_own(field)) {
                let said = text_of(value, "description");
                writeln!(page, "| `{field}` | {said} | {} |", kind_of_value(value)).unwrap();
            }
        }
    }
    page.push_str("\n### The types of a fact\n\n| `type` | what it is | fields beside `text` |\n|---|---|---|\n");
    for (name, definition) in definitions.iter().filter(|(name, _)| is_fact(name)) {
        let fields = definition["properties"].as_object().unwrap().keys();
        let own = fields.filter(|field| !["type", "text"].contains(&field.as_str()));
        let own: Vec<String> = own.map(|field| format!("`{field}`")).collect();
        let (name, said) = (&name[5..], text_of(definition, "description"));
        writeln!(page, "| `{name}` | {said} | {} |", own.join(", ")).unwrap();
    }
    page
}

fn capital(text: &str) -> String {
    let (first, rest) = text.split_at(1);
    format!("{}{rest}", first.to_uppercase())
}

/// What a reference leads to, in words.
fn called(reference: &Value) -> &str {
    let pointer = text_of(reference, "$ref").trim_start_matches('#');
    text_of(SCHEMA.pointer(pointer).unwrap(), "title")
}

/// What may stand as a value, in words.
fn kind_of_value(value: &Value) -> String {
    let word = |word: &Value| match word.as_str() {
        Some(word) => format!("`{word}`"),
        None => word.to_string(),
    };
    if value.get("$ref").is_some() {
        return called(value).to_owned();
    }
    if let Some(constant) = value.get("const") {
        return word(constant);
    }
    if let Some(words) = value["enum"].as_array() {
        let words: Vec<String> = words.iter().map(word).collect();
        return words.join(", ").replace("``", "empty");
    }
    if let Some(branches) = value["anyOf"].as_array() {
        let branches: Vec<String> = branches.iter().map(kind_of_value).collect();
        return branches.join(" or ");
    }
    let in_words = |name: &str| match name {
        "string" => "text".to_owned(),
        "integer" => "whole number".to_owned(),
        "boolean" => "`true` or `false`".to_owned(),
        "array" => format!("list of {}", kind_of_value(&value["items"])),
        "object" => format!("by name: {}", kind_of_value(&value["additionalProperties"])),
        other => other.to_owned(),
    };
    let types = &value["type"];
    let names = types
        .as_array()
        .map_or(std::slice::from_ref(types), Vec::as_slice);
    let names = names.iter().map(|name| in_words(name.as_str().unwrap()));
    names.collect::<Vec<_>>().join(" or ")
}

/// The page of JSON lines, whose tables of `check` are made from the schema, names every field of the other commands.
#[test]
fn the_page_of_json_lines_is_so() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/json-lines.md");
    let page = fs::read_to_string(&path).unwrap();
    let (_, behind) = page.split_once("## The lines of due").unwrap();

    let files = demo_fleet();
    let (listing, read) = (listing(&files), reading(&files));
    let due = swathlint::due(&listing, &read, &settings(TODAY), Period::Days(14));
    let table = swathlint::figures(&listing, &read, &settings(TODAY));
    let (due_section, figures_section) = behind.split_once("## The lines of figures").unwrap();
    let look = Look {
        color: false,
        width: 80,
    };
    let mut formats = FIGURE_FORMATS.iter();
    let format = formats.find(|format| format.name == "jsonl").unwrap();
    let mut writer = (format.writer)(look);
    for (section, text) in [
        (due_section, due_jsonl(&due)),
        (figures_section, figure_text(&table, &mut *writer)),
    ] {
        for line in text.lines() {
            let line: Map<String, Value> = serde_json::from_str(line).unwrap();
            for field in line.keys().filter(|field| *field != "kind") {
                assert!(section.contains(&format!("`{field}`")), "no {field}");
            }
        }
    }
}
