//! What a card tells: the same in every format, each thing once, and advice only where it helps.

use super::{
    SALTMERE, TODAY, all_formats, asked, card, card_of, cells, lines_of_json, product, quantity,
};
use crate::fixture::{Files, folder, tree};
use serde_json::json;
use swathlint::render::{TANK_FORMATS, tank_csv, tank_jsonl, tank_text};
use swathlint::tank_mix::{Asked, Card};

fn bench(name: &str) -> Files {
    tree(&folder().join(format!("benches/{name}/good")))
}

fn warnings(card: &Card) -> Vec<String> {
    let all = card.warnings.iter();
    all.map(swathlint::wording::tank::warning).collect()
}

/// Text without what wrapping and markup put into it.
fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").replace('\\', "")
}

/// Where to spray, the tests it stands on, and what the nominal rate would put on stand in every format that says that it
/// leaves nothing out.
#[test]
fn every_format_tells_where_to_spray_and_what_the_rate_stands_on() {
    let products = vec![product("x", "9 fl oz/acre", Some("9 fl oz/acre"))];
    // A boom that puts out less than is meant would put on more than is meant, mixed for the nominal rate.
    let mut files = bench("lapwing");
    let machine = files.get_mut("machines/lapwing.yaml").unwrap();
    *machine = machine.replace("rate: 32 gal/acre", "rate: 31 gal/acre");
    let over = card_of(&files, TODAY, &asked("lapwing", None, "5 acres", products)).unwrap();
    let leaves_out = TANK_FORMATS
        .iter()
        .flat_map(|format| (format.leaves_out)(&over));
    assert_eq!(leaves_out.count(), 0);
    for (format, text) in all_formats(&over) {
        let text = plain(&text);
        let driven = "in the gear and at the throttle of the last speed test";
        for says in [driven, "by calibration", "over the label maximum"] {
            let is_told = text.contains(says) || (format == "jsonl" && says == driven);
            assert!(is_told, "{format}: {says}: {text}");
        }
    }
    let sentence =
        "spray at the setup's 35 psi, in the gear and at the throttle of the last speed test";
    assert!(plain(&tank_text(&over, &super::LOOK)).contains(sentence));

    let csv = tank_csv(&over);
    let of_kind = |kind: &str| -> Vec<Vec<&str>> {
        let lines = csv.lines().map(cells);
        lines.filter(|cells| cells[4] == kind).collect()
    };
    assert_eq!(of_kind("pressure")[0][7..9], ["35", "psi"]);
    assert!(of_kind("speed").is_empty(), "the operator drives it");
    assert_eq!(of_kind("as-driven").len(), 1);
    let tests = of_kind("last-test");
    let tests: Vec<&str> = tests.iter().map(|cells| cells[10]).collect();
    assert_eq!(tests, ["catch test 2026-04-20", "speed test 2026-04-20"]);
    assert_eq!(of_kind("nominal-beside-actual").len(), 3);

    let jsonl = lines_of_json(&tank_jsonl(&over));
    let works_at = json!({
        "pressure": {"value": 35.0, "unit": "psi"},
        "speed": null,
        "as-driven": true,
    });
    assert_eq!(jsonl[0]["numbers"]["works-at"], works_at);
    let rate = json!({"value": 9.0, "unit": "fl oz/acre"});
    assert_eq!(jsonl[1]["products"][0]["rate"], rate);
}

/// A setup that declares no pressure is sprayed as it was driven all the same.
#[test]
fn the_gear_and_the_throttle_are_told_without_a_pressure() {
    let mut card = card_of(
        &bench("lapwing"),
        TODAY,
        &asked("lapwing", None, "5 acres", Vec::new()),
    )
    .unwrap();
    card.works_at.pressure = None;
    let text = plain(&tank_text(&card, &super::LOOK));
    assert!(
        text.contains("spray in the gear and at the throttle of the last speed test"),
        "{text}"
    );
}

/// What a refused card points at, and what no nominal number may be used for, is in every format.
#[test]
fn places_and_the_word_on_nominal_numbers_are_in_every_format() {
    let refused = card(&asked("heron", Some("fairways"), "3 acres", Vec::new()));
    let nominal = card(&Asked {
        nominal: true,
        ..asked("heron", Some("fairways"), "3 acres", Vec::new())
    });
    for ((format, refused), (_, nominal)) in
        all_formats(&refused).into_iter().zip(all_formats(&nominal))
    {
        assert!(
            plain(&refused).contains("service/heron/2026-05-02.yaml"),
            "{format}"
        );
        assert!(
            plain(&nominal).contains("Do not spray by it until the machine is ready"),
            "{format}"
        );
    }
}

/// A record that has a maximum and a minimum of a label is told of once.
#[test]
fn a_record_with_another_kind_of_label_is_told_once() {
    let products = vec![product("iron", "3 fl oz/1000 ft2", None)];
    let told = warnings(&card(&asked(
        "heron",
        Some("fairways"),
        "8.5 acres",
        products,
    )));
    let unlike = told
        .iter()
        .filter_map(|one| one.split_once(" has the label of iron by weight"));
    let paths: Vec<&str> = unlike.map(|(path, _)| path).collect();
    let both = [
        "applications/sanderling/2026-05-18.yaml",
        "applications/heron/2026-03-24.yaml",
    ];
    assert_eq!(paths, both);
    for path in both {
        let record = &SALTMERE[path];
        assert!(
            record.contains("label: {min: ") && record.contains(", max: "),
            "{path}"
        );
    }
}

/// Equal loads are advised where they make a difference: beside full loads, and not where they were asked for.
#[test]
fn equal_loads_are_advised_only_where_they_help() {
    let files = bench("robin");
    for (area, equal_loads, is_small, is_advised) in [
        ("0.15 acre", false, true, false),
        ("0.15 acre", true, true, false),
        ("2.1 acres", false, true, true),
        ("2.1 acres", true, false, false),
    ] {
        let asked = Asked {
            equal_loads,
            ..asked("robin", None, area, Vec::new())
        };
        let warnings = warnings(&card_of(&files, TODAY, &asked).unwrap());
        let small = warnings
            .iter()
            .filter(|one| one.contains("10% of the tank"));
        let small: Vec<&String> = small.collect();
        assert_eq!(small.len(), usize::from(is_small), "{area}: {warnings:?}");
        let n_advised = small.iter().filter(|one| one.contains("--equal-loads"));
        assert_eq!(
            n_advised.count(),
            usize::from(is_advised),
            "{area}: {small:?}"
        );
    }
}

/// The same of a product that a load takes too little of.
#[test]
fn equal_loads_are_advised_where_they_take_enough_of_a_product() {
    let files = bench("robin");
    for (area, rate, equal_loads, is_advised) in [
        // A part load of 0.007 acres takes 0.07 fl oz.
        ("2.04 acres", "10 fl oz/acre", false, true),
        // Neither do the full loads take a tenth of a fluid ounce.
        ("2.04 acres", "0.04 fl oz/acre", false, false),
        ("2.04 acres", "0.04 fl oz/acre", true, false),
        // There is but one load.
        ("0.001 acres", "10 fl oz/acre", false, false),
    ] {
        let asked = Asked {
            equal_loads,
            area: quantity(area),
            ..asked("robin", None, "1 acre", vec![product("x", rate, None)])
        };
        let refused = card_of(&files, TODAY, &asked).unwrap().outcome.unwrap_err();
        let against = swathlint::wording::tank::against(&refused[0]);
        assert!(
            against.says.contains("less of x than a jug"),
            "{area} {rate}: {against:?}"
        );
        let advises = against.to_do.contains("--equal-loads");
        assert_eq!(advises, is_advised, "{area} {rate}: {against:?}");
        // What is advised is true.
        let followed = Asked {
            equal_loads: true,
            ..asked
        };
        let followed = card_of(&files, TODAY, &followed).unwrap();
        assert_eq!(followed.outcome.is_ok(), is_advised, "{area} {rate}");
    }
}
