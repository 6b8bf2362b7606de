//! The words that can be typed in the place of a value: leave, take back, go, add, list.

use super::dialogue::{Answer, Dialogue, Done};
use super::form::{Entry, Field, Part};
use super::state::{Mark, group_of};
use crate::procedure::Step;
use crate::wording::visit;
use crate::words::phrases::{capitalized, list};

impl Dialogue {
    /// An empty line leaves what a visit is whole without, and what has a value.
    pub(super) fn enter(&mut self) -> Answer {
        match self.next() {
            Some(entry) if entry.is_optional || self.value(entry).is_some() => self.leave(false),
            Some(entry) => Answer::said(visit::needed(&entry.label)),
            None => Answer::said(visit::NOTHING_ASKED),
        }
    }

    /// Leaves a value as it is, or all that is asked of a test.
    pub(super) fn leave(&mut self, is_whole_test: bool) -> Answer {
        let Some(first) = self.next().cloned() else {
            return Answer::said(visit::NOTHING_ASKED);
        };
        self.gone_to = None;
        let group = group_of(self.form(), &first);
        let mut left = Vec::new();
        let mut leaving = Some(first);
        while let Some(entry) = leaving {
            self.session.leave(&entry.key);
            left.push(entry.key);
            let next = self.next().filter(|_| is_whole_test);
            leaving = next
                .filter(|next| group_of(self.form(), next) == group)
                .cloned();
        }
        self.done.push(Done::Left(left));
        Answer::default()
    }

    pub(super) fn undo(&mut self) -> Answer {
        self.gone_to = None;
        let key = match self.done.pop() {
            Some(Done::Left(keys)) => {
                self.session.take_up(&keys);
                keys.into_iter().next()
            }
            // What was typed before the visit was gone on with can be taken back too.
            Some(Done::Typed) | None => self.session.undo(),
        };
        let Some(key) = key else {
            return Answer::said(visit::NOTHING_TO_UNDO);
        };
        self.now = self.session.so_far();
        // What was told may be so no longer, or again.
        self.told.clear();
        let label = self.form().entry(&key).map(|entry| entry.label.clone());
        Answer {
            lines: vec![visit::took_back(&label.unwrap_or(key))],
            is_changed: true,
            is_end: false,
        }
    }

    pub(super) fn go(&mut self, name: &str) -> Answer {
        let name = name.to_lowercase();
        let entries = self.form().entries();
        let named: Vec<&Entry> = entries
            .filter(|entry| entry.key == name || entry.label.to_lowercase() == name)
            .collect();
        // Of a test that was made again, its last one.
        let typed = |entry: &&&Entry| self.session.entered().typed(&entry.key).is_some();
        let own = self.next().map(|entry| group_of(self.form(), entry));
        let in_test = |entry: &&&Entry| Some(group_of(self.form(), entry)) == own;
        let found = named
            .iter()
            .find(in_test)
            .or_else(|| named.iter().rev().find(typed))
            .or_else(|| named.first());
        let found = found
            .copied()
            .or_else(|| self.first_read(self.step_named(&name)?));
        let Some(key) = found.map(|entry| entry.key.clone()) else {
            return Answer::said(visit::no_such_value(&name));
        };
        self.gone_to = Some(key);
        Answer::default()
    }

    fn step_named(&self, name: &str) -> Option<Step> {
        let mut steps = self.form().parts.iter().filter_map(|part| part.step);
        steps.find(|step| step.word() == name || step.test() == name)
    }

    /// The first value of a step that is read and not as usual.
    fn first_read(&self, step: Step) -> Option<&Entry> {
        let mut entries = self.form().part(step)?.entries.iter();
        entries.find(|entry| entry.usual.is_none())
    }

    pub(super) fn add(&mut self, name: &str) -> Answer {
        let Some(step) = self.step_named(&name.to_lowercase()) else {
            let steps = self.form().parts.iter().filter_map(|part| part.step);
            let steps: Vec<&str> = steps.map(Step::word).collect();
            return Answer::said(visit::no_such_step("add", &list(&steps, "or")));
        };
        self.session.add(Some(step));
        Answer::said(visit::added(step.test()))
    }

    /// Makes a test once more, whatever the first one found.
    pub(super) fn again(&mut self, name: &str) -> Answer {
        let steps = self.form().parts.iter().filter_map(|part| part.step);
        let steps: Vec<Step> = steps
            .filter(|step| self.session.may_test_again(*step))
            .collect();
        let Some(step) = self.step_named(&name.to_lowercase()) else {
            let steps: Vec<&str> = steps.into_iter().map(Step::word).collect();
            return Answer::said(visit::no_such_step("again", &list(&steps, "or")));
        };
        if !steps.contains(&step) {
            return Answer::said(visit::NO_MORE_TESTS);
        }
        let entered = self.session.entered();
        let mut entries = self
            .form()
            .part(step)
            .into_iter()
            .flat_map(|part| &part.entries);
        let is_begun = entries.any(|entry| entered.typed(&entry.key).is_some());
        self.session.add(Some(step));
        if is_begun {
            self.session.test_again(step);
        }
        self.gone_to = None;
        self.now = self.session.so_far();
        Answer::default()
    }

    /// What stands for each value, part after part.
    pub(super) fn list(&self) -> Vec<String> {
        let entered = self.session.entered();
        let is_begun = |part: &&Part| {
            let mut entries = part.entries.iter();
            entries.any(|entry| entered.typed(&entry.key).is_some())
        };
        let of_part = |part: &Part| {
            let values = part.entries.iter().filter_map(|entry| self.stands(entry));
            let values: Vec<String> = values.collect();
            let title = part.step.map_or("visit", Step::test);
            let head = (!values.is_empty()).then(|| capitalized(title));
            head.into_iter().chain(values).collect::<Vec<_>>()
        };
        let lines: Vec<String> = self
            .form()
            .parts
            .iter()
            .filter(is_begun)
            .flat_map(of_part)
            .collect();
        if lines.is_empty() {
            return vec![visit::NOTHING_TYPED.to_owned()];
        }
        lines
    }

    fn stands(&self, entry: &Entry) -> Option<String> {
        let said = self.now.values.get(&entry.key)?;
        let is_shown = match said.mark {
            Mark::Empty | Mark::Refused => false,
            // A test that is made again has the conditions of the first: said once.
            Mark::Usual => entry.field.round().unwrap_or(0) == 0,
            Mark::Taken | Mark::Good | Mark::Noted | Mark::Off => true,
        };
        let round = entry.field.round().unwrap_or(0);
        let label = if 0 < round {
            visit::in_test(&entry.label, round)
        } else {
            entry.label.clone()
        };
        let unit = if matches!(entry.field, Field::Nozzle { .. }) {
            entry.kind.unit()
        } else {
            String::new()
        };
        let value = crate::words::numbers::with_unit(said.written.as_deref()?, &unit);
        let off = if said.mark == Mark::Off {
            Mark::Off.word()
        } else {
            ""
        };
        let off = if said.words.is_empty() {
            off
        } else {
            &said.words
        };
        is_shown.then(|| format!("  {}", visit::standing(&label, &value, off)))
    }
}
