//! What a rule made of a figure, as properties of SARIF.

use crate::finding::Judged;
use crate::outcome::Verdict;
use crate::procedure::Step;
use crate::quantity::Quantity;
use crate::render::beside;
use crate::render::clean;
use crate::wording::facts;
use crate::wording::shown::shown_in;
use crate::words::dates;
use serde::Serialize;

/// A figure held against a limit.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Values<'a> {
    figure: &'a str,
    verdict: &'static str,
    grade: Option<&'static str>,
    value: Option<f64>,
    expanded_uncertainty: Option<f64>,
    unit: String,
    limit: Option<String>,
    limit_value: Option<f64>,
    limit_unit: Option<String>,
    as_left: Option<f64>,
    date: Option<String>,
    step: Option<&'static str>,
    setup: Option<String>,
    stage: Option<&'static str>,
    part: String,
}

impl<'a> Values<'a> {
    pub(super) fn new(judged: &'a Judged) -> Self {
        let shown_in = shown_in(judged.shown_as, judged.units.0);
        // Without a sign where it is nothing.
        let number = |si: f64| Some(shown_in.value(si) + 0.0).filter(|value| value.is_finite());
        let limit = judged.limit.as_ref();
        let quantity = limit.and_then(|(_, limit)| limit.bound.quantity());
        let (verdict, grade) = match judged.verdict {
            Verdict::Pass => ("pass", None),
            Verdict::Fail(grade) => ("fail", Some(grade)),
            Verdict::Undecided(grade, _) => ("undecided", Some(grade)),
        };
        Self {
            figure: judged.figure,
            verdict,
            grade: grade.map(crate::outcome::Grade::word),
            value: number(judged.value),
            expanded_uncertainty: number(judged.expanded),
            limit: beside::limit(judged),
            limit_value: quantity.map(|quantity| quantity.decimal.to_f64()),
            limit_unit: quantity.map(|quantity: &Quantity| quantity.unit.to_string()),
            as_left: judged.as_left.and_then(number),
            date: judged.at.date.map(dates::date),
            step: judged.at.step.map(Step::test),
            setup: judged
                .at
                .setup
                .as_deref()
                .map(|setup| clean::text(setup).into_owned()),
            stage: judged.at.stage.map(facts::stage),
            part: clean::text(&facts::fact(&judged.at.part)).into_owned(),
            unit: shown_in.name,
        }
    }
}
