//! The mixing card: held to published examples, to its own sums, to what `due` says, and to its promise of no number where
//! something speaks against it.

#![cfg(test)]

mod answers;
mod mixes;
mod told;
mod unread;

use crate::fixture::{Files, folder, listing, reading, tree};
use crate::harmless::{HOSTILE, assert_harmless, line_end};
use jiff::civil::{Date, date};
use serde_json::Value;
use std::sync::LazyLock;
use swathlint::quantity::Quantity;
use swathlint::quantity::calendar::Period;
use swathlint::quantity::unit::Unit;
use swathlint::render::{Look, TANK_FORMATS, tank_csv, tank_jsonl, tank_markdown, tank_text};
use swathlint::report::DueState;
use swathlint::tank_mix::{
    Actual, Asked, Basis, CannotMix, Card, Job, Label, LabelFrom, Leftover, MixedAt, Product,
    Refusal, Refused, Warning,
};
use swathlint::{Settings, due, figures, projection};

const TODAY: Date = date(2026, 6, 1);
const LOOK: Look = Look {
    color: false,
    width: 100,
};

static SALTMERE: LazyLock<Files> = LazyLock::new(|| tree(&folder().join("saltmere")));

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text, &[]).unwrap_or_else(|fault| panic!("{text}: {}", fault.message()))
}

fn product(name: &str, rate: &str, max: Option<&str>) -> Product {
    let label = max.map(|max| Label {
        min: None,
        max: Some(quantity(max)),
        from: LabelFrom::Asked,
    });
    Product {
        name: name.to_owned(),
        rate: quantity(rate),
        labels: label.into_iter().collect(),
    }
}

pub(crate) fn asked(
    machine: &str,
    setup: Option<&str>,
    area: &str,
    products: Vec<Product>,
) -> Asked {
    Asked {
        machine: machine.to_owned(),
        setup: setup.map(str::to_owned),
        area: quantity(area),
        tank: None,
        products,
        equal_loads: false,
        nominal: false,
    }
}

pub(crate) fn card_of(files: &Files, today: Date, asked: &Asked) -> Result<Card, CannotMix> {
    projection::tank(&listing(files), &reading(files), today, asked)
}

fn card(asked: &Asked) -> Card {
    card_of(&SALTMERE, TODAY, asked).unwrap()
}

/// Every setup of the demo fleet whose machine file can be read and that is in use.
fn setups() -> Vec<(String, String)> {
    let text = |path: &str| SALTMERE[path].clone();
    let machines = SALTMERE.keys().filter(|path| path.starts_with("machines/"));
    let mut setups = Vec::new();
    for path in machines {
        let id = path
            .trim_start_matches("machines/")
            .trim_end_matches(".yaml");
        let yaml = text(path);
        let (_, own) = yaml.split_once("\nsetups:\n").unwrap();
        for line in own.lines().filter(|line| line.starts_with("  ")) {
            let (name, _) = line.trim().split_once(':').unwrap();
            setups.push((id.to_owned(), name.to_owned()));
        }
    }
    setups
}

/// A card is refused for exactly the steps that forbid spraying by `due`, in its words.
#[test]
fn cards_are_refused_for_what_due_says() {
    let list = due(
        &listing(&SALTMERE),
        &reading(&SALTMERE),
        &Settings::on(TODAY),
        Period::Days(0),
    );
    let (mut given, mut refused) = (0, 0);
    for (machine, setup) in setups() {
        let asked = asked(&machine, Some(&setup), "5 acres", Vec::new());
        let card = match card_of(&SALTMERE, TODAY, &asked) {
            Ok(card) => card,
            Err(cannot) => {
                assert!(
                    ["knot", "dowitcher"].contains(&machine.as_str()),
                    "{machine}: {cannot}"
                );
                continue;
            }
        };
        let steps = list.steps.iter().filter(|step| {
            let is_own = step.setup.as_ref().is_none_or(|own| *own == setup);
            step.machine == machine && is_own && step.state.forbids_spraying()
        });
        let mut expected: Vec<(&str, DueState, &str)> = steps
            .map(|step| (step.step, step.state, step.because.as_str()))
            .collect();
        expected.sort_unstable();
        let refusals = card.outcome.as_ref().err().into_iter().flatten();
        let mut told: Vec<(&str, DueState, &str)> = refusals
            .filter_map(|refusal| match refusal {
                Refusal::NotReady(step) => {
                    let name = step.name.split(" (").next().unwrap();
                    Some((name, step.state, step.because.as_str()))
                }
                Refusal::NotKnown(_)
                | Refusal::NoActual(_)
                | Refusal::SumOff(_)
                | Refusal::Mix(_) => None,
            })
            .collect();
        told.sort_unstable();
        assert_eq!(told, expected, "{machine} {setup}");
        assert_eq!(
            card.outcome.is_err(),
            !expected.is_empty(),
            "{machine} {setup}"
        );
        given += usize::from(card.outcome.is_ok());
        refused += usize::from(card.outcome.is_err());
    }
    assert!(
        given >= 4 && refused >= 4,
        "{given} given, {refused} refused"
    );
}

/// The actual rate is the figures' own: by meter and speed under flow control, elsewhere by the catch.
#[test]
fn the_actual_rate_is_the_one_that_the_figures_tell() {
    let table = figures(
        &listing(&SALTMERE),
        &reading(&SALTMERE),
        &Settings::on(TODAY),
    );
    let last = |machine: &str, figure: &str, today: &str| -> f64 {
        let rows = table.rows.iter().filter(|row| {
            let date = row.date.map(|date| date.to_string()).unwrap_or_default();
            row.machine == machine && row.figure == figure && date.as_str() <= today
        });
        let mut values = rows.filter_map(|row| row.value.clone().ok());
        values
            .next_back()
            .unwrap_or_else(|| panic!("{machine} has no {figure}"))
    };
    let rate_of = |machine: &str| {
        let card = card(&asked(machine, None, "5 acres", Vec::new()));
        let mix = card.outcome.unwrap();
        (mix.rate, mix.beside.unwrap().off)
    };
    let (_, off) = rate_of("godwit");
    let by_figure = last("godwit", "true-rate-off", "2026-06-01") / 100.0;
    assert!((off - by_figure).abs() < 1e-9, "{off} {by_figure}");
    for (machine, unit) in [
        ("dunlin", "gal/acre"),
        ("stint", "gal/acre"),
        ("curlew", "L/ha"),
    ] {
        let (rate, _) = rate_of(machine);
        let rate = Quantity::in_unit(rate, Unit::parse(unit, &[]).unwrap());
        let by_catch = last(machine, "rate-by-catch", "2026-06-01");
        assert!(
            (rate / by_catch - 1.0).abs() < 1e-9,
            "{machine}: {rate} {by_catch}"
        );
    }
}

/// A test of a day that has not come tells nothing.
#[test]
fn a_later_calibration_does_not_count() {
    let asked = asked("curlew", None, "2 ha", Vec::new());
    let at = |today| card_of(&SALTMERE, today, &asked).unwrap();
    let (before, after) = (at(TODAY), at(date(2026, 6, 20)));
    assert_eq!(
        before.stands_on,
        [("catch test".to_owned(), date(2026, 3, 25))]
    );
    assert_eq!(
        after.stands_on,
        [("catch test".to_owned(), date(2026, 6, 12))]
    );
    assert!((before.outcome.unwrap().rate - after.outcome.unwrap().rate).abs() > 1e-9);
}

fn all_formats(card: &Card) -> [(&'static str, String); 4] {
    [
        ("text", tank_text(card, &LOOK).to_string()),
        ("markdown", tank_markdown(card).to_string()),
        ("csv", tank_csv(card).to_string()),
        ("jsonl", tank_jsonl(card).to_string()),
    ]
}

fn lines_of_json(text: &str) -> Vec<Value> {
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// The cells of a line in which no cell is quoted before the last.
fn cells(line: &str) -> Vec<&str> {
    line.trim_end().splitn(11, ',').collect()
}

#[test]
fn a_refused_card_has_no_number() {
    let refused = [
        asked(
            "heron",
            Some("greens"),
            "3.2 acres",
            vec![product("iron", "2 lb/acre", None)],
        ),
        asked(
            "heron",
            Some("fairways"),
            "3.2 acres",
            vec![product("iron", "2 lb/acre", None)],
        ),
        asked("whimbrel", None, "1 ha", Vec::new()),
        asked(
            "godwit",
            None,
            "9 acres",
            vec![
                product("iron", "2 lb/acre", None),
                product("x", "9 fl oz/acre", Some("8.99 fl oz/acre")),
            ],
        ),
    ];
    for asked in refused {
        let card = card(&asked);
        assert!(card.outcome.is_err());
        for (format, text) in all_formats(&card) {
            assert!(!text.contains("fill"), "{format}: {text}");
            assert!(!text.contains("covers"), "{format}: {text}");
            match format {
                "csv" => {
                    for line in text.lines().skip(1) {
                        let cells = cells(line);
                        assert!(["refused", "warning"].contains(&cells[4]), "{line}");
                        assert_eq!(cells[5..10], [""; 5], "{line}");
                    }
                }
                "jsonl" => {
                    let lines = lines_of_json(&text);
                    assert_eq!(lines.len(), 1);
                    assert_eq!(lines[0]["numbers"], Value::Null);
                    assert_ne!(lines[0]["refused"], Value::Array(Vec::new()));
                }
                _ => assert!(text.contains("no quantities"), "{text}"),
            }
        }
    }
}

/// Of a nominal card no number can be taken for a calibrated one, ready or not.
#[test]
fn every_number_of_a_nominal_card_is_marked() {
    for (machine, setup, area) in [
        ("heron", "greens", "24000 ft2"),
        ("heron", "fairways", "9 acres"),
        ("stint", "greens", "5 acres"),
        ("curlew", "fairways", "4 ha"),
    ] {
        let asked = Asked {
            nominal: true,
            ..asked(
                machine,
                Some(setup),
                area,
                vec![product("sand", "1 kg/ha", None)],
            )
        };
        let card = card(&asked);
        assert!(card.outcome.is_ok(), "{machine} {setup}");
        assert!(card.stands_on.is_empty());
        for (format, text) in all_formats(&card) {
            match format {
                "csv" => {
                    for line in text.lines().skip(1) {
                        assert_eq!(cells(line)[3], "nominal", "{line}");
                    }
                }
                "jsonl" => {
                    for line in lines_of_json(&text) {
                        assert_eq!(line["basis"], "nominal");
                        assert_eq!(line["beside"].as_array().map_or(0, Vec::len), 0);
                    }
                }
                _ => {
                    assert!(text.contains("nominal mixing card"));
                    let (_, below) = text.split_once("nominal rate").unwrap();
                    let (below, _) = below.split_once("not known").unwrap();
                    let words: Vec<&str> = below.split_whitespace().collect();
                    let numbers = words
                        .iter()
                        .filter(|word| word.starts_with(|c: char| c.is_ascii_digit()));
                    let is_of_a_unit = |word: &&&str| **word != "1000";
                    let numbers = numbers.filter(is_of_a_unit).count();
                    assert_eq!(
                        below.matches("(nominal)").count(),
                        numbers,
                        "{format}: {text}"
                    );
                }
            }
        }
    }
}

#[test]
fn labels_on_record_count_beside_the_one_given() {
    // On record for every machine: 16 fl oz/acre or 1.2 L/ha of the growth regulator.
    for (rate, max, nominal, is_refused) in [
        ("12 fl oz/acre", None, false, false),
        ("20 fl oz/acre", None, false, true),
        ("20 fl oz/acre", Some("30 fl oz/acre"), false, true),
        ("20 fl oz/acre", Some("30 fl oz/acre"), true, true),
        ("12 fl oz/acre", Some("11 fl oz/acre"), false, true),
        ("12 fl oz/acre", Some("11 fl oz/acre"), true, true),
        ("12 fl oz/acre", Some("12.00 fl oz/acre"), false, false),
    ] {
        let products = vec![product("Growth  regulator", rate, max)];
        let asked = Asked {
            nominal,
            ..asked("godwit", None, "9 acres", products)
        };
        let card = card(&asked);
        let over = card.outcome.as_ref().err().into_iter().flatten();
        let is_over = |one: &Refusal| matches!(one, Refusal::Mix(Refused::OverLabel(_)));
        assert_eq!(
            over.filter(|one| is_over(one)).count() > 0,
            is_refused,
            "{rate} {max:?} {nominal}"
        );
    }
    let by_weight = card(&asked(
        "godwit",
        None,
        "9 acres",
        vec![product("growth regulator", "1 lb/acre", None)],
    ));
    assert!(
        by_weight
            .warnings
            .iter()
            .any(|one| matches!(one, Warning::UnlikeRecord { .. }))
    );
}

#[test]
fn what_the_uncertainty_or_a_minimum_makes_of_a_label_is_told() {
    let warnings =
        |products: Vec<Product>| card(&asked("godwit", None, "9 acres", products)).warnings;
    let at_max = warnings(vec![product("x", "9 fl oz/acre", Some("9 fl oz/acre"))]);
    assert!(
        at_max
            .iter()
            .any(|one| matches!(one, Warning::MayExceed { .. })),
        "{at_max:?}"
    );
    let below = warnings(vec![product("x", "8 fl oz/acre", Some("9 fl oz/acre"))]);
    assert!(
        !below
            .iter()
            .any(|one| matches!(one, Warning::MayExceed { .. }))
    );
    let none = warnings(vec![product("x", "8 fl oz/acre", None)]);
    assert!(
        none.iter()
            .any(|one| matches!(one, Warning::NoMaximum { .. }))
    );
    let mut low = product("x", "8 fl oz/acre", None);
    low.labels.push(Label {
        min: Some(quantity("1 pt/acre")),
        max: None,
        from: LabelFrom::Asked,
    });
    let low = warnings(vec![low]);
    assert!(
        low.iter()
            .any(|one| matches!(one, Warning::UnderLabel { .. }))
    );
}

/// Mixed for a nominal rate that is lower than the actual one, more goes on than was meant, and the mix runs out early.
#[test]
fn the_nominal_mix_is_held_against_the_actual_rate() {
    let products = [product("x", "10 fl oz/acre", Some("10.5 fl oz/acre"))];
    let job = |basis, actual: &str| {
        let actual = quantity(actual);
        let nominal = quantity("40 gal/acre");
        let actual = Actual {
            value: actual.si(),
            expanded: 0.0,
            unit: actual.unit,
        };
        Job {
            area: quantity("10 acres"),
            tank: quantity("140 gal"),
            products: &products,
            equal_loads: false,
            rate: match basis {
                Basis::Actual => MixedAt::Actual {
                    actual,
                    nominal: Some(nominal),
                },
                Basis::Nominal => MixedAt::Nominal {
                    nominal,
                    actual: Some(actual),
                },
            },
        }
        .mix()
        .unwrap()
    };
    let (mix, _) = job(Basis::Actual, "44 gal/acre").unwrap();
    let beside = mix.beside.unwrap();
    assert!((beside.off - 0.1).abs() < 1e-12);
    let Leftover::Area(left) = beside.leftover else {
        panic!("{:?}", beside.leftover)
    };
    assert!((left / quantity("1 acre").si() - 10.0 / 11.0).abs() < 1e-9);
    assert!(
        beside.products[0].is_over_label,
        "11 fl oz/acre would go on"
    );
    assert!(matches!(
        job(Basis::Nominal, "44 gal/acre").unwrap_err()[..],
        [Refused::OverLabelOnGround(_)]
    ));
    let (mix, _) = job(Basis::Actual, "36 gal/acre").unwrap();
    let beside = mix.beside.unwrap();
    let Leftover::Mix(left) = beside.leftover else {
        panic!("{:?}", beside.leftover)
    };
    assert!((left / quantity("40 gal").si() - 1.0).abs() < 1e-9);
    assert!(!beside.products[0].is_over_label);
    let (mix, _) = job(Basis::Nominal, "36 gal/acre").unwrap();
    assert_eq!(mix.beside, None);
}

/// A waiver is told with its reason, and an interval that has run out is a warning.
#[test]
fn waived_and_overdue_steps_are_warnings() {
    let heron = asked("heron", None, "9 acres", Vec::new());
    let mut files = tree(&folder().join("base"));
    let visit = files.get_mut("calibrations/heron/2026-03-09.yaml").unwrap();
    let (good, bad) = ("left: [36.5, 36.0, 36.5]", "left: [36.5, 36.0, 42.0]");
    assert!(visit.contains(good));
    *visit = visit.replace(good, bad);
    let failing = card_of(&files, TODAY, &heron).unwrap();
    assert!(failing.outcome.is_err());
    let waiver = "record: waivers\nwaivers:\n  - {rule: nozzle-off-mean, machine: heron, reason: parts on order, by: ko, \
        from: 2026-03-10, until: 2027-07-15}\n";
    files.insert("waivers.yaml".to_owned(), waiver.to_owned());
    let waived = card_of(&files, TODAY, &heron).unwrap();
    let is_waived =
        |one: &Warning| matches!(one, Warning::Waived { waivers, .. } if waivers.len() == 1);
    assert!(waived.outcome.is_ok());
    assert!(
        waived.warnings.iter().any(is_waived),
        "{:?}",
        waived.warnings
    );
    assert!(tank_csv(&waived).contains("parts on order, until 2027-07-15"));

    let stint = asked("stint", None, "9 acres", Vec::new());
    let overdue = card_of(&SALTMERE, date(2027, 6, 1), &stint).unwrap();
    let is_overdue =
        |one: &Warning| matches!(one, Warning::Due(step) if step.state == DueState::Overdue);
    assert!(overdue.outcome.is_ok());
    assert!(
        overdue.warnings.iter().any(is_overdue),
        "{:?}",
        overdue.warnings
    );
}

#[test]
fn kept_outputs() {
    let iron = || {
        vec![
            product("growth regulator", "12 fl oz/acre", None),
            product("iron", "5 lb/acre", Some("12 lb/acre")),
        ]
    };
    let us = card(&asked("godwit", None, "12 acres", iron()));
    let si = card(&Asked {
        equal_loads: true,
        ..asked(
            "curlew",
            None,
            "4.6 ha",
            vec![
                product("wetting agent", "4 L/ha", None),
                product("iron", "9 kg/ha", None),
            ],
        )
    });
    let refused = card(&asked("heron", Some("greens"), "24000 ft2", iron()));
    let nominal = card(&Asked {
        nominal: true,
        ..asked(
            "heron",
            Some("greens"),
            "24000 ft2",
            vec![product("sand", "0.2 fl oz/1000 ft2", None)],
        )
    });
    for (name, card) in [
        ("us", us),
        ("si", si),
        ("refused", refused),
        ("nominal", nominal),
    ] {
        for (format, text) in all_formats(&card) {
            insta::assert_snapshot!(format!("tank-{name}-{format}"), text.replace('\r', "␍"));
        }
    }
}

#[test]
fn no_name_drives_a_log() {
    let mut products: Vec<Product> = HOSTILE
        .iter()
        .map(|name| product(name, "1 fl oz/acre", None))
        .collect();
    products.retain(|product| !product.name.trim().is_empty());
    let given = card(&asked("godwit", None, "9 acres", products.clone()));
    assert!(given.outcome.is_ok());
    for product in &mut products {
        product.labels.push(Label {
            min: None,
            max: Some(quantity("0.5 fl oz/acre")),
            from: LabelFrom::Asked,
        });
    }
    let refused = card(&asked("godwit", None, "9 acres", products));
    for card in [given, refused] {
        for (format, text) in all_formats(&card) {
            assert_harmless(format, &text, line_end(format));
        }
    }
    let names: Vec<&str> = TANK_FORMATS.iter().map(|format| format.name).collect();
    assert_eq!(names, ["text", "markdown", "csv", "jsonl"]);
}
