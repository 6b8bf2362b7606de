//! A fleet laid open: the same records under rules that hide nothing.
//!
//! No finding holds another one back, none is let pass, and each says its machine, part, value and limit in a form that can
//! be read again. Beside every figure that a rule can judge stand two rules that tell of any value there is; a note weighs
//! too little to change what else is found.

use super::group::{judged, rule};
use std::collections::BTreeMap;
use swathlint::figure::Family;
use swathlint::rule::{RuleSet, is_guard};

/// The name of the rule that tells of any value of a figure, as left or of no stage.
pub(crate) fn any(figure: &str) -> String {
    format!("any-{figure}")
}

/// The name of the rule that tells of any value of a figure as found.
pub(crate) fn any_as_found(figure: &str) -> String {
    format!("any-{figure}-as-found")
}

/// What a finding of a fleet laid open tells.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Told {
    pub(crate) machine: String,
    /// The nozzle, the sections, or the step with its setup; empty where the figure is of more than one part.
    pub(crate) part: String,
    pub(crate) found: String,
    pub(crate) limit: String,
}

impl Told {
    /// What stands between the brackets of a message; none in one of no rule.
    pub(crate) fn of(message: &str) -> Option<Self> {
        let (_, told) = message.split_once('<')?;
        let (told, _) = told.split_once('>')?;
        let mut fields = told.split('|').map(str::to_owned);
        Some(Self {
            machine: fields.next()?,
            part: fields.next()?,
            found: fields.next()?,
            limit: fields.next()?,
        })
    }

    /// The value, and by how much it may be off for the digits it is told with.
    pub(crate) fn value(&self) -> (f64, f64) {
        let number = self.found.split([' ', '%']).next().unwrap();
        let decimals = number.split_once('.').map_or(0, |(_, digits)| digits.len());
        let tenth: f64 = format!("1e-{decimals}").parse().unwrap();
        (number.parse().unwrap(), 0.501 * tenth)
    }
}

/// The message that [`Told`] reads.
fn message(figure: &str) -> String {
    let entry = judged().find(|entry| entry.id == figure);
    let part = match entry.map(|entry| entry.family) {
        Some(Family::Step) if entry.is_some_and(|entry| entry.slot_names().contains(&"what")) => {
            "{what}"
        }
        Some(Family::Nozzle) => "{nozzle}",
        Some(Family::Section) => "{section}",
        Some(Family::SectionsOff) => "{sections}",
        _ => "",
    };
    format!("message: \"<{{machine}}|{part}|{{found}}|{{limit}}>\"")
}

/// A rule that follows no other, with a message that can be read again.
fn laid_open(text: &str) -> String {
    let figure = text.lines().find_map(|line| line.strip_prefix("figure: "));
    let message = message(figure.unwrap());
    let mut opened = String::new();
    let mut is_left_out = false;
    for line in text.lines() {
        if !line.starts_with(' ') {
            is_left_out = line.starts_with("follows:") || line.starts_with("message:");
            if line.starts_with("message:") {
                opened.extend([message.as_str(), "\n"]);
            }
        }
        if !is_left_out {
            opened.extend([line, "\n"]);
        }
    }
    opened
}

/// The files of a fleet, laid open.
pub(crate) fn opened(files: &BTreeMap<String, String>) -> BTreeMap<String, String> {
    let mut opened = files.clone();
    opened.remove("waivers.yaml");
    for (path, text) in files {
        if path.starts_with("house-rules/") {
            opened.insert(path.clone(), laid_open(text));
        }
    }
    for (name, text) in RuleSet::built_in_texts() {
        if !is_guard(name.trim_end_matches(".yaml")) {
            let path = format!("house-rules/{name}");
            opened.entry(path).or_insert_with(|| laid_open(text));
        }
    }
    for entry in judged() {
        let figure = entry.id;
        for (id, stage) in [
            (any(figure), ""),
            (any_as_found(figure), "applies: {stage: as-found}\n"),
        ] {
            let limits = format!("{stage}limits: {{note: any}}\n");
            let text = laid_open(&rule(&id, "settled", figure, &limits));
            opened.insert(format!("house-rules/{id}.yaml"), text);
        }
    }
    opened
}
