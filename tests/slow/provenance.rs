//! A figure stands on what it says it stands on: every value of every file is changed, one at a time, and
//! only those figures may change that name its place, and by as much as their sensitivity says.

use crate::repository::Repository;
use crate::repository::computed::Computed;
use jiff::civil::{Date, date};
use std::collections::{BTreeMap, BTreeSet};
use swathlint::figure::Measure;
use swathlint::outcome::Key;
use swathlint::source::{FileId, Place, Span};
use swathlint::yaml::{self, Node, Shape};

const TODAY: Date = date(2026, 6, 1);

/// A value of a file, with the keys it stands under.
#[derive(Debug)]
struct Leaf {
    keys: String,
    place: Place,
    text: String,
    is_quoted: bool,
    /// Whether the same file has another value under the same keys.
    of_several: bool,
}

fn leaves(file: FileId, text: &str) -> Vec<Leaf> {
    fn walk(file: FileId, node: Node<'_>, keys: &str, leaves: &mut Vec<Leaf>) {
        match node.shape() {
            Shape::Scalar => leaves.push(Leaf {
                keys: keys.to_owned(),
                place: Place {
                    file,
                    span: node.span(),
                },
                text: node.text().unwrap().to_owned(),
                is_quoted: !node.is_plain(),
                of_several: false,
            }),
            Shape::Sequence => {
                for item in node.items() {
                    walk(file, item, keys, leaves);
                }
            }
            Shape::Mapping => {
                for (key, value) in node.entries() {
                    let key = key.text().unwrap();
                    walk(file, value, &format!("{keys}/{key}"), leaves);
                }
            }
        }
    }
    let parsed = yaml::parse(file, text);
    let mut leaves = Vec::new();
    walk(file, parsed.tree.root().unwrap(), "", &mut leaves);
    let all: Vec<String> = leaves.iter().map(|leaf| leaf.keys.clone()).collect();
    for leaf in &mut leaves {
        leaf.of_several = all.iter().filter(|keys| **keys == leaf.keys).count() > 1;
    }
    leaves
}

/// A small step of a number: far above rounding, far below where a formula bends.
const STEP: f64 = 1e-4;

/// What stands for a value in its stead, and whether it is the same number a small step up.
fn other(leaf: &Leaf) -> (String, bool) {
    const WORDS: [(&str, &str); 19] = [
        ("flow", "manual"),
        ("pressure", "manual"),
        ("manual", "automatic"),
        ("wheel", "gps"),
        ("radar", "gps"),
        ("gps", "wheel"),
        ("bypass", "shut-off"),
        ("shut-off", "bypass"),
        ("rate", "pressure"),
        ("fill meter", "catch"),
        ("half", "full"),
        ("turf", "cart path"),
        ("true", "false"),
        ("clean water", "mix"),
        ("fl oz", "mL"),
        ("mL", "fl oz"),
        ("pulses/gal", "mL/pulse"),
        ("mL/pulse", "pulses/L"),
        ("pulses/100 ft", "m/pulse"),
    ];
    let text = leaf.text.as_str();
    if let Ok(day) = text.parse::<Date>() {
        return (day.tomorrow().unwrap().to_string(), false);
    }
    if leaf.keys.ends_with("/nozzles") {
        return ((text.parse::<u32>().unwrap() + 1).to_string(), false);
    }
    if leaf.keys.ends_with("/size") {
        return (format!("{text}5"), false);
    }
    if let Some((_, other)) = WORDS.iter().find(|(word, _)| *word == text) {
        return ((*other).to_owned(), false);
    }
    let (number, unit) = text.split_once(' ').unwrap_or((text, ""));
    match number.parse::<f64>() {
        Ok(0.0) => ("400".to_owned(), false),
        Ok(number) => {
            let stepped = format!("{:.9} {unit}", number * (1.0 + STEP));
            (stepped.trim_end().to_owned(), true)
        }
        Err(_) => (format!("{text}x"), false),
    }
}

/// Figures of every step that a machine has.
const OF_STEPS: &[&str] = &[
    "step-age",
    "step-hours",
    "step-applications",
    "step-void",
    "step-to-recheck",
    "sprayed-while-void",
    "age-when-sprayed",
];

/// The same, and those of the rate, which a console makes or a catch.
const OF_STEPS_AND_RATE: &[&str] = &[
    "step-age",
    "step-hours",
    "step-applications",
    "step-void",
    "step-to-recheck",
    "sprayed-while-void",
    "age-when-sprayed",
    "true-rate-off",
    "rate-by-catch",
    "rate-by-catch-off",
    "product-of-maximum",
    "product-of-minimum",
];

/// Figures of a speed test, and what its readings count for.
const OF_SPEED: &[&str] = &[
    "computed-speed-factor",
    "correction",
    "course-length",
    "factor-correction",
    "factor-jump",
    "not-tested-again",
    "run-spread",
    "runs-driven",
    "sensor-error",
    "speed-factor-off",
    "speed-off-setup",
    "hard-surface",
    "tank-not-half",
    "tests-not-counted",
    "true-speed",
];

/// What a file says it is, and of which machine: changed, it takes with it all that was computed from the file.
const HEADING: [&str; 2] = ["/record", "/machine"];

/// Fields that decide which figures there are and what they are of, rather than being read into one:
/// the end of their keys, the figures they may change, and why no label points at them.
const STRUCTURE: [(&str, &[&str], &str); 25] = [
    (
        "/section-balance/rate-control",
        OF_STEPS,
        "a balance under automatic rate control proves nothing",
    ),
    (
        "/catch-tests/unit",
        &[],
        "the unit of every reading beside it",
    ),
    ("/boom/sections/nozzles", &[], "the layout of the boom"),
    ("/boom/sections/name", &[], "the layout of the boom"),
    ("/setup", &[], "which setup the visit is of"),
    (
        "/console/flow-factor",
        &[],
        "what the numbers of the factor mean",
    ),
    (
        "/console/speed-factor",
        &[],
        "what the numbers of the factor mean",
    ),
    (
        "/speed-source",
        OF_STEPS_AND_RATE,
        "whether a speed sensor has a part",
    ),
    (
        "/speed-source",
        OF_SPEED,
        "whether the speed test is of the machine's sensor, or of a setup that is driven",
    ),
    (
        "/section-valves",
        OF_STEPS,
        "whether there is a bypass to balance",
    ),
    (
        "/control",
        OF_STEPS_AND_RATE,
        "whether there is a meter to calibrate",
    ),
    (
        "/control",
        &["sprayed-while-failing"],
        "whether there is a meter whose test can be left failing",
    ),
    (
        "/mean-off-rated/error",
        &["wear-hours-left"],
        "the limit that a set wears to is that of a rule",
    ),
    (
        "/date",
        &["wear-hours-left"],
        "which catches are of the set, by when it was fitted",
    ),
    (
        "/hours",
        &["wear-hours-left", "step-hours", "hours-back", "hours-a-day"],
        "the trend runs over the hours of all its visits; its label is the last catch; a reading that lies below this one is \
         left out of what hours are counted from",
    ),
    (
        "/hours/to",
        &["wear-hours-left"],
        "hours are left from the last reading of the hour meter",
    ),
    (
        "/meter-tests/known-by",
        &["known-off-catch"],
        "whether the volume was known otherwise",
    ),
    (
        "/sections-off/sections",
        &["sections-not-tested"],
        "which sections were off",
    ),
    (
        "/date",
        &["instrument-age", "hours-back", "hours-a-day"],
        "the age is that of the visit its instrument is named in; hours are held against the record before",
    ),
    ("/nozzles-fitted/at/right", &[], "which nozzles were fitted"),
    (
        "/catch-tests/gauge",
        &["instrument-age", "beyond-gauge", "wear-hours-left"],
        "instruments are numbered by name, and each has a span and an error of its own",
    ),
    ("/may-sign", &["may-not-sign"], "who of all may sign"),
    (
        "/meter-tests/known-by",
        &["worked-out-off-catch"],
        "which volumes are worked out from the catch",
    ),
    (
        "/boom-end-gauge",
        &["instrument-age", "beyond-gauge"],
        "instruments are numbered by name, and each has a span of its own",
    ),
    (
        "/catch-tests/jug",
        &["beyond-jug"],
        "which jug was caught in, and how much it holds",
    ),
];

/// What is compared of a member: its value to the last bit, or why it has none.
type Value = Result<u64, String>;

fn value(member: &Computed) -> Value {
    match &member.value {
        Ok(measure) => Ok(measure.value().to_bits()),
        Err(unavailable) => Err(unavailable.because.clone()),
    }
}

fn values(members: &Members) -> BTreeMap<(&'static str, Key), Value> {
    let all = members.iter();
    all.map(|(key, member)| (*key, value(member))).collect()
}

type Members = BTreeMap<(&'static str, Key), Computed>;

fn members(repository: &Repository) -> Members {
    let all = repository.measured(TODAY, &|_| true);
    let n_members = all.len();
    let members: Members = all
        .into_iter()
        .map(|member| ((member.entry.id, member.key), member))
        .collect();
    assert_eq!(members.len(), n_members, "two members of one key");
    members
}

/// The sensitivity of a member to the number that stands at a place, all sources of error taken
/// together that have it for their value.
fn sensitivity_to(member: &Computed, place: Place) -> Option<f64> {
    let parts = member.value.as_ref().ok()?.parts().iter();
    let at_place: Vec<f64> = parts
        .filter(|(id, _)| {
            let primitive = member.primitives.get(*id);
            primitive.place == Some(place) && primitive.value.abs() > 0.0
        })
        .map(|(_, sensitivity)| *sensitivity)
        .collect();
    (!at_place.is_empty()).then(|| at_place.iter().sum())
}

fn names(member: &Computed, leaf: &Leaf) -> bool {
    let holds =
        |place: Place| place.file == leaf.place.file && place.span.contains(leaf.place.span);
    let parts = member.value.iter().flat_map(Measure::parts);
    let mut read: BTreeSet<Place> = BTreeSet::new();
    read.extend(parts.filter_map(|(id, _)| member.primitives.get(*id).place));
    read.contains(&leaf.place) || holds(member.subject) || member.against.is_some_and(holds)
}

/// What the tests of a rate find, each of its own part.
const WHAT_MAKES_THE_RATE: &[&str] =
    &["meter-error", "sensor-error", "rate-by-catch", "true-speed"];

/// Figures that stand on what calibrations came to, and the figures that tell it: those name the
/// readings, these name those. What is left failing is so by a rule's verdict on a figure.
const WORKED_OUT: [(&str, &[&str]); 6] = [
    ("product-of-maximum", WHAT_MAKES_THE_RATE),
    ("product-of-minimum", WHAT_MAKES_THE_RATE),
    ("rate-by-catch", &["true-speed"]),
    ("rate-by-catch-off", &["true-speed"]),
    ("sprayed-while-failing", &["mean-off-rated"]),
    ("wear-hours-left", &["mean-off-rated"]),
];

/// The members that a figure may be worked out from.
fn sources<'m>(members: &'m Members, figure: &str) -> impl Iterator<Item = &'m Computed> {
    let worked_out = WORKED_OUT.iter().find(|(own, _)| *own == figure);
    let from = worked_out.map_or(&[][..], |(_, from)| *from);
    let all = members.iter().filter(|((id, _), _)| from.contains(id));
    all.map(|(_, member)| member)
}

/// Which allowances were needed.
type Needed = BTreeSet<usize>;

/// Whether a field of structure may change this figure.
fn is_structure(leaf: &Leaf, figure: &str, needed: &mut Needed) -> bool {
    let found = STRUCTURE.iter().position(|(keys, figures, _)| {
        leaf.keys.ends_with(keys) && (figures.is_empty() || figures.contains(&figure))
    });
    needed.extend(found);
    // A nozzle that passes nothing is left out of the mean, so its 0 is no number but a word.
    let is_plugged = leaf.keys.contains("/caught") && leaf.text == "0";
    // A catch of some nozzles again replaces theirs where it was made at the same pressure.
    let is_composed = leaf.keys.ends_with("/catch-tests/pressure") && leaf.of_several;
    // Whether readings were copied is asked of all of them at once; its label is their key.
    let is_copy = leaf.keys.contains("/caught") && figure == "readings-repeated";
    found.is_some() || is_plugged || is_composed || is_copy
}

/// The extremes of these may tie, or lie below a bound where they are none, and then change which readings they are: see the simulations. Hours
/// may be those of the record before, and go back only on one side of that.
const WITH_KINKS: [&str; 10] = [
    "beyond-gauge",
    "beyond-jug",
    "catch-duration",
    "catch-spread",
    "filled-beyond-tank",
    "hours-a-day",
    "hours-back",
    "known-volume-beyond-tank",
    "repeat-spread",
    "run-spread",
];

struct Counts {
    leaves: usize,
    changes: usize,
    derivatives: usize,
    /// Values of service records that change something.
    of_work: usize,
    /// Values of application records that change something.
    of_spraying: usize,
}

fn every_value_changed_alone(repository: &Repository, needed: &mut Needed) -> Counts {
    let before = members(repository);
    let mut counts = Counts {
        leaves: 0,
        changes: 0,
        derivatives: 0,
        of_work: 0,
        of_spraying: 0,
    };
    for (file, path, text) in repository.numbered() {
        for leaf in leaves(file, text) {
            let (other, is_step) = other(&leaf);
            let written = if leaf.is_quoted {
                format!("\"{other}\"")
            } else {
                other.clone()
            };
            let mut changed = text.to_owned();
            changed.replace_range(leaf.place.span.range(), &written);
            let after = members(&repository.clone().with(path, changed));
            let shift = written.len().cast_signed() - leaf.place.span.len().cast_signed();
            let case = format!("{path}{} {} -> {other}", leaf.keys, leaf.text);
            counts.leaves += 1;
            if HEADING.contains(&leaf.keys.as_str()) {
                // It is no record of its place then, and all is as if nobody could read it.
                let unread = members(&repository.clone().with(path, ""));
                assert_eq!(values(&after), values(&unread), "{case}");
                continue;
            }
            let n_changes_before = counts.changes;
            let keys: BTreeSet<_> = before.keys().chain(after.keys()).copied().collect();
            for key in keys {
                let (was, is) = (before.get(&key), after.get(&key));
                let by_source = || sources(&before, key.0).any(|source| names(source, &leaf));
                let of = format!("{} of {:?}, {case}", key.0, key.1);
                if was.map(value) != is.map(value) {
                    counts.changes += 1;
                    let leaf_after = shifted(&leaf, shift);
                    let named = was.is_some_and(|member| names(member, &leaf))
                        || is.is_some_and(|member| names(member, &leaf_after))
                        || by_source()
                        || sources(&after, key.0).any(|source| names(source, &leaf_after));
                    assert!(
                        named || is_structure(&leaf, key.0, needed),
                        "not among its places: {of}"
                    );
                }
                let (Some(was), Some(is), true) = (was, is, is_step) else {
                    continue; // No number, or no value before or after.
                };
                let Some(sensitivity) = sensitivity_to(was, leaf.place) else {
                    continue; // It does not stand on this number, and did not change.
                };
                // Its sensitivity is to the figure it is worked out from, not to what that one read.
                if by_source()
                    || WITH_KINKS.contains(&key.0)
                    || is_structure(&leaf, key.0, &mut Needed::new())
                {
                    continue;
                }
                counts.derivatives += 1;
                let step = step_si(was, leaf.place);
                let (found, wanted) = (is.value() - was.value(), sensitivity * step);
                let rounding = 1e-12 * was.value().abs().max(1e-3);
                assert!(
                    (found - wanted).abs() <= 2.0 * STEP * wanted.abs() + rounding,
                    "changed by {found:e}, by its sensitivity {wanted:e}: {of}"
                );
            }
            let has_changed = usize::from(n_changes_before < counts.changes);
            counts.of_work += has_changed * usize::from(path.starts_with("service/"));
            counts.of_spraying += has_changed * usize::from(path.starts_with("applications/"));
        }
    }
    counts
}

fn shifted(leaf: &Leaf, by: isize) -> Leaf {
    let Span { start, end } = leaf.place.span;
    let end = u32::try_from(isize::try_from(end).unwrap() + by).unwrap();
    Leaf {
        keys: leaf.keys.clone(),
        place: Place {
            file: leaf.place.file,
            span: Span::new(start, end),
        },
        text: leaf.text.clone(),
        is_quoted: leaf.is_quoted,
        of_several: leaf.of_several,
    }
}

/// By how much the number at a place was stepped, in SI units.
fn step_si(member: &Computed, place: Place) -> f64 {
    let parts = member.value.as_ref().unwrap().parts().iter();
    let mut values = parts
        .map(|(id, _)| member.primitives.get(*id))
        .filter(|primitive| primitive.place == Some(place) && primitive.value.abs() > 0.0);
    STEP * values.next().unwrap().value
}

#[test]
fn no_figure_depends_on_a_value_it_does_not_name() {
    let mut needed = Needed::new();
    // US customary with pulses per volume, metric with volume per pulse, one read by pressure, one
    // without a console.
    for machine in ["heron", "avocet", "turnstone", "curlew", "stint"] {
        let repository = Repository::fixture("saltmere", &["fleet.yaml", machine]);
        let counts = every_value_changed_alone(&repository, &mut needed);
        assert!(
            counts.leaves > 200 && counts.changes > 500 && counts.derivatives > 500,
            "{machine}: {} values, {} changes, {} derivatives",
            counts.leaves,
            counts.changes,
            counts.derivatives
        );
        // Nobody worked on the other two.
        let is_worked_on = ["heron", "curlew", "stint"].contains(&machine);
        assert_eq!(is_worked_on, 0 < counts.of_work, "{machine}");
        assert!(
            counts.of_spraying > 50,
            "{machine}: {} values of applications",
            counts.of_spraying
        );
    }
    for (index, (keys, _, why)) in STRUCTURE.iter().enumerate() {
        assert!(
            needed.contains(&index),
            "{keys} changes nothing more: {why}"
        );
    }
}

/// How true an instrument is, where it is declared: a tolerance, or a gauge's class and span.
const SCALES: [&str; 3] = ["/tolerance", "/class", "/span"];

#[test]
fn no_uncertainty_depends_on_an_instrument_it_does_not_name() {
    let mut n_changes = 0;
    for machine in ["heron", "avocet", "curlew"] {
        let repository = Repository::fixture("saltmere", &["fleet.yaml", machine]);
        let before = members(&repository);
        let (file, path, text) = repository
            .numbered()
            .find(|(_, path, _)| *path == "fleet.yaml")
            .unwrap();
        let parsed = yaml::parse(file, text);
        let instruments = parsed.tree.root().unwrap().get("instruments").unwrap();
        for leaf in leaves(file, text) {
            let is_scale = SCALES.iter().any(|scale| leaf.keys.ends_with(scale));
            let Some(name) = leaf.keys.strip_prefix("/instruments/").filter(|_| is_scale) else {
                continue; // Not how true an instrument is.
            };
            let (name, _) = name.split_once('/').unwrap();
            let declared = Place {
                file,
                span: instruments.key(name).unwrap().span(),
            };
            let (number, unit) = leaf.text.split_once(' ').unwrap_or((&leaf.text, ""));
            let doubled = 2.0 * number.parse::<f64>().unwrap();
            let mut changed = text.to_owned();
            let other = format!("\"{}\"", format!("{doubled} {unit}").trim_end());
            changed.replace_range(leaf.place.span.range(), &other);
            let after = members(&repository.clone().with(path, changed));
            assert!(before.keys().eq(after.keys()));
            for (key, was) in &before {
                let is = &after[key];
                assert_eq!(value(was), value(is), "{key:?}: {}", leaf.keys);
                let parts = was.value.iter().flat_map(Measure::parts);
                let contribution = parts
                    .filter(|(id, _)| was.primitives.get(*id).place == Some(declared))
                    .map(|(id, by)| (by * was.primitives.get(*id).uncertainty).abs())
                    .sum::<f64>();
                let (u, grown) = (was.uncertainty(), is.uncertainty());
                // A scale shared by all terms of a ratio leaves nothing but rounding.
                let stands_on_it = contribution > 1e-9 * u;
                let has_grown = grown > u * (1.0 + 1e-12);
                let source_grows = sources(&after, key.0).any(|source| {
                    let before = &before[&(source.entry.id, source.key)];
                    source.uncertainty() > before.uncertainty() * (1.0 + 1e-12)
                });
                // One of its sources may be worked out from the instrument, and need not be.
                let by_source = has_grown && source_grows;
                assert_eq!(
                    stands_on_it || by_source,
                    has_grown,
                    "{key:?}: {}",
                    leaf.keys
                );
                n_changes += usize::from(has_grown);
            }
        }
    }
    assert!(n_changes > 100, "only {n_changes} uncertainties grew");
}

#[test]
fn a_trend_stands_on_the_catches_the_hours_and_the_limit_alone() {
    /// Where a file's path begins, and where the keys of a value end. What was fitted goes before the machine file.
    const STANDS_ON: [(&str, &str); 9] = [
        ("calibrations/", "/hours"),
        ("calibrations/", "/catch-tests/pressure"),
        ("calibrations/", "/catch-tests/duration"),
        ("calibrations/", "/catch-tests/unit"),
        ("calibrations/", "/catch-tests/caught/left"),
        ("calibrations/", "/catch-tests/caught/right"),
        ("service/", "/hours"),
        ("service/", "/nozzle/size"),
        ("fleet.yaml", "/at-machine/stint/mean-off-rated/error"),
    ];
    let repository = Repository::fixture("saltmere", &["fleet.yaml", "stint"]);
    let left = |repository: &Repository| {
        let rows = repository.figures(TODAY);
        let row = rows.iter().find(|row| row.figure == "wear-hours-left");
        row.map(|row| row.value.clone().map(f64::to_bits))
    };
    let before = left(&repository);
    assert!(before.iter().any(Result::is_ok));
    let mut moved_by = BTreeSet::new();
    for (file, path, text) in repository.numbered() {
        for leaf in leaves(file, text) {
            let (other, is_step) = other(&leaf);
            let is_of_trend = STANDS_ON
                .iter()
                .position(|(folder, keys)| path.starts_with(folder) && leaf.keys.ends_with(keys));
            // Where it is no number the trend may be lost for reasons of its own.
            if !is_step && is_of_trend.is_none() {
                continue;
            }
            let mut changed = text.to_owned();
            let quote = if leaf.is_quoted { "\"" } else { "" };
            changed.replace_range(leaf.place.span.range(), &format!("{quote}{other}{quote}"));
            let after = left(&repository.clone().with(path, changed));
            let is_last_reading =
                path == "applications/stint/2026-05-27.yaml" && leaf.keys == "/hours/to";
            assert_eq!(
                before != after,
                is_of_trend.is_some() || is_last_reading,
                "{path}{}",
                leaf.keys
            );
            moved_by.extend(is_of_trend);
        }
    }
    assert_eq!(moved_by.len(), STANDS_ON.len());
}
