//! `swathlint sheet`: a box for every reading, with the target, the lines and the last value of the form; well-formed markup in
//! which no text of a record is more than text; nothing that is asked for from outside; and what the command says.
//!
//! That it fits on its pages is held by the step `sheet` of `.ci/run`, which prints it.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes and reads files as its user does"
)]

use crate::fixture::{Files, folder, listing, reading, tree};
use crate::harmless::{HOSTILE, assert_harmless};
use crate::versioned::PROGRAM;
use assert_cmd::Command;
use roxmltree::{Document, Node, ParsingOptions};
use std::fs;
use std::path::Path;
use std::process::Output;
use swathlint::Workspace;
use swathlint::draft::{Entered, Extent, Field, Form, Wanted, form, text as record};
use swathlint::procedure::{CAUTIONS, Step, ZERO_THE_SCALE};
use swathlint::quantity::calendar::Period;
use swathlint::render::{Paper, sheet, sheet_name};
use swathlint::report::Unusable;
use tempfile::TempDir;

const DAY: jiff::civil::Date = jiff::civil::date(2026, 6, 1);

fn fleet(files: &Files) -> Workspace {
    Workspace::of(&listing(files), &reading(files), DAY).0
}

fn saltmere() -> Files {
    tree(&folder().join("saltmere"))
}

fn made(fleet: &mut Workspace, machine: &str, setup: Option<&str>) -> Result<Form, Unusable> {
    let wanted = Wanted {
        machine,
        setup,
        day: DAY,
        by: None,
    };
    form(fleet, &wanted)
}

/// Every setup of every machine of the demo fleet.
fn demo_forms() -> Vec<Form> {
    let mut fleet = fleet(&saltmere());
    let mut forms = Vec::new();
    for machine in fleet.machines() {
        match made(&mut fleet, &machine, None) {
            Ok(form) => forms.push(form),
            Err(Unusable::WhichSetup { known: setups, .. }) => {
                for setup in setups {
                    forms.push(made(&mut fleet, &machine, Some(&setup)).unwrap());
                }
            }
            Err(Unusable::OutOfService { .. }) => assert_eq!(machine, "dowitcher"),
            Err(other) => panic!("{machine}: {other}"),
        }
    }
    assert!(forms.len() > 11);
    forms
}

/// A fleet of one machine of a boom, with so many sections of so many nozzles.
fn boom(units: &str, sections: u32, nozzles: u32) -> Form {
    let us = units == "us";
    let pick = |of_us: &str, of_si: &str| {
        if us {
            of_us.to_owned()
        } else {
            of_si.to_owned()
        }
    };
    let sections: Vec<String> = (1..=sections)
        .map(|n| format!("{{name: s{n}, nozzles: {nozzles}}}"))
        .collect();
    let spacing = pick("20 in", "50 cm");
    let setup = pick(
        "nozzle: {size: \"06\"}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre",
        "nozzle: {rated: {flow: 2.4 L/min, pressure: 3 bar}}, pressure: 2.5 bar, speed: 6 km/h, rate: 375 L/ha",
    );
    let machine = format!(
        "record: machine\nid: heron\nkind: boom-sprayer\ncontrol: flow\nspeed-source: wheel\nsection-valves: bypass\n\
         balance-by: rate\nboom: {{spacing: {spacing}, sections: [{}]}}\nsetups:\n  fairways: {{{setup}}}\n",
        sections.join(", ")
    );
    let files = Files::from([("machines/heron.yaml".to_owned(), machine)]);
    made(&mut fleet(&files), "heron", None).unwrap()
}

fn parsed(html: &str) -> Document<'_> {
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(html, options).unwrap()
}

fn class<'a>(node: &Node<'a, '_>) -> &'a str {
    node.attribute("class").unwrap_or_default()
}

fn text(node: Node<'_, '_>) -> String {
    let texts = node
        .descendants()
        .filter_map(|node| node.text().filter(|_| node.is_text()));
    texts.collect::<Vec<_>>().join("|")
}

/// The row of each nozzle, in the order of the sheet: its number, its target with its lines, its last value, and its boxes.
fn nozzle_rows(page: &Document<'_>) -> Vec<(String, String, String, Vec<String>)> {
    let tables = page.descendants().filter(|node| class(node) == "nozzles");
    let rows = tables.flat_map(|table| table.descendants());
    let rows = rows.filter(|node| node.has_tag_name("tr"));
    let of_class = |row: &Node<'_, '_>, wanted: &str| {
        let cells = row
            .children()
            .filter(|cell| cell.has_tag_name("td") && class(cell) == wanted);
        cells.map(text).collect::<String>()
    };
    rows.filter(|row| row.children().any(|cell| cell.has_tag_name("td")))
        .map(|row| {
            let heads = row
                .children()
                .filter(|cell| cell.attribute("scope") == Some("row"));
            let boxes = row
                .children()
                .filter_map(|cell| cell.attribute("data-value"));
            (
                heads.map(text).collect(),
                of_class(&row, "aim"),
                of_class(&row, "last"),
                boxes.map(str::to_owned).collect(),
            )
        })
        .collect()
}

/// Holds a sheet to its form.
fn holds(form: &Form, paper: Paper) {
    let html = sheet(form, paper);
    let page = parsed(&html);
    let what = sheet_name(form);
    let boxes: Vec<&str> = page
        .descendants()
        .filter_map(|node| node.attribute("data-value"))
        .collect();
    let mut again: Vec<&str> = boxes.clone();
    again.sort_unstable();
    again.dedup();
    assert_eq!(again.len(), boxes.len(), "{what}: two boxes of one value");
    for entry in form
        .entries()
        .filter(|entry| entry.field.round().unwrap_or(0) == 0)
    {
        // The unit of a catch that is known stands in the head; the factor of what is not due may have no box.
        let is_in_head = entry.field == Field::Catch(0, "unit") && form.catch_unit().is_some();
        let is_factor = matches!(
            entry.field,
            Field::Meter(_, "before" | "after") | Field::Speed(_, "before" | "after")
        );
        if !is_in_head && !is_factor {
            assert!(boxes.contains(&entry.key.as_str()), "{what}: {}", entry.key);
        }
    }
    let nozzles: Vec<_> = form
        .entries()
        .filter(|entry| matches!(entry.field, Field::Nozzle { round: 0, .. }))
        .collect();
    let rows = nozzle_rows(&page);
    assert_eq!(rows.len(), nozzles.len(), "{what}");
    for (at, (nozzle, (number, aim, last, boxes))) in nozzles.iter().zip(rows).enumerate() {
        assert_eq!(number, (at + 1).to_string(), "{what}");
        let wanted = nozzle.aim.map_or_else(String::new, |aim| {
            let lines = aim.lines_shown();
            let lines = lines.map_or_else(String::new, |(low, high)| format!("|{low} to {high}"));
            format!("{}{lines}", aim.target_shown())
        });
        assert_eq!(aim, wanted, "{what}");
        assert_eq!(last, nozzle.last.clone().unwrap_or_default(), "{what}");
        assert_eq!(
            boxes,
            [nozzle.key.clone(), nozzle.key.replace("catch.1", "catch.2")]
        );
    }
    let all = text(page.root());
    for caution in CAUTIONS.iter().chain(
        form.parts
            .iter()
            .flat_map(|part| part.step.map_or(&[][..], |step| step.procedure().cautions)),
    ) {
        let (first, rest) = caution.split_at(1);
        assert!(
            all.contains(&format!("{}{rest}", first.to_uppercase())),
            "{what}: {caution}"
        );
    }
    let heads: Vec<String> = page
        .descendants()
        .filter(|node| node.has_tag_name("h2"))
        .map(text)
        .collect();
    let steps = form.parts.iter().filter(|part| part.step.is_some());
    assert_eq!(heads.len(), steps.clone().count(), "{what}");
    for (part, head) in steps.zip(heads) {
        assert_eq!(head.starts_with('■'), part.due.is_some(), "{what}: {head}");
        assert_eq!(
            head.contains("not due"),
            part.due.is_none(),
            "{what}: {head}"
        );
    }
    is_quiet(&html);
    assert_harmless(&what, &html, "\n");
}

/// Nothing is asked for: no address but the name of a namespace, nothing that would load or run.
fn is_quiet(html: &str) {
    let page = parsed(html);
    for node in page.descendants().filter(Node::is_element) {
        let tag = node.tag_name().name();
        assert!(
            !["script", "link", "img", "iframe", "object"].contains(&tag),
            "{tag}"
        );
        for attribute in node.attributes() {
            assert!(
                !["src", "href"].contains(&attribute.name()) && !attribute.name().starts_with("on")
            );
        }
    }
    let style = page
        .descendants()
        .find(|node| node.has_tag_name("style"))
        .unwrap();
    let style = text(style);
    assert!(!style.contains("url(") && !style.contains("@import"));
    assert!(
        html.contains("content=\"default-src &#39;none&#39;; style-src &#39;unsafe-inline&#39;\"")
    );
    assert_eq!(page.root_element().attribute("lang"), Some("en-US"));
    assert!(
        page.descendants()
            .any(|node| node.has_tag_name("title") && node.text().is_some())
    );
}

#[test]
fn every_demo_machine_has_a_box_for_each_reading() {
    for form in demo_forms() {
        for paper in Paper::ALL {
            holds(&form, paper);
        }
    }
}

#[test]
fn booms_of_any_size_in_both_systems_have_a_box_for_each_nozzle() {
    for (sections, nozzles) in [(1, 7), (5, 3), (9, 5), (3, 40)] {
        for (units, caught_in) in [("us", "fl oz"), ("si", "mL")] {
            let form = boom(units, sections, nozzles);
            for paper in Paper::ALL {
                holds(&form, paper);
                let html = sheet(&form, paper);
                assert!(
                    html.contains(&format!("as found, {caught_in}</th>")),
                    "{units}"
                );
                let (nozzle, other) = rows_high(&html);
                assert!(
                    70 <= nozzle && 70 <= other,
                    "{sections} x {nozzles}: {nozzle}, {other}"
                );
                if sections * nozzles <= 15 {
                    assert!(90 <= nozzle, "{sections} x {nozzles} on {}", paper.word());
                }
            }
        }
    }
}

/// How high the rows of nozzles and all others are, in tenths of a millimeter.
fn rows_high(html: &str) -> (u32, u32) {
    let tenths = |lead: &str| {
        let (_, rest) = html.split_once(lead).unwrap();
        let number = rest.split_once("mm").unwrap().0;
        number.replace('.', "").parse().unwrap()
    };
    (
        tenths(".nozzles tbody tr { height: "),
        tenths("\ntbody tr { height: "),
    )
}

#[test]
fn the_target_on_the_sheet_is_that_of_the_list_of_what_is_due() {
    let mut fleet = fleet(&saltmere());
    let mut compared = 0;
    for form in demo_forms() {
        let due = fleet.due_of(&form.machine, Period::Days(14));
        let is_it = |step: &&swathlint::report::DueStep| {
            let setup = step.setup.as_ref().or(step.only_setup.as_ref());
            step.step == Step::Catch.test() && setup.is_some_and(|setup| *setup == form.setup.name)
        };
        let Some(target) = due
            .steps
            .iter()
            .find(is_it)
            .and_then(|step| step.target.clone())
        else {
            continue;
        };
        let html = sheet(&form, Paper::Letter);
        let (_, aim, _, _) = nozzle_rows(&parsed(&html)).swap_remove(0);
        let (wanted, lines) = aim.split_once('|').unwrap();
        let (low, high) = lines.split_once(" to ").unwrap();
        assert!(target.starts_with(&format!("{wanted} ")), "{target}: {aim}");
        assert!(
            target.contains(&format!("low {low}, high {high}")),
            "{target}: {aim}"
        );
        compared += 1;
    }
    assert!(compared > 2, "{compared}");
}

#[test]
fn the_new_factor_is_worked_out_as_the_machine_file_says() {
    let of = |unit: Option<&str>| {
        let mut files = saltmere();
        let heron = files.get_mut("machines/heron.yaml").unwrap();
        let line = heron
            .lines()
            .find(|line| line.starts_with("console:"))
            .unwrap()
            .to_owned();
        let console = unit.map_or_else(String::new, |unit| {
            format!("console: {{flow-factor: {unit}}}")
        });
        *heron = heron.replace(&line, &console);
        // Work on the meter makes its test due.
        let work = "record: service\nmachine: heron\ndate: 2026-05-30\nby: rm\nwork:\n  - {kind: flow-meter, action: replaced}\n";
        files.insert("service/heron/2026-05-30.yaml".to_owned(), work.to_owned());
        let form = made(&mut fleet(&files), "heron", Some("fairways")).unwrap();
        let html = sheet(&form, Paper::A4);
        let page = parsed(&html);
        let section = page
            .descendants()
            .find(|node| node.has_tag_name("section") && text(*node).contains("Meter test"));
        let boxes = section
            .unwrap()
            .descendants()
            .filter(|node| class(node) == "label");
        boxes.map(text).collect::<Vec<_>>()
    };
    assert_eq!(
        of(Some("pulses/gal")),
        [
            "old, pulses/gal",
            "× shown",
            "÷ known",
            "= new factor, entered"
        ]
    );
    assert_eq!(
        of(Some("mL/pulse")),
        [
            "old, mL/pulse",
            "× known",
            "÷ shown",
            "= new factor, entered"
        ]
    );
    let both = [
        "old factor",
        "if pulses per volume: old × shown ÷ known",
        "if volume per pulse: old × known ÷ shown",
        "= new factor, entered",
    ];
    assert_eq!(of(None), both);
}

#[test]
fn limits_stand_as_numbers() {
    let form = demo_forms()
        .into_iter()
        .find(|form| form.machine == "heron" && form.setup.name == "fairways")
        .unwrap();
    let html = sheet(&form, Paper::Letter);
    let all = text(parsed(&html).root());
    for line in [
        "Right: shown 0.95 to 1.05 × known; 34.1 gal: 32.4 to 35.8.",
        "Right: shown 0.95 to 1.05 × course; 200 ft: 190 to 210.",
        "all on × 0.95|= low",
        "all on × 1.05|= high",
        "Targets and limits hold only at 36 psi and 30 s",
    ] {
        assert!(all.contains(line), "{line}");
    }
}

fn of_demo(machine: &str) -> Form {
    let mut forms = demo_forms().into_iter();
    forms.find(|form| form.machine == machine).unwrap()
}

#[test]
fn the_limits_of_a_catch_hold_at_the_pressure_of_the_setup_alone() {
    for form in demo_forms() {
        let html = sheet(&form, Paper::Letter);
        let page = parsed(&html);
        let said: Vec<String> = page
            .descendants()
            .filter(|node| class(node) == "only")
            .map(text)
            .collect();
        // `3.0 bar` is printed as 3 bar.
        let pressure = form.setup.pressure.as_deref().unwrap();
        let pressure = pressure.replace(".0 ", " ");
        assert_eq!(said.len(), 1, "{}", form.machine);
        assert!(
            said[0].contains(&format!("only at {pressure}")),
            "{said:?}: {pressure}"
        );
    }
}

#[test]
fn a_factor_is_corrected_after_two_tests_and_tested_once_more() {
    let form = of_demo("heron");
    let html = sheet(&form, Paper::A4);
    let page = parsed(&html);
    let boxes: Vec<&str> = page
        .descendants()
        .filter_map(|node| node.attribute("data-value"))
        .collect();
    let of_tests = form.entries().filter(|entry| {
        let is_meters = matches!(
            entry.field,
            Field::Meter(_, "known-volume" | "duration" | "shown")
        );
        is_meters || matches!(entry.field, Field::Run(..))
    });
    let mut count = 0;
    for entry in of_tests {
        assert!(boxes.contains(&entry.key.as_str()), "{}", entry.key);
        count += 1;
    }
    assert_eq!(count, 3 * (3 + 2 * 3));
    for key in [
        "flow.2.before",
        "flow.2.after",
        "speed.2.before",
        "speed.2.after",
    ] {
        assert!(boxes.contains(&key), "{key}");
    }
    let all = text(page.root());
    for told in [
        "Off: engine off, release pressure, clean meter and strainer.",
        "Test again. Off twice alike: enter the new factor, retest.",
        "Off: check tire pressure and course length, drive again.",
        "Off twice alike: enter the new factor, drive again.",
    ] {
        assert!(all.contains(told), "{told}");
    }
}

#[test]
fn what_is_not_due_tells_the_factor_in_words_before_it_loses_a_test() {
    let html = sheet(&of_demo("avocet"), Paper::Letter);
    assert!(html.contains("Off twice alike: enter factor × shown ÷ course, drive again."));
    assert!(html.contains("data-value=\"speed.3.run.1.shown\""));
    assert!(!html.contains("data-value=\"speed.2.after\""));
}

#[test]
fn a_catch_that_is_weighed_says_so() {
    let zeroed = "scale: zero it with the empty wet jug on it";
    for (machine, names, is_weighed) in [("curlew", "scale", true), ("heron", "jug", false)] {
        let form = of_demo(machine);
        let html = sheet(&form, Paper::Letter);
        assert_eq!(html.contains(zeroed), is_weighed, "{machine}");
        assert!(
            html.contains(&format!("check {names}, seconds, and gauge")),
            "{machine}"
        );
        let catch = form.part(Step::Catch).unwrap();
        let cautions = form.cautions(catch);
        assert_eq!(cautions.contains(&ZERO_THE_SCALE), is_weighed, "{machine}");
        let all = Extent::Begun {
            all: true,
            schema: None,
        };
        let begun = record(&form, &Entered::default(), all).text;
        let comment = "  # Zero the scale with the empty wet jug on it.\n";
        assert_eq!(begun.contains(comment), is_weighed, "{machine}");
    }
}

#[test]
fn no_name_of_a_record_becomes_markup() {
    let plain = tree(&folder().join("saltmere"));
    let plain = &plain["machines/heron.yaml"];
    let of = |name: &str| {
        let quoted = serde_json::to_string(name).unwrap();
        let machine = plain.replace("name: far-left", &format!("name: {quoted}"));
        let machine = machine.replace("  fairways: {", &format!("  {quoted}: {{"));
        let files = Files::from([("machines/heron.yaml".to_owned(), machine)]);
        let form = made(&mut fleet(&files), "heron", Some(name));
        form.map(|form| sheet(&form, Paper::Letter).to_string())
    };
    let skeleton = |html: &str| {
        let page = parsed(html);
        let tags = page.descendants().filter(Node::is_element);
        // A name that is too long for the code square has none.
        let tags = tags.map(|node| node.tag_name().name().to_owned());
        tags.filter(|tag| !["svg", "path"].contains(&tag.as_str()))
            .collect::<Vec<_>>()
    };
    let expected = skeleton(&of("plain").unwrap());
    let mut tried = 0;
    for hostile in HOSTILE.iter().copied().chain([
        "</style><script>x</script>",
        "\"; } * { a: url(x) } \\",
        &"w".repeat(900),
    ]) {
        // Some are refused already as names.
        let Ok(html) = of(hostile) else { continue };
        tried += 1;
        assert_eq!(skeleton(&html), expected, "{hostile:?}");
        assert_harmless(hostile, &html, "\n");
        is_quiet_about_names(&html);
    }
    assert!(tried > 5, "{tried}");
}

/// Nothing loads or runs, and the name in the style sheet ends nothing there.
fn is_quiet_about_names(html: &str) {
    is_quiet(html);
    let (_, rest) = html.split_once("@bottom-left { content: \"").unwrap();
    let (name, behind) = rest.split_once('"').unwrap();
    assert!(behind.starts_with("; font: "), "{behind:.40}");
    assert!(!name.contains(['<', '>', '{', '}', ';', '\n']), "{name}");
}

#[test]
fn the_code_square_names_machine_setup_and_day() {
    let form = boom("us", 5, 3);
    assert_eq!(sheet_name(&form), "swathlint:heron/fairways/2026-06-01");
    let html = sheet(&form, Paper::Letter);
    let page = parsed(&html);
    let square = page
        .descendants()
        .find(|node| node.has_tag_name("svg"))
        .unwrap();
    assert_eq!(
        square.attribute("aria-label"),
        Some("swathlint:heron/fairways/2026-06-01")
    );
    // 35 bytes at level Q take version 4, of 33 modules a side, with 4 light ones around them (ISO/IEC 18004, from memory).
    assert_eq!(square.attribute("viewBox"), Some("0 0 41 41"));
}

/// The demo fleet in a folder.
fn written(files: &Files) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    folder
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(PROGRAM);
    command.current_dir(folder).arg("sheet").args(arguments);
    command.args(["--date", "2026-06-01"]).output().unwrap()
}

#[test]
fn the_command_writes_the_sheet_from_the_files_of_the_machine_alone() {
    let folder = written(&saltmere());
    let arguments = ["heron", "--setup", "fairways", "--paper", "a4"];
    let whole = run(folder.path(), &arguments);
    assert_eq!(whole.status.code(), Some(0));
    assert!(whole.stderr.is_empty());
    let form = made(&mut fleet(&saltmere()), "heron", Some("fairways")).unwrap();
    assert_eq!(
        String::from_utf8_lossy(&whole.stdout),
        *sheet(&form, Paper::A4)
    );
    let letter = run(folder.path(), &["heron", "--setup", "fairways"]);
    assert_eq!(
        String::from_utf8_lossy(&letter.stdout),
        *sheet(&form, Paper::Letter)
    );
    // What is of other machines is not looked at.
    let own: Files = saltmere()
        .into_iter()
        .filter(|(path, _)| path.matches('/').count() < 2 || path.contains("/heron/"))
        .collect();
    let alone = run(written(&own).path(), &arguments);
    assert_eq!(alone.stdout, whole.stdout);
}

#[test]
fn what_cannot_be_printed_is_told_with_what_to_do() {
    let mut files = saltmere();
    files.insert(
        "machines/broken.yaml".to_owned(),
        "record: machine\nid: broken\ncontrol: [\n".to_owned(),
    );
    let folder = written(&files);
    let rows: [(&[&str], &str, &str); 6] = [
        (
            &["dowitcher"],
            "dowitcher is out of service",
            "name another machine",
        ),
        (
            &["hern"],
            "there is no machine `hern`",
            "did you mean `heron`?",
        ),
        (&["zzz"], "there is no machine `zzz`", "name one of avocet,"),
        (
            &["heron"],
            "heron has 2 setups, and none is named",
            "add --setup fairways or --setup greens",
        ),
        (
            &["heron", "--setup", "tees"],
            "heron has no setup `tees`",
            "add --setup fairways or --setup greens",
        ),
        (
            &["broken"],
            "the machine file of broken has 1 error, at machines/broken.yaml:",
            "run `swathlint check`",
        ),
    ];
    for (arguments, message, help) in rows {
        let ran = run(folder.path(), arguments);
        let errors = String::from_utf8(ran.stderr).unwrap();
        assert_eq!(ran.status.code(), Some(2), "{arguments:?}");
        assert!(ran.stdout.is_empty(), "{arguments:?}");
        assert!(
            errors.contains(message) && errors.contains(help),
            "{errors}"
        );
    }
}
