//! Help that proposes: units of the field's size, the key that is meant, what to write for a word, and one help for many findings.

use crate::fixture::{self, Files, checked};
use serde_json::Value;
use swathlint::Report;
use swathlint::quantity::Quantity;
use swathlint::quantity::usual::Usual;
use swathlint::record::usual_units;
use swathlint::render::{Look, plain, terminal};
use swathlint::schema::{self, Kind, MEANINGS};

const VISIT: &str = "calibrations/heron/2026-03-09.yaml";
const MACHINE_FILE: &str = "machines/heron.yaml";
const APPLICATION: &str = "applications/heron/2026-05-04.yaml";
const TODAY: &str = "2026-06-01";

const WHOLE_VISIT: &str = "\
record: calibration
machine: heron
date: 2026-03-09
by: rm
setup: fairways
hours: 412 h
preparation: {rinsed: true, liquid: clean water}
catch-tests:
  - {pressure: 36 psi, duration: 30 s, jug: jug-2, unit: fl oz, caught: {left: [36.5, 36.0, 36.5], right: [36.5, 36.0]}}
meter-tests:
  - {known-volume: 34.2 gal, known-by: fill meter, shown: 34.3 gal}
speed-tests:
  - {distance: 200 ft, surface: turf, tank: half, runs: [{elapsed: 32.4 s, shown: 200 ft}]}
";

const WHOLE_APPLICATION: &str = "\
record: application
machine: heron
setup: fairways
date: 2026-05-04
by: rm
hours: {from: 420.5 h, to: 423 h}
area: 11.5 acre
volume: 462 gal
tanks:
  - water: 50 gal
";

/// The clean records with a whole visit and an application, and one thing written otherwise.
fn with_slip(file: &str, from: &str, to: &str) -> Files {
    let mut files = fixture::tree(&fixture::folder().join("base"));
    files.insert(VISIT.to_owned(), WHOLE_VISIT.to_owned());
    files.insert(APPLICATION.to_owned(), WHOLE_APPLICATION.to_owned());
    let text = files.get_mut(file).unwrap();
    assert_eq!(text.matches(from).count(), 1, "{file} has `{from}` once");
    *text = text.replace(from, to);
    files
}

/// The message and the help of the one finding of a name.
fn told(report: &Report, name: &str) -> (String, String) {
    let mut named = report.findings.iter().filter(|one| one.rule() == name);
    let Some(finding) = named.next() else {
        panic!("no {name} in:\n{}", plain(report));
    };
    assert!(named.next().is_none(), "several: {}", plain(report));
    let help = finding.help_text().unwrap_or_default();
    (finding.message().to_owned(), help.to_owned())
}

#[test]
fn what_is_proposed_is_of_the_fields_size() {
    for (file, from, to, name, help) in [
        (
            VISIT,
            "412 h",
            "412",
            "missing-unit",
            "write `412 h`, if that is meant",
        ),
        (
            VISIT,
            "412 h",
            "412 gal",
            "wrong-unit",
            "give a time in `h`",
        ),
        (
            VISIT,
            "duration: 30 s",
            "duration: 30",
            "missing-unit",
            "write `30 s`, if that is meant",
        ),
        (
            VISIT,
            "duration: 30 s",
            "duration: 0.5",
            "missing-unit",
            "write `0.5 min`, if that is meant",
        ),
        (
            VISIT,
            "duration: 30 s",
            "duration: 5",
            "missing-unit",
            "write `5 s` or `5 min`, whichever is meant",
        ),
        (
            VISIT,
            "36 psi",
            "36",
            "missing-unit",
            "write `36 psi`, if that is meant",
        ),
        (
            VISIT,
            "36 psi",
            "2.5",
            "missing-unit",
            "write `2.5 bar`, if that is meant",
        ),
        (
            VISIT,
            "200 ft, surface",
            "200, surface",
            "missing-unit",
            "write `200 ft` or `200 m`, whichever is meant",
        ),
        (
            VISIT,
            "unit: fl oz",
            "unit: psi",
            "wrong-unit",
            "write a unit, as in `fl oz`, `mL`, `g`, `wt oz`, `gpm` or `L/min`",
        ),
        (
            MACHINE_FILE,
            "spacing: 20 in",
            "spacing: 20",
            "missing-unit",
            "write `20 in` or `20 cm`, whichever is meant",
        ),
        (
            MACHINE_FILE,
            "spacing: 20 in",
            "spacing: 120",
            "missing-unit",
            "write `120 cm`, if that is meant",
        ),
        (
            MACHINE_FILE,
            "spacing: 20 in",
            "spacing: 20 psi",
            "wrong-unit",
            "give a length in `in` or `cm`",
        ),
        (
            MACHINE_FILE,
            "spacing: 20 in",
            "spacing: wide",
            "unreadable-number",
            "give a length in `in` or `cm`",
        ),
        (
            APPLICATION,
            "water: 50 gal",
            "water: 50",
            "missing-unit",
            "write `50 gal` or `50 L`, whichever is meant",
        ),
        (
            APPLICATION,
            "water: 50 gal",
            "water: 50 oz",
            "unknown-unit",
            "give a volume in `gal` or `L`",
        ),
        (
            APPLICATION,
            "from: 420.5 h",
            "from: 420.5",
            "missing-unit",
            "write `420.5 h`, if that is meant",
        ),
        // A near miss of a unit that fits is named.
        (
            APPLICATION,
            "volume: 462 gal",
            "volume: 462 gall",
            "unknown-unit",
            "write `462 gal`, if that is meant",
        ),
    ] {
        let report = checked(&with_slip(file, from, to), TODAY);
        let (message, told) = told(&report, name);
        assert_eq!(told, help, "{to}: {message}");
    }
}

/// Every field of a record that holds a quantity has usual units, in which the examples of its schema are usual.
#[test]
fn the_examples_of_the_schemas_are_of_their_fields_size() {
    let mut n_examples = 0;
    for kind in Kind::ALL.into_iter().filter(|kind| kind.word() != "rule") {
        let schema: Value = serde_json::from_str(schema::text(kind)).unwrap();
        each_property(&schema, &mut |key, field| {
            let format = field["format"].as_str().unwrap_or_default();
            let is_quantity = format.starts_with("quantity:") && !format.contains("percentage");
            if !is_quantity || field["examples"].is_null() {
                return;
            }
            let usual = usual_units(key);
            for example in field["examples"].as_array().unwrap() {
                let example = example.as_str().unwrap();
                let quantity = Quantity::parse(example, &[]).unwrap();
                let is_usual = |usual: &Usual| {
                    let unit = usual.unit(&[quantity.dimension()]);
                    unit.is_some_and(|unit| {
                        let number = Quantity::in_unit(quantity.si(), unit);
                        (usual.least..=usual.most).contains(&number)
                    })
                };
                assert!(
                    usual.iter().any(is_usual),
                    "{}: {key}: {example}",
                    kind.word()
                );
                n_examples += 1;
            }
        });
    }
    assert!(n_examples > 40, "{n_examples} examples were seen");
}

fn each_property(schema: &Value, look: &mut dyn FnMut(&str, &Value)) {
    match schema {
        Value::Object(members) => {
            if let Some(properties) = members.get("properties").and_then(Value::as_object) {
                properties.iter().for_each(|(key, field)| look(key, field));
            }
            members
                .values()
                .for_each(|member| each_property(member, look));
        }
        Value::Array(items) => items.iter().for_each(|item| each_property(item, look)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

#[test]
fn a_key_is_known_by_what_it_means() {
    for (file, from, to, meant) in [
        (
            VISIT,
            "duration: 30 s",
            "time: 30 s",
            "`time` is not known in a catch test: did you mean `duration`?",
        ),
        (
            VISIT,
            "elapsed: 32.4 s",
            "Time: 32.4 s",
            "`Time` is not known in a run: did you mean `elapsed`?",
        ),
        (
            VISIT,
            "caught: ",
            "readings: ",
            "`readings` is not known in a catch test: did you mean `caught`?",
        ),
        (
            VISIT,
            "by: rm",
            "operator: rm",
            "`operator` is not known in a calibration: did you mean `by`?",
        ),
        (
            VISIT,
            "distance: 200",
            "length: 200",
            "`length` is not known in a speed test: did you mean `distance`?",
        ),
        (
            VISIT,
            "hours: 412",
            "engine_hours: 412",
            "`engine_hours` is not known in a calibration: did you mean `hours`?",
        ),
        (
            MACHINE_FILE,
            "size: ",
            "tip size: ",
            "`tip size` is not known in a nozzle: did you mean `size`?",
        ),
    ] {
        let report = checked(&with_slip(file, from, to), TODAY);
        let (message, _) = told(&report, "unknown-key");
        assert_eq!(message, meant);
        let missing = report
            .findings
            .iter()
            .any(|one| one.rule() == "missing-key");
        assert!(!missing, "told twice: {to}");
    }
}

/// No word for a key is itself a key, and each means one.
#[test]
fn words_for_keys_are_no_keys_and_mean_some() {
    let mut keys = std::collections::BTreeSet::new();
    for kind in Kind::ALL {
        let schema: Value = serde_json::from_str(schema::text(kind)).unwrap();
        each_property(&schema, &mut |key, _| {
            keys.insert(key.to_owned());
        });
    }
    for (word, means) in MEANINGS {
        assert!(!keys.contains(word), "`{word}` is a key");
        for meant in means {
            assert!(keys.contains(*meant), "`{meant}` is no key");
        }
    }
    assert!(MEANINGS.is_sorted(), "in the order of the alphabet");
}

#[test]
fn a_word_for_a_reading_names_what_to_write() {
    let zero = "write 0: the nozzle was caught and gave nothing";
    let missed = "write missed: the nozzle was not caught";
    for (word, help) in [
        ("plugged", zero),
        ("Dry", zero),
        ("\"-\"", missed),
        ("n/a", missed),
        ("not caught", missed),
        (
            "none",
            "write 0 where the nozzle gave nothing, missed where it was not caught",
        ),
    ] {
        let to = format!("right: [36.5, {word}]");
        let report = checked(&with_slip(VISIT, "right: [36.5, 36.0]", &to), TODAY);
        assert_eq!(told(&report, "unreadable-number").1, help, "{word}");
    }
    // A dash without quotes is no text of YAML, so the whole record cannot be read.
    for list in ["[36.5, -]", "[36.5, - , 36.0]"] {
        let slip = with_slip(VISIT, "right: [36.5, 36.0]", &format!("right: {list}"));
        let (_, help) = told(&checked(&slip, TODAY), "unreadable-yaml");
        assert!(help.contains("write missed"), "{list}: {help}");
    }
}

#[test]
fn a_nozzle_size_written_otherwise_names_the_size() {
    for (written, help) in [
        ("8", "write \"08\", if 0.8 gpm at 40 psi is meant"),
        ("11008", "write \"08\", if 0.8 gpm at 40 psi is meant"),
        ("8004", "write \"04\", if 0.4 gpm at 40 psi is meant"),
        (
            "\u{201c}06\u{201d}",
            "write \"06\", if 0.6 gpm at 40 psi is meant",
        ),
    ] {
        let report = checked(
            &with_slip(MACHINE_FILE, "size: \"06\"", &format!("size: {written}")),
            TODAY,
        );
        assert_eq!(told(&report, "unreadable-size").1, help, "{written}");
    }
}

/// YAML 1.2 reads `yes` as a text, so that it is told and not taken.
#[test]
fn yes_and_no_are_told_with_what_to_write() {
    for (written, help) in [("yes", "write `true`"), ("No", "write `false`")] {
        let slip = with_slip(VISIT, "rinsed: true", &format!("rinsed: {written}"));
        assert_eq!(
            told(&checked(&slip, TODAY), "wrong-value").1,
            help,
            "{written}"
        );
    }
}

/// Five pressures without a unit: three are told in full, and the help of the others is not dropped but said once.
#[test]
fn help_is_said_once_for_all_that_are_told_in_short() {
    let catch = "  - {pressure: 36, duration: 30 s, jug: jug-2, unit: fl oz, caught: {left: [36.5, 36.0, 36.5], right: [36.5, 36.0]}}\n";
    let whole = catch.replace("36,", "36 psi,");
    let slip = with_slip(VISIT, &whole, &catch.repeat(6).replacen("36,", "2.5,", 1));
    let report = checked(&slip, TODAY);
    let look = Look {
        color: false,
        width: 120,
    };
    let text = terminal(&report, &look).to_string();
    let all: Vec<&str> = text.lines().map(str::trim).collect();
    let count = |wanted: &str| all.iter().filter(|line| **line == wanted).count();
    assert_eq!(
        count("help: write `2.5 bar`, if that is meant"),
        1,
        "{text}"
    );
    // Two in full, then three in short with one help for them all.
    assert_eq!(count("help: write `36 psi`, if that is meant"), 3, "{text}");
    let more = all
        .iter()
        .position(|line| line.contains("3 more errors [missing-unit]"));
    let more = more.unwrap_or_else(|| panic!("{text}"));
    assert_eq!(
        all[more + 4],
        "help: write `36 psi`, if that is meant",
        "{text}"
    );
}

/// What a figure lacks is told with the line of the record, and no more of it than a few lines.
#[test]
fn what_is_missing_for_a_figure_is_told_at_its_line() {
    let report = checked(&with_slip(VISIT, ", shown: 34.3 gal", ""), TODAY);
    let line = format!("{VISIT}:11:5: not calculated: the meter test has no `shown` [meter-off]\n");
    let text = plain(&report).to_string();
    assert!(text.contains(&line), "{text}");
    let without = ["duration: 30 s, ", "pressure: 36 psi, "];
    for (lacking, said) in without.iter().zip(["`duration`", "`pressure`"]) {
        let text = plain(&checked(&with_slip(VISIT, lacking, ""), TODAY)).to_string();
        assert!(
            text.contains(&format!("the catch test has no {said} [")),
            "{text}"
        );
    }
    // Seven visits of which each lacks what its meter test showed.
    let mut files = with_slip(VISIT, ", shown: 34.3 gal", "");
    for day in 10..16 {
        let date = format!("2026-03-{day}");
        let visit = files[VISIT].replace("2026-03-09", &date);
        files.insert(VISIT.replace("2026-03-09", &date), visit);
    }
    let text = plain(&checked(&files, TODAY)).to_string();
    let told = text
        .lines()
        .filter(|line| line.contains(": not calculated: "));
    assert_eq!(told.count(), 5, "{text}");
    assert!(
        text.contains(", 2 more lines in `--format jsonl`"),
        "{text}"
    );
}
