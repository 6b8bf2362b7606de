//! A visit in the making as data: what it holds, what is wanted of it, and what is said of it so far.

use super::entered::Entered;
use super::form::{Aim, Entry, Form};
use super::stays::Stays;
use super::stays::step_of_finding;
use crate::procedure::Step;
use crate::report::{Report, Told};
use crate::workspace::Workspace;
use std::collections::{BTreeMap, BTreeSet};

/// A visit while it is being made.
#[derive(Debug)]
pub struct Session {
    pub(super) fleet: Workspace,
    pub(super) form: Form,
    pub(super) entered: Entered,
    pub(super) asked: Asked,
    pub(super) path: String,
}

/// What is said of a visit so far.
#[derive(Debug)]
pub struct SoFar {
    /// Of each value, by its name.
    pub values: BTreeMap<String, Said>,
    /// What each value should come to that is held against others, as those were read.
    pub aims: BTreeMap<String, Aim>,
    /// What a check finds in the record so far; what only says that a test is not finished is left out.
    pub found: Report,
    /// What stays due of the machine and the setup with what was read so far.
    pub stays: Stays,
    /// What to do next, and the value that is read next.
    pub next: Next,
    /// The values of tests that are made again which are read, or may be.
    pub shown: BTreeSet<String>,
    /// The record as far as it goes.
    pub record: String,
}

impl SoFar {
    /// What is found of the tests of a step.
    pub fn of_step(&self, step: Step) -> impl Iterator<Item = &Told> {
        let found = self.found.findings.iter();
        found.filter(move |told| step_of_finding(told) == Some(step))
    }

    /// What a value should come to: by others as those were read, or by itself.
    pub fn aim(&self, entry: &Entry) -> Option<Aim> {
        self.aims.get(&entry.key).copied().or(entry.aim)
    }

    /// How a value stands.
    pub fn mark(&self, key: &str) -> Mark {
        self.values.get(key).map_or(Mark::Empty, |said| said.mark)
    }
}

/// How a value stands while a visit is being made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Nothing stands for it.
    Empty,
    /// It is as usual, or as in the first test.
    Usual,
    /// It was typed, and nothing can be said of it yet.
    Taken,
    /// It is within its limits.
    Good,
    /// Something is noted of it, or it is too close to call.
    Noted,
    /// It is beyond a limit.
    Off,
    /// What was typed is not taken.
    Refused,
}

impl Mark {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::Usual => "usual",
            Self::Taken => "taken",
            Self::Good => "good",
            Self::Noted => "noted",
            Self::Off => "off",
            Self::Refused => "refused",
        }
    }
}

/// What is said of a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// How it stands.
    pub mark: Mark,
    /// In words; empty where there is nothing to say.
    pub words: String,
    /// What the record says for it; none where nothing stands for it.
    pub written: Option<String>,
}

/// What to do next.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Next {
    /// What to do, in words.
    pub words: String,
    /// The value to read, by its name; none where everything was read or left.
    pub value: Option<String>,
}

/// What somebody wants of a visit.
#[derive(Debug, Clone, Default)]
pub(super) struct Asked {
    /// Whether steps are asked for that are not due.
    pub(super) all: bool,
    /// The steps that are asked for beside those.
    pub(super) added: BTreeSet<Step>,
    /// The values that are left as they are.
    pub(super) left: BTreeSet<String>,
    /// The steps that are tested again, each with its last round, from 0.
    pub(super) again: BTreeMap<Step, usize>,
    /// Where somebody is.
    pub(super) at: Option<At>,
}

/// Where in a visit somebody is: a test, and which of the values of its part are behind.
#[derive(Debug, Clone, Copy)]
pub(super) struct At {
    pub(super) group: Group,
    pub(super) behind: usize,
}

impl At {
    /// Behind a value.
    pub(super) fn behind(form: &Form, entry: &Entry) -> Self {
        let group = group_of(form, entry);
        let entries = form.parts.get(group.0).map(|part| part.entries.iter());
        let at = entries.and_then(|mut all| all.position(|one| one.key == entry.key));
        Self {
            group,
            behind: at.map_or(0, |at| at + 1),
        }
    }

    /// At the beginning of a test.
    pub(super) fn beginning(group: Group) -> Self {
        Self { group, behind: 0 }
    }
}

/// A test of a part: the number of the part, and the round from 0.
pub(super) type Group = (usize, usize);

/// The test that a value belongs to.
pub(super) fn group_of(form: &Form, entry: &Entry) -> Group {
    let step = form.part_of(entry).and_then(|part| part.step);
    let part = form.parts.iter().position(|part| part.step == step);
    (part.unwrap_or(0), round_of(entry))
}

pub(super) fn round_of(entry: &Entry) -> usize {
    entry.field.round().unwrap_or(0)
}
