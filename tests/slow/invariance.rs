//! What must not change a figure or a verdict, and in which direction limits and uncertainty may.

use crate::repository::Repository;
use crate::repository::computed::Computed;
use jiff::civil::{Date, date};
use num_bigint::BigInt;
use num_traits::ToPrimitive;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write;
use swathlint::figure::{ShownAs, catalogue};
use swathlint::outcome::{Grade, Side, Verdict};
use swathlint::quantity::Exact;
use swathlint::quantity::decimal::Decimal;
use swathlint::quantity::unit::Unit;
use swathlint::report::FigureRow;
use swathlint::rule::{Bound, Decision, LimitsInForce, RuleSet, Whose, judge};
use swathlint::source::FileId;
use swathlint::yaml::{self, Node, Shape};
use swathlint::{Listing, Report, Settings};

const TODAY: Date = date(2026, 6, 1);
const FLEET: &str = "fleet.yaml";

/// Both whole fleets: one with faults, one without.
fn fleets() -> [Repository; 2] {
    ["saltmere", "records"].map(|folder| Repository::fixture(folder, &[".yaml"]))
}

/// Every finding with its file, line and column, as one text each.
fn told(report: &Report) -> Vec<String> {
    report
        .findings
        .iter()
        .map(|finding| {
            let place = finding.primary().place;
            let source = report.sources.get(place.file).unwrap();
            let (line, column) = source.position(place.span.start);
            format!(
                "{}:{}:{}: {}",
                report.path(place.file),
                line.0,
                column.0,
                without_place(finding)
            )
        })
        .collect()
}

fn without_place(finding: &swathlint::report::Told) -> String {
    format!(
        "{:?} {} {} ({:?}; {:?}; holds {})",
        finding.severity(),
        finding.rule(),
        finding.message(),
        finding.derivation(),
        finding.help_text(),
        finding.held().len()
    )
}

/// Every figure but for where it stands, as one text each.
fn figures_without_places(repository: &Repository) -> Vec<String> {
    let mut rows: Vec<String> = repository
        .figures(TODAY)
        .iter()
        .map(|row| {
            let FigureRow {
                figure,
                machine,
                date,
                setup,
                stage,
                part,
                value,
                expanded,
                unit,
                place: _,
                contributions: _,
                working,
            } = row;
            format!("{machine} {date:?} {setup:?} {figure} {stage:?} {part} {value:?} {expanded:?} {unit} {working:?}")
        })
        .collect();
    rows.sort();
    rows
}

/// The keys of every mapping in another order, everything on one line.
fn in_another_order(node: Node<'_>, turn: usize) -> String {
    match node.shape() {
        Shape::Scalar if is_safe_in_flow(node) => node.raw().to_owned(),
        Shape::Scalar => serde_json::to_string(node.text().unwrap()).unwrap(),
        Shape::Sequence => {
            let items: Vec<String> = node
                .items()
                .map(|item| in_another_order(item, turn + 1))
                .collect();
            format!("[{}]", items.join(", "))
        }
        Shape::Mapping => {
            let mut entries: Vec<String> = node
                .entries()
                .map(|(key, value)| {
                    let key = in_another_order(key, turn);
                    format!("{key}: {}", in_another_order(value, turn + 1))
                })
                .collect();
            let by = turn % entries.len().max(1);
            entries.rotate_left(by);
            if turn.is_multiple_of(2) {
                entries.reverse();
            }
            format!("{{{}}}", entries.join(", "))
        }
    }
}

fn is_safe_in_flow(node: Node<'_>) -> bool {
    !node.is_plain() || !node.raw().contains([',', '[', ']', '{', '}', '#', ':'])
}

#[test]
fn the_order_of_keys_does_not_matter() {
    for fleet in fleets() {
        let figures = figures_without_places(&fleet);
        assert!(figures.len() > 300);
        let found = |repository: &Repository| {
            let report = repository.check(TODAY);
            let mut told: Vec<String> = report.findings.iter().map(without_place).collect();
            told.sort();
            told
        };
        let before = found(&fleet);
        for turn in 1..6 {
            let mut turned = fleet.clone();
            for (file, text) in turned.files.values_mut().enumerate() {
                let parsed = yaml::parse(FileId(0), text);
                let again = parsed
                    .tree
                    .root()
                    .map(|root| in_another_order(root, turn + file));
                *text = again.unwrap() + "\n";
            }
            assert_eq!(figures_without_places(&turned), figures, "turned by {turn}");
            assert_eq!(found(&turned), before, "turned by {turn}");
        }
    }
}

#[test]
fn line_ends_do_not_matter() {
    for fleet in fleets() {
        let mut with_returns = fleet.clone();
        for text in with_returns.files.values_mut() {
            *text = text.replace('\n', "\r\n");
        }
        assert_eq!(told(&with_returns.check(TODAY)), told(&fleet.check(TODAY)));
        assert_eq!(with_returns.figures(TODAY), fleet.figures(TODAY));
    }
}

#[test]
fn the_order_of_files_does_not_matter() {
    for fleet in fleets() {
        let mut before = None;
        let mut paths: Vec<String> = fleet.files.keys().cloned().collect();
        for turn in [0, 1, 3, 4] {
            paths.rotate_left(turn);
            paths.reverse();
            let listing = Listing {
                paths: paths.clone(),
                ..Listing::default()
            };
            let read = |path: &str| Ok(fleet.files[path].clone().into_bytes());
            let settings = Settings::on(TODAY);
            let told = told(&swathlint::check(&listing, &read, &settings));
            assert_eq!(told, *before.get_or_insert_with(|| told.clone()));
        }
    }
}

/// A figure is written once and computed in three arithmetics: alone, with sensitivities, and exactly.
///
/// Verdicts stand on the first, uncertainties on the second, ties at a limit on the third.
#[test]
fn the_three_arithmetics_agree() {
    for fleet in fleets() {
        let members = fleet.computed(TODAY);
        let mut n_exact = 0;
        for member in &members {
            let Ok(measure) = &member.value else {
                continue; // That none of the three has a value is seen where they are computed.
            };
            let (alone, figure) = (member.alone.unwrap(), member.entry.id);
            let value = measure.value();
            assert_eq!(
                alone.to_bits(),
                value.to_bits(),
                "{figure}: {alone}, {value}"
            );
            if let Some(exact) = &member.exact {
                let exact = exact.to_f64().unwrap();
                let rounding = 1e-14 * value.abs().max(1.0);
                assert!(
                    (value - exact).abs() <= rounding,
                    "{figure}: {value}, {exact}"
                );
                n_exact += 1;
            }
        }
        assert!(n_exact > 200, "{n_exact} of {} are exact", members.len());
    }
}

/// One number in a file: where it stands, and under which keys.
struct Leaf {
    keys: Vec<String>,
    at: std::ops::Range<usize>,
    text: String,
}

/// Every scalar of a text that is no key, in order.
fn leaves(text: &str) -> Vec<Leaf> {
    fn walk(node: Node<'_>, keys: &mut Vec<String>, leaves: &mut Vec<Leaf>) {
        match node.shape() {
            Shape::Scalar => leaves.push(Leaf {
                keys: keys.clone(),
                at: node.span().range(),
                text: node.text().unwrap().to_owned(),
            }),
            Shape::Sequence => {
                for item in node.items() {
                    walk(item, keys, leaves);
                }
            }
            Shape::Mapping => {
                for (key, value) in node.entries() {
                    keys.push(key.text().unwrap().to_owned());
                    walk(value, keys, leaves);
                    keys.pop();
                }
            }
        }
    }
    let parsed = yaml::parse(FileId(0), text);
    let mut leaves = Vec::new();
    walk(parsed.tree.root().unwrap(), &mut Vec::new(), &mut leaves);
    leaves
}

/// The text with some of its scalars written otherwise.
fn rewritten(text: &str, mut other: impl FnMut(&Leaf) -> Option<String>) -> String {
    let mut text_of = text.to_owned();
    for leaf in leaves(text).iter().rev() {
        if let Some(other) = other(leaf) {
            text_of.replace_range(leaf.at.clone(), &other);
        }
    }
    text_of
}

/// Nozzles are rated in full where they are named by size, so that every flow stands in the machine file.
fn with_ratings_in_full(text: &str) -> String {
    let mut text = text.to_owned();
    for (size, flow) in [
        ("04", "0.4"),
        ("05", "0.5"),
        ("06", "0.6"),
        ("08", "0.8"),
        ("10", "1.0"),
    ] {
        text = text.replace(
            &format!("size: \"{size}\""),
            &format!("rated: {{flow: {flow} gpm, pressure: 40 psi}}"),
        );
    }
    assert!(!text.contains("size:"), "another size is used: {text}");
    text
}

/// An exact value in decimals where they end, else to fifteen digits.
fn in_decimals(value: &Exact) -> String {
    let mut scale = Exact::from_integer(1.into());
    let ten = Exact::from_integer(10.into());
    for places in 0..=15 {
        let scaled = value * &scale;
        let largest = Exact::from_integer(BigInt::from(10).pow(15));
        if scaled.is_integer() && scaled < largest {
            return placed(&scaled.to_integer().to_string(), places);
        }
        if scaled.clone() * &ten >= largest {
            return placed(&scaled.round().to_integer().to_string(), places);
        }
        scale *= &ten;
    }
    placed(&(value * &scale / ten).round().to_integer().to_string(), 15)
}

/// Whole digits with the point before the last `places` of them.
fn placed(digits: &str, places: usize) -> String {
    if places == 0 {
        return digits.to_owned();
    }
    let digits = format!("{digits:0>width$}", width = places + 1);
    let (whole, fraction) = digits.split_at(digits.len() - places);
    format!("{whole}.{fraction}")
}

/// What each unit of the fixtures is written in instead: US customary and metric are exchanged.
const OTHER_UNITS: [(&str, &str); 18] = [
    ("psi", "kPa"),
    ("bar", "psi"),
    ("gal", "L"),
    ("L", "gal"),
    ("fl oz", "mL"),
    ("mL", "fl oz"),
    ("in", "mm"),
    ("cm", "in"),
    ("ft", "m"),
    ("m", "ft"),
    ("mph", "km/h"),
    ("km/h", "mph"),
    ("gpm", "L/min"),
    ("L/min", "gpm"),
    ("gal/acre", "L/ha"),
    ("gal/1000 ft2", "L/ha"),
    ("L/ha", "gal/1000 ft2"),
    ("g", "wt oz"),
];

fn other_unit(unit: &str) -> Option<&'static str> {
    let known = OTHER_UNITS.iter().find(|(from, _)| *from == unit);
    known.map(|(_, to)| *to)
}

fn factor(from: &str, to: &str) -> Exact {
    let exact = |unit: &str| Unit::parse(unit, &[]).unwrap().exact_factor();
    exact(from) / exact(to)
}

/// A quantity, or a reading in `unit`, in another unit.
fn in_other_unit(leaf: &Leaf, unit: Option<&str>) -> Option<String> {
    let converted = |number: &str, unit: &str| {
        let to = other_unit(unit)?;
        let exact = Decimal::parse(number).ok()?.to_exact();
        Some((in_decimals(&(exact * factor(unit, to))), to))
    };
    if leaf.keys.last().is_some_and(|key| key == "unit") {
        return other_unit(&leaf.text).map(str::to_owned);
    }
    if leaf.keys.iter().any(|key| key == "caught") {
        return Some(converted(&leaf.text, unit?)?.0);
    }
    let (number, unit) = leaf.text.split_once(' ')?;
    let (number, unit) = converted(number, unit)?;
    Some(format!("{number} {unit}"))
}

/// A record of one unit of readings, in other units throughout.
fn in_other_units(text: &str) -> String {
    let text = with_ratings_in_full(text);
    let mut units: Vec<String> = leaves(&text)
        .into_iter()
        .filter(|leaf| leaf.keys.last().is_some_and(|key| key == "unit"))
        .map(|leaf| leaf.text)
        .collect();
    units.dedup();
    assert!(units.len() < 2, "readings in several units: {units:?}");
    let unit = units.first().map(String::as_str);
    rewritten(&text, |leaf| in_other_unit(leaf, unit))
}

/// Where each finding stands and what it weighs, without its words: those name units.
fn found(repository: &Repository) -> Vec<String> {
    let report = repository.check(TODAY);
    let found = report.findings.iter().map(|finding| {
        let place = finding.primary().place;
        let source = report.sources.get(place.file).unwrap();
        let (line, _) = source.position(place.span.start);
        let path = report.path(place.file);
        let (rule, severity) = (finding.rule(), finding.severity());
        format!(
            "{path}:{} {severity:?} {rule} holds {}",
            line.0,
            finding.held().len()
        )
    });
    found.collect()
}

/// The values of all figures that are ratios, by what they are about.
fn ratios(repository: &Repository) -> BTreeMap<String, f64> {
    let rows = repository.figures(TODAY).into_iter();
    rows.filter(|row| row.unit == "%")
        .filter_map(|row| {
            let of = format!(
                "{} {:?} {:?} {} {:?} {}",
                row.machine, row.date, row.setup, row.figure, row.stage, row.part
            );
            Some((of, row.value.ok()?))
        })
        .collect()
}

fn assert_alike(one: &BTreeMap<String, f64>, other: &BTreeMap<String, f64>) {
    assert!(one.len() > 100);
    assert!(one.keys().eq(other.keys()));
    for (of, value) in one {
        let other = other[of];
        assert!((value - other).abs() < 1e-9, "{of}: {value}%, {other}%");
    }
}

#[test]
fn other_units_give_the_same_verdicts() {
    for fleet in fleets() {
        let mut other = fleet.clone();
        for text in other.files.values_mut() {
            *text = in_other_units(text);
        }
        for (path, text) in &fleet.files {
            // Waivers have no units, and work need not have any.
            let has_units = ["calibrations/", "machines/", "applications/"];
            let has_units = has_units.iter().any(|folder| path.starts_with(folder));
            assert!(!has_units || other.files[path] != *text, "{path}");
        }
        assert_alike(&ratios(&fleet), &ratios(&other));
        assert_eq!(found(&other), found(&fleet));
    }
}

/// Every flow, volume and rate times three; speeds, lengths, times, pressures and factors as they are.
fn with_flows_tripled(text: &str) -> String {
    let text = with_ratings_in_full(text);
    rewritten(&text, |leaf| {
        let three = Exact::from_integer(3.into());
        let tripled = |number: &str| {
            let exact = Decimal::parse(number).ok()?.to_exact();
            Some(in_decimals(&(exact * &three)))
        };
        if leaf.keys.iter().any(|key| key == "caught") {
            return tripled(&leaf.text);
        }
        let (number, unit) = leaf.text.split_once(' ')?;
        let of_flow = [
            "gal",
            "L",
            "gpm",
            "L/min",
            "gal/acre",
            "gal/1000 ft2",
            "L/ha",
            "fl oz",
            "fl oz/acre",
            "mL",
            "mL/ha",
        ];
        let number = tripled(number).filter(|_| of_flow.contains(&unit))?;
        Some(format!("{number} {unit}"))
    })
}

#[test]
fn ratios_stay_where_all_flows_and_their_target_grow_alike() {
    for fleet in fleets() {
        let mut tripled = fleet.clone();
        for text in tripled.files.values_mut() {
            *text = with_flows_tripled(text);
        }
        assert_alike(&ratios(&fleet), &ratios(&tripled));
        let flows = |repository: &Repository| -> Vec<f64> {
            let rows = repository.figures(TODAY).into_iter();
            rows.filter(|row| row.figure == "nozzle-flow")
                .map(|row| row.value.unwrap())
                .collect()
        };
        let (before, after) = (flows(&fleet), flows(&tripled));
        assert!(!before.is_empty() && before.len() == after.len());
        for (before, after) in before.into_iter().zip(after) {
            assert!((after - 3.0 * before).abs() < 1e-12 * after.abs().max(1.0));
        }
    }
}

/// Every rule with its verdict on every member of its figure, under the limits and the coverage factor
/// of a fleet file; where a rule applies is left out of it.
fn verdicts(members: &[Computed], fleet: &Repository) -> Vec<(String, Verdict)> {
    let rules = RuleSet::built_in();
    let declared = fleet.fleet().unwrap();
    let coverage_factor = declared.coverage_factor.map_or(2.0, |k| k.value.to_f64());
    let mut problems = Vec::new();
    let limits = LimitsInForce::read(Some(&declared), rules, &mut problems);
    assert!(problems.is_empty(), "{problems:#?}");
    let mut verdicts = Vec::new();
    for (index, rule) in rules.rules().iter().enumerate() {
        for member in members {
            if member.entry.id != catalogue::FIGURES[rule.figure].id || member.value.is_err() {
                continue; // Another figure, or one that is no number.
            }
            let whose = Whose {
                machine: &member.machine,
                course: member.course.as_deref(),
                step: member.key.step,
                setup: member.setup.as_deref(),
            };
            let in_force = limits.limits((index, rule), whose, member.day);
            let bounds = in_force.map(|(grade, limit)| (grade, &limit.bound));
            let expanded = coverage_factor * member.uncertainty();
            let judged = judge(
                bounds,
                rule.decision,
                member.value(),
                || expanded,
                member.anchor,
                || member.exact.clone(),
            );
            let of = format!("{} on {:?} = {}", rule.id, member.key, member.value());
            verdicts.push((of, judged.verdict));
        }
    }
    verdicts
}

/// How much a verdict weighs in a report, the heavier the smaller; within a limit it is no finding.
fn weight(verdict: Verdict) -> Grade {
    match verdict {
        Verdict::Fail(grade) => grade,
        Verdict::Undecided(grade, Side::Over) => grade.max(Grade::Warning),
        Verdict::Undecided(_, Side::Within) | Verdict::Pass => Grade::Weakens,
    }
}

/// A fleet file that sets every limit of ours that has a number, times `looser`.
fn with_limits(fleet: &Repository, looser: f64) -> Repository {
    let mut text = String::new();
    for line in fleet.files[FLEET].lines() {
        if line.starts_with("limits:") || line.starts_with("intervals:") {
            break; // The fixture's own limits stand last; intervals would replace those of rules.
        }
        writeln!(text, "{line}").unwrap();
    }
    writeln!(text, "limits:").unwrap();
    let mut n_set = 0;
    for rule in RuleSet::built_in().rules() {
        let mut grades = String::new();
        for (grade, limit) in &rule.limits {
            let (words, quantity, times) = match &limit.bound {
                Bound::AtMost(quantity) => ("at most", quantity, looser),
                Bound::AtLeast(quantity) => ("at least", quantity, 1.0 / looser),
                Bound::Any | Bound::Told | Bound::Off => continue, // These have no number.
            };
            let number = times * quantity.decimal.to_f64();
            let unit = quantity.unit;
            write!(grades, "{}: {words} {number} {unit}, ", grade.word()).unwrap();
            n_set += 1;
        }
        if !grades.is_empty() {
            writeln!(text, "  {}: {{{grades}because: a test}}", rule.id).unwrap();
        }
    }
    assert!(n_set > 40, "{n_set} limits are set");
    fleet.clone().with(FLEET, text)
}

/// By doublings, so that the numbers of the limits stay short.
const LOOSER: [f64; 7] = [0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0];

#[test]
fn relaxing_limits_never_turns_a_pass_into_a_finding() {
    for fleet in fleets() {
        let members = fleet.computed(TODAY);
        let mut before: Option<Vec<(String, Verdict)>> = None;
        let mut n_relaxed = 0;
        for looser in LOOSER {
            let now = verdicts(&members, &with_limits(&fleet, looser));
            for ((of, was), (_, is)) in before.iter().flatten().zip(&now) {
                assert!(
                    *was != Verdict::Pass || *is == Verdict::Pass,
                    "{of}: {is:?}"
                );
                assert!(weight(*was) <= weight(*is), "{of}: {was:?}, then {is:?}");
                n_relaxed += usize::from(was != is);
            }
            before = Some(now);
        }
        assert!(n_relaxed > 20, "only {n_relaxed} verdicts were touched");
    }
}

/// The fleet file with every declared tolerance, graduation and class so many times as large.
fn with_worse_instruments(fleet: &Repository, worse: f64) -> Repository {
    let declared = ["tolerance", "graduation", "resolution", "class", "timing"];
    let text = rewritten(&fleet.files[FLEET], |leaf| {
        let is_declared = declared.contains(&leaf.keys.last()?.as_str());
        let (number, unit) = leaf.text.split_once(' ').unwrap_or((&leaf.text, ""));
        let number: f64 = number.parse().ok().filter(|_| is_declared)?;
        Some(format!("\"{} {unit}\"", worse * number).replace(" \"", "\""))
    });
    fleet.clone().with(FLEET, text)
}

/// Figures that stand on uncertainty: through the verdicts that leave a step failing, and by the chance that readings repeat.
const BY_UNCERTAINTY: [&str; 2] = ["sprayed-while-failing", "readings-repeated"];

#[test]
fn more_uncertainty_never_decides_a_verdict() {
    for fleet in fleets() {
        let mut n_undecided = 0;
        // Under limits of many sizes, so that some lie near some values.
        for looser in LOOSER {
            let mut before: Option<Vec<(String, Verdict)>> = None;
            for worse in [0.5, 1.0, 2.0, 4.0] {
                let declared = with_worse_instruments(&fleet, worse);
                let mut members = declared.computed(TODAY);
                members.retain(|member| !BY_UNCERTAINTY.contains(&member.entry.id));
                let now = verdicts(&members, &with_limits(&declared, looser));
                for ((of, was), (same, is)) in before.iter().flatten().zip(&now) {
                    assert_eq!(of, same, "no value depends on uncertainty");
                    let decided = matches!(is, Verdict::Pass | Verdict::Fail(_));
                    let undecided = matches!(was, Verdict::Undecided(..));
                    assert!(!(undecided && decided), "{of}: {was:?}, then {is:?}");
                    n_undecided += usize::from(undecided);
                }
                before = Some(now);
            }
        }
        assert!(
            n_undecided > 20,
            "only {n_undecided} verdicts were undecided"
        );
    }
}

/// A limit in percent.
fn percent(limit: f64) -> Bound {
    Bound::parse(&format!("{limit}%"), ShownAs::Percent).unwrap()
}

proptest! {
    /// The same two properties where chance puts value, uncertainty and limits close together.
    #[test]
    fn verdicts_move_one_way(
        value in -12.0..12.0_f64,
        expanded in 0.0..4.0_f64,
        limits in prop::collection::vec(0_u32..100, 3),
        looser in 0_u32..40,
        worse in 0.0..4.0_f64,
        guarded in any::<bool>(),
    ) {
        let decision = if guarded { Decision::Guarded } else { Decision::Simple };
        let of = |add: u32, more: f64| {
            let bounds: Vec<(Grade, Bound)> = [Grade::Error, Grade::Warning, Grade::Note]
                .into_iter()
                .zip(&limits)
                .map(|(grade, limit)| (grade, percent(f64::from(limit + add) / 10.0)))
                .collect();
            let bounds = bounds.iter().map(|(grade, bound)| (*grade, bound));
            judge(
                bounds,
                decision,
                value / 100.0,
                || (expanded + more) / 100.0,
                None,
                || None,
            )
            .verdict
        };
        let (before, relaxed, unsure) = (of(0, 0.0), of(looser, 0.0), of(0, worse));
        prop_assert!(before != Verdict::Pass || relaxed == Verdict::Pass);
        prop_assert!(weight(before) <= weight(relaxed), "{before:?}, then {relaxed:?}");
        if let Verdict::Undecided(..) = before {
            prop_assert!(matches!(unsure, Verdict::Undecided(..)), "{before:?}, then {unsure:?}");
        }
        if !guarded {
            // What is read more coarsely than the worst limit is not known to be within it.
            let is_coarse = matches!(unsure, Verdict::Undecided(_, Side::Within));
            prop_assert!(before == unsure || is_coarse, "{before:?}, then {unsure:?}");
        }
    }
}

/// A catch of fifteen nozzles: fourteen at `others`, one at `odd`, in hundredths of a milliliter.
fn catch(day: Date, place_of_odd: usize, others: u32, odd: u32) -> String {
    let readings: Vec<String> = (0..15)
        .map(|nozzle| if nozzle == place_of_odd { odd } else { others })
        .map(|hundredths| format!("{}.{:02}", hundredths / 100, hundredths % 100))
        .collect();
    format!(
        "record: calibration\nmachine: heron\ndate: {day}\nby: rm\ncatch-tests:\n  \
         - {{pressure: 2.5 bar, duration: 30 s, unit: mL, caught: [{}]}}\n",
        readings.join(", ")
    )
}

/// A machine of fifteen nozzles with a visit a day.
fn visits(catches: impl Iterator<Item = (usize, u32, u32)>) -> Repository {
    let machine = "record: machine\nid: heron\nboom: {spacing: 50 cm, nozzles: 15}\n\
                   setups: {fairways: {rate: 300 L/ha}}\n";
    let mut repository = Repository::of([("machines/heron.yaml", machine.to_owned())]);
    let mut day = date(2015, 1, 1);
    for (place_of_odd, others, odd) in catches {
        let path = format!("calibrations/heron/{day}.yaml");
        repository = repository.with(&path, catch(day, place_of_odd, others, odd));
        day = day.tomorrow().unwrap();
    }
    repository
}

/// Fourteen nozzles at 279 j and one at 294 j: the mean is 280 j, and the one is off it by exactly 5%,
/// which is the limit and conforms (JCGM 106:2012). In binary about half of these come out beyond it.
#[test]
fn two_thousand_exact_ties_at_a_limit_conform() {
    const TIES: u32 = 2_000;
    let place = |j: u32| usize::try_from(j).unwrap() % 15;
    let ties = visits((1..=TIES).map(|j| (place(j), 279 * j, 294 * j)));
    let over_in_binary = ties
        .measured(TODAY, &|figure| figure == "nozzle-off-mean")
        .iter()
        .filter(|member| 0.05 < member.value())
        .count();
    assert!(
        over_in_binary > 300,
        "{over_in_binary} ties would be misjudged"
    );

    let off_mean = |repository: &Repository| -> Vec<(String, String)> {
        let report = repository.check(TODAY);
        let findings = report.findings.iter();
        findings
            .filter(|finding| finding.rule() == "nozzle-off-mean")
            .map(|finding| {
                let path = report.path(finding.primary().place.file).to_owned();
                (path, finding.message().to_owned())
            })
            .collect()
    };
    assert_eq!(off_mean(&ties), Vec::new());

    // One step of the last digit more is beyond it, in every one.
    let over = visits(
        (1..=TIES)
            .step_by(10)
            .map(|j| (place(j), 279 * j, 294 * j + 1)),
    );
    assert_eq!(off_mean(&over).len(), over.files.len() - 1);
}
