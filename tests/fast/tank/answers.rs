//! What cannot be answered gets a clear answer, and no number.

use super::{SALTMERE, TODAY, asked, card, card_of, quantity};
use crate::fixture::{folder, listing, reading};
use std::process::{Command, Output};
use swathlint::projection;
use swathlint::tank_mix::{CannotMix, Refusal, Warning};

fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_swathlint"))
        .arg("tank")
        .args(words)
        .args(["--today", "2026-06-01"])
        .current_dir(folder().join("saltmere"))
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

/// What cannot be answered gets a clear answer, and no number.
#[test]
fn bad_input_gets_clear_answers() {
    let rows: &[(&[&str], i32, &str)] = &[
        (
            &["godwti", "--area", "3 acres"],
            2,
            "did you mean `godwit`?",
        ),
        (
            &["heron", "--area", "3 acres"],
            2,
            "add --setup fairways or --setup greens",
        ),
        (
            &["heron", "--setup", "green", "--area", "3 acres"],
            2,
            "did you mean `greens`?",
        ),
        (&["dowitcher", "--area", "3 acres"], 2, "out of service"),
        (
            &["knot", "--setup", "fairways", "--area", "3 acres"],
            2,
            "at machines/knot.yaml:18:172",
        ),
        (
            &[
                "knot",
                "--setup",
                "fairways",
                "--area",
                "3 acres",
                "--nominal",
            ],
            2,
            "at machines/knot.yaml:18:172",
        ),
        (&["godwit"], 2, "--area"),
        (&["godwit", "--area", "0 acres"], 2, "must be above zero"),
        (&["godwit", "--area=-3 acres"], 2, "must be above zero"),
        (&["godwit", "--area", "1e30 acres"], 2, "power of ten"),
        (&["godwit", "--area", "NaN"], 2, "NaN"),
        (&["godwit", "--area", "3"], 2, "has no unit"),
        (&["godwit", "--area", "3 gal"], 2, "an area is needed"),
        (
            &["godwit", "--area", "99999999 acres"],
            2,
            "more than 1000 loads",
        ),
        (
            &["godwit", "--area", "3 acres", "--tank", "0 gal"],
            2,
            "must be above zero",
        ),
        (
            &["godwit", "--area", "3 acres", "--tank", "99999 gal"],
            2,
            "larger than any",
        ),
        (
            &["godwit", "--area", "3 acres", "--tank", "3 acres"],
            2,
            "a volume is needed",
        ),
        (
            &["godwit", "--area", "3 acres", "--product", "iron"],
            2,
            "--product",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "iron",
                "3 oz/acre",
            ],
            2,
            "3 wt oz/acre",
        ),
        (
            &["godwit", "--area", "3 acres", "--product", "iron", "3 psi"],
            2,
            "is a pressure",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "iron",
                "0 lb/acre",
            ],
            2,
            "must be above zero",
        ),
        (
            &["godwit", "--area", "3 acres", "--product", " ", "3 lb/acre"],
            2,
            "has no name",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "a",
                "3 lb/acre",
                "--product",
                "A",
                "3 lb/acre",
            ],
            2,
            "named twice",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "iron",
                "3 lb/acre",
                "--label-max",
                "iorn",
                "3 lb/acre",
            ],
            2,
            "did you mean `iron`?",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "x",
                "3 lb/acre",
                "--label-max",
                "x",
                "3 pt/acre",
            ],
            2,
            "by volume",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "x",
                "3 lb/acre",
                "--label-max",
                "x",
                "3 lb/acre",
                "--label-min",
                "x",
                "4 lb/acre",
            ],
            2,
            "above its maximum",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "x",
                "3 lb/acre",
                "--label-max",
                "x",
                "3 lb/acre",
                "--label-max",
                "x",
                "4 lb/acre",
            ],
            2,
            "twice",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "x",
                "300 gal/acre",
            ],
            1,
            "would fill a load",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "x",
                "9999 lb/acre",
            ],
            1,
            "would fill a load",
        ),
        (
            &[
                "godwit",
                "--area",
                "1 ft2",
                "--product",
                "x",
                "1 fl oz/acre",
            ],
            1,
            "less of x than a jug",
        ),
        (
            &[
                "godwit",
                "--area",
                "3 acres",
                "--product",
                "x",
                "1 fl oz/acre",
            ],
            0,
            "full tank",
        ),
    ];
    for (words, code, says) in rows {
        let output = run(words);
        let text = [output.stdout.clone(), output.stderr.clone()].concat();
        let text = String::from_utf8(text).unwrap();
        let in_one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(in_one_line.contains(says), "{words:?}: {text}");
        assert_eq!(output.status.code(), Some(*code), "{words:?}: {text}");
        if *code > 0 {
            assert!(!text.contains("full load"), "{words:?}: {text}");
        }
    }
}

/// A tank that nobody gives is no number either.
#[test]
fn a_machine_without_a_tank_needs_one() {
    let mut files = SALTMERE.clone();
    let text = files.get_mut("machines/godwit.yaml").unwrap();
    *text = text.replace("tank: 175 gal\n", "");
    let mut asked = asked("godwit", None, "9 acres", Vec::new());
    assert!(matches!(
        card_of(&files, TODAY, &asked),
        Err(CannotMix::NoTank { .. })
    ));
    asked.tank = Some(quantity("175 gal"));
    let given = card_of(&files, TODAY, &asked).unwrap();
    assert_eq!(given.outcome.unwrap(), card(&asked).outcome.unwrap());
    asked.tank = Some(quantity("180 gal"));
    let larger = card(&asked).warnings;
    assert!(larger.iter().any(|one| matches!(
        one,
        Warning::OtherTank {
            is_larger: true,
            ..
        }
    )));
}

/// A visit that cannot be read may be the latest, and a file that cannot be read at all may say anything.
#[test]
fn what_cannot_be_read_leaves_no_number() {
    let asked = asked("godwit", None, "9 acres", Vec::new());
    let mut files = SALTMERE.clone();
    files.insert(
        "calibrations/godwit/2026-05-30.yaml".to_owned(),
        "record: calibration\n\t- : {".to_owned(),
    );
    let card = card_of(&files, TODAY, &asked).unwrap();
    let refusals = card.outcome.unwrap_err();
    assert!(
        refusals
            .iter()
            .any(|one| matches!(one, Refusal::NotKnown(_))),
        "{refusals:?}"
    );
    let unreadable = |path: &str| {
        if path == "fleet.yaml" {
            return Err("permission denied".to_owned());
        }
        reading(&SALTMERE)(path)
    };
    let cannot = projection::tank(&listing(&SALTMERE), &unreadable, TODAY, &asked);
    assert!(matches!(cannot, Err(CannotMix::NotRead { .. })));
}
