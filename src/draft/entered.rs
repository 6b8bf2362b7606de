//! What was typed of a visit so far, in the order it was typed, so that each value can be taken back.

use super::form::{Entry, Form, Part};
use super::typed::Refused;
use std::collections::BTreeMap;

/// What was typed, value after value.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Entered {
    log: Vec<(String, String)>,
    /// The last of each value.
    now: BTreeMap<String, String>,
}

/// So many values are kept to be taken back: a visit of the largest boom has fewer.
const LONGEST_LOG: usize = 20_000;

impl Entered {
    /// What was typed before, in its order.
    pub fn of_log(log: impl IntoIterator<Item = (String, String)>) -> Self {
        let mut entered = Self::default();
        for (key, text) in log {
            entered.type_in(&key, &text);
        }
        entered
    }

    /// A value as typed; an empty text takes it out.
    pub fn type_in(&mut self, key: &str, text: &str) {
        let text = text.trim();
        if self.typed(key).unwrap_or_default() == text {
            return;
        }
        if self.log.len() == LONGEST_LOG {
            self.log.remove(0);
        }
        self.log.push((key.to_owned(), text.to_owned()));
        self.now.insert(key.to_owned(), text.to_owned());
    }

    /// Takes back what was typed last: the name of the value that changed; none where nothing was typed.
    pub fn undo(&mut self) -> Option<String> {
        let (key, _) = self.log.pop()?;
        let before = self.log.iter().rev().find(|(of, _)| *of == key);
        match before {
            Some((_, text)) => self.now.insert(key.clone(), text.clone()),
            None => self.now.remove(&key),
        };
        Some(key)
    }

    /// What was typed, in its order.
    pub fn log(&self) -> &[(String, String)] {
        &self.log
    }

    /// What stands for a value; none where nothing was typed, or it was taken out.
    pub fn typed(&self, key: &str) -> Option<&str> {
        let typed = self.now.get(key)?;
        (!typed.is_empty()).then_some(typed)
    }

    /// Whether anything of a form was typed.
    pub fn is_empty(&self) -> bool {
        self.now.values().all(String::is_empty)
    }

    /// Whether every value that was read of a record stands here as well.
    pub(super) fn goes_on_with(&self, read: &Self, form: &Form) -> bool {
        let of_record = form
            .entries()
            .filter(|entry| read.typed(&entry.key).is_some());
        let mut both = of_record.map(|entry| (self.value(form, entry), read.value(form, entry)));
        both.all(|(own, other)| own == other)
    }

    /// What the record says for a value: as typed, else as in the value that it is the same as, else as usual; none where it
    /// is none of these, or is refused.
    pub fn value(&self, form: &Form, entry: &Entry) -> Option<String> {
        if let Some(typed) = self.typed(&entry.key) {
            return entry.kind.written(typed).ok();
        }
        let mut same = entry.as_in.iter().filter_map(|key| form.entry(key));
        same.find_map(|same| self.value(form, same))
            .or_else(|| entry.usual.clone())
    }

    /// The values of a part that a test is not whole without, of the first test and of those that were begun.
    pub fn needed<'f>(&self, part: &'f Part) -> impl Iterator<Item = &'f Entry> {
        let of_round = |round: usize| {
            let of_it = part.entries.iter();
            of_it.filter(move |entry| entry.field.round() == Some(round))
        };
        let is_begun = move |round: usize| {
            let mut of_it = of_round(round);
            round == 0 || of_it.any(|entry| self.typed(&entry.key).is_some())
        };
        part.entries
            .iter()
            .filter(move |entry| !entry.is_optional && entry.field.round().is_none_or(is_begun))
    }

    /// Whether a value was typed and is taken.
    pub fn is_read(&self, entry: &Entry) -> bool {
        let typed = self.typed(&entry.key);
        typed.is_some_and(|typed| entry.kind.written(typed).is_ok())
    }

    /// The values that were typed and are not taken, in the order of the form.
    pub fn refused<'f>(&self, form: &'f Form) -> Vec<(&'f Entry, Refused)> {
        let all = form.entries().filter_map(|entry| {
            let refused = entry.kind.written(self.typed(&entry.key)?).err()?;
            Some((entry, refused))
        });
        all.collect()
    }
}

impl Form {
    /// Whether a visit asks for a part: the visit itself, what is due, all where none is or where `all` are wanted, and
    /// what was begun.
    pub fn is_asked(&self, part: &Part, entered: &Entered, all: bool) -> bool {
        let is_typed = |entry: &Entry| entered.typed(&entry.key).is_some();
        part.step.is_none()
            || all
            || part.due.is_some()
            || !self.is_anything_due()
            || part.entries.iter().any(is_typed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_value_is_taken_back_in_turn() {
        let mut entered = Entered::default();
        entered.type_in("a", "1");
        entered.type_in("b", "2");
        entered.type_in("a", " 3 ");
        entered.type_in("a", "3");
        assert_eq!(entered.log().len(), 3);
        assert_eq!(entered.typed("a"), Some("3"));
        assert_eq!(entered.undo().as_deref(), Some("a"));
        assert_eq!(entered.typed("a"), Some("1"));
        entered.type_in("a", "");
        assert_eq!(entered.typed("a"), None);
        entered.undo();
        entered.undo();
        assert_eq!(entered.typed("b"), None);
        entered.undo();
        assert_eq!(entered.undo(), None);
        assert!(entered.is_empty());
        let kept = Entered::of_log([("a".to_owned(), "1".to_owned())]);
        assert_eq!(kept.typed("a"), Some("1"));
    }
}
