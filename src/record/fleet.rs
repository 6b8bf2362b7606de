//! The fleet file: courses, people, instruments, intervals, limits.

use super::lowering::{Lowering, is_mapping};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::source::{FileId, Span, Spanned};
use crate::yaml::Node;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What the group declares and decided.
#[derive(Debug, Clone)]
pub struct Fleet {
    /// The file it stands in.
    pub file: FileId,
    /// Its name.
    pub name: Option<Spanned<String>>,
    /// Its courses, by short name.
    pub courses: BTreeMap<String, Spanned<String>>,
    /// Its people, by initials.
    pub people: BTreeMap<String, Person>,
    /// Its instruments, by name.
    pub instruments: BTreeMap<String, Instrument>,
    /// The instrument taken where a record names none, by what it is for.
    pub usual: BTreeMap<String, Spanned<String>>,
    /// How long steps hold, by name of the interval.
    pub intervals: BTreeMap<String, Spanned<Quantity>>,
    /// Why the intervals are so.
    pub intervals_because: Option<Spanned<String>>,
    /// Limits that replace those of rule files.
    pub limits: Vec<LimitSetting>,
    /// The coverage factor k.
    pub coverage_factor: Option<Spanned<Decimal>>,
    /// Findings on earlier records are notes.
    pub enforce_from: Option<Spanned<Date>>,
}

/// Somebody of the group.
#[derive(Debug, Clone)]
pub struct Person {
    /// The initials, where they are declared.
    pub span: Span,
    /// Whether they may sign.
    pub may_sign: bool,
}

/// An instrument of the group.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Its name, where it is declared.
    pub span: Span,
    /// What it is.
    pub kind: Option<Spanned<String>>,
    /// From mark to mark: a volume, a length, a weight or a pressure.
    pub graduation: Option<Spanned<Quantity>>,
    /// How far its scale may be off, in percent of the reading.
    pub tolerance: Option<Spanned<Quantity>>,
    /// The full scale of a gauge.
    pub span_of_scale: Option<Spanned<Quantity>>,
    /// The accuracy class of a gauge: percent of its span.
    pub class: Option<Spanned<Decimal>>,
    /// The accuracy class of a tape.
    pub tape_class: Option<Spanned<TapeClass>>,
    /// The standard uncertainty of one timing.
    pub timing: Option<Spanned<Quantity>>,
    /// When it was last checked.
    pub checked: Option<Spanned<Date>>,
}

/// The accuracy class of a tape (Directive 2014/32/EU, annex X, chapter I).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TapeClass {
    /// Class I.
    One,
    /// Class II.
    Two,
    /// Class III.
    Three,
}

impl TapeClass {
    fn from_word(word: &str) -> Option<Self> {
        match word {
            "I" => Some(Self::One),
            "II" => Some(Self::Two),
            "III" => Some(Self::Three),
            _ => None,
        }
    }
}

/// A limit the group sets for a rule.
#[derive(Debug, Clone)]
pub struct LimitSetting {
    /// The rule.
    pub rule: Spanned<String>,
    /// Where it holds.
    pub scope: Scope,
    /// The limit of each grade, as written.
    pub grades: Vec<(Spanned<String>, Spanned<String>)>,
    /// Why.
    pub because: Option<Spanned<String>>,
    /// From which day on.
    pub from: Option<Spanned<Date>>,
}

/// Where a limit holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Scope {
    /// In the whole fleet.
    Fleet,
    /// On one course.
    Course(Spanned<String>),
    /// For one machine.
    Machine(Spanned<String>),
}

/// Keys of `limits` that are no rule.
const AT_COURSE: &str = "at-course";
const AT_MACHINE: &str = "at-machine";

pub(super) fn lower(lowering: &mut Lowering, root: Node<'_>) -> Fleet {
    Fleet {
        file: lowering.file(),
        name: Lowering::text(root, "name"),
        courses: Lowering::named(root, "courses")
            .filter_map(|(id, name)| Some((id.value, Lowering::text_of(name)?)))
            .collect(),
        people: Lowering::named(root, "people")
            .map(|(id, person)| {
                let may_sign = person.get("may-sign").and_then(Node::text) == Some("true");
                let span = id.span;
                (id.value, Person { span, may_sign })
            })
            .collect(),
        instruments: Lowering::named(root, "instruments")
            .map(|(id, instrument)| {
                let instrument = lower_instrument(lowering, id.span, instrument);
                (id.value, instrument)
            })
            .collect(),
        usual: Lowering::named(root, "usual")
            .filter_map(|(purpose, name)| Some((purpose.value, Lowering::text_of(name)?)))
            .collect(),
        intervals: Lowering::named(root, "intervals")
            .filter(|(name, _)| name.value != "because")
            .filter_map(|(name, interval)| {
                let wanted = [Dimension::CALENDAR, Dimension::TIME];
                Some((name.value, lowering.quantity_of(interval, &wanted)?))
            })
            .collect(),
        intervals_because: root
            .get("intervals")
            .and_then(|intervals| Lowering::text(intervals, "because")),
        limits: root
            .get("limits")
            .map(|limits| lower_limits(lowering, limits))
            .unwrap_or_default(),
        coverage_factor: lowering.factor(root, "coverage-factor"),
        enforce_from: lowering.date(root, "enforce-from"),
    }
}

fn lower_instrument(lowering: &mut Lowering, span: Span, node: Node<'_>) -> Instrument {
    let kind = Lowering::text(node, "type");
    let is_tape = kind.as_ref().is_some_and(|kind| kind.value == "tape");
    let marks = marks_of(kind.as_ref().map_or("", |kind| kind.value.as_str()));
    Instrument {
        span,
        graduation: lowering
            .quantity(node, "graduation", marks)
            .or_else(|| lowering.quantity(node, "resolution", marks)),
        tolerance: lowering.tolerance(node),
        span_of_scale: lowering.quantity(node, "span", &[Dimension::PRESSURE]),
        class: (!is_tape)
            .then(|| lowering.decimal(node, "class"))
            .flatten(),
        tape_class: Lowering::word(node, "class", TapeClass::from_word),
        timing: lowering.quantity(node, "timing", &[Dimension::TIME]),
        checked: lowering.date(node, "checked"),
        kind,
    }
}

/// What the marks of an instrument measure.
fn marks_of(kind: &str) -> &'static [Dimension] {
    match kind {
        "scale" => &[Dimension::MASS],
        _ => &[Dimension::VOLUME],
    }
}

fn lower_limits(lowering: &mut Lowering, limits: Node<'_>) -> Vec<LimitSetting> {
    let mut settings = Vec::new();
    for (key, value) in limits.entries() {
        let Some(key) = Lowering::text_of(key) else {
            continue; // A key that is no text has a finding of the tree.
        };
        if key.value != AT_COURSE && key.value != AT_MACHINE {
            settings.extend(lower_limit(lowering, key, Scope::Fleet, value));
            continue;
        }
        for (place, rules) in value.entries() {
            let Some(place) = Lowering::text_of(place) else {
                continue; // As above.
            };
            for (rule, value) in rules.entries() {
                let scope = if key.value == AT_COURSE {
                    Scope::Course(place.clone())
                } else {
                    Scope::Machine(place.clone())
                };
                if let Some(rule) = Lowering::text_of(rule) {
                    settings.extend(lower_limit(lowering, rule, scope, value));
                }
            }
        }
    }
    settings
}

fn lower_limit(
    lowering: &mut Lowering,
    rule: Spanned<String>,
    scope: Scope,
    value: Node<'_>,
) -> Option<LimitSetting> {
    is_mapping(value).then(|| LimitSetting {
        rule,
        scope,
        grades: value
            .entries()
            .filter_map(|(grade, limit)| {
                Some((Lowering::text_of(grade)?, Lowering::text_of(limit)?))
            })
            .filter(|(grade, _)| !matches!(grade.value.as_str(), "because" | "from"))
            .collect(),
        because: Lowering::text(value, "because"),
        from: lowering.date(value, "from"),
    })
}
