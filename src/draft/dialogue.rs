//! A visit typed line by line: what is asked, what is taken, and what is said of it.
//!
//! Knows no terminal: lines go in, lines come out.

use super::asked;
use super::entered::Entered;
use super::form::{Entry, Form};
use super::state::{Group, Mark, Session, SoFar, group_of};
use super::stays::step_of_finding;
use crate::figure::about::NOT_TESTED_AGAIN;
use crate::procedure::{CAUTIONS, Step};
use crate::report::{DueList, DueStep, Report, Told};
use crate::wording::visit;
use crate::words::phrases::{capitalized, list};
use std::collections::BTreeSet;

/// A visit typed line by line.
#[derive(Debug)]
pub struct Dialogue {
    pub(super) session: Session,
    /// What can be taken back, the last one last.
    pub(super) done: Vec<Done>,
    /// The value that somebody went to.
    pub(super) gone_to: Option<String>,
    pub(super) now: SoFar,
    /// The tests whose headings were said.
    headed: BTreeSet<Group>,
    /// The findings that were told, by their messages.
    pub(super) told: BTreeSet<String>,
}

/// One thing that was done.
#[derive(Debug)]
pub(super) enum Done {
    Typed,
    Left(Vec<String>),
}

/// What is asked next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// What is said before, where a test begins.
    pub heading: Vec<String>,
    /// The question, without a line end.
    pub words: String,
}

/// What comes of a line.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Answer {
    /// What is said.
    pub lines: Vec<String>,
    /// Whether the record has changed.
    pub is_changed: bool,
    /// Whether the visit ends here.
    pub is_end: bool,
}

impl Answer {
    pub(super) fn said(line: impl Into<String>) -> Self {
        Self {
            lines: vec![line.into()],
            ..Self::default()
        }
    }
}

impl Dialogue {
    /// Begins, or goes on with what was typed before.
    pub fn new(mut session: Session, entered: Entered, all: bool) -> Self {
        session.resume(entered);
        if all {
            session.add(None);
        }
        let now = session.so_far();
        Self {
            session,
            done: Vec::new(),
            gone_to: None,
            now,
            headed: BTreeSet::new(),
            told: BTreeSet::new(),
        }
    }

    /// What is said first.
    pub fn opening(&self) -> Vec<String> {
        let form = self.form();
        let setup = &form.setup;
        let of_setup = [&setup.tips, &setup.pressure, &setup.speed, &setup.rate];
        let of_setup: Vec<&str> = of_setup.into_iter().flatten().map(String::as_str).collect();
        let mut lines = vec![
            visit::opening(&form.machine, &setup.name, form.day, &of_setup),
            visit::record_is(self.session.path(), !self.session.entered().is_empty()),
        ];
        lines.extend(CAUTIONS.map(capitalized));
        lines.push(visit::HOW_TO_TYPE.to_owned());
        lines
    }

    /// The next question; none where all was read or left.
    pub fn question(&mut self) -> Option<Question> {
        let entry = self.next()?.clone();
        let group = group_of(self.form(), &entry);
        let heading = if self.headed.insert(group) {
            self.heading(group)
        } else {
            Vec::new()
        };
        let words = self.words(&entry);
        Some(Question { heading, words })
    }

    /// Takes a line that somebody typed.
    pub fn answer(&mut self, line: &str) -> Answer {
        let line = line.trim();
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        let before = self.stage();
        let mut answer = match (word.to_ascii_lowercase().as_str(), rest.trim()) {
            // Somebody's initials may be a word that does something else elsewhere.
            _ if self.is_choice(line) => self.take(line),
            ("done", "") => Answer {
                is_end: true,
                ..Answer::default()
            },
            ("?" | "help", "") => Answer {
                lines: visit::HELP.map(str::to_owned).to_vec(),
                ..Answer::default()
            },
            ("undo", "") => self.undo(),
            ("list", "") => Answer {
                lines: self.list(),
                ..Answer::default()
            },
            ("skip", "") => self.leave(false),
            ("next", "") => self.leave(true),
            ("go", name) if !name.is_empty() => self.go(name),
            ("add", name) if !name.is_empty() => self.add(name),
            ("again", name) if !name.is_empty() => self.again(name),
            ("", _) => self.enter(),
            (_, _) => self.take(line),
        };
        if let Some((group, _)) = before
            && before != self.stage()
            && !answer.is_end
        {
            answer.lines.extend(self.found_of(group));
        }
        answer
    }

    /// Whether a line is one of the words to choose from for the value that is asked for.
    fn is_choice(&self, line: &str) -> bool {
        let asked = self.next();
        asked.is_some_and(|entry| entry.kind.choices().contains(&line))
    }

    /// The record as it is.
    pub fn record(&self) -> String {
        self.session.record()
    }

    /// Where the record goes, from the records' root.
    pub fn path(&self) -> &str {
        self.session.path()
    }

    /// The command that goes on with the visit.
    pub fn command(&self) -> String {
        self.form().enter_command()
    }

    /// What was typed so far.
    pub fn entered(&self) -> &Entered {
        self.session.entered()
    }

    /// What a check finds in the record.
    pub fn check(&mut self) -> Report {
        self.session.check()
    }

    /// What is said last: what stays due, and whether a test keeps the machine from spraying; and the list that this is of,
    /// which also tells why it may not be whole.
    pub fn closing(&mut self) -> (Vec<String>, DueList) {
        let form = self.session.form();
        let nothing = visit::nothing_stays_due(&form.machine, &form.setup.name);
        let stays = self.session.stays();
        let line = |step: &DueStep| visit::stays_due(step.step, step.state.word(), &step.because);
        let mut lines: Vec<String> = stays.steps().iter().map(line).collect();
        if stays.is_nothing_due() {
            lines.push(nothing);
        }
        lines.push(stays.readiness.words().to_owned());
        lines.extend(stays.because);
        (lines, stays.due)
    }

    pub(super) fn form(&self) -> &Form {
        self.session.form()
    }

    /// The value that is asked for next; none where all was read or left.
    pub fn next(&self) -> Option<&Entry> {
        let gone_to = self.gone_to.as_ref();
        let gone_to = gone_to.and_then(|key| self.form().entry(key));
        gone_to.or_else(|| asked::next(&self.session, &self.now))
    }

    /// The test that is read, and whether it is the factor after it: what is found is told before that is asked for.
    fn stage(&self) -> Option<(Group, bool)> {
        let next = self.next()?;
        Some((group_of(self.form(), next), asked::is_factor(next)))
    }

    pub(super) fn value(&self, entry: &Entry) -> Option<String> {
        self.session.entered().value(self.form(), entry)
    }

    fn heading(&self, (number, round): Group) -> Vec<String> {
        let Some(part) = self.form().parts.get(number) else {
            return Vec::new();
        };
        let Some(step) = part.step else {
            return Vec::new();
        };
        let mut lines = vec![String::new()];
        if 0 < round {
            lines.push(visit::tested_again(step.test()));
        } else {
            let due = part.due.as_ref();
            let due = due.map(|due| (due.state.word(), due.because.as_str()));
            lines.push(visit::test_begins(step.test(), due));
            lines.extend(part.target.as_deref().map(visit::target));
            let cautions = self.form().cautions(part).into_iter();
            lines.extend(cautions.map(capitalized));
        }
        let usual: Vec<String> = part
            .entries
            .iter()
            .filter(|entry| entry.field.round().unwrap_or(0) == round)
            .filter(|entry| entry.usual.is_some() || !entry.as_in.is_empty())
            .filter_map(|entry| Some(visit::standing(&entry.label, &self.value(entry)?, "")))
            .collect();
        if !usual.is_empty() {
            lines.push(visit::as_usual(&list(&usual, "and"), 0 < round));
        }
        lines
    }

    fn words(&self, entry: &Entry) -> String {
        let mut notes = Vec::new();
        if let Some(aim) = self.now.aim(entry) {
            notes.push(visit::aim(&aim.target_shown(), aim.lines_shown()));
        } else if !entry.kind.choices().is_empty() {
            notes.push(list(&entry.kind.choices(), "or"));
        } else if entry.last.is_none() && !entry.hint.is_empty() {
            notes.push(entry.hint.clone());
        }
        notes.extend(entry.last.as_deref().map(visit::last));
        notes.extend(self.value(entry).as_deref().map(visit::stands));
        if entry.is_optional {
            notes.push(visit::MAY_BE_LEFT.to_owned());
        }
        visit::question(&entry.label, &entry.kind.unit_behind_label(), &notes)
    }

    fn take(&mut self, line: &str) -> Answer {
        let Some(entry) = self.next().cloned() else {
            return Answer::said(visit::NOTHING_ASKED);
        };
        if let Err(refused) = entry.kind.written(line) {
            return Answer::said(visit::refused(&refused.message, &refused.help));
        }
        self.session.type_in(&entry.key, line);
        self.done.push(Done::Typed);
        self.gone_to = None;
        self.now = self.session.so_far();
        Answer {
            lines: self.verdict(&entry.key),
            is_changed: true,
            is_end: false,
        }
    }

    /// What is said of a value: how far it is off, else what is newly found with it.
    fn verdict(&mut self, key: &str) -> Vec<String> {
        let Some(said) = self.now.values.get(key) else {
            return Vec::new();
        };
        let is_bad = matches!(said.mark, Mark::Off | Mark::Noted);
        match said.words.as_str() {
            "" if is_bad => {
                let entry = self.form().entry(key);
                let part = entry.and_then(|entry| self.form().part_of(entry));
                self.newly(&[part.and_then(|part| part.step), None])
            }
            "" => Vec::new(),
            words => vec![visit::verdict(words)],
        }
    }

    /// What is found of some steps, or of none, and was not told yet.
    fn newly(&mut self, steps: &[Option<Step>]) -> Vec<String> {
        let all = self.now.found.findings.iter();
        // Whoever enters a factor is asked for the next test at once.
        let is_asked_for = |told: &Told| told.is_of_figure(NOT_TESTED_AGAIN);
        let of_steps =
            all.filter(|told| steps.contains(&step_of_finding(told)) && !is_asked_for(told));
        let mut lines = Vec::new();
        for told in of_steps {
            let words = &told.words;
            if self.told.insert(words.message().to_owned()) {
                let severity = words.severity().word();
                lines.push(visit::found(severity, words.message(), words.rule()));
                lines.extend(words.help_text().map(visit::help));
            }
        }
        lines
    }

    /// What is found of a test once all of it is read.
    fn found_of(&mut self, (number, _): Group) -> Vec<String> {
        let step = self.form().parts.get(number).and_then(|part| part.step);
        let entered = self.session.entered();
        let mut entries = self.form().parts[number].entries.iter();
        if !entries.any(|entry| entered.is_read(entry)) {
            return Vec::new();
        }
        let Some(step) = step else {
            return self.newly(&[None]);
        };
        if self.now.of_step(step).next().is_none() {
            return vec![visit::nothing_found(step.test())];
        }
        self.newly(&[Some(step)])
    }
}
