//! The fleet file: courses, people, instruments, intervals, limits.

use super::instrument::{self, Instrument, Purpose};
use super::lowering::{Lowering, is_mapping};
use crate::quantity::Quantity;
use crate::quantity::calendar::Period;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::source::{FileId, Span, Spanned};
use crate::yaml::{Node, Shape};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::fmt;

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
    pub usual: BTreeMap<Purpose, Spanned<String>>,
    /// How long steps hold.
    pub intervals: Vec<IntervalSetting>,
    /// Limits that replace those of rule files.
    pub limits: Vec<LimitSetting>,
    /// Whether somebody else than whoever tested must check a visit.
    pub second_person_checks: bool,
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

/// How long a step holds somewhere.
#[derive(Debug, Clone)]
pub struct IntervalSetting {
    /// Where it holds.
    pub scope: IntervalScope,
    /// The step, or `full` for all of them.
    pub step: Spanned<String>,
    /// How long; where it is said in several ways, whichever comes first.
    pub interval: Spanned<Interval>,
    /// Why.
    pub because: Option<Spanned<String>>,
}

/// How long a step holds, counted in one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Interval {
    /// In the calendar.
    Calendar(Period, Quantity),
    /// In hours of use.
    Hours(Quantity),
    /// In applications.
    Applications(u32),
}

impl fmt::Display for Interval {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Calendar(_, quantity) => write!(formatter, "{quantity}"),
            Self::Hours(quantity) => write!(formatter, "{quantity} of use"),
            Self::Applications(1) => write!(formatter, "1 application"),
            Self::Applications(count) => write!(formatter, "{count} applications"),
        }
    }
}

/// Where an interval holds, most particular first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum IntervalScope {
    /// For one setup of one machine.
    SetupOfMachine(Spanned<String>, Spanned<String>),
    /// For one machine.
    Machine(Spanned<String>),
    /// For setups of this name.
    Setup(Spanned<String>),
    /// On one course.
    Course(Spanned<String>),
    /// In the whole fleet.
    Fleet,
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

/// Keys of `limits` that are no rule, and of `intervals` that are no step.
const AT_COURSE: &str = "at-course";
const AT_MACHINE: &str = "at-machine";
const AT_SETUP: &str = "at-setup";

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
                let instrument = instrument::lower(lowering, id.span, instrument);
                (id.value, instrument)
            })
            .collect(),
        usual: Lowering::named(root, "usual")
            .filter_map(|(purpose, name)| {
                let purpose = Purpose::from_key(&purpose.value)?;
                Some((purpose, Lowering::text_of(name)?))
            })
            .collect(),
        intervals: root
            .get("intervals")
            .map(|intervals| lower_intervals(lowering, intervals))
            .unwrap_or_default(),
        limits: root
            .get("limits")
            .map(|limits| lower_limits(lowering, limits))
            .unwrap_or_default(),
        second_person_checks: root.get("second-person-checks").and_then(Node::text) == Some("true"),
        coverage_factor: lowering.factor(root, "coverage-factor"),
        enforce_from: lowering.date(root, "enforce-from"),
    }
}

fn lower_intervals(lowering: &mut Lowering, intervals: Node<'_>) -> Vec<IntervalSetting> {
    let mut settings = Vec::new();
    let because = Lowering::text(intervals, "because");
    lower_steps(
        lowering,
        intervals,
        &IntervalScope::Fleet,
        because.as_ref(),
        &mut settings,
    );
    for (course, steps) in Lowering::named(intervals, AT_COURSE) {
        let scope = IntervalScope::Course(course);
        lower_steps(lowering, steps, &scope, because.as_ref(), &mut settings);
    }
    for (setup, steps) in Lowering::named(intervals, AT_SETUP) {
        let scope = IntervalScope::Setup(setup);
        lower_steps(lowering, steps, &scope, because.as_ref(), &mut settings);
    }
    for (machine, steps) in Lowering::named(intervals, AT_MACHINE) {
        let scope = IntervalScope::Machine(machine.clone());
        lower_steps(lowering, steps, &scope, because.as_ref(), &mut settings);
        for (setup, own) in Lowering::named(steps, AT_SETUP) {
            let scope = IntervalScope::SetupOfMachine(machine.clone(), setup);
            let because = Lowering::text(steps, "because").or_else(|| because.clone());
            lower_steps(lowering, own, &scope, because.as_ref(), &mut settings);
        }
    }
    settings
}

/// The intervals of one place; a reason of its own goes before the one above it.
fn lower_steps(
    lowering: &mut Lowering,
    steps: Node<'_>,
    scope: &IntervalScope,
    because: Option<&Spanned<String>>,
    settings: &mut Vec<IntervalSetting>,
) {
    let own = Lowering::text(steps, "because");
    let because = own.as_ref().or(because);
    for (step, written) in steps.entries() {
        let Some(step) = Lowering::text_of(step) else {
            continue; // A key that is no text has a finding of the tree.
        };
        if matches!(
            step.value.as_str(),
            "because" | AT_COURSE | AT_MACHINE | AT_SETUP
        ) {
            continue;
        }
        let single = (written.shape() == Shape::Scalar).then_some(written);
        for one in single.into_iter().chain(written.items()) {
            if let Some(interval) = lower_interval(lowering, one) {
                settings.push(IntervalSetting {
                    scope: scope.clone(),
                    step: step.clone(),
                    interval,
                    because: because.cloned(),
                });
            }
        }
    }
}

fn lower_interval(lowering: &mut Lowering, node: Node<'_>) -> Option<Spanned<Interval>> {
    let text = node.text()?;
    let counted = ["applications", "application"]
        .into_iter()
        .find_map(|noun| text.strip_suffix(noun));
    let value = match counted.map(|count| count.trim().parse::<u32>()) {
        Some(Ok(count)) if count > 0 => Interval::Applications(count),
        Some(Ok(_) | Err(_)) => {
            lowering.problem(
                "unreadable-number",
                node.span(),
                format!("`{text}` must be a whole number of applications, at least 1"),
                Some("write a whole number such as 4 applications".to_owned()),
            );
            return None;
        }
        None => {
            let wanted = [Dimension::CALENDAR, Dimension::TIME];
            let quantity = lowering.quantity_of(node, "intervals", &wanted)?.value;
            match Period::from_quantity(&quantity) {
                Some(period) if quantity.unit != Unit::HOUR => Interval::Calendar(period, quantity),
                Some(_) | None if quantity.dimension() == Dimension::TIME => {
                    Interval::Hours(quantity)
                }
                Some(_) | None => {
                    lowering.problem(
                        "unreadable-number",
                        node.span(),
                        format!("`{text}` is no whole number of months"),
                        Some(
                            "write whole months or days, hours of use, or applications".to_owned(),
                        ),
                    );
                    return None;
                }
            }
        }
    };
    Some(Spanned {
        value,
        span: node.span(),
    })
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
