//! What to do next in a visit, in words, and the value that is read next.

use super::asked;
use super::form::{Entry, Field, Part};
use super::state::{Mark, Next, Session, SoFar};
use super::stays::step_of_finding;
use crate::diagnostic::Severity;
use crate::figure::about::NOT_TESTED_AGAIN;
use crate::procedure::Step;
use crate::report::Told;
use crate::wording::visit;

impl Session {
    /// What to do next: put right what is not taken, catch again what was just found off, do what a test that is whole
    /// found, read what is empty, then do what the heaviest finding says.
    pub(super) fn next_of(&self, now: &SoFar) -> Next {
        let form = self.form();
        let last = self.entered().log().last();
        let just_typed = last.and_then(|(key, _)| form.entry(key));
        if let Some(entry) = just_typed
            && let Some(words) = refused(entry, now)
        {
            return Next {
                words,
                value: Some(entry.key.clone()),
            };
        }
        let next = self.first_refused(now).or_else(|| asked::next(self, now));
        Next {
            words: self.next_words(now, just_typed, next),
            value: next.map(|entry| entry.key.clone()),
        }
    }

    /// The first value that is not taken: the record does not have it.
    fn first_refused(&self, now: &SoFar) -> Option<&Entry> {
        let mut entries = self.form().entries();
        entries.find(|entry| now.mark(&entry.key) == Mark::Refused)
    }

    fn next_words(&self, now: &SoFar, typed: Option<&Entry>, next: Option<&Entry>) -> String {
        if let Some(entry) = typed
            && let Field::Nozzle { round: 0, .. } = entry.field
            && now.mark(&entry.key) == Mark::Off
        {
            return visit::is_off(&entry.label, &now.values[&entry.key].words);
        }
        if let Some(words) = next.and_then(|entry| refused(entry, now)) {
            return words;
        }
        if let Some(entry) = typed
            && asked::is_factor(entry)
            && now.mark(&entry.key) != Mark::Off
            && let Some(help) = advice(now, |told| told.is_of_figure(NOT_TESTED_AGAIN))
        {
            return help;
        }
        // Nobody catches a mix with bare hands.
        let is_of_visit = |entry: &Entry| {
            self.form()
                .part_of(entry)
                .is_some_and(|part| part.step.is_none())
        };
        if typed.is_some_and(is_of_visit)
            && !next.is_some_and(is_of_visit)
            && let Some(help) = advice(now, |told| step_of_finding(told).is_none())
        {
            return help;
        }
        // Once a test is whole, what it found comes before the test that follows.
        let just_done = typed.and_then(|entry| self.form().part_of(entry));
        let just_done = just_done.and_then(|part| part.step);
        let just_done = just_done.filter(|step| self.is_complete(*step));
        let of_step = |step| advice(now, |told| step_of_finding(told) == Some(step));
        let of_test = just_done.and_then(of_step);
        let unread = asked::unread(self, now);
        let of_all = || unread.is_none().then(|| advice(now, |_| true)).flatten();
        match (of_test.or_else(of_all), next, unread) {
            (Some(help), _, _) => help,
            (None, Some(entry), _) => visit::next(&visit::in_test(
                &entry.label,
                entry.field.round().unwrap_or(0),
            )),
            (None, None, Some(entry)) => visit::was_left(&entry.label),
            (None, None, None) => visit::ALL_READ.to_owned(),
        }
    }

    /// Whether every value of the first test of a step was read.
    pub(super) fn is_complete(&self, step: Step) -> bool {
        let is_unread = |part: &Part| {
            let mut needed = self.entered().needed(part);
            needed.any(|entry| self.entered().value(self.form(), entry).is_none())
        };
        self.form().part(step).is_some_and(|part| !is_unread(part))
    }
}

/// Why a value is not taken; none where it is.
fn refused(entry: &Entry, now: &SoFar) -> Option<String> {
    let said = now.values.get(&entry.key)?;
    (said.mark == Mark::Refused).then(|| visit::not_taken(&entry.label, &said.words))
}

/// What to do about the first of some findings; none where only notes are among them.
fn advice(now: &SoFar, is_of: impl Fn(&Told) -> bool) -> Option<String> {
    let mut heavy = now
        .found
        .findings
        .iter()
        .filter(|told| Severity::Note < told.words.severity() && is_of(told));
    heavy
        .find_map(|told| told.words.help_text())
        .map(str::to_owned)
}
