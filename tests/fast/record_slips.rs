//! Slips in service records, applications, waivers and intervals: each told once, at its own characters.

#![expect(clippy::disallowed_methods, reason = "a test reads the clean fixtures")]

use crate::fixture::{self, Files, checked, found};

const SERVICE: &str = "service/heron/2026-03-01.yaml";
const APPLICATION: &str = "applications/heron/2026-05-04.yaml";
const WAIVERS: &str = "waivers.yaml";
const FLEET: &str = "fleet.yaml";
const VISIT: &str = "calibrations/heron/2026-03-09.yaml";
const MACHINE_FILE: &str = "machines/heron.yaml";

/// Work before the visit of the clean records, so that it undoes nothing.
const CLEAN_SERVICE: &str = "\
record: service
machine: heron
date: 2026-03-01
by: ko
hours: 405 h
work:
  - nozzles-fitted: {setup: fairways, at: {right: [2]}, nozzle: {size: \"06\"}}
  - section-valve: {section: left, what: replaced}
  - tires: {wheels: drive, what: replaced}
  - console: {what: replaced, flow-factor: pulses/gal}
  - spacing: {to: 20 in}
  - entered-widths: {left: 60 in, right: 40 in}
  - setup: {setup: fairways, speed: 4.2 mph}
  - moved: {course: saltmere}
  - hose:
amends: [{on: 2026-03-02, by: ko, why: wrong section}]
";

const CLEAN_APPLICATION: &str = "\
record: application
machine: heron
setup: fairways
date: 2026-05-04
by: rm
hours: {from: 420.5 h, to: 423 h}
place: fairways 1 to 9
area: 11.5 acre
area-by: map
volume: 462 gal
volume-by: fill meter
tanks:
  - water: 50 gal
    products: [{name: growth regulator, label: {min: 8 fl oz/acre, max: 16 fl oz/acre}, amount: 15 fl oz}]
amends: [{on: 2026-05-05, by: ko, why: second refill left out}]
";

/// A waiver that is still to begin, so that it need not let anything pass.
const CLEAN_WAIVERS: &str = "\
record: waivers
waivers:
  - {rule: overdue, machine: heron, reason: shop closed, by: ko, from: 2026-07-01, until: 2026-08-15}
deleted:
  - {file: calibrations/heron/2026-02-19.yaml, reason: entered twice, by: ko, on: 2026-03-02}
";

const INTERVALS: &str = "\
intervals:
  full: 12 months
  catch: [200 h, 6 months, 80 applications]
  at-course: {saltmere: {catch: 150 h, because: sandy water}}
  at-setup: {fairways: {balance: 9 months}}
  at-machine: {heron: {flow: 11 months, at-setup: {fairways: {catch: 100 h}}, because: worn pump}}
  because: group decision of 2026-01-10
";

/// A machine file with a second setup, so that a record has to say which one it is of.
const SECOND_SETUP: (&str, &str, &str) = (
    MACHINE_FILE,
    "setups:\n",
    "setups:\n  greens: {nozzle: {size: \"08\"}}\n",
);

/// One slip: what it replaces by what in which file, what must be found, and the text under its label.
struct Slip {
    what: &'static str,
    file: &'static str,
    from: &'static str,
    to: &'static str,
    also: Option<(&'static str, &'static str, &'static str)>,
    found: &'static str,
    under: &'static str,
}

const fn slip(
    what: &'static str,
    file: &'static str,
    (from, to): (&'static str, &'static str),
    (found, under): (&'static str, &'static str),
) -> Slip {
    Slip {
        what,
        file,
        from,
        to,
        also: None,
        found,
        under,
    }
}

const SLIPS: &[Slip] = &[
    slip(
        "a lay-up that ends before it begins",
        MACHINE_FILE,
        (
            "boom:\n",
            "laid-up: {from: 2026-11-20, to: 2026-03-01}\nboom:\n",
        ),
        ("laid-up-backwards error", "2026-03-01"),
    ),
    slip(
        "an hour meter with a minus sign",
        VISIT,
        ("hours: 412 h", "hours: -0 h"),
        ("unreadable-number error", "-0 h"),
    ),
    slip(
        "a pressure range written backwards",
        MACHINE_FILE,
        (
            "material: ceramic}",
            "material: ceramic, pressure-range: {from: 90 psi, to: 30 psi}}",
        ),
        ("pressure-range-backwards error", "30 psi"),
    ),
    slip(
        "a pressure range without a unit",
        MACHINE_FILE,
        (
            "material: ceramic}",
            "material: ceramic, pressure-range: {from: 30, to: 90 psi}}",
        ),
        ("missing-unit error", "30"),
    ),
    slip(
        "a day of a lay-up that is no date",
        MACHINE_FILE,
        (
            "boom:\n",
            "laid-up: [{from: 2026-11-20, to: 2027-02-30}]\nboom:\n",
        ),
        ("unreadable-date error", "2027-02-30"),
    ),
    slip(
        "more nozzles than any boom has",
        MACHINE_FILE,
        ("nozzles: 2,", "nozzles: 298,"),
        ("unreadable-number error", "298"),
    ),
    slip(
        "a section the boom does not have",
        SERVICE,
        ("{right: [2]}", "{rihgt: [2]}"),
        ("unknown-section error", "rihgt"),
    ),
    slip(
        "a position the section does not have",
        SERVICE,
        ("{right: [2]}", "{right: [1, 3]}"),
        ("unlike-boom error", "3"),
    ),
    slip(
        "a position that is no number",
        SERVICE,
        ("{right: [2]}", "{right: [second]}"),
        ("unreadable-number error", "second"),
    ),
    slip(
        "positions without their section",
        SERVICE,
        ("at: {right: [2]}", "at: [3]"),
        ("wrong-value error", "[3]"),
    ),
    slip(
        "a setup the machine does not have",
        SERVICE,
        ("{setup: fairways, at", "{setup: fairway, at"),
        ("unknown-setup error", "fairway"),
    ),
    slip(
        "a changed setup the machine does not have",
        SERVICE,
        ("{setup: fairways, speed", "{setup: tees, speed"),
        ("unknown-setup error", "tees"),
    ),
    Slip {
        also: Some(SECOND_SETUP),
        ..slip(
            "nozzles of one of two setups",
            SERVICE,
            ("{setup: fairways, at", "{at"),
            ("unknown-setup error", "nozzles-fitted"),
        )
    },
    slip(
        "a nozzle of no size",
        SERVICE,
        ("size: \"06\"", "size: \"6\""),
        ("unreadable-size error", "\"6\""),
    ),
    slip(
        "the valve of no section",
        SERVICE,
        ("{section: left", "{section: leftmost"),
        ("unknown-section error", "leftmost"),
    ),
    slip(
        "a width of no section",
        SERVICE,
        ("right: 40 in", "rigth: 40 in"),
        ("unknown-section error", "rigth"),
    ),
    slip(
        "two kinds of work in one entry",
        SERVICE,
        (
            "  - tires: {wheels: drive, what: replaced}",
            "  - {tires: {wheels: drive, what: replaced}, pump: {what: repaired}}",
        ),
        ("wrong-value error", "pump"),
    ),
    slip(
        "work that is not indented",
        SERVICE,
        (
            "{wheels: drive, what: replaced}",
            "\n    wheels: drive\n    what: replaced",
        ),
        ("unknown-key error", "wheels"),
    ),
    slip(
        "a word of work misspelt",
        SERVICE,
        ("- tires:", "- tries:"),
        ("unknown-key error", "tries"),
    ),
    slip(
        "a manner of work that is none",
        SERVICE,
        ("drive, what: replaced", "drive, what: new"),
        ("wrong-value error", "new"),
    ),
    slip(
        "hours without their unit",
        SERVICE,
        ("hours: 405 h", "hours: 405"),
        ("missing-unit error", "405"),
    ),
    slip(
        "a spacing without its unit",
        SERVICE,
        ("to: 20 in", "to: 20"),
        ("missing-unit error", "20"),
    ),
    slip(
        "a factor in a unit of no factor",
        SERVICE,
        ("pulses/gal", "pulses/100 ft"),
        ("wrong-unit error", "pulses/100 ft"),
    ),
    slip(
        "the work left out",
        SERVICE,
        ("work:", "works:"),
        ("unknown-key error", "works"),
    ),
    slip(
        "an amendment without its reason",
        SERVICE,
        (", why: wrong section", ""),
        ("missing-key error", "on"),
    ),
    slip(
        "a setup sprayed with that the machine does not have",
        APPLICATION,
        ("setup: fairways", "setup: fairwais"),
        ("unknown-setup error", "fairwais"),
    ),
    slip(
        "a reading of the hour meter without its unit",
        APPLICATION,
        ("from: 420.5 h", "from: 420.5"),
        ("missing-unit error", "420.5"),
    ),
    slip(
        "one reading of the hour meter for two",
        APPLICATION,
        ("{from: 420.5 h, to: 423 h}", "420.5 h"),
        ("wrong-value error", "420.5 h"),
    ),
    slip(
        "an area without its unit",
        APPLICATION,
        ("area: 11.5 acre", "area: 11.5"),
        ("missing-unit error", "11.5"),
    ),
    slip(
        "an area in a unit of length",
        APPLICATION,
        ("area: 11.5 acre", "area: 11.5 ft"),
        ("wrong-unit error", "ft"),
    ),
    slip(
        "wheels that are neither",
        SERVICE,
        ("wheels: drive", "wheels: dirve"),
        ("wrong-value error", "dirve"),
    ),
    slip(
        "a label's rate that is a volume",
        APPLICATION,
        ("max: 16 fl oz/acre", "max: 16 fl oz"),
        ("wrong-unit error", "fl oz"),
    ),
    slip(
        "a label's rate that is a flow",
        APPLICATION,
        ("min: 8 fl oz/acre", "min: 8 fl oz/min"),
        ("wrong-unit error", "fl oz/min"),
    ),
    slip(
        "an amount in bare ounces",
        APPLICATION,
        ("amount: 15 fl oz", "amount: 15 oz"),
        ("unknown-unit error", "oz"),
    ),
    slip(
        "a tank without its water",
        APPLICATION,
        ("  - water: 50 gal\n    products", "  - products"),
        ("missing-key error", "products"),
    ),
    slip(
        "a waiver without an end",
        WAIVERS,
        (", until: 2026-08-15", ""),
        ("missing-key error", "rule"),
    ),
    slip(
        "a waiver of no machine and no record",
        WAIVERS,
        ("machine: heron, ", ""),
        ("missing-key error", "rule"),
    ),
    slip(
        "a waiver that ends on no day",
        WAIVERS,
        ("until: 2026-08-15", "until: 2026-08-32"),
        ("unreadable-date error", "2026-08-32"),
    ),
    slip(
        "a record taken away without a reason",
        WAIVERS,
        ("reason: entered twice, ", ""),
        ("missing-key error", "file"),
    ),
    slip(
        "an interval in a unit of speed",
        FLEET,
        ("150 h", "150 mph"),
        ("wrong-unit error", "mph"),
    ),
    slip(
        "one of several intervals that is no count",
        FLEET,
        ("80 applications", "some applications"),
        ("unreadable-number error", "some applications"),
    ),
    slip(
        "a step that is none",
        FLEET,
        ("balance: 9 months", "ballance: 9 months"),
        ("unknown-key error", "ballance"),
    ),
    slip(
        "an interval below zero",
        FLEET,
        ("catch: 150 h", "catch: -150 h"),
        ("unreadable-number error", "-150 h"),
    ),
    slip(
        "one of several intervals below zero",
        FLEET,
        ("80 applications", "-80 applications"),
        ("unreadable-number error", "-80 applications"),
    ),
    slip(
        "a limit of the fleet below zero",
        FLEET,
        (
            "intervals:",
            "limits: {mean-off-rated: {error: -10%, because: x}}\nintervals:",
        ),
        ("wrong-limit error", "-10%"),
    ),
    slip(
        "a lower limit below zero",
        FLEET,
        (
            "intervals:",
            "limits: {short-catch: {weakens: at least -20 s, because: x}}\nintervals:",
        ),
        ("wrong-limit error", "at least -20 s"),
    ),
    slip(
        "a limit of a course below zero",
        FLEET,
        (
            "intervals:",
            "limits: {at-course: {saltmere: {mean-off-rated: {note: -1%, because: x}}}}\nintervals:",
        ),
        ("wrong-limit error", "-1%"),
    ),
    slip(
        "a limit of a machine below zero",
        FLEET,
        (
            "intervals:",
            "limits: {at-machine: {heron: {mean-off-rated: {note: -1%, because: x}}}}\nintervals:",
        ),
        ("wrong-limit error", "-1%"),
    ),
    slip(
        "intervals of a place without their step",
        FLEET,
        ("{fairways: {catch: 100 h}}", "{fairways: 100 h}"),
        ("wrong-value error", "100 h"),
    ),
];

fn clean() -> Files {
    let mut files = fixture::tree(&fixture::folder().join("base"));
    for (path, text) in [
        (SERVICE, CLEAN_SERVICE),
        (APPLICATION, CLEAN_APPLICATION),
        (WAIVERS, CLEAN_WAIVERS),
    ] {
        files.insert(path.to_owned(), text.to_owned());
    }
    files.get_mut(FLEET).unwrap().push_str(INTERVALS);
    files
}

fn replaced(files: &mut Files, (file, from, to): (&str, &str, &str)) {
    let text = files.get_mut(file).unwrap();
    assert!(text.contains(from), "{file}: no {from} to replace");
    *text = text.replacen(from, to, 1);
}

#[test]
fn nothing_is_told_of_the_clean_records() {
    let report = checked(&clean(), "2026-06-01");
    assert!(report.findings.is_empty(), "{:?}", report.findings);
    assert_eq!(report.counts.ignored, 0);
    assert_eq!(report.counts.records, clean().len());
}

#[test]
fn every_slip_is_told_once_and_on_its_characters() {
    let mut wrong = Vec::new();
    for slip in SLIPS {
        let mut files = clean();
        replaced(&mut files, (slip.file, slip.from, slip.to));
        if let Some(also) = slip.also {
            replaced(&mut files, also);
        }
        let report = checked(&files, "2026-06-01");
        let told = found(&report);
        let under = report.findings.first().map(|finding| {
            let place = finding.primary().place;
            let source = report.sources.get(place.file).unwrap();
            (report.path(place.file), source.slice(place.span))
        });
        let is_told = told.len() == 1 && told[0].ends_with(&format!(" {}", slip.found));
        if !is_told || under != Some((slip.file, slip.under)) {
            let messages: Vec<&str> = report.findings.iter().map(|told| told.message()).collect();
            wrong.push(format!(
                "{}: {told:?} under {under:?}: {messages:#?}",
                slip.what
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The messages of the findings with a name.
fn messages(files: &Files, name: &str) -> Vec<String> {
    let report = checked(files, "2026-06-01");
    let named = report
        .findings
        .iter()
        .filter(|finding| finding.rule() == name);
    named.map(|finding| finding.message().to_owned()).collect()
}

#[test]
fn records_beyond_what_a_day_holds_are_told_once_and_left_out() {
    let with_applications = |count: usize| {
        let mut files = clean();
        files.remove(APPLICATION);
        for nth in 1..=count {
            let text = CLEAN_APPLICATION.replace("hours: {from: 420.5 h, to: 423 h}\n", "");
            files.insert(format!("applications/heron/2026-05-04-{nth}.yaml"), text);
        }
        files
    };
    assert!(messages(&with_applications(100), "too-many-records").is_empty());
    let too_many = with_applications(103);
    assert_eq!(
        messages(&too_many, "too-many-records"),
        [
            "heron has more than 100 applications on 2026-05-04; this one and those after it are not checked"
        ]
    );
    assert_eq!(checked(&too_many, "2026-06-01").counts.unreadable, 3);
}

#[test]
fn house_rules_beyond_any_real_number_are_told_and_not_run() {
    let rule = std::fs::read_to_string(fixture::folder().join("../rules/pressure-off-setup.yaml"));
    let rule = rule.unwrap();
    let with_rules = |count: usize| {
        let mut files = clean();
        for nth in 1..=count {
            let text = rule.replace("id: pressure-off-setup", &format!("id: own-{nth}"));
            files.insert(format!("house-rules/own-{nth}.yaml"), text);
        }
        files
    };
    assert!(messages(&with_rules(300), "too-many-rules").is_empty());
    let too_many = with_rules(302);
    assert_eq!(
        messages(&too_many, "too-many-rules"),
        ["there are more than 300 house rules; this one and those after it are not run"]
    );
    let counts = |files: &Files| checked(files, "2026-06-01").counts;
    let (few, many) = (counts(&with_rules(300)), counts(&too_many));
    assert_eq!((few.rules_not_run, many.rules_not_run), (0, 2));
    assert_eq!(many.records, few.records + 2);
}

#[test]
fn house_causes_beyond_any_real_number_are_told_and_not_used() {
    let cause = std::fs::read_to_string(fixture::folder().join("../causes/tip-worn.yaml"));
    let cause = cause.unwrap();
    let with_causes = |count: usize| {
        let mut files = clean();
        for nth in 1..=count {
            let text = cause.replace("id: tip-worn", &format!("id: own-{nth}"));
            files.insert(format!("house-causes/own-{nth}.yaml"), text);
        }
        files
    };
    assert!(messages(&with_causes(50), "too-many-causes").is_empty());
    assert_eq!(
        messages(&with_causes(52), "too-many-causes"),
        ["there are more than 50 house causes; this one and those after it are not used"]
    );
}

#[test]
fn of_very_many_rules_of_one_name_few_are_named_and_marked() {
    let rule = std::fs::read_to_string(fixture::folder().join("../rules/pressure-off-setup.yaml"));
    let rule = rule.unwrap().replace("id: pressure-off-setup", "id: own");
    let mut files = clean();
    for nth in 1..=30 {
        files.insert(format!("house-rules/own-{nth}.yaml"), rule.clone());
    }
    let report = checked(&files, "2026-06-01");
    let mut findings = report.findings.iter();
    let finding = findings.find(|one| one.rule() == "duplicate-rule").unwrap();
    let message = finding.message();
    assert!(
        message.contains("and 22 more share the name `own`"),
        "{message}"
    );
    assert_eq!(finding.related().len(), 8);
}

#[test]
fn of_very_many_values_that_cannot_be_read_the_last_told_says_how_many_more_there_are() {
    let mut files = clean();
    let path = "calibrations/heron/2026-03-09.yaml";
    let text = files[path].replace("[37.0, 36.5]", &format!("[{}]", "36.5x, ".repeat(503)));
    files.insert(path.to_owned(), text);
    let told = messages(&files, "unreadable-number");
    assert_eq!(told.len(), 500);
    assert!(
        told[499].ends_with("; 3 more values of this file cannot be read"),
        "{}",
        told[499]
    );
    assert!(!told[498].contains("more value"), "{}", told[498]);
}

/// A factor changed from 620 to 624 is told as such, whether it counts pulses per volume or volume per pulse.
#[test]
fn a_change_of_a_factor_is_told_as_it_was_made() {
    let message = |unit: &str, shown: &str| {
        let mut files = fixture::tree(&fixture::folder().join("base"));
        let machine_file = files.get_mut(MACHINE_FILE).unwrap();
        *machine_file =
            machine_file.replace("flow-factor: pulses/gal", &format!("flow-factor: {unit}"));
        let visit = files.get_mut("calibrations/heron/2026-03-09.yaml").unwrap();
        let test = "  - {known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: ";
        *visit = visit.replace(
            &format!("{test}34.3 gal}}"),
            &format!("{test}{shown}, factor: {{before: 620, after: 624}}}}\n{test}34.2 gal}}"),
        );
        let report = checked(&files, "2026-06-01");
        let messages: Vec<String> = report
            .findings
            .iter()
            .map(|told| told.message().to_owned())
            .collect();
        messages.concat()
    };
    for (unit, shown) in [("pulses/gal", "34.4 gal"), ("mL/pulse", "34.0 gal")] {
        let message = message(unit, shown);
        let told = "changed by +0.65% for an error of 0.58";
        assert!(message.contains(told), "{unit}: {message}");
    }
}

#[test]
fn a_repeat_with_a_minus_sign_is_no_reading() {
    for minus in ["-3", "-0"] {
        let mut files = fixture::tree(&fixture::folder().join("base"));
        let repeated = format!("left: [[36.5, {minus}],");
        replaced(&mut files, (VISIT, "left: [36.5,", &repeated));
        let message = format!("`{minus}` is below zero");
        assert_eq!(messages(&files, "unreadable-number"), [message]);
    }
}

/// A boom without sections has no positions by section: one finding, which says how to write the list.
#[test]
fn a_catch_by_section_of_a_boom_without_sections_is_one_finding() {
    let mut files: Files = fixture::tree(&fixture::folder().join("base"));
    let machine_file = files.get_mut(MACHINE_FILE).unwrap();
    let (from, to) = (
        machine_file.find("  sections:\n").unwrap(),
        machine_file.find("console:").unwrap(),
    );
    machine_file.replace_range(from..to, "  nozzles: 5\n");
    let visit = files.get_mut("calibrations/heron/2026-03-09.yaml").unwrap();
    let (from, to) = (
        visit.find("    caught:\n").unwrap(),
        visit.find("meter-tests:").unwrap(),
    );
    visit.replace_range(from..to, "    caught: {3: 51}\n");
    visit.truncate(visit.find("section-balance:").unwrap());
    let report = checked(&files, "2026-06-01");
    let of_visit: Vec<String> = found(&report)
        .into_iter()
        .filter(|one| one.starts_with("calibrations"))
        .collect();
    let at = "calibrations/heron/2026-03-09.yaml:14 unknown-section error";
    assert_eq!(of_visit, [at]);
    let look = swathlint::render::Look {
        color: false,
        width: 300,
    };
    let told = swathlint::render::terminal(&report, &look).to_string();
    let help = "write one list of all its nozzles, left to right, with `missed`";
    assert!(told.contains(help), "{told}");
}
