//! What a rule made of a figure, as other programs want it.

use super::fact::{FactFields, number, text};
use super::place::PlaceFields;
use crate::finding::{At, Judged};
use crate::outcome::{Grade, Verdict};
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::report::Report;
use crate::rule::{Bound, Limit, SetAt};
use crate::wording::facts;
use crate::wording::shown::{ShownIn, shown_in};
use crate::words::dates;
use serde::Serialize;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A figure held against a limit.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct JudgedFields<'a> {
    figure: &'a str,
    case: Option<&'a str>,
    verdict: Option<&'static str>,
    grade: Option<&'static str>,
    value: Option<f64>,
    expanded_uncertainty: Option<f64>,
    unit: String,
    limit: Option<LimitFields<'a>>,
    as_left: Option<f64>,
    put_right: bool,
    #[serde(flatten)]
    at: AtFields<'a>,
    worked_out: Option<String>,
    facts: BTreeMap<&'static str, Option<FactFields<'a>>>,
}

/// Where in the fleet a figure holds.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct AtFields<'a> {
    date: Option<String>,
    step: Option<&'static str>,
    setup: Option<Cow<'a, str>>,
    stage: Option<&'static str>,
    part: FactFields<'a>,
}

/// A limit in the unit of the value, and as it was written.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct LimitFields<'a> {
    comparison: &'static str,
    value: Option<f64>,
    unit: Option<String>,
    written: Option<String>,
    set_by: &'static str,
    set_at: Option<SetAtFields<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct SetAtFields<'a> {
    #[serde(flatten)]
    place: PlaceFields<'a>,
    scope: Cow<'a, str>,
    because: Option<Cow<'a, str>>,
}

impl<'a> JudgedFields<'a> {
    pub(super) fn new(report: &'a Report, judged: &'a Judged) -> Self {
        let shown_in = shown_in(judged.shown_as, judged.units.0);
        let shown = |si: f64| number(shown_in.value(si));
        let fact = |(slot, fact): &'a (&'static str, _)| {
            let fact: &'a Option<_> = fact;
            (*slot, fact.as_ref().map(FactFields::new))
        };
        let (verdict, grade) = verdict(judged.verdict);
        let limit = judged.limit.as_ref();
        Self {
            figure: judged.figure,
            case: judged.case,
            verdict,
            grade: grade.map(Grade::word),
            value: shown(judged.value),
            expanded_uncertainty: shown(judged.expanded),
            limit: limit.map(|(_, limit)| LimitFields::new(report, limit, &shown_in)),
            as_left: judged.as_left.and_then(shown),
            put_right: judged.is_put_right || judged.as_left.is_some(),
            at: AtFields::new(&judged.at),
            worked_out: judged
                .working
                .as_ref()
                .map(|working| text(&facts::working(working)).into_owned()),
            facts: judged.facts.iter().map(fact).collect(),
            unit: shown_in.name,
        }
    }
}

/// The word for a verdict that is told, and the grade it stands on.
const fn verdict(verdict: Verdict) -> (Option<&'static str>, Option<Grade>) {
    match verdict {
        Verdict::Fail(grade) => (Some("fail"), Some(grade)),
        Verdict::Undecided(grade, _) => (Some("undecided"), Some(grade)),
        Verdict::Pass => (None, None),
    }
}

impl<'a> AtFields<'a> {
    /// By name, without the machine, which every line has.
    pub(super) fn new(at: &'a At) -> Self {
        let At {
            machine: _,
            is_whole: _,
            date,
            step,
            setup,
            stage,
            part,
        } = at;
        Self {
            date: date.map(dates::date),
            step: step.map(Step::test),
            setup: setup.as_deref().map(text),
            stage: stage.map(facts::stage),
            part: FactFields::new(part),
        }
    }
}

impl<'a> LimitFields<'a> {
    fn new(report: &'a Report, limit: &'a Limit, shown_in: &ShownIn) -> Self {
        let comparison = match limit.bound {
            Bound::AtMost(_) => "at most",
            Bound::AtLeast(_) => "at least",
            Bound::Any => "any",
            Bound::Told => "told from none",
            Bound::Off => "none",
        };
        let quantity = limit.bound.quantity();
        let (value, unit) = quantity
            .map(|quantity| in_unit_of_value(quantity, shown_in))
            .unzip();
        let set_at = limit.set_at.as_ref();
        Self {
            comparison,
            value: value.and_then(number),
            unit,
            written: quantity.map(Quantity::to_string),
            set_by: if set_at.is_some() { "group" } else { "rule" },
            set_at: set_at.map(|set_at| SetAtFields::new(report, set_at)),
        }
    }
}

/// A limit in the unit of the value; as written where that is its unit, or where it is a period of the calendar, which
/// has no fixed length.
fn in_unit_of_value(limit: &Quantity, shown_in: &ShownIn) -> (f64, String) {
    let own = limit.unit.to_string();
    if own == shown_in.name || limit.dimension() == Dimension::CALENDAR {
        return (limit.decimal.to_f64(), own);
    }
    (shown_in.value(limit.si()), shown_in.name.clone())
}

impl<'a> SetAtFields<'a> {
    fn new(report: &'a Report, set_at: &'a SetAt) -> Self {
        Self {
            place: PlaceFields::new(report, set_at.place),
            scope: text(&set_at.scope),
            because: set_at.because.as_deref().map(text),
        }
    }
}
