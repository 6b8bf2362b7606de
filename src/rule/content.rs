//! What a rule says.

use super::applies::Applies;
use super::limit::Limit;
use super::template::Texts;
use super::verdict::Decision;
use crate::outcome::Grade;
use crate::schema::Source;
use std::collections::BTreeMap;

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
    /// The rules whose findings explain those of this rule.
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

impl Rule {
    /// Whether it runs: a withdrawn rule keeps its name and finds nothing.
    pub fn is_running(&self) -> bool {
        self.status != Status::Withdrawn
    }
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
