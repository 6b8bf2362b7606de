//! A visit while it is being made: each value that is typed is judged at once, by what judges the record in the end.

use super::asked;
use super::entered::Entered;
use super::form::{Form, ROUNDS};
use super::state::{Asked, At, Next, Session, SoFar};
use super::stays::Stays;
use super::text::{Extent, record_path, text};
use super::{Wanted, form};
use crate::diagnostic::NOT_FILLED_IN;
use crate::figure::about::NOZZLES_NOT_CAUGHT;
use crate::procedure::Step;
use crate::quantity::calendar::Period;
use crate::report::{Report, Told, Unusable};
use crate::workspace::Workspace;
use std::collections::BTreeSet;

impl Session {
    /// Begins a visit. A record of the machine and day that is there already is set aside: see [`Session::path`].
    ///
    /// # Errors
    /// Where nobody can say which machine or setup is meant, or what the machine is like.
    pub fn open(fleet: Workspace, wanted: &Wanted<'_>) -> Result<Self, Unusable> {
        Self::open_at(fleet, wanted, record_path(wanted.machine, wanted.day))
    }

    /// The same for a record at another path, such as the second of its day.
    ///
    /// # Errors
    /// As [`Session::open`].
    pub fn open_at(
        mut fleet: Workspace,
        wanted: &Wanted<'_>,
        path: String,
    ) -> Result<Self, Unusable> {
        fleet.remove(&path);
        let form = form(&mut fleet, wanted)?;
        Ok(Self {
            fleet,
            form,
            entered: Entered::default(),
            asked: Asked::default(),
            path,
        })
    }

    /// What the visit takes in.
    pub fn form(&self) -> &Form {
        &self.form
    }

    /// What was typed so far.
    pub fn entered(&self) -> &Entered {
        &self.entered
    }

    /// Goes on from what was typed before.
    pub fn resume(&mut self, entered: Entered) {
        self.entered = entered;
        self.go_behind_last();
    }

    /// Goes on with the test of the value that was typed last.
    fn go_behind_last(&mut self) {
        let last = self.entered.log().last();
        let last = last.and_then(|(key, _)| self.form.entry(key));
        self.asked.at = last.map(|entry| At::behind(&self.form, entry));
    }

    /// A value as somebody types it; an empty text takes it out. What no form of the machine has is passed over.
    pub fn type_in(&mut self, key: &str, typed: &str) {
        if let Some(entry) = self.form.entry(key) {
            self.asked.at = Some(At::behind(&self.form, entry));
            self.asked.left.remove(key);
            self.entered.type_in(key, typed);
        }
    }

    /// Takes back what was typed last: the name of the value.
    pub fn undo(&mut self) -> Option<String> {
        let key = self.entered.undo();
        self.go_behind_last();
        key
    }

    /// Leaves a value as it is: it is not asked for.
    pub fn leave(&mut self, key: &str) {
        if let Some(entry) = self.form.entry(key) {
            self.asked.at = Some(At::behind(&self.form, entry));
            self.asked.left.insert(key.to_owned());
        }
    }

    /// Asks for values again that were left.
    pub(super) fn take_up(&mut self, keys: &[String]) {
        for key in keys {
            self.asked.left.remove(key);
        }
        self.go_behind_last();
    }

    /// Asks for steps that are not due: for one, or for all.
    pub(super) fn add(&mut self, step: Option<Step>) {
        match step {
            Some(step) => _ = self.asked.added.insert(step),
            None => self.asked.all = true,
        }
    }

    /// Asks for one more test of a step, as long as a visit takes one more.
    pub fn test_again(&mut self, step: Step) {
        let number = self
            .form
            .parts
            .iter()
            .position(|part| part.step == Some(step));
        let Some(number) = number.filter(|_| self.may_test_again(step)) else {
            return;
        };
        let round = asked::last_round(self, &self.form.parts[number]) + 1;
        self.asked.again.insert(step, round);
        self.asked.at = Some(At::beginning((number, round)));
    }

    /// Whether a visit takes one more test of a step.
    pub fn may_test_again(&self, step: Step) -> bool {
        let part = self.form.part(step);
        part.is_some_and(|part| {
            let mut entries = part.entries.iter();
            let has_rounds = entries.any(|entry| entry.field.round().is_some());
            has_rounds && asked::last_round(self, part) + 1 < ROUNDS
        })
    }

    pub(super) fn asked(&self) -> &Asked {
        &self.asked
    }

    /// Where the record goes, from the records' root.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The record: the tests that were begun, as they stand.
    pub fn record(&self) -> String {
        text(&self.form, &self.entered, Extent::Record).text
    }

    /// What a check finds in the record, as it is told of a file.
    pub fn check(&mut self) -> Report {
        let record = self.record();
        self.fleet.set(&self.path, record);
        self.fleet
            .check_machine(&self.form.machine, vec![self.path.clone()])
    }

    /// What stays due of the machine and the setup with the record as it is.
    pub fn stays(&mut self) -> Stays {
        let found = self.check();
        self.stays_with(&found)
    }

    /// The same with what was found already. What is not read yet keeps a test from counting, so it is the record that counts.
    fn stays_with(&mut self, found: &Report) -> Stays {
        let record = self.record();
        self.fleet.set(&self.path, record);
        let due = self.fleet.due_of(&self.form.machine, Period::Days(0));
        Stays::of(due, found, &self.form.setup.name, &self.path)
    }

    /// What is said of the visit so far.
    pub fn so_far(&mut self) -> SoFar {
        let written = text(&self.form, &self.entered, Extent::SoFar);
        self.fleet.set(&self.path, written.text.clone());
        let machine = self.form.machine.clone();
        let mut found = self.fleet.check_machine(&machine, vec![self.path.clone()]);
        found.findings.retain(|told| self.is_told(told));
        let off = self.deviations(&written);
        let heaviest = self.heaviest(&found, &written, &off);
        let said = self.form.entries().map(|entry| {
            let said = self.said(entry, off.get(&entry.key), heaviest.get(&entry.key));
            (entry.key.clone(), said)
        });
        let values = said.collect();
        let aims = self.aims(&written, &found);
        let mut now = SoFar {
            values,
            aims,
            stays: self.stays_with(&found),
            found,
            next: Next::default(),
            shown: BTreeSet::new(),
            record: self.record(),
        };
        now.next = self.next_of(&now);
        now.shown = asked::shown(self, &now);
        now
    }

    /// Whether a finding says more than that a test is not finished.
    fn is_told(&self, told: &Told) -> bool {
        let of_unfinished = told.words.rule() == NOT_FILLED_IN;
        let of_uncaught = told.judged().is_some_and(|judged| {
            judged.figure == NOZZLES_NOT_CAUGHT && !self.is_complete(Step::Catch)
        });
        !of_unfinished && !of_uncaught
    }
}
