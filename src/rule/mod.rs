//! Rules: what a rule file says, and how a figure is held against its limits.
//!
//! A rule compares and computes nothing: all arithmetic is in figures. Knows which figures exist and
//! never sees a record.

mod applies;
mod deciding;
mod file;
mod limit;
mod settings;
mod template;
mod verdict;

pub use applies::{Applies, Attribute};
pub use deciding::{Deciding, deciding};
pub use file::{Loaded, load};
pub use limit::{Bound, Limit, LimitFault, SetAt};
pub use settings::{LimitsInForce, Whose};
pub use template::{Slot, Text, TextFault, Texts};
pub use verdict::{Decision, Judgement, judge};

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::outcome::Grade;
use crate::source::Place;
use crate::words;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Our own rule files: name and text, listed by the build script.
static RULES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/rules.rs"));

/// What each rule's smallest faulty record gives, listed by the build script.
static EXAMPLES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/examples.rs"));

/// What the smallest record that breaks one of our rules gives; none for a group's own rule.
pub fn example(rule: &str) -> Option<&'static str> {
    let found = EXAMPLES.iter().find(|(name, _)| *name == rule);
    found.map(|(_, text)| *text)
}

/// The rules that guard merged records.
///
/// What an author changes together with the records must not silence them: no limit, waiver, date or house rule does.
const GUARDS: [&str; 2] = ["landed-record-altered", "landed-record-deleted"];

/// Whether the rule of a name guards merged records.
pub fn is_guard(rule: &str) -> bool {
    GUARDS.contains(&rule)
}

/// Whether a finding of this name tells of merged records, or of an attempt to silence what does.
pub fn is_of_guard(name: &str) -> bool {
    is_guard(name) || [GUARD_OVERRULED, WITHOUT_SHEET].contains(&name)
}

/// The name of the finding of an attempt to change what a guard finds.
const GUARD_OVERRULED: &str = "guard-overruled";

/// The name of the finding of merged records that were altered where their machine has no sheet.
pub const WITHOUT_SHEET: &str = "landed-without-sheet";

/// The finding of an attempt to change what a guard finds; `because` says what was tried.
pub fn guard_overruled(at: Place, because: &str, rule: &str) -> Diagnostic {
    let message = format!("`{rule}` guards merged records, so {because}");
    Diagnostic::new(
        GUARD_OVERRULED,
        Severity::Error,
        message,
        Label::new(at, ""),
    )
    .help("delete this; enter what was altered under amends in the record, what was deleted under deleted in waivers.yaml")
}

/// The finding of a setting or waiver for a rule that there is not.
pub fn unknown_rule(at: Place, name: &str, rules: &RuleSet) -> Diagnostic {
    let known = rules.rules().iter().map(|rule| rule.id.as_str());
    let help = words::spelling::nearest(name, known).map_or_else(
        || "run `swathlint rules` for the names of all rules".to_owned(),
        |nearest| format!("write `{nearest}`, if that rule is meant"),
    );
    let message = format!("no rule is called `{name}`");
    Diagnostic::new("unknown-rule", Severity::Error, message, Label::new(at, "")).help(help)
}

/// A rule.
#[derive(Debug, Clone)]
pub struct Rule {
    /// Its name, which names the fault.
    pub id: String,
    /// The version that brought it.
    pub since: String,
    /// Whether it is settled.
    pub status: Status,
    /// The figure it judges, by its place in the catalogue.
    pub figure: usize,
    /// Where it applies.
    pub applies: Applies,
    /// The rules whose findings explain this one's.
    pub follows: Vec<String>,
    /// The limit of each grade it has, worst first.
    pub limits: BTreeMap<Grade, Limit>,
    /// The fleet's interval that replaces its limits.
    pub interval: Option<String>,
    /// How uncertainty enters.
    pub decision: Decision,
    /// What it finds, in one line.
    pub title: String,
    /// What a finding says.
    pub message: Texts,
    /// What to do next.
    pub help: Texts,
    /// Why it exists.
    pub why: String,
    /// Where its limits come from.
    pub sources: Vec<Source>,
}

/// Whether a rule is settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// It is.
    Settled,
    /// Not yet: it finds at most notes.
    OnTrial,
    /// It no longer runs.
    Withdrawn,
}

impl Status {
    /// The words in rule files.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Settled => "settled",
            Self::OnTrial => "on trial",
            Self::Withdrawn => "withdrawn",
        }
    }
}

/// Where a limit comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Publisher and title.
    pub title: String,
    /// Page or clause.
    pub at: Option<String>,
    /// What it says of the limit.
    pub says: Option<String>,
    /// How it is known: seen, restated, computed, memory, practice, our choice.
    pub mark: String,
}

/// The rules of one run, sorted by name.
#[derive(Debug, Clone)]
pub struct RuleSet {
    rules: Vec<Rule>,
}

impl RuleSet {
    /// Our own rules, read once.
    ///
    /// # Panics
    /// Where an embedded rule file is wrong, which `tests/fast/catalogue.rs` rules out.
    pub fn built_in() -> &'static Self {
        static BUILT_IN: OnceLock<RuleSet> = OnceLock::new();
        BUILT_IN.get_or_init(|| {
            let rules = RULES.iter().map(|(_, text)| {
                let loaded = load(file::EMBEDDED, text);
                loaded
                    .rule
                    .expect("embedded rules are checked by tests/fast/catalogue.rs")
            });
            Self::of(rules.collect())
        })
    }

    /// A set of these rules; a later one replaces an earlier one of the same name.
    pub fn of(rules: Vec<Rule>) -> Self {
        let by_id: BTreeMap<String, Rule> = rules
            .into_iter()
            .map(|rule| (rule.id.clone(), rule))
            .collect();
        Self {
            rules: by_id.into_values().collect(),
        }
    }

    /// The same with a group's own rules, which replace ours of the same name.
    #[must_use]
    pub fn with(&self, own: Vec<Rule>) -> Self {
        Self::of(self.rules.iter().cloned().chain(own).collect())
    }

    /// The rules, sorted by name.
    pub fn rules(&self) -> &[Rule] {
        &self.rules
    }

    /// The rule with a name, and its place in the set.
    pub fn find(&self, id: &str) -> Option<(usize, &Rule)> {
        self.rules
            .iter()
            .enumerate()
            .find(|(_, rule)| rule.id == id)
    }

    /// The texts of our own rule files, by file name.
    pub fn built_in_texts() -> &'static [(&'static str, &'static str)] {
        RULES
    }
}
