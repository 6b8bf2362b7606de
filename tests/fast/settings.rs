//! What fits a machine: published numbers and traps, the formula put backwards, what `due` aims at, and every kind of bad input.

use crate::fixture::{self, Files, listing, reading};
use crate::harmless::{HOSTILE, assert_harmless, line_end};
use crate::published::{self, HEADER};
use crate::versioned::PROGRAM;
use serde_json::Value;
use swathlint::chart::{Asked, Chart, Kind, Mark, Row, SetupChart, Wanted, chart};
use swathlint::due;
use swathlint::outcome::{Reach, Tips};
use swathlint::quantity::Quantity;
use swathlint::quantity::calendar::Period;
use swathlint::quantity::dimension::Dimension;
use swathlint::render::{CHART_FORMATS, Look};
use swathlint::report::Unusable;
use unicode_width::UnicodeWidthStr;

const TODAY: &str = "2026-06-01";

fn asked<'a>(machine: &'a str, setup: Option<&'a str>) -> Asked<'a> {
    Asked {
        machine,
        setup,
        wanted: None,
        today: TODAY.parse().unwrap(),
    }
}

fn told(files: &Files, asked: &Asked<'_>) -> Result<Chart, Unusable> {
    chart(&listing(files), &reading(files), asked)
}

fn saltmere() -> Files {
    fixture::tree(&fixture::folder().join("saltmere"))
}

/// One machine file alone.
fn alone(machine: &str) -> Files {
    Files::from([("machines/heron.yaml".to_owned(), machine.to_owned())])
}

fn wanted(rate: &str, speed: &str) -> Wanted {
    let parsed = |text, dimension| Quantity::parse(text, &[dimension]).unwrap();
    Wanted {
        rate: parsed(rate, Dimension::RATE),
        speed: parsed(speed, Dimension::SPEED),
    }
}

/// The value of new tips that a slot names: `rate`, `catch 15 s`, `pressure 04`.
fn slot<'c>(setup: &'c SetupChart, slot: &str) -> &'c Row {
    let (kind, of) = slot.split_once(' ').unwrap_or((slot, ""));
    let mut rows = setup.rows.iter().filter(|row| row.tips == Tips::New);
    let found = rows.find(|row| match (kind, row.kind) {
        ("flow", Kind::Flow) | ("speed", Kind::Speed) => true,
        ("rate", Kind::Rate) => row.speed == setup.speed,
        ("catch", Kind::Catch) => row.duration.unwrap().to_string() == of,
        ("pressure", Kind::Pressure) => row.size.as_deref() == Some(of),
        _ => false,
    });
    found.unwrap_or_else(|| panic!("no {slot}"))
}

#[test]
fn it_agrees_with_what_is_printed_and_disagrees_with_its_traps() {
    let table = include_str!("../published/settings.csv");
    let mut lines = table.lines();
    assert_eq!(lines.next(), Some(HEADER));
    let (mut n_rows, mut n_traps) = (0, 0);
    for line in lines {
        let printed = published::Row::parse(line);
        let files = printed.repository().files;
        let made = told(&files, &asked("heron", None)).unwrap();
        let row = slot(&made.setups[0], printed.slot);
        assert_eq!(row.unit.to_string(), printed.unit, "{line}");
        let agrees = (row.value - printed.value).abs() <= printed.tolerance;
        assert_eq!(agrees, printed.agrees, "found {}: {line}", row.value);
        n_rows += 1;
        n_traps += usize::from(!printed.agrees);
    }
    assert!(n_rows > 50 && n_traps > 2, "{n_rows} rows, {n_traps} traps");
}

/// What each machine of the demo fleet is told, or why not.
#[test]
fn every_machine_of_the_demo_fleet_gets_an_answer() {
    let files = saltmere();
    let machines = files
        .keys()
        .filter_map(|path| path.strip_prefix("machines/"));
    let mut n_told = 0;
    for machine in machines.map(|path| path.trim_end_matches(".yaml")) {
        match told(&files, &asked(machine, None)) {
            Ok(chart) => {
                for setup in &chart.setups {
                    check_setup(&chart, setup);
                    n_told += 1;
                }
            }
            Err(none) => assert_eq!(
                (machine, none.to_string().as_str()),
                ("dowitcher", "dowitcher is out of service")
            ),
        }
    }
    assert!(n_told >= 12, "{n_told}");
}

/// Puts each value back into the trade's own formulas, in its own units.
fn check_setup(chart: &Chart, setup: &SetupChart) {
    let (machine, name) = (&chart.machine, &setup.name);
    let (rate, speed) = (setup.rate.unwrap(), setup.speed.unwrap());
    let spacing = setup.spacing.unwrap().si();
    let sizes: Vec<&Row> = setup
        .rows
        .iter()
        .filter(|row| row.kind == Kind::Pressure && row.tips == Tips::New)
        .collect();
    assert_eq!(sizes.len(), 12, "{machine} {name}");
    assert_eq!(sizes.iter().filter(|row| row.is_fitted).count(), 1);
    // What the flow of water is divided by for the mix; the same for every size.
    let mut factor = None;
    for row in sizes {
        let [flow, rated_at] = row.rated.unwrap();
        let pressure = row.value * row.unit.factor();
        let of_water = flow.si() * (pressure / rated_at.si()).sqrt();
        let ratio = of_water / (rate.si() * speed.si() * spacing);
        let before = *factor.get_or_insert(ratio);
        assert!((ratio - before).abs() < 1e-9, "{machine} {name}: {ratio}");
        let gives_a_mix = machine == "knot" && name == "fertilizer";
        assert_eq!(
            (ratio - 1.0).abs() > 1e-9,
            gives_a_mix,
            "{machine} {name}: {ratio}"
        );
        assert!(
            row.expanded.unwrap() > 0.09 * row.value,
            "5% of flow is 10% of pressure"
        );
        let shares: f64 = row.shares.iter().map(|one| one.share).sum();
        assert!((0.9..=1.0 + 1e-9).contains(&shares), "{shares}");
    }
    let own = |kind: Kind, tips: Tips| {
        let mut rows = setup.rows.iter();
        rows.find(|row| {
            row.kind == kind && row.tips == tips && (kind != Kind::Rate || row.speed == setup.speed)
        })
    };
    let rates = own(Kind::Rate, Tips::New).unwrap();
    let speeds = own(Kind::Speed, Tips::New).unwrap();
    let made = rates.value * rates.unit.factor() / rate.si();
    let driven = speeds.value * speeds.unit.factor() / speed.si();
    assert!((made / driven - 1.0).abs() < 1e-9, "{machine} {name}");
    // The rule's own message tells the same rate.
    let sum = setup.sum.as_ref().unwrap();
    let off = 100.0 * (made - 1.0).abs();
    assert!(
        sum.message.contains(&format!("{off:.2}%")) || sum.message.contains(&format!("{off:.1}%")),
        "{off} {}",
        sum.message
    );
    // As caught everything moves by the average, and is known better.
    match &setup.average {
        Ok(average) => {
            let caught = own(Kind::Rate, Tips::AsCaught).unwrap();
            let moved = caught.value / rates.value - 1.0;
            assert!((moved - average.off_rated).abs() < 1e-9, "{machine} {name}");
            assert!(caught.expanded < rates.expanded);
            let needed = own(Kind::Pressure, Tips::AsCaught).unwrap();
            assert!(needed.is_fitted && needed.expanded.is_some());
        }
        Err(_) => assert!(own(Kind::Rate, Tips::AsCaught).is_none()),
    }
}

/// The catch that `due` aims at is among those told, and is the same number.
#[test]
fn the_catch_is_the_one_that_due_aims_at() {
    let files = saltmere();
    let settings = fixture::settings(TODAY);
    let list = due(
        &listing(&files),
        &reading(&files),
        &settings,
        Period::Months(60),
    );
    let mut n_compared = 0;
    for step in list.steps.iter().filter(|step| step.step == "catch test") {
        let (Some(target), Some(setup)) = (
            &step.target,
            step.setup.as_ref().or(step.only_setup.as_ref()),
        ) else {
            continue;
        };
        let Ok(chart) = told(&files, &asked(&step.machine, Some(setup))) else {
            continue;
        };
        let told = &chart.setups[0];
        assert_eq!(told.target.as_ref(), Some(target), "{}", step.machine);
        let duration = target.split(" in ").nth(1).unwrap();
        let duration = duration.split(" at ").next().unwrap();
        let row = slot(told, &format!("catch {duration}"));
        let (number, unit) = target.split_once(' ').unwrap();
        let decimals = number.split_once('.').map_or(0, |(_, behind)| behind.len());
        assert_eq!(format!("{:.decimals$}", row.value), number, "{target}");
        assert!(unit.starts_with(&row.unit.to_string()), "{target}");
        n_compared += 1;
    }
    assert!(n_compared >= 8, "{n_compared}");
}

const HERON: &str = "record: machine\nid: heron\ncontrol: pressure\nboom: {spacing: 20 in, nozzles: 5}\n\
    setups:\n  fairways: {nozzle: {size: \"06\"}, pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre}\n";

fn with(what: &str, by: &str) -> Files {
    assert!(HERON.contains(what), "{what}");
    alone(&HERON.replace(what, by))
}

/// A range marks what is below and above it; the gauge comes first, and no range is made up.
#[test]
fn a_pressure_is_marked_by_what_it_is_beyond() {
    let marks = |files: &Files| -> Vec<(String, Reach, bool)> {
        let chart = told(files, &asked("heron", None)).unwrap();
        let rows = chart.setups[0].rows.iter();
        let rows = rows.filter_map(|row| match row.mark? {
            Mark::Pressure { reach, has_range } => Some((row.size.clone()?, reach, has_range)),
            Mark::TooLowToTell | Mark::BeyondJug => None,
        });
        rows.collect()
    };
    let reach = |marks: &[(String, Reach, bool)], size: &str| {
        marks.iter().find(|(of, ..)| of == size).unwrap().1
    };
    let without = marks(&alone(HERON));
    assert!(without.iter().all(|(.., has_range)| !has_range));
    // An undeclared gauge is taken to read to 10 bar, 145 psi; size 015 would need 569 psi.
    for (size, wanted) in [
        ("015", Reach::BeyondGauge),
        ("03", Reach::FarOff),
        ("05", Reach::Within),
        ("06", Reach::Within),
    ] {
        assert_eq!(reach(&without, size), wanted, "{size}");
    }
    let ranged = "{size: \"06\", pressure-range: {from: 30 psi, to: 50 psi}}";
    let ranged = marks(&with("{size: \"06\"}", ranged));
    assert!(ranged.iter().all(|(.., has_range)| *has_range));
    for (size, wanted) in [
        ("015", Reach::BeyondGauge),
        ("05", Reach::AboveTips),
        ("06", Reach::Within),
        ("08", Reach::BelowTips),
    ] {
        assert_eq!(reach(&ranged, size), wanted, "{size}");
    }
}

/// A pressure that is lost in what it may be off by is marked so by every format, and is told to people without a number.
#[test]
fn a_pressure_that_is_too_low_to_tell_is_so_in_every_format() {
    let chart = told(&saltmere(), &asked("heron", Some("fairways"))).unwrap();
    let setup = &chart.setups[0];
    assert_eq!(slot(setup, "pressure 20").mark, Some(Mark::TooLowToTell));
    let is_lost = |row: &&Row| row.mark == Some(Mark::TooLowToTell);
    assert_eq!(setup.rows.iter().filter(is_lost).count(), 1);
    for row in setup.rows.iter().filter(|row| row.kind == Kind::Pressure) {
        let is_lost = row.expanded.unwrap() > 0.3 * row.value;
        let is_on_gauge = !matches!(
            row.mark,
            Some(Mark::Pressure {
                reach: Reach::BeyondGauge,
                ..
            })
        );
        assert_eq!(
            row.mark == Some(Mark::TooLowToTell),
            is_lost && is_on_gauge,
            "{:?}",
            row.size
        );
    }
    let look = Look {
        color: false,
        width: 80,
    };
    for format in CHART_FORMATS {
        let text = (format.write)(&chart, &look);
        let says = match format.name {
            "csv" | "jsonl" => "too-low-to-tell",
            _ => "too low for the gauge to tell",
        };
        assert_eq!(text.matches(says).count(), 1, "{}: {}", format.name, &*text);
        let of_size = text.lines().find(|line| line.contains(says)).unwrap();
        assert!(!of_size.contains("far"), "{}: {of_size}", format.name);
    }
}

/// Another rate and speed take their own pressure, and the setup's sum and target are not told.
#[test]
fn a_wanted_rate_and_speed_take_the_place_of_the_setups() {
    let files = alone(HERON);
    let of = |rate: &str, speed: &str| {
        let asked = Asked {
            wanted: Some(wanted(rate, speed)),
            ..asked("heron", None)
        };
        told(&files, &asked).unwrap()
    };
    // Half the speed at the same rate is half the flow, and a quarter of the pressure.
    let own = told(&files, &asked("heron", None)).unwrap();
    let half = of("40 gal/acre", "2.1 mph");
    let pressure = |chart: &Chart| slot(&chart.setups[0], "pressure 06").value;
    assert!((4.0 * pressure(&half) / pressure(&own) - 1.0).abs() < 1e-9);
    assert!(half.is_wanted && half.setups[0].sum.is_none() && half.setups[0].target.is_none());
    assert_eq!(
        half.setups[0].working_pressure, None,
        "8.9 psi is far off 36"
    );
    let near = of("44 gal/acre", "4 mph");
    let setup = &near.setups[0];
    let working = setup.working_pressure.unwrap();
    assert_eq!(working.to_string(), "39.0 psi");
    let rate = slot(setup, "rate");
    assert!((rate.value / 44.0 - 1.0).abs() < 2e-3, "{}", rate.value);
    let catch = slot(setup, "catch 30 s");
    let flow = slot(setup, "flow");
    assert!((catch.value / (64.0 * flow.value) - 1.0).abs() < 2e-3);
}

/// What a machine file may lack is named, and what it has is told.
#[test]
fn what_is_missing_is_named_and_the_rest_told() {
    use Kind::{Catch, Flow, Pressure, Rate, Speed};
    for (without, lacking, told_of) in [
        ("pressure: 36 psi, ", "pressure", &[Flow, Pressure][..]),
        ("speed: 4.2 mph, ", "speed", &[Catch, Speed]),
        (", rate: 40 gal/acre", "rate", &[Catch, Rate]),
    ] {
        let chart = told(&with(without, ""), &asked("heron", None)).unwrap();
        let setup = &chart.setups[0];
        let mut kinds: Vec<Kind> = setup.rows.iter().map(|row| row.kind).collect();
        kinds.dedup();
        assert_eq!((&setup.lacking[..], &kinds[..]), (&[lacking][..], told_of));
        assert!(setup.sum.is_none());
    }
    let tips_alone = ", pressure: 36 psi, speed: 4.2 mph, rate: 40 gal/acre";
    let chart = told(&with(tips_alone, ""), &asked("heron", None)).unwrap();
    assert!(chart.setups[0].rows.is_empty());
}

/// Without tips or spacing, and with a value that is not above zero, a machine file has errors, and nothing is told.
#[test]
fn a_machine_file_with_errors_is_refused() {
    for (what, by) in [
        ("nozzle: {size: \"06\"}, ", ""),
        ("spacing: 20 in, ", ""),
        ("36 psi", "0 psi"),
        ("36 psi", "-36 psi"),
        ("4.2 mph", "0 mph"),
        ("4.2 mph", "4.2 psi"),
        ("40 gal/acre", "0 gal/acre"),
        ("40 gal/acre", "40"),
        ("40 gal/acre", "99999999999999999999 gal/acre"),
        ("20 in", "0 in"),
    ] {
        let none = told(&with(what, by), &asked("heron", None)).unwrap_err();
        let is_refused = matches!(none, Unusable::BrokenMachine { count: 1, .. });
        assert!(is_refused, "{what} -> {by}: {none:?}");
    }
}

/// Numbers far beyond any sprayer are answered in every format, without a number that is none.
#[test]
fn huge_and_tiny_values_get_an_answer_in_every_format() {
    for (what, by) in [
        ("40 gal/acre", "9999999999999 gal/acre"),
        ("40 gal/acre", "0.000000000001 gal/acre"),
        ("36 psi", "99999999999 psi"),
        ("4.2 mph", "0.0000000000001 mph"),
        ("20 in", "0.000000000000001 in"),
        (
            "{size: \"06\"}",
            "{rated: {flow: 0.00000000001 gpm, pressure: 40 psi}}",
        ),
    ] {
        let chart = told(&with(what, by), &asked("heron", None)).unwrap();
        for format in CHART_FORMATS {
            let look = Look {
                color: false,
                width: 80,
            };
            let text = (format.write)(&chart, &look);
            assert!(
                !text.contains("NaN") && !text.contains("not a number"),
                "{by}: {}",
                &*text
            );
        }
    }
}

#[test]
fn what_cannot_be_told_says_why() {
    let files = saltmere();
    let none = told(&files, &asked("hern", None)).unwrap_err();
    assert_eq!(none.help(), "did you mean `heron`?");
    let none = told(&files, &asked("heron", Some("green"))).unwrap_err();
    assert_eq!(none.help(), "did you mean `greens`?");
    let both = Asked {
        wanted: Some(wanted("40 gal/acre", "4 mph")),
        ..asked("heron", None)
    };
    assert!(
        matches!(told(&files, &both), Err(Unusable::WhichSetup { known, .. }) if known.len() == 2)
    );
    let one = Asked {
        setup: Some("greens"),
        ..both
    };
    assert!(told(&files, &one).is_ok());
    let broken = with("speed: 4.2 mph", "speed: 4.2 psi");
    let none = told(&broken, &asked("heron", None)).unwrap_err();
    assert!(
        matches!(none, Unusable::BrokenMachine { count: 1, .. }),
        "{none:?}"
    );
    let no_setup = alone("record: machine\nid: heron\nboom: {spacing: 20 in, nozzles: 5}\n");
    let none = told(&no_setup, &asked("heron", None)).unwrap_err();
    assert!(
        matches!(
            none,
            Unusable::NoSetup { .. } | Unusable::BrokenMachine { .. }
        ),
        "{none:?}"
    );
    let mut no_file = files;
    no_file.remove("machines/heron.yaml");
    let none = told(&no_file, &asked("heron", None)).unwrap_err();
    assert_eq!(none.to_string(), "heron has records, but no machine file");
}

/// What every format has: the same values, and a sum off is told in each, or beside it.
#[test]
fn every_format_tells_every_value() {
    let files = with("rate: 40 gal/acre", "rate: 60 gal/acre");
    let chart = told(&files, &asked("heron", None)).unwrap();
    assert!(!chart.setups[0].sum.as_ref().unwrap().is_kept);
    let n_rows = chart.setups[0].rows.len();
    let look = Look {
        color: false,
        width: 80,
    };
    for format in CHART_FORMATS {
        let text = (format.write)(&chart, &look);
        let beside = (format.leaves_out)(&chart).join("\n");
        let all = format!("{}{beside}", &*text);
        assert!(
            all.contains("setup-sum-off") || all.contains(r"setup\-sum\-off"),
            "{}",
            format.name
        );
        assert!(all.contains("the label decides"), "{}", format.name);
        let not_caught = "no catch test of these tips counts";
        assert!(all.contains(not_caught), "{}", format.name);
        match format.name {
            "csv" => {
                let mut reader = csv_lines(&text);
                let columns = reader.next().unwrap().len();
                assert!(reader.all(|line| line.len() == columns));
                assert_eq!(csv_lines(&text).count(), 1 + n_rows);
            }
            "jsonl" => {
                let first: Value = serde_json::from_str(text.lines().next().unwrap()).unwrap();
                let setup = &chart.setups[0];
                assert_eq!(
                    first["as-caught-not-known"],
                    "no catch test of these tips counts"
                );
                assert_eq!(first["target"].as_str(), setup.target.as_deref());
                assert_eq!(first["working-pressure"], "36 psi");
                assert_eq!(first["pressure-mark"], "range-not-known");
                assert_eq!(first["gauge-is-declared"], false);
                let lines = text
                    .lines()
                    .map(|line| serde_json::from_str::<Value>(line).unwrap());
                let kinds: Vec<Value> = lines.map(|line| line["kind"].clone()).collect();
                assert_eq!(kinds.len(), 1 + n_rows);
            }
            _ => assert!(text.contains("40.3 ± "), "{}", &*text),
        }
    }
}

/// No cell of these has a comma or a quote in it.
fn csv_lines(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.split_terminator("\r\n")
        .map(|line| line.split(',').collect())
}

#[test]
fn text_keeps_within_its_width() {
    let chart = told(&saltmere(), &asked("heron", None)).unwrap();
    for width in [40, 60, 80, 120] {
        let look = Look {
            color: false,
            width,
        };
        let text = (CHART_FORMATS[0].write)(&chart, &look);
        let widest = text.lines().map(UnicodeWidthStr::width).max().unwrap();
        assert!(widest <= width, "{width}: {widest}");
    }
}

fn run(words: &[&str]) -> (String, String, i32) {
    let output = assert_cmd::Command::new(PROGRAM)
        .arg("settings")
        .args(words)
        .current_dir(fixture::folder().join("saltmere"))
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (
        text(output.stdout),
        text(output.stderr),
        output.status.code().unwrap(),
    )
}

#[test]
fn the_demo_fleet_in_text() {
    let (heron, errors, code) = run(&["heron", "--today", TODAY]);
    assert_eq!((errors.as_str(), code), ("", 0));
    insta::assert_snapshot!("settings_of_a_machine_in_us_units", heron);
    let (metric, errors, code) = run(&["sanderling", "--setup", "surrounds", "--today", TODAY]);
    assert_eq!((errors.as_str(), code), ("", 0));
    insta::assert_snapshot!("settings_of_a_machine_in_metric_units", metric);
    let wanted = ["--rate", "350 L/ha", "--speed", "6 km/h"];
    let (page, errors, code) = run(&[
        &["avocet", "--format", "markdown", "--today", TODAY],
        &wanted[..],
    ]
    .concat());
    assert_eq!((errors.as_str(), code), ("", 0));
    insta::assert_snapshot!("settings_for_a_wanted_rate_as_a_page", page);
}

/// Each wrong word on the command line is refused in one sentence, and so is what the records cannot tell.
#[test]
fn wrong_words_are_refused() {
    for (words, says) in [
        (&["hern"][..], "there is no machine `hern`"),
        (&["heron", "--setup", "green"], "heron has no setup `green`"),
        (&["dowitcher"], "dowitcher is out of service"),
        (
            &["heron", "--rate", "40 gal/acre"],
            "settings needs --speed",
        ),
        (&["heron", "--speed", "4 mph"], "settings needs --rate"),
        (
            &["heron", "--rate", "40", "--speed", "4 mph"],
            "`40` has no unit",
        ),
        (
            &["heron", "--rate", "0 gal/acre", "--speed", "4 mph"],
            "must be above zero",
        ),
        (
            &["heron", "--rate=-1 gal/acre", "--speed", "4 mph"],
            "must be above zero",
        ),
        (
            &["heron", "--rate", "40 gal/acre", "--speed", "400 mph"],
            "at most 60 mph",
        ),
        (&["heron", "--rate", "40 psi", "--speed", "4 mph"], "40 psi"),
        (
            &["heron", "--rate", "40 gal/acre", "--speed", "4 mph"],
            "heron has 2 setups, and none is named",
        ),
        (&[], "settings needs"),
    ] {
        let (output, errors, code) = run(words);
        let errors = errors.replace("\n  ", " ");
        assert_eq!((output.as_str(), code), ("", 2), "{words:?}: {errors}");
        assert!(errors.contains(says), "{words:?}: {errors}");
    }
    // A rule's error in the machine file does not hide what fits, and is told.
    let (output, errors, code) = run(&["knot", "--setup", "fairways", "--today", TODAY]);
    assert!(output.contains("39.6 ± ") && errors.contains("1 error may change these settings"));
    assert_eq!(code, 2);
}

/// Names of machines and setups that would drive a log or a terminal do so in no format.
#[test]
fn hostile_names_are_harmless_in_every_format() {
    let mut n_told = 0;
    for hostile in HOSTILE {
        let machine = hostile.replace('/', "-");
        let [id, setup] = [machine.as_str(), hostile].map(|name| Value::from(name).to_string());
        let text = HERON.replace("id: heron", &format!("id: {id}"));
        let text = text.replace("fairways:", &format!("{setup}:"));
        let files = Files::from([(format!("machines/{machine}.yaml"), text)]);
        let Ok(chart) = told(&files, &asked(&machine, None)) else {
            continue; // A name that no record can have.
        };
        for format in CHART_FORMATS {
            for color in [false, true] {
                let text = (format.write)(&chart, &Look { color, width: 60 });
                if !color {
                    assert_harmless(format.name, &text, line_end(format.name));
                }
                assert!(!text.contains('\u{202e}'), "{}", format.name);
            }
        }
        n_told += 1;
    }
    assert!(n_told > 3, "{n_told}");
}
