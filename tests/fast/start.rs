//! `swathlint start`: what it writes checks clean, is due until it is filled in, and passes or fails as the readings are;
//! what is there stays untouched, and nothing about a machine is guessed.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes and reads files as its user does"
)]

use crate::fixture::tree;
use crate::versioned::PROGRAM;
use assert_cmd::Command;
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Output;

const TODAY: &str = "2026-06-01";
const RECORD: &str = "calibrations/sprayer-1/2026-06-01.yaml";

const US: [&str; 22] = [
    "--by",
    "rm",
    "--machine",
    "sprayer-1",
    "--sections",
    "3",
    "--nozzles",
    "2,3,2",
    "--nozzle",
    "06",
    "--control",
    "flow",
    "--speed-source",
    "wheel",
    "--section-valves",
    "bypass",
    "--pressure",
    "36 psi",
    "--speed",
    "4.2 mph",
    "--rate",
    "40 gal/acre",
];

const SI: [&str; 22] = [
    "--units",
    "si",
    "--by",
    "rm",
    "--machine",
    "sprayer-1",
    "--sections",
    "1",
    "--nozzles",
    "4",
    "--nozzle",
    "2.4 L/min at 3 bar",
    "--control",
    "manual",
    "--speed-source",
    "none",
    "--pressure",
    "2.5 bar",
    "--speed",
    "6.8 km/h",
    "--rate",
    "375 L/ha",
];

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(PROGRAM);
    command
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .args(arguments);
    command.output().unwrap()
}

fn start(folder: &Path, to: &str, options: &[&str]) -> Output {
    run(folder, &[&["start", to, "--date", TODAY], options].concat())
}

fn said(output: &Output) -> (i32, String, String) {
    // As one line, however it was wrapped.
    let text = |bytes: &[u8]| {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    (
        output.status.code().unwrap(),
        text(&output.stdout),
        text(&output.stderr),
    )
}

/// The findings of `check`, one a line, and the exit code.
fn checked(folder: &Path) -> (i32, Vec<String>) {
    let output = run(folder, &["check", "--today", TODAY, "--format", "plain"]);
    let lines = String::from_utf8(output.stdout).unwrap();
    let lines: Vec<String> = lines.lines().map(str::to_owned).collect();
    (
        output.status.code().unwrap(),
        lines[..lines.len() - 1].to_vec(),
    )
}

/// The steps that `due` lists with their state, and the exit code.
fn due(folder: &Path) -> (i32, Vec<(String, String)>) {
    let output = run(folder, &["due", "--today", TODAY, "--format", "jsonl"]);
    let lines = String::from_utf8(output.stdout).unwrap();
    let lines = lines
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap());
    let steps = lines.filter(|line| line["kind"] == "step");
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let steps = steps.map(|step| (text(&step["step"]), text(&step["state"])));
    (output.status.code().unwrap(), steps.collect())
}

/// Fills in the empty values of a record, one after another; a key by what stands before its colon.
fn fill_in(record: &Path, values: &[(&str, &str)]) {
    let mut text = fs::read_to_string(record).unwrap();
    for (empty, value) in values {
        let key = format!("{empty}:");
        let is_key = |line: &&str| {
            let behind = line.trim_start_matches(['-', ' ']).strip_prefix(&key);
            behind.is_some_and(|behind| behind.trim().is_empty() || behind.trim().starts_with('#'))
        };
        let line = text.lines().find(is_key).map(str::to_owned);
        let (from, to) = match line {
            Some(line) => (
                line.clone(),
                line.replacen(&key, &format!("{key} {value} "), 1),
            ),
            None => ((*empty).to_owned(), (*value).to_owned()),
        };
        assert!(text.contains(&from), "{empty} is not in:\n{text}");
        text = text.replacen(&from, &to, 1);
    }
    fs::write(record, text).unwrap();
}

#[test]
fn a_started_repository_checks_clean_is_due_and_passes_once_it_is_filled_in() {
    let scratch = tempfile::tempdir().unwrap();
    let (code, out, errors) = said(&start(scratch.path(), "our records", &US));
    assert_eq!((code, &*errors), (0, ""), "{out}");
    for wanted in [
        "1. ",
        "2. ",
        "3. ",
        "cd 'our records'",
        "swathlint due",
        RECORD,
        "Assumed --units 'us'",
    ] {
        assert!(out.contains(wanted), "{wanted} is not in: {out}");
    }
    let folder = scratch.path().join("our records");
    let (code, findings) = checked(&folder);
    assert_eq!((code, findings.len()), (0, 5), "{findings:#?}");
    assert!(
        findings
            .iter()
            .all(|line| line.ends_with("[not-filled-in]")),
        "{findings:#?}"
    );
    assert!(
        findings[1].contains("not filled in: catch test: pressure, duration and 7 readings"),
        "{}",
        findings[1]
    );
    let (code, steps) = due(&folder);
    assert_eq!((code, steps.len()), (1, 4), "{steps:?}");
    assert!(
        steps.iter().all(|(_, state)| state == "never done"),
        "{steps:?}"
    );
    // As fleet.yaml asks: what is printed on the gauge.
    let fleet = fs::read_to_string(folder.join("fleet.yaml")).unwrap();
    let gauge = "{type: gauge, span: 60 psi, class: \"1.6\", checked: 2026-02-01}";
    let fleet = fleet.replace("{type: gauge}", gauge);
    fs::write(folder.join("fleet.yaml"), fleet).unwrap();
    let record = folder.join(RECORD);
    let begun = fs::read_to_string(&record).unwrap();
    assert!(
        begun.contains("# Target: 36.4 fl oz from each nozzle in 30 s at 36 psi"),
        "{begun}"
    );
    let filled = [
        ("hours", "412 h"),
        ("rinsed", "true"),
        ("neutralized", "true"),
        ("liquid", "clean water"),
        ("protective-gear", "[gloves]"),
        ("pressure", "36 psi"),
        ("duration", "30 s"),
        ("[~, ~]", "[36.5, 36.0]"),
        ("[~, ~, ~]", "[36.5, 36.5, 36.0]"),
        ("[~, ~]", "[36.0, 36.5]"),
        ("known-volume", "34.2 gal"),
        ("known-by", "fill meter"),
        ("duration", "8.6 min"),
        ("shown", "34.3 gal"),
        ("distance", "200 ft"),
        ("surface", "turf"),
        ("tank", "half"),
        ("elapsed: , shown: ", "elapsed: 32.4 s, shown: 200 ft"),
        ("elapsed: , shown: ", "elapsed: 32.6 s, shown: 201 ft"),
        ("elapsed: , shown: ", "elapsed: 32.5 s, shown: 199 ft"),
        ("entered-speed", "4.2 mph"),
        ("rate-control", "manual"),
        ("all-on", "40.3 gal/acre"),
        ("as-found: }", "as-found: 40.2 gal/acre}"),
        ("as-found: }", "as-found: 40.3 gal/acre}"),
        ("as-found: }", "as-found: 40.4 gal/acre}"),
    ];
    // All but one reading: nothing of the others is held back.
    fill_in(&record, &filled[..25]);
    let (code, findings) = checked(&folder);
    assert_eq!((code, findings.len()), (0, 1), "{findings:#?}");
    assert_eq!(
        due(&folder).1,
        [("section balance".to_owned(), "never done".to_owned())]
    );
    fill_in(&record, &filled[25..]);
    assert_eq!(checked(&folder), (0, vec![]));
    assert_eq!(due(&folder), (0, vec![]));
    fill_in(&record, &[("[36.5, 36.0]", "[46.5, 36.0]")]);
    let (code, findings) = checked(&folder);
    assert_eq!(code, 1, "{findings:#?}");
    assert_eq!(
        due(&folder).1,
        [("catch test".to_owned(), "failing".to_owned())]
    );
}

#[test]
fn a_machine_without_console_in_metric_units() {
    let scratch = tempfile::tempdir().unwrap();
    fs::create_dir(scratch.path().join("here")).unwrap();
    let folder = scratch.path().join("here");
    let (code, out, errors) = said(&start(&folder, ".", &SI));
    assert_eq!((code, &*errors), (0, ""), "{out}");
    assert!(out.contains("--spacing '50 cm'"), "{out}");
    let record = folder.join(RECORD);
    let begun = fs::read_to_string(&record).unwrap();
    for wanted in [
        "mL from each nozzle in 30 s at 2.5 bar",
        "    caught: [~, ~, ~, ~]\n",
        "- {elapsed: }",
        "52.9 s for 100 m",
    ] {
        assert!(begun.contains(wanted), "{wanted} is not in:\n{begun}");
    }
    for absent in ["meter-tests", "section-balance", "shown"] {
        assert!(!begun.contains(absent), "{absent} is in:\n{begun}");
    }
    let (code, findings) = checked(&folder);
    assert_eq!((code, findings.len()), (0, 3), "{findings:#?}");
    fill_in(
        &record,
        &[
            ("hours", "412 h"),
            ("rinsed", "true"),
            ("neutralized", "true"),
            ("liquid", "clean water"),
            ("protective-gear", "[gloves]"),
            ("pressure", "2.5 bar"),
            ("duration", "30 s"),
            ("[~, ~, ~, ~]", "[1095, 1100, 1090, 1095]"),
            ("distance", "100 m"),
            ("surface", "turf"),
            ("tank", "half"),
            ("elapsed: ", "elapsed: 52.8 s"),
            ("elapsed: }", "elapsed: 53.0 s}"),
            ("elapsed: }", "elapsed: 52.9 s}"),
        ],
    );
    let (code, findings) = checked(&folder);
    // A gauge of which nothing is declared leaves the mean too close to call.
    assert!(
        code == 0 && findings.iter().all(|line| line.ends_with("[weak-test]")),
        "{findings:#?}"
    );
    assert_eq!(due(&folder), (0, vec![]));
}

#[test]
fn without_console_the_balance_is_read_as_pressure_and_metric_units_go_with_metric_pressure() {
    let scratch = tempfile::tempdir().unwrap();
    for control in ["pressure", "manual"] {
        let mut options = SI.to_vec();
        for (option, value) in [
            ("--sections", "2"),
            ("--nozzle", "04"),
            ("--rate", "255 L/ha"),
            ("--control", control),
        ] {
            let at = options.iter().position(|one| *one == option).unwrap();
            options[at + 1] = value;
        }
        options.extend(["--section-valves", "bypass"]);
        let (code, out, errors) = said(&start(scratch.path(), control, &options));
        assert_eq!(code, 0, "{errors}");
        assert!(out.contains("git init -b main"), "{out}");
        let folder = scratch.path().join(control);
        let begun = fs::read_to_string(folder.join(RECORD)).unwrap();
        let (_, balance) = begun.split_once("section-balance:").unwrap();
        let all_on = balance.lines().find(|line| line.contains("all-on:"));
        assert!(
            all_on.unwrap().ends_with("# target: 2.5 bar"),
            "{control}: {begun}"
        );
        for absent in ["entered-speed", "rate-control"] {
            assert!(!begun.contains(absent), "{control}: {begun}");
        }
        let fleet = fs::read_to_string(folder.join("fleet.yaml")).unwrap();
        let due = said(&run(&folder, &["due", "--today", TODAY])).1;
        assert!(
            begun.contains("unit: mL") && due.contains("mL from each nozzle"),
            "{due}"
        );
        for text in [&begun, &fleet, &due] {
            assert!(!text.contains("fl oz") && !text.contains("psi"), "{text}");
        }
    }
}

#[test]
fn every_kind_of_machine_starts_clean() {
    for (sections, nozzles, control, source, valves) in [
        ("2", "3", "pressure", "gps", "shut-off"),
        ("5", "3", "flow", "radar", "bypass"),
        ("7", "2", "pressure", "wheel", "bypass"),
        ("2", "300", "flow", "gps", "bypass"),
    ] {
        let scratch = tempfile::tempdir().unwrap();
        let mut options = US.map(str::to_owned).to_vec();
        for (option, value) in [
            ("--sections", sections),
            ("--nozzles", nozzles),
            ("--control", control),
            ("--speed-source", source),
            ("--section-valves", valves),
        ] {
            let at = options.iter().position(|one| one == option).unwrap();
            value.clone_into(&mut options[at + 1]);
        }
        let options: Vec<&str> = options.iter().map(String::as_str).collect();
        let (code, out, errors) = said(&start(scratch.path(), "records", &options));
        if nozzles == "300" {
            assert_eq!(code, 2, "{out}");
            assert!(
                errors.contains("no boom has more than 300 nozzles"),
                "{errors}"
            );
            continue;
        }
        assert_eq!(code, 0, "{errors}");
        let (code, findings) = checked(&scratch.path().join("records"));
        assert_eq!(code, 0, "{findings:#?}");
        assert!(
            findings
                .iter()
                .all(|line| line.ends_with("[not-filled-in]")),
            "{findings:#?}"
        );
    }
}

#[test]
fn what_is_there_is_named_and_nothing_is_written() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().join("records");
    for path in ["README.md", "machines/sprayer-1.yaml", ".github/CODEOWNERS"] {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, "ours\n").unwrap();
    }
    let before = tree(&folder);
    let (code, out, errors) = said(&start(scratch.path(), "records", &US));
    assert_eq!((code, &*out), (2, ""));
    let wanted = "nothing was written: records has .github/CODEOWNERS, README.md and machines/sprayer-1.yaml already";
    assert!(errors.contains(wanted), "{errors}");
    assert_eq!(tree(&folder), before);
    fs::write(scratch.path().join("file"), "").unwrap();
    let (code, _, errors) = said(&start(scratch.path(), "file", &US));
    assert_eq!(code, 2);
    assert!(errors.contains("not a folder"), "{errors}");
}

#[cfg(unix)]
#[test]
fn nothing_is_written_through_a_link() {
    let scratch = tempfile::tempdir().unwrap();
    let (folder, outside) = (
        scratch.path().join("records"),
        scratch.path().join("outside"),
    );
    fs::create_dir(&folder).unwrap();
    fs::create_dir(&outside).unwrap();
    std::os::unix::fs::symlink(&outside, folder.join("machines")).unwrap();
    let (code, _, errors) = said(&start(scratch.path(), "records", &US));
    assert_eq!(code, 2);
    assert!(errors.contains("records has machines already"), "{errors}");
    assert!(tree(&outside).is_empty());
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);
}

#[test]
fn without_a_terminal_it_names_what_is_missing() {
    let scratch = tempfile::tempdir().unwrap();
    let (code, out, errors) = said(&start(scratch.path(), "records", &US[2..]));
    assert_eq!((code, &*out), (2, ""));
    assert!(
        errors.contains("there is no terminal to ask at, and --by is missing"),
        "{errors}"
    );
    let (code, _, errors) = said(&start(scratch.path(), "records", &[]));
    assert_eq!(code, 2);
    for option in US
        .iter()
        .filter(|word| word.starts_with("--") && **word != "--rate")
    {
        assert!(errors.contains(option), "{option}: {errors}");
    }
    assert!(!scratch.path().join("records").exists());
}

#[test]
fn what_cannot_be_so_is_refused_with_its_option_and_nothing_is_written() {
    let scratch = tempfile::tempdir().unwrap();
    for (option, value) in [
        ("--machine", "../sprayer"),
        ("--machine", "Sprayer 1"),
        ("--machine", "con"),
        ("--machine", ""),
        ("--by", "r m"),
        ("--group", "<b>us</b>"),
        ("--group", "a\nb"),
        ("--setup", "no"),
        ("--sections", "0"),
        ("--nozzles", "2,3"),
        ("--nozzle", "big"),
        ("--nozzle", "8004"),
        ("--pressure", "36"),
        ("--pressure", "36 mph"),
        ("--speed", "0 mph"),
        ("--spacing", "20 in}"),
    ] {
        let mut options = US.to_vec();
        if let Some(at) = options.iter().position(|one| *one == option) {
            options[at + 1] = value;
        } else {
            options.extend([option, value]);
        }
        let (code, out, errors) = said(&start(scratch.path(), "records", &options));
        assert_eq!((code, &*out), (2, ""), "{option} {value}: {errors}");
        // What the check of the files finds is told by its value, as it stands in them.
        let named = if value == "8004" { value } else { option };
        assert!(
            errors.contains(named) && errors.contains("help: "),
            "{option} {value}: {errors}"
        );
        assert!(!scratch.path().join("records").exists());
    }
}

/// The words an option takes are those of the schema of machines.
#[test]
fn the_words_of_options_are_those_of_the_schema() {
    let schema: Value = serde_json::from_str(swathlint::schema::named("machine").unwrap()).unwrap();
    let command = swathlint::cli::command();
    let start = command.find_subcommand("start").unwrap();
    for key in ["control", "speed-source", "section-valves"] {
        let option = start
            .get_arguments()
            .find(|one| one.get_long() == Some(key))
            .unwrap();
        let taken = option.get_possible_values();
        let taken: BTreeSet<&str> = taken
            .iter()
            .map(clap::builder::PossibleValue::get_name)
            .collect();
        let words = schema["properties"][key]["enum"].as_array().unwrap();
        let words: BTreeSet<&str> = words.iter().map(|word| word.as_str().unwrap()).collect();
        assert_eq!(taken, words, "{key}");
    }
}

#[test]
fn an_editor_finds_the_schema_of_every_record() {
    let scratch = tempfile::tempdir().unwrap();
    start(scratch.path(), "records", &US);
    let folder = scratch.path().join("records");
    let files = tree(&folder);
    let mut wired = 0;
    for (path, text) in &files {
        assert!(!text.contains("@@"), "{path} has a mark left");
        let Some(named) = text.strip_prefix("# yaml-language-server: $schema=") else {
            continue;
        };
        let schema = folder
            .join(path)
            .parent()
            .unwrap()
            .join(named.lines().next().unwrap());
        let schema: Value = serde_json::from_str(&fs::read_to_string(schema).unwrap()).unwrap();
        let kind = text
            .lines()
            .find_map(|line| line.strip_prefix("record: "))
            .unwrap();
        assert_eq!(schema["properties"]["record"]["const"], kind, "{path}");
        wired += 1;
    }
    assert_eq!(wired, 3);
    let settings: Value = serde_json::from_str(&files[".vscode/settings.json"]).unwrap();
    for schema in settings["yaml.schemas"].as_object().unwrap().keys() {
        assert!(
            files.contains_key(schema.trim_start_matches("./")),
            "{schema}"
        );
    }
}
