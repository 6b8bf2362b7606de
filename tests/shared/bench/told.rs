//! What a check tells, read off its JSON lines: findings, and the causes they name.

use serde_json::Value;
use std::collections::BTreeSet;

/// Everything that matters here of one check.
#[derive(Debug, Default)]
pub(crate) struct Told {
    pub(crate) findings: Vec<Finding>,
    /// Findings that are explained and not shown, and what is too close to call.
    pub(crate) others: Vec<Finding>,
    /// The worst grade of all.
    pub(crate) heaviest: Option<String>,
}

/// One line about a place.
#[derive(Debug, Default)]
pub(crate) struct Finding {
    pub(crate) rule: String,
    pub(crate) severity: String,
    pub(crate) message: String,
    pub(crate) help: String,
    pub(crate) path: String,
    /// Its first byte and the one past its last.
    pub(crate) span: (u64, u64),
    /// The causes it names, likeliest first; at most two of them are told.
    pub(crate) causes: Vec<Named>,
    pub(crate) cause_words: String,
}

/// One cause as a finding names it.
#[derive(Debug, Default, Clone)]
pub(crate) struct Named {
    pub(crate) id: String,
    pub(crate) share: f64,
    /// The nozzles of its place, from 1; only the first where it reaches from there to the right end.
    pub(crate) nozzles: BTreeSet<u16>,
    pub(crate) is_from: bool,
    /// Its place in words, small letters.
    pub(crate) place: String,
    /// What is right instead, as it is written.
    pub(crate) implied: String,
}

impl Told {
    pub(crate) fn read(lines: &str) -> Self {
        let mut told = Self::default();
        for line in lines.lines() {
            let line: Value = serde_json::from_str(line).unwrap();
            match line["kind"].as_str().unwrap() {
                "finding" | "waived" => told.findings.push(Finding::read(&line)),
                "held-back" | "undecided" => told.others.push(Finding::read(&line)),
                "summary" => told.heaviest = line["heaviest"].as_str().map(str::to_owned),
                _ => {}
            }
        }
        told
    }

    /// The findings that name a cause.
    pub(crate) fn explained(&self) -> impl Iterator<Item = &Finding> {
        let findings = self.findings.iter();
        findings.filter(|finding| !finding.causes.is_empty())
    }
}

impl Finding {
    fn read(line: &Value) -> Self {
        let text = |key: &str| line[key].as_str().unwrap_or_default().to_owned();
        let byte = |key: &str| line[key].as_u64().unwrap_or_default();
        let causes = line["causes"].as_array();
        Self {
            rule: text("rule"),
            severity: text("severity"),
            message: text("message"),
            help: text("help"),
            path: text("path"),
            span: (byte("start-byte"), byte("end-byte")),
            causes: causes.into_iter().flatten().map(Named::read).collect(),
            cause_words: ids(&line["causes"]),
        }
    }

    /// Everything it says in words, with the names of its causes.
    pub(crate) fn words(&self) -> String {
        format!(
            "{}: {} [{}]\nhelp: {}\n{}",
            self.severity, self.message, self.rule, self.help, self.cause_words
        )
    }

    /// The causes that are told: the likeliest, and the one named beside it.
    pub(crate) fn told(&self) -> &[Named] {
        &self.causes[..self.causes.len().min(2)]
    }

    /// Whether its place holds these bytes of a file.
    pub(crate) fn covers(&self, path: &str, (start, end): (u64, u64)) -> bool {
        self.path == path && self.span.0 < end && start < self.span.1
    }
}

impl Named {
    fn read(cause: &Value) -> Self {
        // The place in words is a fact of the cause's texts; the other place is of bytes.
        let facts = &cause["facts"];
        let place = match facts["place"]["text"].as_str() {
            Some(place) => place.to_owned(),
            None => words(&cause["place"]),
        };
        let place = place.to_lowercase();
        let implied = facts.as_object().into_iter().flatten();
        let implied = implied.filter(|(slot, _)| !NOT_IMPLIED.contains(&slot.as_str()));
        let implied: Vec<&str> = implied
            .filter_map(|(_, fact)| fact["text"].as_str())
            .collect();
        let mut named = Self {
            id: cause["cause"].as_str().unwrap_or_default().to_owned(),
            share: cause["share"].as_f64().unwrap_or_default(),
            implied: format!("{} {}", words(&cause["implied"]), implied.join(" ")),
            is_from: place.starts_with("from") || place.contains(" from "),
            ..Self::default()
        };
        if place.contains("nozzle") {
            named.nozzles = numbered(&place);
        }
        named.place = place;
        named
    }
}

/// The slots of a cause's texts that say what is off, not what is right.
const NOT_IMPLIED: [&str; 5] = ["place", "off", "written", "high-or-low", "low-or-high"];

/// The names of causes.
fn ids(causes: &Value) -> String {
    let causes = causes.as_array().into_iter().flatten();
    let ids: Vec<&str> = causes.filter_map(|cause| cause["cause"].as_str()).collect();
    ids.join(" ")
}

/// Every key, text and number of a value in the order it is written, one after another.
fn words(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(is) => is.to_string(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.clone(),
        Value::Array(values) => {
            let values: Vec<String> = values.iter().map(words).collect();
            values.join(" ")
        }
        Value::Object(fields) => {
            let fields = fields.iter().filter(|(_, value)| !value.is_null());
            let fields: Vec<String> = fields
                .map(|(key, value)| format!("{key} {}", words(value)))
                .collect();
            fields.join(" ")
        }
    }
}

/// The numbers of nozzles in a place: `nozzles 2, 3 and 6`, `nozzle 5 of 9 (middle, 2nd)`, `nozzles 4 to 6`.
fn numbered(place: &str) -> BTreeSet<u16> {
    let mut outside = String::new();
    let mut depth = 0_u32;
    for letter in place.chars() {
        match letter {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ if depth == 0 => outside.push(letter),
            _ => {}
        }
    }
    let parts = outside.split(|letter: char| !letter.is_alphanumeric());
    let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
    let mut numbers = BTreeSet::new();
    let mut before = ("", 0_u16);
    for part in parts {
        let Ok(number) = part.parse::<u16>() else {
            before.0 = part;
            continue;
        };
        match before.0 {
            "of" => {}
            "to" if before.1 > 0 => numbers.extend(before.1..=number),
            _ => _ = numbers.insert(number),
        }
        before = ("", number);
    }
    numbers
}

#[cfg(test)]
mod tests {
    use super::{Told, numbered};

    #[test]
    fn nozzles_are_read_off_a_place_in_words() {
        let read = |place: &str| numbered(place).into_iter().collect::<Vec<u16>>();
        assert_eq!(read("nozzles 2, 3 and 6"), [2, 3, 6]);
        assert_eq!(read("nozzle 5 of 9 (middle, 2nd)"), [5]);
        assert_eq!(read("nozzles 4 to 6 of 9"), [4, 5, 6]);
        assert_eq!(read("nozzles 5"), [5]);
    }

    #[test]
    fn causes_are_read_in_either_form() {
        let told = Told::read(
            r#"{"kind":"finding","rule":"r","severity":"error","message":"m","help":null,"path":"p","start-byte":4,"end-byte":6,"causes":[{"cause":"tip-worn","share":0.7,"place":{"nozzles":[3]},"implied":null},{"cause":"jug-wrong","share":0.2,"place":{"path":"p","line":9},"implied":null,"facts":{"place":{"text":"from nozzle 5 of 9 (middle, 2nd) on"},"mended":{"text":"51.5 fl oz"}}}]}"#,
        );
        let finding = &told.findings[0];
        assert!(finding.covers("p", (5, 9)) && !finding.covers("p", (6, 9)));
        let [worn, jug] = finding.told() else {
            panic!("two causes")
        };
        assert!(worn.nozzles.contains(&3) && !worn.is_from);
        assert!(jug.nozzles.contains(&5) && jug.is_from);
        assert!(jug.implied.contains("51.5 fl oz"));
        assert!(finding.words().contains("jug-wrong"));
    }
}
