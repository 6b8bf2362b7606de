//! What no text may ever advise, told by regular expressions: whatever the words are, a technician must not be sent wrong.

use crate::bench::told::{Finding, Told};
use crate::fixture::Files;
use regex::Regex;
use std::sync::LazyLock;

/// A pressure, with its number and unit.
static PRESSURE: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"(?:^|[^\d.,])(\d[\d,]*(?:\.\d+)?)\s?(psi|bar|kPa)\b").unwrap());

/// A number to enter or set.
static TO_ENTER: LazyLock<Regex> = LazyLock::new(|| {
    let what = r"(?:factor|width|pressure|speed|rate|spacing|size)";
    Regex::new(&format!(
        r"(?i)\b(?:enter|set|change|adjust|type|choose)\s(?:[^.;]{{0,60}}\b{what}\b[^.;]{{0,30}}?\bto\s)?(\d[\d,]*(?:\.\d+)?(?:\s[A-Za-z/]+)?)"
    ))
    .unwrap()
});

/// A tip to swap with.
static SWAP: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r"(?i)\bswap\b[^.;]*\bnozzle (\d+)").unwrap());

/// The sale of a set of tips.
static NEW_SET: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:replace|buy|order)\b[^.;]{0,20}\b(?:set|all (?:the )?(?:tips|nozzles)|whole boom)\b").unwrap()
});

/// Pressures beyond the gauge that no record has in these words; the end of the gauge's scale is in bar.
pub(crate) fn absurd(told: &Told, files: &Files, gauge_span: f64) -> Vec<String> {
    let is_written = |text: &str| files.values().any(|file| file.contains(text));
    let mut absurd = Vec::new();
    for finding in &told.findings {
        let words = finding.words();
        for found in PRESSURE.captures_iter(&words) {
            let (number, unit) = (&found[1], &found[2]);
            let value: f64 = number.replace(',', "").parse().unwrap();
            // 1 psi is 0.0689476 bar (NIST SP 811).
            let bar = value
                * if unit == "psi" {
                    0.068_947_6
                } else if unit == "kPa" {
                    0.01
                } else {
                    1.0
                };
            if bar > gauge_span * 1.0001 && !is_written(&format!("{number} {unit}")) {
                absurd.push(format!("beyond the gauge: `{number} {unit}`"));
            }
        }
    }
    absurd
}

/// A number that somebody is told to enter and no record has: nothing is to be entered that is worked out from a suspected
/// value.
pub(crate) fn enters_a_number(finding: &Finding, files: &Files) -> Option<String> {
    let found = TO_ENTER.captures(&finding.help)?;
    let is_written = files.values().any(|file| file.contains(&found[1]));
    (!is_written).then(|| found[0].to_owned())
}

/// The nozzle whose tip is to be swapped with the one that is out.
pub(crate) fn swap_with(finding: &Finding) -> Option<u16> {
    SWAP.captures(&finding.help)?.get(1)?.as_str().parse().ok()
}

/// A text that sells a set of tips.
pub(crate) fn sells_a_set(finding: &Finding) -> bool {
    NEW_SET.is_match(&finding.help)
}

#[cfg(test)]
mod tests {
    use super::{absurd, enters_a_number, sells_a_set, swap_with};
    use crate::bench::told::{Finding, Told};
    use crate::fixture::Files;

    fn help(text: &str) -> Finding {
        Finding {
            help: text.to_owned(),
            ..Finding::default()
        }
    }

    #[test]
    fn what_must_not_be_advised_is_seen() {
        let files = Files::from([("a".to_owned(), "pressure: 40 bar".to_owned())]);
        let says = |text: &str| {
            let told = Told {
                findings: vec![help(text)],
                ..Told::default()
            };
            !absurd(&told, &files, 4.2).is_empty()
        };
        assert!(
            says("set the pressure to 159 psi")
                && says("34,577\u{a0}psi")
                && says("as if at 5.08 bar")
        );
        assert!(!says("40 bar is written") && !says("as if at 30.2 psi") && !says("3.14 bar"));
        for text in [
            "enter 583.9, and do the meter test again",
            "set the speed factor to 11800",
            "check it. Change the flow factor from 620 to 584",
        ] {
            assert!(enters_a_number(&help(text), &files).is_some(), "{text}");
        }
        for text in [
            "catch again for 60 s",
            "set the pressure to 40 bar and catch again",
            "correct the setup in the machine file",
            "enter who altered it",
        ] {
            assert!(enters_a_number(&help(text), &files).is_none(), "{text}");
        }
        assert_eq!(
            swap_with(&help("swap the tip with the tip of nozzle 3. If")),
            Some(3)
        );
        assert!(sells_a_set(&help(
            "If more than three are high, replace the set"
        )));
        assert!(!sells_a_set(&help("replace the tip and catch again")));
    }
}
