//! Faults of a record's shape: each on the line that is marked with it, one finding a cause, in our own words.
#![expect(clippy::disallowed_methods, reason = "tests read the fixtures")]

use proptest::prelude::*;
use serde_json::Value as Json;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use swathlint::diagnostic::Diagnostic;
use swathlint::schema::{self, Kind};
use swathlint::source::{FileId, SourceFile};
use swathlint::yaml::{self, Shape, Value};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/schema");

/// What the schema stage says of a text that reads as YAML.
fn findings(text: &str) -> Vec<Diagnostic> {
    let file = FileId(0);
    let parsed = yaml::parse(file, text);
    assert_eq!(parsed.problems, [], "the fixture does not read as YAML");
    let root = parsed.tree.root().unwrap();
    match schema::kind_of(file, root) {
        Ok(kind) => schema::check(kind, file, root),
        Err(finding) => vec![finding],
    }
}

fn fixtures() -> Vec<(String, String)> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(FOLDER)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.retain(|path| {
        path.extension()
            .is_some_and(|extension| extension == "yaml")
    });
    paths.sort();
    let name = |path: &Path| path.file_stem().unwrap().to_str().unwrap().to_owned();
    paths
        .iter()
        .map(|path| (name(path), std::fs::read_to_string(path).unwrap()))
        .collect()
}

/// The records that are whole: each kind in full, and the shortest that make sense.
fn clean_fixtures() -> Vec<(String, String)> {
    let is_clean = |name: &str| name.starts_with("complete-") || name.starts_with("two-minute-");
    fixtures()
        .into_iter()
        .filter(|(name, _)| is_clean(name))
        .collect()
}

/// Line and name of every fault that a fixture is marked with: `# fires: unknown-key, missing-key`.
fn marks(text: &str) -> Vec<(usize, String)> {
    let mut marks = Vec::new();
    for (index, line) in text.lines().enumerate() {
        if let Some((_, names)) = line.split_once("# fires: ") {
            marks.extend(
                names
                    .split(", ")
                    .map(|name| (index + 1, name.trim().to_owned())),
            );
        }
    }
    marks.sort();
    marks
}

fn found(text: &str) -> Vec<(usize, String)> {
    let source = SourceFile::new("fixture", text);
    let mut found: Vec<(usize, String)> = findings(text)
        .iter()
        .map(|finding| {
            let (line, _) = source.position(finding.primary().place.span.start);
            (line.0 as usize, finding.rule().to_owned())
        })
        .collect();
    found.sort();
    found
}

#[test]
fn every_fault_stands_on_the_line_that_is_marked_with_it() {
    let fixtures = fixtures();
    assert!(fixtures.len() > 20, "the fixtures are gone");
    for (name, text) in &fixtures {
        assert_eq!(
            found(text),
            marks(text),
            "fixtures/schema/{name}.yaml: left is found, right is marked"
        );
    }
}

#[test]
fn an_empty_name_is_refused_at_its_own_characters() {
    let machine = |name: &str, setup: &str| {
        format!(
            "record: machine\nid: heron\nboom: {{spacing: 20 in, sections: [{{name: {name}, nozzles: 2}}]}}\n\
             setups: {{{setup}: {{nozzle: {{size: \"06\"}}}}}}\n"
        )
    };
    assert!(findings(&machine("left", "greens")).is_empty());
    for (text, message) in [
        (machine("''", "greens"), "`name` has nothing in it"),
        (
            machine("left", "''"),
            "a key in the setups is empty, where a key is a short name for the setup",
        ),
    ] {
        let found = findings(&text);
        let [finding] = found.as_slice() else {
            panic!("one finding: {found:?}");
        };
        let span = finding.primary().place.span;
        assert_eq!(text.get(span.range()), Some("''"));
        assert_eq!(finding.message(), message);
    }
}

#[test]
fn every_name_of_a_fault_is_known_and_has_a_fixture() {
    let marked: BTreeSet<String> = fixtures()
        .iter()
        .flat_map(|(_, text)| marks(text))
        .map(|(_, name)| name)
        .collect();
    let known: BTreeSet<String> = schema::FAULTS.iter().map(|&name| name.to_owned()).collect();
    assert_eq!(marked, known);
}

#[test]
fn complete_records_and_short_ones_have_no_fault() {
    for kind in Kind::ALL {
        let start = format!("record: {}\n", kind.word());
        let mut clean = clean_fixtures();
        clean.retain(|(_, text)| text.starts_with(&start));
        assert!(!clean.is_empty(), "no clean fixture of a {}", kind.word());
        for (name, text) in clean {
            assert_eq!(findings(&text), [], "{name}");
        }
    }
}

#[test]
fn the_last_of_many_faults_says_how_many_more_there_are() {
    let with_unknown_keys = |count: usize| {
        let mut text =
            "record: machine\nid: heron\nboom: {spacing: 20 in, nozzles: 11}\n".to_owned();
        text.push_str("setups: {fairways: {nozzle: {size: '06'}}}\n");
        for number in 1..=count {
            writeln!(text, "unheard-of-{number}: 1").unwrap();
        }
        findings(&text)
    };
    let says_more = |finding: &Diagnostic| finding.message().contains("more fault");
    assert_eq!(with_unknown_keys(20).len(), 20);
    assert!(!with_unknown_keys(20).iter().any(says_more));
    for (count, words) in [
        (21, "; 1 more fault like these in this file"),
        (45, "; 25 more faults like these in this file"),
    ] {
        let findings = with_unknown_keys(count);
        assert_eq!(findings.len(), schema::MOST_LISTED);
        assert_eq!(
            findings.iter().filter(|finding| says_more(finding)).count(),
            1
        );
        assert!(
            findings[19].message().ends_with(words),
            "{}",
            findings[19].message()
        );
        assert!(findings[19].help_text().is_some());
    }
}

#[test]
fn a_list_longer_than_any_real_one_is_told_at_its_key() {
    let with_tanks = |count: usize| {
        let mut text =
            "record: application\nmachine: heron\ndate: 2026-05-04\nby: rm\ntanks:\n".to_owned();
        text.push_str(&"  - {water: 60 gal}\n".repeat(count));
        findings(&text)
    };
    assert_eq!(with_tanks(100), []);
    let found = with_tanks(101);
    let [finding] = &found[..] else {
        panic!("{found:?}");
    };
    assert_eq!(
        finding.message(),
        "`tanks` has 101 entries; the most allowed is 100"
    );
    assert_eq!(finding.primary().place.span.len(), "tanks".len());
    let mut text = "record: fleet\npeople:\n".to_owned();
    for person in 1..=501 {
        writeln!(text, "  p-{person}: {{}}").unwrap();
    }
    assert_eq!(
        findings(&text)[0].message(),
        "`people` has 501 entries; the most allowed is 500"
    );
}

#[test]
fn a_file_far_larger_than_any_record_is_told_one_fault() {
    let mut text = "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\n".to_owned();
    text.push_str("catch-tests:\n  - unit: gpm\n    caught:\n");
    text.push_str(&"      - true\n".repeat(30_000));
    let found = findings(&text);
    assert_eq!(found.len(), 1);
    assert!(
        found[0]
            .message()
            .contains("no more faults were looked for"),
        "{}",
        found[0].message()
    );
    assert_eq!(findings(&text.replace("true", "0.57")), []);
}

#[test]
fn of_a_key_that_is_written_twice_nothing_false_is_said() {
    let start = "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\n";
    for twice in [
        "notes: windy\nnotes: [gusts]\n",
        "preparation: {rinsed: true}\npreparation: {rinsed: dry}\n",
    ] {
        let text = format!("{start}{twice}");
        let parsed = yaml::parse(FileId(0), &text);
        assert_eq!(
            parsed.problems.len(),
            1,
            "the second key is told where the text is read"
        );
        let root = parsed.tree.root().unwrap();
        assert_eq!(schema::check(Kind::Calibration, FileId(0), root), []);
    }
}

/// What a value of the tree is in JSON; the tree's own numbers, so that nothing is read twice.
fn to_json(node: yaml::Node<'_>) -> Json {
    match (node.shape(), node.value()) {
        (Shape::Sequence, _) => node.items().map(to_json).collect(),
        (Shape::Mapping, _) => node
            .entries()
            .map(|(key, value)| (key.text().unwrap_or_default().to_owned(), to_json(value)))
            .collect(),
        (Shape::Scalar, Some(Value::Bool(truth))) => truth.into(),
        (Shape::Scalar, Some(Value::Int(number))) => number.into(),
        (Shape::Scalar, Some(Value::UInt(number))) => number.into(),
        (Shape::Scalar, Some(Value::Float(number))) if number.is_finite() => number.into(),
        (Shape::Scalar, Some(Value::Float(_) | Value::Text(_))) => node.text().into(),
        (Shape::Scalar, Some(Value::Null) | None) => Json::Null,
    }
}

/// The library's own errors over a copy in JSON, where a scalar with a format may be any text or number.
fn errors_over_json(kind: Kind, root: yaml::Node<'_>) -> usize {
    let mut schema: Json = serde_json::from_str(schema::text(kind)).unwrap();
    widen(&mut schema);
    let validator = jsonschema::options().offline().build(&schema).unwrap();
    validator.iter_errors(&to_json(root)).count()
}

/// What a scalar with a format says is read and judged by the lowering, also below a choice of shapes.
fn widen(schema: &mut Json) {
    match schema {
        Json::Object(members) => {
            if members.contains_key("format") && members.contains_key("type") {
                let now = members["type"].take();
                let types = now.as_array().cloned().unwrap_or_else(|| vec![now]);
                let scalars = ["string", "number"].map(Json::from);
                let mut all: Vec<Json> = types.into_iter().chain(scalars).collect();
                all.sort_by_key(ToString::to_string);
                all.dedup();
                members["type"] = Json::Array(all);
            }
            members.values_mut().for_each(widen);
        }
        Json::Array(items) => items.iter_mut().for_each(widen),
        Json::Null | Json::Bool(_) | Json::Number(_) | Json::String(_) => {}
    }
}

/// A change to a text as slips of hand make them.
#[derive(Clone, Debug)]
enum Edit {
    DropLine(usize),
    RepeatLine(usize),
    IndentLine(usize),
    DropCharacter(usize),
    Insert(usize, &'static str),
}

fn edit() -> impl Strategy<Value = Edit> {
    let scraps = [
        "x", " ", ":", "-", "'", "[", "}", "null", "true", " 7", "é", "\n", "-1", ": {", "#",
    ];
    prop_oneof![
        any::<usize>().prop_map(Edit::DropLine),
        any::<usize>().prop_map(Edit::RepeatLine),
        any::<usize>().prop_map(Edit::IndentLine),
        any::<usize>().prop_map(Edit::DropCharacter),
        (any::<usize>(), proptest::sample::select(scraps.to_vec()))
            .prop_map(|(at, scrap)| Edit::Insert(at, scrap)),
    ]
}

fn edited(text: &str, edit: &Edit) -> String {
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
    let mut characters: Vec<char> = text.chars().collect();
    if characters.is_empty() {
        return String::new();
    }
    let (n_lines, n_characters) = (lines.len(), characters.len());
    match *edit {
        Edit::DropLine(at) => drop(lines.remove(at % n_lines)),
        Edit::RepeatLine(at) => lines.insert(at % n_lines, lines[at % n_lines].clone()),
        Edit::IndentLine(at) => lines[at % n_lines].insert_str(0, "  "),
        Edit::DropCharacter(at) => {
            characters.remove(at % n_characters);
            return characters.into_iter().collect();
        }
        Edit::Insert(at, scrap) => {
            let at = at % n_characters;
            characters.splice(at..at, scrap.chars());
            return characters.into_iter().collect();
        }
    }
    lines.concat()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_slips_into_a_record_is_told_in_bounds_and_never_missed(
        which in any::<proptest::sample::Index>(),
        edits in proptest::collection::vec(edit(), 1..5),
    ) {
        let fixtures = clean_fixtures();
        let (_, clean) = &fixtures[which.index(fixtures.len())];
        let text = edits.iter().fold(clean.clone(), |text, edit| edited(&text, edit));
        let parsed = yaml::parse(FileId(0), &text);
        let Some(root) = parsed.tree.root() else {
            return Ok(());
        };
        let kind = schema::kind_of(FileId(0), root);
        let findings = kind.clone().map_or_else(|finding| vec![finding], |kind| schema::check(kind, FileId(0), root));
        prop_assert!(findings.len() <= schema::MOST_LISTED);
        for finding in &findings {
            prop_assert!(schema::FAULTS.contains(&finding.rule()));
            prop_assert!(text.get(finding.primary().place.span.range()).is_some_and(|at| !at.is_empty()));
            prop_assert!(!finding.message().ends_with('.'));
            prop_assert!(finding.help_text().is_some_and(|help| !help.is_empty()));
        }
        let in_order = findings.is_sorted_by_key(|finding| finding.primary().place);
        prop_assert!(in_order);
        // A key that is written twice is another's finding, and hides one of its values.
        if let (Ok(kind), []) = (kind, parsed.problems.as_slice()) {
            prop_assert_eq!(findings.is_empty(), errors_over_json(kind, root) == 0, "{}", text);
        }
    }
}

#[test]
fn the_words_of_every_finding() {
    let mut all = String::new();
    for (name, text) in fixtures() {
        writeln!(all, "{name}").unwrap();
        let source = SourceFile::new("fixture", text.as_str());
        for finding in findings(&text) {
            let span = finding.primary().place.span;
            let (line, column) = source.position(span.start);
            let first_line = source.slice(span).lines().next().unwrap_or_default();
            writeln!(
                all,
                "  {}:{}: {} [{}]",
                line.0,
                column.0,
                finding.message(),
                finding.rule()
            )
            .unwrap();
            writeln!(all, "    at    {first_line}").unwrap();
            for label in finding.related() {
                writeln!(
                    all,
                    "    also  {}: {}",
                    source.slice(label.place.span),
                    label.text
                )
                .unwrap();
            }
            writeln!(all, "    help  {}", finding.help_text().unwrap_or_default()).unwrap();
        }
    }
    insta::assert_snapshot!(all);
}
