//! What nobody can read, or does not fit together, gives no quantities: neither a label nor a test is passed over in silence.

use super::{SALTMERE, TODAY, asked, card_of, product};
use crate::fixture::{Files, folder, tree};
use swathlint::tank_mix::{Card, Product, Refusal};
use swathlint::wording::tank::{against, warning};

const IRON: &str = "applications/whimbrel/2025-10-01.yaml";
const ROBIN: &str = "machines/robin.yaml";

fn robin() -> Files {
    tree(&folder().join("benches/robin/good"))
}

fn changed(mut files: Files, path: &str, from: &str, to: &str) -> Files {
    let text = files.get_mut(path).unwrap();
    assert!(text.contains(from), "{from} is not in {path}:\n{text}");
    *text = text.replace(from, to);
    files
}

fn iron(max: Option<&str>) -> Vec<Product> {
    vec![product("Iron", "12 kg/ha", max)]
}

fn curlew(files: &Files, products: Vec<Product>) -> Card {
    card_of(files, TODAY, &asked("curlew", None, "4.6 ha", products)).unwrap()
}

fn refusals(card: &Card) -> Vec<String> {
    let refused: &[Refusal] = card.outcome.as_ref().err().map_or(&[], Vec::as_slice);
    refused.iter().map(|one| against(one).says).collect()
}

#[test]
fn a_label_that_may_stand_in_a_record_with_an_error_gives_no_quantities() {
    let saltmere = || SALTMERE.clone();
    assert_eq!(
        refusals(&curlew(&saltmere(), iron(None))),
        Vec::<String>::new()
    );
    let says = format!("{IRON} has an error and names Iron: its label maximum may not count");
    for (from, to) in [
        ("record: application", "record application"),
        ("date: 2025-10-01", "date: 1.10.2025"),
        ("date: 2025-10-01", "date: 2062-10-01"),
        ("max: 16 kg/ha", "max: 16 kg"),
        ("tanks:", "tank:"),
    ] {
        let files = changed(saltmere(), IRON, from, to);
        assert_eq!(
            refusals(&curlew(&files, iron(None))),
            [says.as_str()],
            "{to}"
        );
        // The label in the hand of who asks is worth more than any record of it; and no other product is concerned.
        assert!(
            curlew(&files, iron(Some("16 kg/ha"))).outcome.is_ok(),
            "{to}"
        );
        let other = vec![product("wetting agent", "4 L/ha", None)];
        assert!(curlew(&files, other).outcome.is_ok(), "{to}");
    }
}

#[test]
fn an_error_in_a_record_since_the_last_tests_gives_no_quantities() {
    let says =
        "a record of this machine has an error since its last tests, so what it says may not count";
    let record = |day: &str, what: &str| {
        let mut files = robin();
        let (folder, kind) = if what.starts_with("work") {
            ("service", "service")
        } else {
            ("calibrations", "calibration")
        };
        let text = format!("record: {kind}\nmachine: robin\ndate: {day}\nby: rm\n{what}\n");
        files.insert(format!("{folder}/robin/{day}.yaml"), text);
        let card = card_of(&files, TODAY, &asked("robin", None, "4 acres", Vec::new()));
        refusals(&card.unwrap())
    };
    let setup = "setup: green\ncatch-tests: [{pressure: 40 psi}]";
    let catch = "setup: greens\ncatch-test: [{pressure: 40 psi}]";
    let fitted = "work:\n  - {nozzle-fitted: {setup: greens}}";
    for what in [setup, catch, fitted] {
        assert!(
            record("2026-05-30", what).contains(&says.to_owned()),
            "{what}"
        );
        // Before those tests it may say what it wants.
        assert!(
            !record("2025-11-30", what).contains(&says.to_owned()),
            "{what}"
        );
    }
}

#[test]
fn a_setup_whose_values_do_not_fit_gives_no_quantities() {
    let says = "the setup's tips, pressure, speed, and rate do not fit each other";
    let card = |rate: &str| {
        let files = changed(robin(), ROBIN, "rate: 79 gal/acre", rate);
        card_of(&files, TODAY, &asked("robin", None, "4 acres", Vec::new())).unwrap()
    };
    assert!(card("rate: 77 gal/acre").outcome.is_ok());
    assert_eq!(refusals(&card("rate: 60 gal/acre")), [says]);
}

/// Whoever raises a maximum in a new record is told of the older one.
#[test]
fn an_older_lower_maximum_of_the_machine_is_told() {
    let mut files = SALTMERE.clone();
    files.retain(|path, _| {
        !path.starts_with("applications/") || path.starts_with("applications/stint/")
    });
    let has_iron = |(_, text): &(&String, &String)| text.contains("name: iron");
    let paths: Vec<String> = files
        .iter()
        .filter(has_iron)
        .map(|(path, _)| path.clone())
        .collect();
    let [.., older, last] = paths.as_slice() else {
        panic!("{paths:?}");
    };
    let files = changed(files.clone(), last, "max: 6 lb/acre", "max: 60 lb/acre");
    let products = vec![product("iron", "12 lb/acre", None)];
    let card = card_of(&files, TODAY, &asked("stint", None, "3 acres", products)).unwrap();
    let told: Vec<String> = card.warnings.iter().map(warning).collect();
    let of_older = |line: &String| line.contains("label maximum of 6 lb/acre for iron");
    assert!(told.iter().any(of_older), "{older}: {told:?}");
}
