//! The rules of one run: our own, and a group's that replace or join them.

use super::content::Rule;
use super::file::{self, load};
use crate::diagnostic::{Diagnostic, Label, Severity};
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
