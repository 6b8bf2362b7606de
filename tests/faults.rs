//! Faults as people make them, seeded into clean records: exactly what must be said, and where.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test reads the clean fixtures")]

mod fixture;

use fixture::{Files, checked, found};
use proptest::prelude::*;

const VISIT: &str = "calibrations/heron/2026-03-09.yaml";
const SHEET: &str = "machines/heron.yaml";
const FLEET: &str = "fleet.yaml";

/// One slip: what it replaces by what in which file, what must be found, and the text under the first label.
struct Slip {
    what: &'static str,
    file: &'static str,
    from: &'static str,
    to: &'static str,
    found: &'static [&'static str],
    under: &'static str,
}

const fn slip(
    what: &'static str,
    file: &'static str,
    (from, to): (&'static str, &'static str),
    found: &'static [&'static str],
    under: &'static str,
) -> Slip {
    Slip {
        what,
        file,
        from,
        to,
        found,
        under,
    }
}

const SLIPS: &[Slip] = &[
    slip(
        "swapped digits",
        VISIT,
        ("left: [36.5", "left: [63.5"),
        &["nozzle-off-mean error"],
        "63.5",
    ),
    slip(
        "a decimal comma in a list",
        VISIT,
        ("[37.0, 36.5]", "[37,0, 36,5]"),
        &["unlike-boom error"],
        "37,0, 36,5",
    ),
    slip(
        "a decimal comma in a quantity",
        VISIT,
        ("shown: 34.3 gal", "shown: \"34,3 gal\""),
        &["unreadable-number error"],
        "\"34,3 gal\"",
    ),
    slip(
        "a wrong unit",
        VISIT,
        ("known-volume: 34.2 gal", "known-volume: 34.2 psi"),
        &["wrong-unit error"],
        "psi",
    ),
    slip(
        "a dropped unit",
        VISIT,
        ("duration: 30 s", "duration: 30"),
        &["missing-unit error"],
        "30",
    ),
    slip(
        "a bare ounce",
        VISIT,
        ("unit: fl oz", "unit: oz"),
        &["unknown-unit error"],
        "oz",
    ),
    slip(
        "litres for gallons",
        VISIT,
        ("shown: 34.3 gal", "shown: 34.3 L"),
        &["meter-off error"],
        "34.3 L",
    ),
    slip(
        "a reading too many",
        VISIT,
        ("[37.0, 36.5]", "[37.0, 36.5, 36.5]"),
        &["unlike-boom error"],
        "37.0, 36.5, 36.5",
    ),
    slip(
        "a reading left out",
        VISIT,
        ("[37.0, 36.5]", "[37.0]"),
        &["unlike-boom error"],
        "37.0",
    ),
    slip(
        "a tip worn by 15 %",
        VISIT,
        ("left: [36.5, 36.0, 36.5]", "left: [36.5, 41.5, 36.5]"),
        &["nozzle-off-mean error"],
        "41.5",
    ),
    slip(
        "two worn tips",
        VISIT,
        ("left: [36.5, 36.0, 36.5]", "left: [42.5, 42.5, 36.5]"),
        &["nozzle-off-mean error", "nozzle-off-mean error"],
        "42.5",
    ),
    slip(
        "a missed nozzle",
        VISIT,
        ("36.0, 36.5]", "missed, 36.5]"),
        &["nozzle-not-caught warning"],
        "missed",
    ),
    slip(
        "missed misspelt",
        VISIT,
        ("36.0, 36.5]", "mised, 36.5]"),
        &["unreadable-number error"],
        "mised",
    ),
    slip(
        "a negative reading",
        VISIT,
        ("36.0, 36.5]", "-36.0, 36.5]"),
        &["unreadable-number error"],
        "-36.0",
    ),
    slip(
        "a missing catch time",
        VISIT,
        ("    duration: 30 s\n", ""),
        &["missing-key error"],
        "pressure",
    ),
    slip(
        "a misspelt key",
        VISIT,
        ("speed-tests:", "sped-tests:"),
        &["unknown-key error"],
        "sped-tests",
    ),
    slip(
        "a misspelt setup",
        VISIT,
        ("setup: fairways", "setup: fairway"),
        &["unknown-setup error"],
        "fairway",
    ),
    slip(
        "a misspelt section",
        VISIT,
        ("      right: [37", "      rigth: [37"),
        &["unknown-section error"],
        "rigth",
    ),
    slip(
        "a date that does not exist",
        VISIT,
        ("date: 2026-03-09", "date: 2026-03-39"),
        &["unreadable-date error"],
        "2026-03-39",
    ),
    slip(
        "last year's date",
        VISIT,
        ("date: 2026-03-09", "date: 2025-03-09"),
        &["date-unlike-name warning", "overdue warning"],
        "2025-03-09",
    ),
    slip(
        "a date in the future",
        VISIT,
        ("date: 2026-03-09", "date: 2026-09-03"),
        &["date-in-future error", "date-unlike-name warning"],
        "2026-09-03",
    ),
    slip(
        "somebody else's initials",
        VISIT,
        ("by: rm", "by: mr"),
        &["unknown-person warning"],
        "mr",
    ),
    slip(
        "another jug",
        VISIT,
        ("jug: jug-2", "jug: jug-3"),
        &["unknown-instrument warning"],
        "jug-3",
    ),
    slip(
        "half the pressure",
        VISIT,
        ("pressure: 36 psi", "pressure: 18 psi"),
        &["mean-off-rated error", "pressure-off-setup warning"],
        "18 psi",
    ),
    slip(
        "bar for psi",
        VISIT,
        ("pressure: 36 psi", "pressure: 36 bar"),
        &["mean-off-rated error", "pressure-off-setup warning"],
        "36 bar",
    ),
    slip(
        "a duplicate key",
        VISIT,
        ("hours: 412 h", "hours: 412 h\nhours: 413 h"),
        &["duplicate-key error"],
        "hours",
    ),
    slip(
        "a tab",
        VISIT,
        ("    duration: 30 s", "\tduration: 30 s"),
        &["unreadable-yaml error"],
        "\t",
    ),
    slip(
        "an unclosed bracket",
        VISIT,
        ("[37.0, 36.5]", "[37.0, 36.5"),
        &["unreadable-yaml error"],
        "meter-tests",
    ),
    slip(
        "another machine's record",
        VISIT,
        ("machine: heron", "machine: dunlin"),
        &["unlike-folder error"],
        "dunlin",
    ),
    slip(
        "a run timed wrong",
        VISIT,
        ("elapsed: 32.4 s", "elapsed: 23.4 s"),
        &["runs-apart warning", "speed-off-setup warning"],
        "200 ft",
    ),
    slip(
        "a short course",
        VISIT,
        ("distance: 200 ft", "distance: 20 ft"),
        &[
            "course-short warning",
            "speed-off-setup warning",
            "speed-sensor-off error",
        ],
        "20 ft",
    ),
    slip(
        "a section forgotten",
        VISIT,
        ("    - {sections: [right], as-found: 40.4 gal/acre}\n", ""),
        &["section-not-tested warning"],
        "section-balance",
    ),
    slip(
        "a section out of balance",
        VISIT,
        ("as-found: 40.4", "as-found: 44.4"),
        &["section-off-change-under-control warning"],
        "44.4 gal/acre",
    ),
    slip(
        "a width entered wrong",
        SHEET,
        ("entered-width: 40 in", "entered-width: 60 in"),
        &["entered-width-off error"],
        "60 in",
    ),
    slip(
        "spacing in feet",
        SHEET,
        ("spacing: 20 in", "spacing: 20 ft"),
        &["entered-width-off error", "entered-width-off error"],
        "60 in",
    ),
    slip(
        "a size that is none",
        SHEET,
        ("size: \"06\"", "size: \"60x\""),
        &["unreadable-size error"],
        "\"60x\"",
    ),
    slip(
        "a size unquoted",
        SHEET,
        ("size: \"06\"", "size: 06"),
        &["read-differently warning"],
        "06",
    ),
    slip(
        "another size than fitted",
        SHEET,
        ("size: \"06\"", "size: \"08\""),
        &["mean-off-rated error"],
        "caught",
    ),
    slip(
        "gal/1000 ft2 for gal/acre",
        SHEET,
        ("rate: 40 gal/acre", "rate: 40 gal/1000 ft2"),
        &["running-pressure-off note"],
        "caught",
    ),
    slip(
        "a machine renamed in its sheet",
        SHEET,
        ("id: heron", "id: dunlin"),
        &["unlike-file-name error"],
        "dunlin",
    ),
    slip(
        "put in service after its visit",
        SHEET,
        ("in-service: 2024-03-01", "in-service: 2026-04-01"),
        &["before-in-service warning"],
        "2026-03-09",
    ),
    slip(
        "a limit of a rule that is none",
        FLEET,
        (
            "usual:",
            "limits: {nozzle-of-mean: {error: 5 %, because: fine turf}}\nusual:",
        ),
        &["unknown-rule error"],
        "nozzle-of-mean",
    ),
    slip(
        "a limit in psi",
        FLEET,
        (
            "usual:",
            "limits: {nozzle-off-mean: {error: 5 psi, because: fine turf}}\nusual:",
        ),
        &["wrong-limit error"],
        "5 psi",
    ),
    slip(
        "a limit without a reason",
        FLEET,
        ("usual:", "limits: {nozzle-off-mean: {error: 5 %}}\nusual:"),
        &["missing-key error"],
        "nozzle-off-mean",
    ),
];

fn base() -> Files {
    fixture::tree(&fixture::folder().join("base"))
}

#[test]
fn every_slip_is_told_once_and_on_its_characters() {
    let mut wrong = Vec::new();
    for slip in SLIPS {
        let mut files = base();
        let text = files.get_mut(slip.file).unwrap();
        assert!(
            text.contains(slip.from),
            "{}: nothing to replace",
            slip.what
        );
        *text = text.replacen(slip.from, slip.to, 1);
        let report = checked(&files, "2026-06-01");
        let found: Vec<String> = found(&report)
            .iter()
            .map(|found| found.split_once(' ').unwrap().1.to_owned())
            .collect();
        let mut sorted = found.clone();
        sorted.sort();
        let under = report.findings.first().map(|finding| {
            let place = finding.primary().place;
            report
                .sources
                .get(place.file)
                .unwrap()
                .slice(place.span)
                .to_owned()
        });
        if sorted != slip.found || under.as_deref() != Some(slip.under) {
            let messages: Vec<&str> = report
                .findings
                .iter()
                .map(swathlint::diagnostic::Diagnostic::message)
                .collect();
            wrong.push(format!(
                "{}: {sorted:?} under {under:?}: {messages:#?}",
                slip.what
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any one character changed, in any file: an answer, within the text, and never a panic.
    #[test]
    fn any_one_character_may_be_wrong(
        which in any::<proptest::sample::Index>(),
        at in any::<proptest::sample::Index>(),
        to in proptest::sample::select(" -:,.[]{}'\"#0159eabn%/\t\n\u{feff}é".chars().collect::<Vec<_>>()),
    ) {
        let mut files = base();
        let path = files.keys().nth(which.index(files.len())).unwrap().clone();
        let mut characters: Vec<char> = files[&path].chars().collect();
        let at = at.index(characters.len());
        characters[at] = to;
        files.insert(path, characters.into_iter().collect());
        let report = checked(&files, "2026-06-01");
        for finding in &report.findings {
            for label in std::iter::once(finding.primary()).chain(finding.related()) {
                let source = report.sources.get(label.place.file).unwrap();
                prop_assert!(source.text().get(label.place.span.range()).is_some());
            }
        }
        prop_assert!(report.failures.is_empty());
    }
}
