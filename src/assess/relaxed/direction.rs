//! Whether one value of a setting asks for less than another.

use super::super::context::COVERAGE_FACTOR;
use crate::figure::{ShownAs, catalogue};
use crate::outcome::Grade;
use crate::quantity::Quantity;
use crate::quantity::calendar::Period;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::rule::{Bound, Guard, Rule, RuleSet, guard};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Which way a change of a setting goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Direction {
    /// It asks for as much or more.
    NoLess,
    /// It cannot be told.
    Open,
    /// It asks for less.
    Less,
}

/// A setting of the fleet file that is no limit, by its keys.
pub(super) fn in_fleet(way: &[&str], was: Option<&str>, is: Option<&str>) -> Direction {
    let open_unless = |is_no_less: bool| {
        if is_no_less {
            Direction::NoLess
        } else {
            Direction::Open
        }
    };
    match way {
        // Refused, with a finding of its own.
        ["limits", "at-course" | "at-machine", _, rule, _] | ["limits", rule, _]
            if guard(rule) == Some(Guard::Fixed) =>
        {
            Direction::NoLess
        }
        [.., "because"] | ["record" | "name" | "courses", ..] => Direction::NoLess,
        // Where nobody may sign, nobody is asked whether they may.
        ["people", _, "may-sign"] => {
            if is == Some("true") {
                Direction::Less
            } else {
                open_unless(was != Some("true"))
            }
        }
        ["second-person-checks"] => {
            if was == Some("true") {
                Direction::Less
            } else {
                Direction::NoLess
            }
        }
        ["people" | "instruments" | "usual"] | ["people" | "instruments", _] => {
            open_unless(was.is_none())
        }
        // A check since: days are written so that their texts are in their order.
        ["instruments", _, "checked"] => open_unless(is.is_some() && was <= is),
        ["intervals", .., _] => interval(was, is),
        ["coverage-factor"] => {
            let factor = |text: Option<&str>| match text {
                Some(text) => text.trim().parse().ok(),
                None => Some(COVERAGE_FACTOR),
            };
            match (factor(was), factor(is)) {
                // A smaller one proves more faults, and calls fewer tests weak.
                (Some(was), Some(is)) => match f64::partial_cmp(&is, &was) {
                    Some(Ordering::Equal) => Direction::NoLess,
                    Some(Ordering::Greater) => Direction::Less,
                    Some(Ordering::Less) | None => Direction::Open,
                },
                _ => Direction::Open,
            }
        }
        ["enforce-from"] => match (was, is) {
            (_, None) => Direction::NoLess,
            (Some(was), Some(is)) if is <= was => Direction::NoLess,
            (_, Some(_)) => Direction::Less,
        },
        _ => Direction::Open,
    }
}

/// How an interval is counted.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Counted {
    Calendar,
    Hours,
    Applications,
}

/// So many days a month has on average, to hold months against days.
const DAYS_A_MONTH: f64 = 365.25 / 12.0;

/// The intervals of a step: whichever comes first.
fn intervals(text: &str) -> Option<BTreeMap<Counted, f64>> {
    let all = text.split(',').map(str::trim).map(|one| {
        let counted = ["applications", "application"];
        if let Some(count) = counted.iter().find_map(|noun| one.strip_suffix(noun)) {
            return Some((Counted::Applications, count.trim().parse().ok()?));
        }
        let quantity = Quantity::parse(one, &[Dimension::CALENDAR, Dimension::TIME]).ok()?;
        if quantity.unit == Unit::HOUR {
            return Some((Counted::Hours, quantity.si()));
        }
        let days = match Period::from_quantity(&quantity)? {
            Period::Months(months) => f64::from(months) * DAYS_A_MONTH,
            Period::Days(days) => f64::from(days),
        };
        Some((Counted::Calendar, days))
    });
    all.collect()
}

fn interval(was: Option<&str>, is: Option<&str>) -> Direction {
    let (Some(was), Some(is)) = (was, is) else {
        // One of its own may be longer or shorter than the one that held instead.
        return Direction::Open;
    };
    let (Some(was), Some(is)) = (intervals(was), intervals(is)) else {
        return Direction::Open;
    };
    let is_longer = |(counted, was): (&Counted, &f64)| is.get(counted).is_none_or(|is| was < is);
    if was.iter().any(is_longer) {
        Direction::Less
    } else {
        Direction::NoLess
    }
}

/// A key of a house rule: what it says is not what it asks.
pub(super) fn in_house_rule(way: &[&str]) -> Direction {
    const TEXTS: [&str; 7] = [
        "record", "since", "title", "message", "help", "why", "sources",
    ];
    match way.first() {
        Some(key) if TEXTS.contains(key) => Direction::NoLess,
        Some(_) | None => Direction::Open,
    }
}

/// Which way a change of a key of a house cause goes: whatever decides when it is told, or what is done then, may hide a fault.
pub(super) fn in_house_cause(way: &[&str]) -> Direction {
    // What it is about decides how a step stands; its message and what to do next, what somebody does.
    const TEXTS: [&str; 6] = ["record", "since", "title", "told-apart", "why", "sources"];
    match way.first() {
        Some(key) if TEXTS.contains(key) => Direction::NoLess,
        Some(_) | None => Direction::Open,
    }
}

/// The limits of a rule file, worst first.
pub(super) fn all_limits(rule: &Rule) -> String {
    let limits = rule.limits.iter();
    let limits: Vec<String> = limits
        .map(|(grade, limit)| format!("{} {}", grade.word(), limit.bound.in_full()))
        .collect();
    limits.join(", ")
}

/// A limit in the fleet file: of which rule and grade.
pub(super) struct LimitOf<'r> {
    rule: &'r Rule,
    grade: Grade,
    shown_as: ShownAs,
}

impl<'r> LimitOf<'r> {
    /// The limit at some keys; none where they lead to none of a rule that there is.
    pub(super) fn at(way: &[&str], rules: &'r RuleSet) -> Option<Self> {
        let (["limits", rule, grade] | ["limits", "at-course" | "at-machine", _, rule, grade]) =
            way
        else {
            return None;
        };
        let grade = Grade::ALL.into_iter().find(|one| one.word() == *grade)?;
        let (_, rule) = rules.find(rule)?;
        let shown_as = catalogue::FIGURES[rule.figure].shown_as;
        Some(Self {
            rule,
            grade,
            shown_as,
        })
    }

    pub(super) fn rule(&self) -> &str {
        &self.rule.id
    }

    pub(super) fn grade(&self) -> &'static str {
        self.grade.word()
    }

    /// The limit of the rule file, in words.
    pub(super) fn built_in(&self) -> Option<String> {
        let limit = self.rule.limits.get(&self.grade)?;
        Some(format!("{} by the rule", limit.bound.in_full()))
    }

    /// Which way a change between two texts goes; without one, the rule's own holds.
    pub(super) fn direction(&self, was: Option<&str>, is: Option<&str>) -> Direction {
        if guard(&self.rule.id) == Some(Guard::Fixed) {
            return Direction::NoLess; // Refused, with a finding of its own.
        }
        let built_in = self.rule.limits.get(&self.grade);
        let bound = |text: Option<&str>| match text {
            Some(text) => Bound::parse(text, self.shown_as).map(Some),
            None => Ok(built_in.map(|limit| limit.bound)),
        };
        match (bound(was), bound(is)) {
            (Ok(was), Ok(is)) => of_bounds(was, is),
            _ => Direction::Open,
        }
    }
}

fn of_bounds(was: Option<Bound>, is: Option<Bound>) -> Direction {
    let in_force = |bound: Option<Bound>| bound.filter(Bound::is_in_force);
    let (was, is) = match (in_force(was), in_force(is)) {
        (None, _) => return Direction::NoLess,
        (Some(_), None) => return Direction::Less,
        (Some(was), Some(is)) => (was, is),
    };
    let lower = |was: &Quantity, is: &Quantity| match is.si().partial_cmp(&was.si()) {
        Some(Ordering::Less | Ordering::Equal) => Direction::NoLess,
        Some(Ordering::Greater) => Direction::Less,
        None => Direction::Open,
    };
    match (was, is) {
        (was, is) if was == is => Direction::NoLess,
        (_, Bound::Any) => Direction::NoLess,
        (Bound::AtMost(was), Bound::AtMost(is)) => lower(&was, &is),
        // At least so much: what is lower asks for less.
        (Bound::AtLeast(was), Bound::AtLeast(is)) => lower(&is, &was),
        (Bound::Any, Bound::AtMost(_)) => Direction::Less,
        _ => Direction::Open,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Direction::{Less, NoLess, Open};

    #[test]
    fn only_what_is_known_to_ask_for_no_less_is_passed_over() {
        type Row<'r> = (&'r [&'r str], Option<&'r str>, Option<&'r str>, Direction);
        let rows: [Row<'_>; 26] = [
            (&["name"], Some("a"), Some("b"), NoLess),
            (&["limits", "x", "because"], Some("a"), None, NoLess),
            (&["people", "rm"], None, Some("may-sign true"), NoLess),
            (&["people", "rm"], Some("may-sign true"), None, Open),
            (&["people", "rm", "may-sign"], None, Some("true"), Less),
            (
                &["people", "rm", "may-sign"],
                Some("true"),
                Some("false"),
                Open,
            ),
            (&["people", "rm", "may-sign"], Some("true"), None, Open),
            (&["people", "rm", "may-sign"], None, Some("false"), NoLess),
            (
                &["second-person-checks"],
                Some("false"),
                Some("true"),
                NoLess,
            ),
            (&["second-person-checks"], Some("true"), Some("false"), Less),
            (&["second-person-checks"], Some("true"), None, Less),
            (&["instruments", "jug-2"], Some("type jug"), None, Open),
            (
                &["instruments", "jug-2", "tolerance"],
                Some("1%"),
                Some("5%"),
                Open,
            ),
            (
                &["instruments", "jug-2", "checked"],
                Some("2025-01-01"),
                Some("2026-01-01"),
                NoLess,
            ),
            (
                &["instruments", "jug-2", "checked"],
                Some("2025-01-01"),
                None,
                Open,
            ),
            (
                &["intervals", "full"],
                Some("12 months"),
                Some("18 months"),
                Less,
            ),
            (
                &["intervals", "full"],
                Some("12 months"),
                Some("360 days"),
                NoLess,
            ),
            (
                &["intervals", "full"],
                Some("12 months"),
                Some("12 months, 100 h"),
                NoLess,
            ),
            (
                &["intervals", "full"],
                Some("12 months, 100 h"),
                Some("12 months"),
                Less,
            ),
            (
                &["intervals", "full"],
                Some("4 applications"),
                Some("5 applications"),
                Less,
            ),
            (&["intervals", "full"], None, Some("24 months"), Open),
            (&["coverage-factor"], None, Some("3"), Less),
            (&["coverage-factor"], Some("2"), None, NoLess),
            (&["enforce-from"], None, Some("2026-01-01"), Less),
            (
                &["enforce-from"],
                Some("2026-01-01"),
                Some("2025-01-01"),
                NoLess,
            ),
            (&["a key of later"], None, Some("1"), Open),
        ];
        for (way, was, is, wanted) in rows {
            assert_eq!(in_fleet(way, was, is), wanted, "{way:?} {was:?} {is:?}");
        }
    }

    #[test]
    fn a_limit_is_held_against_the_one_that_held_before() {
        let rules = RuleSet::built_in();
        let rows = [
            // `mean-off-rated` of the rule file: error at 10%, note at 5%.
            ("mean-off-rated", "error", None, Some("40%"), Less),
            ("mean-off-rated", "error", None, Some("8%"), NoLess),
            ("mean-off-rated", "error", Some("8%"), None, Less),
            ("mean-off-rated", "error", Some("8%"), Some("none"), Less),
            ("mean-off-rated", "warning", None, Some("40%"), NoLess),
            (
                "mean-off-rated",
                "error",
                None,
                Some("told from none"),
                Open,
            ),
            ("landed-record-amended", "note", None, Some("none"), Less),
            ("short-catch", "weakens", None, Some("at least 10 s"), Less),
            (
                "short-catch",
                "weakens",
                None,
                Some("at least 30 s"),
                NoLess,
            ),
        ];
        for (rule, grade, was, is, wanted) in rows {
            let limit = LimitOf::at(&["limits", rule, grade], rules).unwrap();
            assert_eq!(
                limit.direction(was, is),
                wanted,
                "{rule} {grade} {was:?} {is:?}"
            );
        }
    }
}
