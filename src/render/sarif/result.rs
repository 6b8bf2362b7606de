//! Results of SARIF: findings, and figures that are too close to call.

use super::descriptor::Rules;
use super::message::{Text, escaped, link};
use super::place::LocationFields;
use super::values::Values;
use crate::diagnostic::Severity;
use crate::finding::Judged;
use crate::outcome::Verdict;
use crate::render::found::Found;
use crate::render::{clean, location, totals};
use crate::report::{Report, Told};
use serde::Serialize;

/// So many related places are linked in a message; all of them are listed.
const MOST_LINKED: usize = 5;

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct ResultFields<'a> {
    rule_id: &'a str,
    rule_index: usize,
    kind: &'static str,
    level: &'static str,
    message: Text,
    locations: [LocationFields; 1],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<LocationFields>,
    partial_fingerprints: Fingerprints,
    properties: Properties<'a>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Fingerprints {
    primary_location_line_hash: String,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Properties<'a> {
    severity: &'static str,
    heaviest: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    machine: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    worked_out: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    judged: Option<Values<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    held_back: Vec<HeldBack<'a>>,
}

/// What a finding explains and is not told by itself.
#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct HeldBack<'a> {
    rule: &'a str,
    severity: &'static str,
}

impl<'a> ResultFields<'a> {
    /// A finding; one that is too close to call is at most a warning by itself.
    pub(super) fn of_finding(report: &'a Report, rules: &Rules, found: Found<'a>) -> Self {
        let Found { told, fingerprint } = found;
        let is_undecided = told
            .judged()
            .is_some_and(|judged| matches!(judged.verdict, Verdict::Undecided(_, _)));
        let primary = told.primary();
        let related = told.related().iter().enumerate().map(|(at, label)| {
            let mut location = LocationFields::new(report, label.place, &label.text);
            location.id = Some(at + 1);
            location
        });
        let held = told.held().iter().map(|held| HeldBack {
            rule: &held.rule,
            severity: held.severity.word(),
        });
        Self {
            rule_id: told.rule(),
            rule_index: rules.index(told.rule()),
            kind: "fail",
            level: level(told.heaviest()),
            message: Text::of(message(report, told)),
            locations: [LocationFields::new(report, primary.place, &primary.text)],
            related_locations: related.collect(),
            partial_fingerprints: Fingerprints {
                primary_location_line_hash: fingerprint,
            },
            properties: Properties {
                severity: told.severity().word(),
                heaviest: told.heaviest().word(),
                machine: own(told.machine()),
                verdict: is_undecided.then_some("undecided"),
                worked_out: own(told.derivation()),
                help: own(told.help_text()),
                judged: told.judged().map(Values::new),
                held_back: held.collect(),
            },
        }
    }

    /// A figure within its limit by less than its uncertainty, with what there is to say of it.
    pub(super) fn open(
        report: &'a Report,
        rules: &Rules,
        (judged, text): (&'a Judged, &str),
        fingerprint: String,
    ) -> Self {
        Self {
            rule_id: &judged.name,
            rule_index: rules.index(&judged.name),
            kind: "open",
            level: "none",
            message: Text::of(format!("Too close to call: {}.", escaped(text))),
            locations: [LocationFields::new(report, judged.subject, "")],
            related_locations: Vec::new(),
            partial_fingerprints: Fingerprints {
                primary_location_line_hash: fingerprint,
            },
            properties: Properties {
                severity: Severity::Note.word(),
                heaviest: Severity::Note.word(),
                machine: own(Some(&judged.at.machine)),
                verdict: Some("undecided"),
                worked_out: None,
                help: None,
                judged: Some(Values::new(judged)),
                held_back: Vec::new(),
            },
        }
    }
}

fn own(text: Option<&str>) -> Option<String> {
    text.map(|text| clean::text(text).into_owned())
}

/// The level of a severity, which has the same word.
pub(super) const fn level(severity: Severity) -> &'static str {
    severity.word()
}

/// The message, how it was worked out, what to do, and where to look: a sentence stands alone, then a line each.
fn message(report: &Report, told: &Told) -> String {
    let held = totals::held_by(told);
    let held = held.map_or_else(String::new, |held| format!("; {held}"));
    let mut lines = vec![format!(
        "{}.",
        escaped(&format!("{}{held}", told.message()))
    )];
    lines.extend(
        told.derivation()
            .map(|sum| format!("Worked out: {}.", escaped(sum))),
    );
    lines.extend(
        told.help_text()
            .map(|help| format!("Next: {}.", escaped(help))),
    );
    let related = told.related().iter().enumerate().take(MOST_LINKED);
    let links: Vec<String> = related
        .map(|(at, label)| {
            let place = location::of(report, label.place);
            let path = report.path(label.place.file);
            let words = match label.text.as_str() {
                "" => format!("{path}:{}", place.line.0),
                words => words.to_owned(),
            };
            link(&words, at + 1)
        })
        .collect();
    if !links.is_empty() {
        lines.push(format!("See {}.", links.join(", ")));
    }
    lines.join("\n")
}
