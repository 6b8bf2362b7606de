//! Faults as people make them, seeded into clean records: exactly what must be said, and where.

use crate::fixture::{self, Files, checked_by_rules, found};
use proptest::prelude::*;
use std::collections::BTreeSet;
use swathlint::finding::WEAK_TEST;
use swathlint::outcome::Grade;
use swathlint::rule::RuleSet;

const VISIT: &str = "calibrations/heron/2026-03-09.yaml";
const MACHINE_FILE: &str = "machines/heron.yaml";
const FLEET: &str = "fleet.yaml";
const REDSHANK_FILE: &str = "machines/redshank.yaml";
const REDSHANK: &str = "calibrations/redshank/2026-03-03.yaml";
const SANDERLING: &str = "calibrations/sanderling/2026-03-16.yaml";

/// One slip: what it replaces by what in which file, what must be found, and the text under the first label.
struct Slip {
    what: &'static str,
    file: &'static str,
    from: &'static str,
    to: &'static str,
    /// A second slip of the same hand: file, what it replaces, by what.
    also: Option<(&'static str, &'static str, &'static str)>,
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
        also: None,
        found,
        under,
    }
}

impl Slip {
    const fn also(mut self, file: &'static str, (from, to): (&'static str, &'static str)) -> Self {
        self.also = Some((file, from, to));
        self
    }

    /// The clean records with the slip in them: the small repository, or the fleet that has the file.
    fn made(&self) -> Files {
        let base = tree("base");
        let mut files = if base.contains_key(self.file) {
            base
        } else {
            tree("records")
        };
        for (file, from, to) in std::iter::once((self.file, self.from, self.to)).chain(self.also) {
            let text = files.get_mut(file).unwrap();
            assert!(text.contains(from), "{}: nothing to replace", self.what);
            *text = text.replacen(from, to, 1);
        }
        files
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
        "liters for gallons",
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
        "a tip worn by 15%",
        VISIT,
        ("left: [36.5, 36.0, 36.5]", "left: [36.5, 41.5, 36.5]"),
        &["nozzle-off-mean error"],
        "41.5",
    ),
    slip(
        "two worn tips",
        VISIT,
        ("left: [36.5, 36.0, 36.5]", "left: [42.5, 42.5, 36.5]"),
        &["nozzle-off-mean warning", "nozzle-off-mean warning"],
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
        &["date-in-future error"],
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
        &["beyond-gauge error"],
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
            "short-speed-course warning",
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
        MACHINE_FILE,
        ("entered-width: 40 in", "entered-width: 60 in"),
        &["entered-width-off error"],
        "60 in",
    ),
    slip(
        "spacing in feet",
        MACHINE_FILE,
        ("spacing: 20 in", "spacing: 20 ft"),
        &["entered-width-off error", "entered-width-off error"],
        "60 in",
    ),
    slip(
        "a size that is none",
        MACHINE_FILE,
        ("size: \"06\"", "size: \"60x\""),
        &["unreadable-size error"],
        "\"60x\"",
    ),
    slip(
        "a size unquoted",
        MACHINE_FILE,
        ("size: \"06\"", "size: 06"),
        &["read-differently warning"],
        "06",
    ),
    slip(
        "another size than fitted",
        MACHINE_FILE,
        ("size: \"06\"", "size: \"08\""),
        &["mean-off-rated error", "setup-sum-off warning"],
        "caught",
    ),
    slip(
        "gal/1000 ft2 for gal/acre",
        MACHINE_FILE,
        ("rate: 40 gal/acre", "rate: 40 gal/1000 ft2"),
        &["setup-sum-off warning"],
        "40 gal/1000 ft2",
    ),
    slip(
        "the rate of another setup",
        MACHINE_FILE,
        ("rate: 40 gal/acre", "rate: 44 gal/acre"),
        &["setup-sum-off note"],
        "44 gal/acre",
    ),
    slip(
        "a machine renamed in its file",
        MACHINE_FILE,
        ("id: heron", "id: dunlin"),
        &["unlike-file-name error"],
        "dunlin",
    ),
    slip(
        "put in service after its visit",
        MACHINE_FILE,
        ("in-service: 2024-03-01", "in-service: 2026-04-01"),
        &["before-in-service warning"],
        "2026-03-09",
    ),
    slip(
        "a lay-up that ends a month late",
        REDSHANK_FILE,
        (
            "boom:",
            "laid-up: {from: 2025-11-20, to: 2026-05-01}\nboom:",
        ),
        &["sprayed-while-laid-up error"],
        "2026-04-14",
    ),
    slip(
        "a limit of a rule that is none",
        FLEET,
        (
            "usual:",
            "limits: {nozzle-of-mean: {error: 5%, because: fine turf}}\nusual:",
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
        ("usual:", "limits: {nozzle-off-mean: {error: 5%}}\nusual:"),
        &["missing-key error"],
        "nozzle-off-mean",
    ),
    slip(
        "rows swapped within one spread: nobody can see it",
        VISIT,
        ("[36.5, 36.0, 36.5]", "[36.0, 36.5, 36.5]"),
        &[],
        "",
    ),
    slip(
        "two mistakes at once: a worn tip and a missing unit",
        VISIT,
        ("left: [36.5, 36.0, 36.5]", "left: [36.5, 41.5, 36.5]"),
        &["missing-unit error", "nozzle-off-mean error"],
        "41.5",
    )
    .also(VISIT, ("shown: 34.3 gal", "shown: 34.3")),
    slip(
        "two mistakes at once: swapped digits and another's initials",
        VISIT,
        ("by: rm", "by: mr"),
        &["nozzle-off-mean error", "unknown-person warning"],
        "mr",
    )
    .also(VISIT, ("left: [36.5", "left: [63.5")),
    slip(
        "repeats that do not repeat",
        VISIT,
        ("left: [36.5, 36.0,", "left: [36.5, [35.5, 37.0],"),
        &["repeats-apart warning"],
        "[35.5, 37.0]",
    ),
    slip(
        "a section with larger tips",
        VISIT,
        ("right: [37.0, 36.5]", "right: [40.0, 40.0]"),
        &["nozzle-off-mean warning", "nozzle-off-mean warning"],
        "40.0",
    ),
    slip(
        "nozzles caught for half the time",
        VISIT,
        (
            "duration: 30 s\n    jug: jug-2\n    unit: fl oz\n    caught:\n      left: [36.5, 36.0, 36.5]\n      right: [37.0, 36.5]",
            "duration: 15 s\n    jug: jug-2\n    unit: fl oz\n    caught:\n      left: [18.5, 18.0, 18.5]\n      right: [18.5, 18.0]",
        ),
        &["weak-test note"],
        "15 s",
    ),
    slip(
        "a jug nobody has checked for a year",
        FLEET,
        ("0.5 %, checked: 2026-02-01", "0.5 %, checked: 2025-02-01"),
        &["weak-test note"],
        "jug-2",
    ),
    slip(
        "a meter test timed with swapped digits",
        VISIT,
        ("duration: 12 min", "duration: 21 min"),
        &["known-volume-off-catch warning"],
        "34.2 gal",
    ),
    slip(
        "a factor with swapped digits",
        VISIT,
        (
            "shown: 34.3 gal}",
            "shown: 35.1 gal, factor: {before: 620, after: 663}}",
        ),
        &["flow-factor-off error"],
        "663",
    ),
    slip(
        "what the console showed left out, and what would make it needless",
        VISIT,
        (
            "known-by: fill meter, duration: 12 min, shown: 34.3 gal}",
            "known-by: fill meter}",
        ),
        &["test-not-counted warning"],
        "{known-volume: 34.2 gal, known-by: fill meter}",
    ),
    slip(
        "a factor corrected and not tested again",
        VISIT,
        (
            "shown: 34.3 gal}",
            "shown: 35.1 gal, factor: {before: 620, after: 636.3}}",
        ),
        &["not-tested-again warning"],
        "636.3",
    ),
    slip(
        "a factor corrected that was right",
        VISIT,
        (
            "shown: 34.3 gal}",
            "shown: 34.3 gal, factor: {before: 620, after: 621.8}}\n  - {known-volume: 34.2 gal, known-by: fill meter, duration: 12 min, shown: 34.2 gal}",
        ),
        &["corrected-within-uncertainty note"],
        "621.8",
    ),
    slip(
        "a speed factor with swapped digits",
        VISIT,
        (
            "{elapsed: 32.5 s, shown: 199 ft}]",
            "{elapsed: 32.5 s, shown: 199 ft}]\n    factor: {before: 1180, after: 1718}",
        ),
        &["speed-factor-off error"],
        "1718",
    ),
    slip(
        "one run instead of three",
        VISIT,
        (
            "[{elapsed: 32.4 s, shown: 200 ft}, {elapsed: 32.6 s, shown: 200 ft}, {elapsed: 32.5 s, shown: 199 ft}]",
            "[{elapsed: 32.4 s, shown: 200 ft}]",
        ),
        &["weak-test note"],
        "{elapsed: 32.4 s, shown: 200 ft}",
    ),
    slip(
        "a course on the cart path",
        VISIT,
        ("surface: turf", "surface: cart path"),
        &["weak-test note"],
        "cart path",
    ),
    slip(
        "a full tank on the course",
        VISIT,
        ("tank: half", "tank: full"),
        &["weak-test note"],
        "full",
    ),
    slip(
        "rate control left on automatic",
        VISIT,
        ("rate-control: manual", "rate-control: automatic"),
        &["automatic-control-on warning"],
        "automatic",
    ),
    slip(
        "another number in the place of the speed entered for the balance",
        VISIT,
        ("entered-speed: 4.2 mph", "entered-speed: 1130 mph"),
        &["entered-speed-off-setup error"],
        "1130 mph",
    ),
    slip(
        "a decimal point lost with all sections on",
        VISIT,
        ("all-on: 40.3 gal/acre", "all-on: 403 gal/acre"),
        &["all-on-off-setup error"],
        "403 gal/acre",
    ),
    slip(
        "not rinsed",
        VISIT,
        ("rinsed: true", "rinsed: false"),
        &["unsafe-preparation warning"],
        "false",
    ),
    slip(
        "a smaller jug than was caught in",
        FLEET,
        ("capacity: 64 fl oz", "capacity: 32 fl oz"),
        &["beyond-jug error"],
        "37.0",
    ),
    slip(
        "a tank of another size",
        MACHINE_FILE,
        ("tank: 60 gal", "tank: 30 gal"),
        &["known-volume-beyond-tank error"],
        "34.2 gal",
    ),
    slip(
        "a tank filled with more than it holds",
        "applications/plover/2026-04-21.yaml",
        ("{water: 50 gal,", "{water: 56 gal,"),
        &["filled-beyond-tank error"],
        "56 gal",
    ),
    slip(
        "a tip of another size",
        "service/sanderling/2026-03-14.yaml",
        ("{setup: fairways, nozzle: {size: \"06\"", "{setup: fairways, at: {left: [1]}, nozzle: {size: \"08\""),
        &["fitted-off-setup warning"],
        "\"08\"",
    ),
    slip(
        "hours with swapped digits that rise",
        "applications/plover/2026-05-19.yaml",
        ("{from: 924.5 h, to: 926.0 h}", "{from: 9245 h, to: 926.0 h}"),
        &["hours-jump warning"],
        "9245 h",
    ),
    slip(
        "signed by whoever may not",
        FLEET,
        ("ko: {may-sign: true}", "ko: {may-sign: false}"),
        &["may-not-sign warning"],
        "ko",
    ),
    slip(
        "checked by whoever tested",
        VISIT,
        ("checked-by: ko", "checked-by: rm"),
        &["not-checked-by-another warning"],
        "rm",
    )
    .also(FLEET, ("record: fleet", "record: fleet\nsecond-person-checks: true")),
    slip(
        "a light mix whose density nobody allowed for",
        REDSHANK_FILE,
        ("rate: 300 L/ha}", "rate: 300 L/ha, density: 1.05 kg/L}"),
        &["density-factor-lacking note", "weak-test note", "weak-test note"],
        "caught",
    ),
    slip(
        "a mix whose density nobody allowed for",
        REDSHANK_FILE,
        ("rate: 300 L/ha}", "rate: 300 L/ha, density: 1.25 kg/L}"),
        &[
            "density-factor-off error",
            "rate-by-catch-off error",
            "rate-by-catch-off error",
            "sprayed-while-failing error",
        ],
        "2026-05-12",
    ),
    slip(
        "another rate than the machine makes",
        REDSHANK_FILE,
        ("rate: 300 L/ha", "rate: 330 L/ha"),
        &[
            "setup-sum-off note",
            "sprayed-while-failing error",
        ],
        "2026-05-12",
    ),
    slip(
        "a balance pressure misread by a third of a bar",
        REDSHANK,
        ("[left], as-found: 2.58 bar", "[left], as-found: 2.88 bar"),
        &["section-off-change error", "sprayed-while-failing error"],
        "2026-05-12",
    ),
    slip(
        "the same on two-way valves",
        REDSHANK,
        ("[left], as-found: 2.58 bar", "[left], as-found: 2.88 bar"),
        &["section-off-change-shut-off error"],
        "2.88 bar",
    )
    .also(
        REDSHANK_FILE,
        ("section-valves: bypass", "section-valves: shut-off"),
    ),
    slip(
        "an hour meter with swapped digits",
        SANDERLING,
        ("hours: 702 h", "hours: 207 h"),
        &["hours-back warning"],
        "207 h",
    ),
    slip(
        "a pressure at the boom's end with swapped digits",
        SANDERLING,
        ("boom-end-pressure: 35 psi", "boom-end-pressure: 53 psi"),
        &["boom-end-pressure-off warning"],
        "53 psi",
    ),
    slip(
        "rows copied from the last record",
        REDSHANK,
        (
            "left: [750, 750, 750, 740]\n      mid-left: [750, 740, 750]\n      mid-right: [750, 740, 740]\n      right: [760, 750, 740, 750]",
            "left: [760, 750, 760, 740]\n      mid-left: [750, 740, 740]\n      mid-right: [750, 740, 750]\n      right: [750, 740, 750, 750]",
        ),
        &["readings-copied warning"],
        "caught",
    ),
    slip(
        "a factor that begins with swapped digits",
        SANDERLING,
        (
            "shown: 34.6 gal}",
            "shown: 35.5 gal, factor: {before: 541, after: 556.7}}\n  - {known-volume: 34.5 gal, known-by: fill meter, duration: 5 min, shown: 34.6 gal}",
        ),
        &["factor-not-continued warning"],
        "541",
    )
    .also(
        "calibrations/sanderling/2025-09-15.yaml",
        (
            "shown: 34.8 gal}",
            "shown: 35.6 gal, factor: {before: 500, after: 514}}\n  - {known-volume: 34.6 gal, known-by: fill meter, duration: 5 min, shown: 34.7 gal}",
        ),
    ),
    slip(
        "work dated two months late",
        "service/sanderling/2026-03-14.yaml",
        ("date: 2026-03-14", "date: 2026-05-14"),
        &["date-unlike-name warning", "hours-back warning", "step-void warning", "step-void warning"],
        "2026-05-14",
    ),
    slip(
        "a hose replaced after the test",
        "service/redshank/2026-02-20.yaml",
        ("date: 2026-02-20", "date: 2026-05-20"),
        &["date-unlike-name warning", "hours-back warning", "step-to-recheck note"],
        "2026-05-20",
    ),
    slip(
        "a liter too much of a product",
        "applications/redshank/2026-05-12.yaml",
        ("amount: 0.48 L", "amount: 4.8 L"),
        &["product-over-label error"],
        "4.8 L",
    ),
    slip(
        "a tenth of a product",
        "applications/redshank/2026-05-12.yaml",
        ("amount: 0.48 L", "amount: 0.048 L"),
        &["product-under-label note"],
        "0.048 L",
    ),
    slip(
        "a product without its label",
        "applications/redshank/2026-05-12.yaml",
        ("label: {min: 1.2 L/ha, max: 2 L/ha}, amount: 0.48 L", "amount: 0.48 L"),
        &["product-not-judged note"],
        "fungicide",
    ),
    slip(
        "a heavy mix on a machine without a meter",
        "applications/redshank/2026-05-12.yaml",
        ("{water: 90 L,", "{water: 90 L, density: 1.2 kg/L,"),
        &["mix-density-off warning"],
        "1.2 kg/L",
    ),
    slip(
        "an interval in weeks instead of months",
        REDSHANK,
        ("machine: redshank", "machine: redshank"),
        &["overdue warning", "overdue warning", "overdue warning"],
        "2026-04-02",
    )
    .also(FLEET, ("full: 12 months", "full: 4 weeks")),
    slip(
        "an interval of minutes",
        REDSHANK,
        ("machine: redshank", "machine: redshank"),
        &["overdue-by-hours warning", "overdue-by-hours warning", "overdue-by-hours warning"],
        "2026-04-02",
    )
    .also(FLEET, ("full: 12 months", "full: [12 months, 1 h]")),
    slip(
        "an interval of one application",
        REDSHANK,
        ("machine: redshank", "machine: redshank"),
        &["overdue-by-applications warning", "overdue-by-applications warning", "overdue-by-applications warning"],
        "2026-04-02",
    )
    .also(FLEET, ("full: 12 months", "full: [12 months, 1 application]")),
];

fn tree(folder: &str) -> Files {
    fixture::tree(&fixture::folder().join(folder))
}

fn base() -> Files {
    tree("base")
}

#[test]
fn every_slip_is_told_once_and_on_its_characters() {
    let mut wrong = Vec::new();
    for slip in SLIPS {
        let report = checked_by_rules(&slip.made(), "2026-06-01");
        let found: Vec<String> = found(&report)
            .iter()
            .map(|found| found.split_once(' ').unwrap().1.to_owned())
            .collect();
        let mut sorted = found.clone();
        sorted.sort();
        let under = report.findings.first().map_or_else(String::new, |finding| {
            let place = finding.primary().place;
            report
                .sources
                .get(place.file)
                .unwrap()
                .slice(place.span)
                .to_owned()
        });
        if sorted != slip.found || under != slip.under {
            let messages: Vec<&str> = report.findings.iter().map(|told| told.message()).collect();
            wrong.push(format!(
                "{}: {sorted:?} under `{under}`: {messages:#?}",
                slip.what
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Rules that no one slip in a file can break, and why.
const NOT_BY_A_SLIP: &[(&str, &str)] = &[
    (
        "landed-record-altered",
        "found only by comparing revisions: tests/fast/revisions.rs",
    ),
    ("landed-record-amended", "likewise"),
    ("landed-record-deleted", "likewise"),
    ("nozzle-not-retested", "it takes a second catch"),
    ("retest-not-counted", "likewise"),
    ("retest-scaled", "likewise"),
    ("requirement-relaxed", "found only by comparing revisions"),
    (
        "worked-out-volume-off",
        "no meter test of the records is known by the catch: fixtures/worked-out-volume-off",
    ),
    ("wear-near-limit", "a trend takes several catches"),
];

/// Every rule is seeded: some slip makes it stand, be held back, or weaken a test.
#[test]
fn every_rule_has_a_slip() {
    let mut seen = BTreeSet::new();
    let mut notes = Vec::new();
    for slip in SLIPS {
        for finding in checked_by_rules(&slip.made(), "2026-06-01").findings {
            seen.insert(finding.rule().to_owned());
            seen.extend(finding.held().iter().map(|held| held.rule.clone()));
            if finding.rule() == WEAK_TEST {
                notes.push(finding.message().to_owned());
            }
        }
    }
    for rule in RuleSet::built_in().rules() {
        if NOT_BY_A_SLIP.iter().any(|(id, _)| *id == rule.id) {
            continue;
        }
        let weakens = rule.limits.contains_key(&Grade::Weakens);
        let is_noted = rule.message.all().any(|(_, text)| {
            let written = text.as_written();
            let longest = written
                .split(['<', '>'])
                .step_by(2)
                .max_by_key(|words| words.len());
            let longest = longest.expect("a text has words");
            notes.iter().any(|note| note.contains(longest))
        });
        assert!(
            seen.contains(&rule.id) || (weakens && is_noted),
            "no slip of a hand makes {} find anything",
            rule.id,
        );
    }
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
        let report = checked_by_rules(&files, "2026-06-01");
        for finding in &report.findings {
            for label in std::iter::once(finding.primary()).chain(finding.related()) {
                let source = report.sources.get(label.place.file).unwrap();
                prop_assert!(source.text().get(label.place.span.range()).is_some());
            }
        }
        prop_assert!(report.failures.is_empty());
    }
}
