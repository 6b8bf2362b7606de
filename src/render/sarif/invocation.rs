//! What a run has to say beside its results: what could not be read, was waived, not calculated, is weak, and the totals.

use super::descriptor::{Rules, TOTALS};
use super::message::{Text, escaped};
use super::place::LocationFields;
use super::values::Values;
use crate::diagnostic::Severity;
use crate::render::beside::{Beside, Kind};
use crate::render::totals;
use crate::report::Report;
use crate::words::phrases::plural;
use serde::Serialize;

/// So many notifications are told (our choice, to keep within what services take); of others only how many.
const MOST: usize = 5_000;

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Invocation<'a> {
    execution_successful: bool,
    tool_execution_notifications: Vec<Notification<'a>>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Notification<'a> {
    descriptor: Reference<'a>,
    #[serde(skip_serializing_if = "Option::is_none")]
    associated_rule: Option<Reference<'a>>,
    level: &'static str,
    message: Text,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    locations: Vec<LocationFields>,
    #[serde(skip_serializing_if = "Option::is_none")]
    properties: Option<Values<'a>>,
}

#[derive(Debug, Serialize)]
struct Reference<'a> {
    id: &'a str,
    index: usize,
}

impl<'a> Invocation<'a> {
    /// The totals first, then one notification an item; what is too close to call is a result.
    pub(super) fn new(
        report: &'a Report,
        rules: &Rules,
        beside: &[Beside<'a>],
        more_results: usize,
    ) -> Self {
        let told = totals::in_repository(report);
        let cut = (more_results > 0).then(|| {
            let more = plural(more_results, "more result");
            of_totals(
                "warning",
                &format!("{more} not in this file: the service takes no more"),
            )
        });
        let items = beside.iter().filter(|one| one.kind != Kind::TooClose);
        let items: Vec<Notification<'a>> = items.map(|one| of_item(report, rules, one)).collect();
        let more = items.len().saturating_sub(MOST);
        let cut_items = (more > 0).then(|| {
            let more = plural(more, "more notification");
            of_totals(
                "warning",
                &format!("{more} not in this file: see `--format jsonl`"),
            )
        });
        let notes = told
            .notes
            .iter()
            .map(|note| of_totals("note", &note.line()));
        let notifications = [of_totals("note", &told.counts)]
            .into_iter()
            .chain(cut)
            .chain(cut_items)
            .chain(notes)
            .chain(items.into_iter().take(MOST));
        Self {
            execution_successful: report.failures.is_empty(),
            tool_execution_notifications: notifications.collect(),
        }
    }
}

fn of_totals<'a>(level: &'static str, text: &str) -> Notification<'a> {
    Notification {
        descriptor: Reference {
            id: TOTALS,
            index: Kind::ALL.len(),
        },
        associated_rule: None,
        level,
        message: Text::escaped(text),
        locations: Vec::new(),
        properties: None,
    }
}

fn of_item<'a>(report: &Report, rules: &Rules, one: &Beside<'a>) -> Notification<'a> {
    let at = Kind::ALL.iter().position(|kind| *kind == one.kind);
    let level = match one.kind {
        Kind::NotRead => Severity::Error,
        Kind::Waived | Kind::NotCalculated | Kind::TooClose | Kind::Weakens | Kind::HeldBack => {
            Severity::Note
        }
    };
    Notification {
        descriptor: Reference {
            id: one.kind.id(),
            index: at.unwrap_or_default(),
        },
        associated_rule: one.rule.map(|rule| Reference {
            id: rule,
            index: rules.index(rule),
        }),
        level: level.word(),
        message: Text::of(format!("{}: {}", one.kind.words(), escaped(&one.text))),
        locations: vec![match one.place {
            Some(place) => LocationFields::new(report, place, ""),
            None => LocationFields::of_file(report, one.path),
        }],
        properties: one.judged.map(Values::new),
    }
}
