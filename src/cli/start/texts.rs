//! The texts of a started repository.

use super::checked::checks_clean;
use super::facts::{self, Facts};
use super::files::{Files, listing, read};
use crate::Workspace;
use crate::cli::failure::CannotCheck;
use crate::cli::files::is_yaml;
use crate::draft::{self, Entered, Extent, Wanted, record_path, scalar};
use crate::schema;
use crate::words;
use jiff::civil::Date;
use std::path::Path;

/// The files that need nothing of a machine, by path; where they stand is where they go.
static REPOSITORY: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/repository.rs"));

/// The kinds of records that an editor has a schema for.
const KINDS: [&str; 8] = [
    "application",
    "calibration",
    "cause",
    "fleet",
    "machine",
    "rule",
    "service",
    "waivers",
];

/// The paths of all files, as far as they are known.
pub(super) fn paths(machine: Option<&str>, date: Date) -> Vec<String> {
    let fixed = REPOSITORY.iter().map(|(path, _)| (*path).to_owned());
    let schemas = KINDS.iter().map(|kind| schema_path(kind));
    let of_machine = machine
        .into_iter()
        .flat_map(|machine| [machine_path(machine), record_path(machine, date)]);
    fixed.chain(schemas).chain(of_machine).collect()
}

fn schema_path(kind: &str) -> String {
    format!("schemas/{kind}.json")
}

fn machine_path(machine: &str) -> String {
    format!("machines/{machine}.yaml")
}

/// All files, by path.
pub(super) fn texts(facts: &Facts, date: Date) -> Result<Files, CannotCheck> {
    let machine = facts.get(facts::MACHINE);
    let mut files = Files::new();
    for &(path, text) in REPOSITORY {
        let is_yaml = is_yaml(Path::new(path));
        let put_in = |text: &str, mark: &str, value: &str| {
            let value = if is_yaml {
                scalar(value)
            } else {
                value.to_owned()
            };
            text.replace(mark, &value)
        };
        let text = put_in(text, "@@group@@", facts.get(facts::GROUP));
        let text = put_in(&text, "@@by@@", facts.get(facts::BY));
        let text = put_in(&text, "@@machine@@", machine);
        let (jug, span) = if facts.get(facts::UNITS) == "us" {
            ("capacity: 64 fl oz, graduation: 0.5 fl oz", "60 psi")
        } else {
            ("capacity: 2000 mL, graduation: 10 mL", "4 bar")
        };
        let text = text.replace("@@jug@@", jug).replace("@@span@@", span);
        let text = text.replace("@@date@@", &words::dates::date(date));
        files.insert(path.to_owned(), text);
    }
    for kind in KINDS {
        let text = schema::named(kind).unwrap_or_default();
        files.insert(schema_path(kind), text.to_owned());
    }
    files.insert(machine_path(machine), machine_text(facts));
    let record = first_record(facts, date, &files)?;
    files.insert(record_path(machine, date), record);
    Ok(files)
}

/// The record of the first visit, begun.
fn first_record(facts: &Facts, date: Date, files: &Files) -> Result<String, CannotCheck> {
    let wanted = Wanted {
        machine: facts.get(facts::MACHINE),
        setup: None,
        day: date,
        by: Some(facts.get(facts::BY)),
    };
    let (mut fleet, _) = Workspace::of(&listing(files), &read(files), date);
    let form = draft::form(&mut fleet, &wanted).map_err(|cannot| {
        // A check says what of the options cannot be so, and how to write it.
        let found = checks_clean(files, date).err();
        found.unwrap_or_else(|| CannotCheck::StartFound {
            message: cannot.to_string(),
            help: "correct the options".to_owned(),
        })
    })?;
    let begun = Extent::Begun {
        all: true,
        schema: Some("../../schemas/calibration.json"),
    };
    Ok(draft::text(&form, &Entered::default(), begun).text)
}

fn machine_text(facts: &Facts) -> String {
    let value = |option| facts.get(option);
    let mut lines = vec![
        "# yaml-language-server: $schema=../schemas/machine.json".to_owned(),
        "# Hold each line against the machine. Without # in front, a line counts: complete those that are so.".to_owned(),
        "record: machine".to_owned(),
        format!("id: {}", value(facts::MACHINE)),
        "kind: boom-sprayer".to_owned(),
        "# course: north                # the short name in fleet.yaml".to_owned(),
        "# in-service: 2024-03-01".to_owned(),
        format!("control: {}", value(facts::CONTROL)),
        format!("speed-source: {}", value(facts::SPEED_SOURCE)),
    ];
    if !value(facts::SECTION_VALVES).is_empty() {
        lines.push(format!("section-valves: {}", value(facts::SECTION_VALVES)));
        if value(facts::SECTION_VALVES) == "bypass" {
            lines.push(
                "# balance-by: rate              # or pressure: what you read with a section off"
                    .to_owned(),
            );
        }
    }
    let is_us = value(facts::UNITS) == "us";
    let (tank, flow, speed) = if is_us {
        ("140 gal", "pulses/gal", "pulses/100 ft")
    } else {
        ("600 L", "mL/pulse", "cm/pulse")
    };
    lines.push(format!("# tank: {tank}"));
    lines.push("boom:".to_owned());
    lines.push(format!("  spacing: {}", value(facts::SPACING)));
    let counts: Vec<&str> = value(facts::NOZZLES).split(',').collect();
    if let [only] = counts.as_slice() {
        lines.push(format!("  nozzles: {only}"));
    } else {
        lines.push(
            "  sections:                     # left to right from the seat, facing forward"
                .to_owned(),
        );
        for (name, count) in section_names(counts.len()).iter().zip(&counts) {
            lines.push(format!("    - {{name: {name}, nozzles: {count}}}"));
        }
    }
    lines.push("# What the numbers of the console mean:".to_owned());
    lines.push(format!(
        "# console: {{flow-factor: {flow}, speed-factor: {speed}}}"
    ));
    lines.push("setups:".to_owned());
    let mut setup = format!(
        "  {}: {{nozzle: {}, pressure: {}, speed: {}",
        value(facts::SETUP),
        value(facts::NOZZLE),
        value(facts::PRESSURE),
        value(facts::SPEED),
    );
    if !value(facts::RATE).is_empty() {
        setup.extend([", rate: ", value(facts::RATE)]);
    }
    setup.push('}');
    lines.push(setup);
    lines.push(String::new());
    lines.join("\n")
}

/// Names of sections, left to right.
fn section_names(count: usize) -> Vec<String> {
    let usual: &[&str] = match count {
        2 => &["left", "right"],
        3 => &["left", "middle", "right"],
        5 => &["far-left", "left", "middle", "right", "far-right"],
        _ => &[],
    };
    if usual.is_empty() {
        return (1..=count).map(|at| format!("section-{at}")).collect();
    }
    usual.iter().map(|name| (*name).to_owned()).collect()
}
