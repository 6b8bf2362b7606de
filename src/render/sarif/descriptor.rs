//! Rules and kinds of notifications as SARIF describes them: everything a page of help needs, offline.

use super::message::{MarkedText, Text};
use crate::render::beside::Kind;
use crate::render::marked;
use crate::render::{Look, clean, rule_page};
use crate::report::{Report, RuleDescription};
use crate::words::phrases;
use serde::Serialize;
use std::collections::BTreeMap;

/// Characters of a description that services show at most.
const MOST_OF_A_DESCRIPTION: usize = 1_024;

/// Columns of the help in plain text.
const WIDTH: usize = 100;

/// What is said of a name that is of no rule: a fault of a text, or of what stands in it.
const OF_A_FAULT: &str = "A record, or a file of the group, cannot be read as it is written. The message says what is wrong.";

/// What to do about it.
const HELP_WITH_A_FAULT: &str =
    "Correct what the message names. What the record says is not checked where it cannot be read.";

/// The gathered note, which no rule file describes.
const WEAK_TEST: &str = "The weak points of a test, gathered in one note: the test is valid, and would tell more without them.";

/// Every rule there is, and every name that something was found under.
pub(super) struct Rules {
    pub(super) descriptors: Vec<RuleDescriptor>,
    indices: BTreeMap<String, usize>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct RuleDescriptor {
    id: String,
    short_description: Text,
    full_description: Text,
    help: MarkedText,
    default_configuration: Configuration,
    properties: RuleProperties,
}

#[derive(Debug, Serialize)]
struct Configuration {
    level: &'static str,
}

#[derive(Debug, Serialize)]
struct RuleProperties {
    tags: [&'static str; 1],
    sources: Vec<String>,
}

#[derive(Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct NotificationDescriptor {
    id: &'static str,
    short_description: Text,
}

impl NotificationDescriptor {
    /// One of each kind, then the totals.
    pub(super) fn all() -> Vec<Self> {
        let kinds = Kind::ALL.into_iter().map(|kind| (kind.id(), kind.about()));
        let totals = [(
            TOTALS,
            "How much was found in how much, and what was not checked.",
        )];
        let all = kinds.chain(totals).map(|(id, about)| Self {
            id,
            short_description: Text::of(about),
        });
        all.collect()
    }
}

/// The kind of the notifications that tell the totals.
pub(super) const TOTALS: &str = "totals";

impl Rules {
    /// The rules of a report, and whatever else these names are of.
    pub(super) fn new<'a>(report: &Report, names: impl Iterator<Item = &'a str>) -> Self {
        let mut rules = Self {
            descriptors: Vec::new(),
            indices: BTreeMap::new(),
        };
        for rule in &report.rules {
            rules.add(&rule.id, |_| RuleDescriptor::of_rule(rule));
        }
        let mut others: Vec<&str> = names.collect();
        others.sort_unstable();
        for name in others {
            rules.add(name, RuleDescriptor::of_fault);
        }
        rules
    }

    /// Where a rule stands among the descriptors.
    pub(super) fn index(&self, rule: &str) -> usize {
        self.indices.get(rule).copied().unwrap_or_default()
    }

    fn add(&mut self, name: &str, descriptor: impl FnOnce(&str) -> RuleDescriptor) {
        if !self.indices.contains_key(name) {
            self.indices.insert(name.to_owned(), self.descriptors.len());
            self.descriptors.push(descriptor(name));
        }
    }
}

impl RuleDescriptor {
    fn of_rule(rule: &RuleDescription) -> Self {
        let look = Look {
            color: false,
            width: WIDTH,
        };
        let grades: Vec<&str> = rule.limits.iter().map(|limit| &*limit.grade).collect();
        let level = ["error", "warning", "note"];
        let level = level.into_iter().find(|level| grades.contains(level));
        let sources = rule.sources.iter();
        Self {
            id: rule.id.clone(),
            short_description: description(&rule.title),
            full_description: description(&format!("{}. {}", rule.title, rule.why)),
            help: MarkedText {
                text: rule_page(rule, &look).to_string(),
                markdown: page(rule),
            },
            default_configuration: Configuration {
                level: level.unwrap_or("note"),
            },
            properties: RuleProperties {
                tags: ["calibration"],
                sources: sources
                    .map(|source| clean::text(source).into_owned())
                    .collect(),
            },
        }
    }

    fn of_fault(name: &str) -> Self {
        let about = if name == crate::finding::WEAK_TEST {
            WEAK_TEST
        } else {
            OF_A_FAULT
        };
        Self {
            id: name.to_owned(),
            short_description: Text::of(about),
            full_description: Text::of(about),
            help: MarkedText {
                text: HELP_WITH_A_FAULT.to_owned(),
                markdown: HELP_WITH_A_FAULT.to_owned(),
            },
            default_configuration: Configuration { level: "note" },
            properties: RuleProperties {
                tags: ["records"],
                sources: Vec::new(),
            },
        }
    }
}

fn description(raw: &str) -> Text {
    // Escapes may double the length of what has any.
    let short = phrases::shortened(raw, MOST_OF_A_DESCRIPTION / 2);
    let escaped = super::message::escaped(raw);
    if escaped.chars().count() <= MOST_OF_A_DESCRIPTION {
        Text::of(escaped)
    } else {
        Text::of(super::message::escaped(&short))
    }
}

/// A rule in full, in Markdown.
fn page(rule: &RuleDescription) -> String {
    let RuleDescription {
        id: _,
        title,
        status,
        figure,
        figure_title,
        formula,
        family,
        limits,
        decision,
        applies,
        follows,
        remedies,
        example,
        why,
        sources,
    } = rule;
    let mut out = vec![format!("{}.\n", marked::text(title))];
    let mut list = |caption: &str, texts: &[String]| {
        let texts: Vec<String> = texts
            .iter()
            .filter(|text| !text.is_empty())
            .map(|text| format!("- {}\n", marked::text(text)))
            .collect();
        if !texts.is_empty() {
            out.push(format!("\n## {caption}\n\n{}", texts.concat()));
        }
    };
    let one = std::slice::from_ref;
    list("What to do", remedies);
    list("Why", one(why));
    let limits: Vec<String> = limits
        .iter()
        .map(|limit| format!("{}: {} ({})", limit.grade, limit.limit, limit.set_by))
        .collect();
    list("Limits", &limits);
    list("How it is decided", one(decision));
    let figure = match figure_title.as_str() {
        "" => format!("{figure}, for {family}"),
        title => format!("{figure}, for {family}: {title}"),
    };
    list("What is judged", &[figure, formula.clone()]);
    list("Where it applies", applies);
    list("Explained by", follows);
    list("Sources", sources);
    list("Status", one(status));
    if let Some(example) = example {
        let first = example.split("\n\n").next().unwrap_or(example);
        let fence = "````";
        out.push(format!(
            "\n## Example\n\nFrom the smallest record that breaks it:\n\n{fence}text\n{first}\n{fence}\n"
));
    }
    out.concat()
}
