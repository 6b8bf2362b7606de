//! What a finding advises: no text sells tips or sets a pressure before readings are checked, and no report advises a
//! pressure, a factor or a width that nobody could mean.

use crate::chance::Chance;
use crate::fixture::{self, Files};
use swathlint::cause::CauseSet;
use swathlint::rule::RuleSet;

/// What costs money or undoes a mistake in the record: none of it is a first step.
const LATER: [&str; 5] = ["buy", "order", "replace", "set", "enter"];

/// What a text checks before tips are bought.
const CHECKS: [&str; 8] = [
    "check", "catch", "compare", "weigh", "clean", "read", "look", "test",
];

/// The rules whose help begins with what is to be entered: it is by definition, or by the test that the record shows.
const ENTERED_FIRST: [(&str, &str, &str); 10] = [
    ("density-factor-lacking", "otherwise", "by its density"),
    ("density-factor-off", "not-allowed-for", "by its density"),
    ("entered-width-off", "otherwise", "spacing times nozzles"),
    ("flow-factor-off", "upside-down", "the exact inverse"),
    ("landed-record-altered", "otherwise", "enters who and why"),
    ("landed-record-deleted", "otherwise", "enters who and why"),
    ("mix-density-off", "otherwise", "by its density"),
    ("pressure-off-setup", "otherwise", "as declared"),
    ("retest-not-counted", "otherwise", "as in the catch"),
    ("retest-scaled", "otherwise", "as in the catch"),
];

#[test]
fn no_help_of_a_rule_advises_before_it_checks() {
    for rule in RuleSet::built_in().rules() {
        for (case, text) in rule.help.all() {
            // Slots are written with `<` here.
            let help = text.as_written();
            let at = format!("{} {case}: {help}", rule.id);
            let first = help.split([' ', ',']).next().unwrap();
            let is_excused = ENTERED_FIRST
                .iter()
                .any(|(of, in_case, _)| *of == rule.id && *in_case == case)
                || (rule.id == "speed-factor-off" && case == "upside-down");
            assert!(!LATER.contains(&first) || is_excused, "{at}");
            assert!(!bids_absurdly(&help), "{at}");
            // A pressure to set is told with the bounds that it lies within; a written one has no digit here.
            let sets_pressure = help.contains("set the pressure to") || help.contains("run at");
            assert!(!sets_pressure || help.contains("<pressure bounds>"), "{at}");
            if case == "high-note" || case == "known-agrees" || case == "check-first" {
                assert!(!sells(&help) && !sets_pressure, "{at}");
            }
            if case == "check-first" {
                assert!(first == "check", "{at}");
            }
        }
    }
}

#[test]
fn no_cause_advises_before_it_checks() {
    for cause in CauseSet::built_in().causes() {
        let texts = cause.next.iter().chain(cause.told_apart.values());
        for text in texts {
            let at = format!("{}: {text}", cause.id);
            assert!(!bids_absurdly(text), "{at}");
            assert!(!text.contains("set the pressure to"), "{at}");
            // A value is entered only where the whole test gives it.
            let enters = text.contains("enter {mended}");
            assert!(!enters || cause.id == "factor-turned", "{at}");
        }
        let first = cause.next.first().and_then(|text| text.split(' ').next());
        let sells = first.is_some_and(|verb| LATER.contains(&verb));
        assert!(!sells, "{}: {first:?}", cause.id);
    }
}

/// Whether a text sells a set of tips, swaps tips or names a pressure of its own.
fn bids_absurdly(help: &str) -> bool {
    let before = |what: &str| help.split_once(what).map(|(before, _)| before);
    let checks = |before: &str| CHECKS.iter().any(|check| before.contains(check));
    let sold = ["replace the whole set", "replace the set", "buy tips"];
    let unchecked = sold.iter().filter_map(|what| before(what));
    let names_a_pressure = ["psi", "bar"]
        .iter()
        .any(|unit| help.split([' ', ',', '.', ')']).any(|word| word == *unit));
    let swaps = help.contains("swap the tip") && !help.contains("<neighbor>");
    unchecked.into_iter().any(|before| !checks(before)) || names_a_pressure || swaps
}

fn sells(help: &str) -> bool {
    help.contains("replace the") || help.contains("buy") || help.contains("order")
}

/// A visit with something wrong in it, and what a text about it may say.
struct Visit {
    files: Files,
    /// The highest pressure the gauge shows, in psi.
    gauge: f64,
    range: Option<(f64, f64)>,
    setup: f64,
    /// The catch, and whether the fill meter says that the flow is rated.
    caught: Vec<f64>,
    is_known_rated: bool,
}

const PSI_A_BAR: f64 = 14.503_773_773;
const PATH: &str = "calibrations/heron/2026-03-09.yaml";

/// One of a list, by chance.
fn one<'l, T>(chance: &mut Chance, of: &'l [T]) -> &'l T {
    let at = (chance.within(0.5) + 0.5) * f64::from(u32::try_from(of.len()).unwrap());
    &of[whole(at).min(of.len() - 1)]
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small numbers of a test"
)]
fn whole(number: f64) -> usize {
    number as usize
}

impl Visit {
    /// Half a dozen things, each wrong now and then.
    fn seeded(seed: u64) -> Self {
        let mut chance = Chance::seeded(seed);
        let is_declared = chance.within(1.0) > -0.3;
        let range = (chance.within(1.0) > 0.0).then_some((30.0, 50.0));
        let control = *one(&mut chance, &["flow", "pressure", "manual"]);
        let setup_pressure = *one(
            &mut chance,
            &["36 psi", "36 psi", "36 psi", "36 bar", "90 psi"],
        );
        let pressure = *one(
            &mut chance,
            &["36 psi", "36 psi", "36 psi", "36 bar", "3.6 psi", "48 psi"],
        );
        let duration = *one(
            &mut chance,
            &["30 s", "30 s", "30 s", "3.0 s", "15 s", "60 s", "30 min"],
        );
        let unit = *one(&mut chance, &["fl oz", "fl oz", "fl oz", "mL", "gpm"]);
        let rate = *one(
            &mut chance,
            &[
                "40 gal/acre",
                "40 gal/acre",
                "36 gal/acre",
                "40 gal/1000 ft2",
                "52 gal/acre",
            ],
        );
        let spacing = *one(&mut chance, &["20 in", "20 in", "20 in", "20 cm", "23 in"]);
        let speed = *one(&mut chance, &["4.2 mph", "4.2 mph", "4.2 km/h"]);
        let known = *one(&mut chance, &[34.2, 34.2, 38.4, 129.5]);
        let shown = *one(&mut chance, &["34.3 gal", "36.6 gal", "130 gal", "3.4 gal"]);
        let distance = *one(&mut chance, &["200 ft", "200 ft", "20 ft", "200 m"]);
        let all = 1.0 + chance.normal(0.15);
        let mut caught: Vec<f64> = (0..5)
            .map(|_| 36.5 * all * (1.0 + chance.normal(0.01)))
            .collect();
        for nozzle in &mut caught {
            if chance.within(1.0) > 0.6 {
                *nozzle *= 1.0 + chance.normal(0.2);
            }
            *nozzle = nozzle.clamp(5.0, 120.0);
        }
        let written: Vec<String> = caught.iter().map(|one| format!("{one:.1}")).collect();
        let caught = written.iter().map(|one| one.parse().unwrap()).collect();
        let range_written = range.map_or_else(String::new, |(from, to): (f64, f64)| {
            format!(", pressure-range: {{from: {from} psi, to: {to} psi}}")
        });
        let mut files = fixture::tree(&fixture::folder().join("base"));
        let machine = files["machines/heron.yaml"]
            .replace("control: flow", &format!("control: {control}"))
            .replace("spacing: 20 in", &format!("spacing: {spacing}"))
            .replace(
                "material: ceramic",
                &format!("material: ceramic{range_written}"),
            )
            .replace(
                "pressure: 36 psi, speed",
                &format!("pressure: {setup_pressure}, speed"),
            )
            .replace("speed: 4.2 mph", &format!("speed: {speed}"))
            .replace("40 gal/acre", rate);
        let mut fleet = files["fleet.yaml"].clone();
        if !is_declared {
            fleet = fleet.replace(", gauge: gauge-3", "");
        }
        // What holds others back is taken away now and then, so that each of them is told too.
        let quiet = *one(
            &mut chance,
            &[
                "",
                "mean-off-rated",
                "pressure-off-setup",
                "entered-width-off",
            ],
        );
        if !quiet.is_empty() {
            let off = "{error: none, warning: none, note: none, because: a test}";
            let of_setup = format!("setup-sum-off: {off}");
            let limits = format!("limits: {{{quiet}: {off}, nozzle-off-mean: {off}, {of_setup}}}");
            fleet = format!(
                "{fleet}{}\n",
                limits.replace("error: none, warning: none, note: none", "error: 900 %")
            );
        }
        let visit = format!(
            "record: calibration\nmachine: heron\ndate: 2026-03-09\nby: rm\nsetup: fairways\n\
             catch-tests:\n  - {{pressure: {pressure}, duration: {duration}, jug: jug-2, unit: {unit}, \
             caught: {{left: [{}], right: [{}]}}}}\n\
             meter-tests:\n  - {{known-volume: {known} gal, known-by: fill meter, duration: 12 min, \
             shown: {shown}, factor: {{before: 620, after: 640}}}}\n\
             speed-tests:\n  - {{distance: {distance}, surface: turf, tank: half, runs: \
             [{{elapsed: 32.4 s, shown: 200 ft}}, {{elapsed: 32.6 s, shown: 200 ft}}, \
             {{elapsed: 32.5 s, shown: 199 ft}}], factor: {{before: 1180, after: 1190}}}}\n",
            written[..3].join(", "),
            written[3..].join(", "),
        );
        files.insert("machines/heron.yaml".to_owned(), machine);
        files.insert("fleet.yaml".to_owned(), fleet);
        files.insert(PATH.to_owned(), visit);
        Self {
            files,
            gauge: if is_declared { 60.0 } else { 10.0 * PSI_A_BAR },
            range,
            setup: in_psi(setup_pressure).unwrap(),
            caught,
            is_known_rated: (known - 34.2_f64).abs() < 0.01 && pressure == "36 psi",
        }
    }

    /// Whether a catch may have been made at a pressure, in psi as it is shown.
    fn may_have_been(&self, psi: f64) -> bool {
        // Three digits are shown.
        let most = self.gauge.min(3.0 * self.setup) * 1.005;
        0.3 * self.setup * 0.995 <= psi && psi <= most
    }

    fn may_be_set(&self, psi: f64) -> bool {
        let in_range = |(from, to)| from * 0.995 <= psi && psi <= to * 1.005;
        self.range.is_none_or(in_range) && self.may_have_been(psi)
    }

    /// What is wrong with a help, if anything.
    fn objects(&self, help: &str) -> Option<String> {
        for (begins, is_to_set) in [
            ("set the pressure to ", true),
            ("run at about ", true),
            ("put out this catch at ", false),
        ] {
            for rest in help.split(begins).skip(1) {
                let psi = in_psi(rest).unwrap_or(f64::NAN);
                let may_be = if is_to_set {
                    self.may_be_set(psi)
                        && rest.contains("(gauge to") | rest.contains("(undeclared")
                } else {
                    self.may_have_been(psi)
                };
                if !may_be {
                    return Some(format!("{begins}{psi}"));
                }
            }
        }
        if self.is_known_rated && help.contains("the set is worn") {
            return Some("tips sold against a fill meter".to_owned());
        }
        if let Some((_, rest)) = help.split_once("with the tip of nozzle ") {
            let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
            let at: usize = digits.parse().unwrap();
            let mean = self.caught.iter().sum::<f64>() / 5.0;
            let least = self.caught.iter().copied().fold(f64::MAX, f64::min);
            if self.caught[at - 1] < mean && self.caught[at - 1] <= least {
                return Some("swapped with the lowest".to_owned());
            }
        }
        for (begins, before) in [
            ("enter ", None),
            ("from 620 to ", Some(620.0)),
            ("from 640 to ", Some(640.0)),
            ("from 1180 to ", Some(1180.0)),
            ("from 1190 to ", Some(1190.0)),
        ] {
            let lower = help.to_lowercase();
            for rest in lower.split(begins).skip(1) {
                let Some((number, unit)) = quantity(rest) else {
                    continue;
                };
                let before = match (before, unit) {
                    (Some(before), _) => before,
                    (None, "pulses/gal") => 620.0,
                    (None, "pulses/100") => 1180.0,
                    (None, _) => continue,
                };
                let change: f64 = number / before;
                if !(1.0 / 1.65..=1.65).contains(&change) {
                    return Some(format!("{begins}{number} for {before}"));
                }
            }
        }
        None
    }
}

/// A number at the beginning of a text, with the word after it.
fn quantity(text: &str) -> Option<(f64, &str)> {
    let mut words = text.split([' ', '\u{a0}', ',', '(']);
    let number = words.next()?.replace(',', "").parse().ok()?;
    Some((number, words.next()?.trim_end_matches(['.', ',', ';'])))
}

fn in_psi(text: &str) -> Option<f64> {
    match quantity(text)? {
        (number, "psi") => Some(number),
        (number, "bar") => Some(number * PSI_A_BAR),
        _ => None,
    }
}

#[test]
fn no_report_advises_beyond_gauge_tips_or_reason() {
    let mut n_pressures = 0;
    let mut n_check_first = 0;
    let mut n_leave = 0;
    for seed in 1..=400 {
        let visit = Visit::seeded(seed);
        let explained = fixture::checked(&visit.files, "2026-03-10");
        let by_rules = fixture::checked_by_rules(&visit.files, "2026-03-10");
        for finding in explained.findings.iter().chain(&by_rules.findings) {
            let Some(help) = finding.help_text() else {
                continue;
            };
            if let Some(why) = visit.objects(help) {
                panic!(
                    "seed {seed}: {why}: {} {help}\n{:#?}",
                    finding.rule(),
                    visit.files
                );
            }
            n_pressures += usize::from(help.contains("set the pressure to"));
            n_pressures += usize::from(help.contains("this catch at"));
            n_check_first += usize::from(help.starts_with("check the unit"));
            n_leave += usize::from(help.contains("leave the tips as they are"));
        }
    }
    // What is looked for is there.
    assert!(
        n_pressures > 40 && n_check_first > 40 && n_leave > 3,
        "{n_pressures} {n_check_first} {n_leave}"
    );
}
