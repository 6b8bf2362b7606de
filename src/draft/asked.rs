//! Which value of a visit is asked for next, and which are shown: the same at a terminal and on the page.

use super::form::{Entry, Field, Form, Part, ROUNDS};
use super::state::{Asked, Mark, Session, SoFar, round_of};
use crate::diagnostic::Severity;
use std::collections::BTreeSet;

/// Whether a value is a factor of the console.
pub(super) fn is_factor(entry: &Entry) -> bool {
    matches!(
        entry.field,
        Field::Meter(_, "before" | "after") | Field::Speed(_, "before" | "after")
    )
}

/// The next value to ask for: the rest of the test that somebody is at, what it asks to be tested again, then the first of
/// the visit; none where all was read or left.
pub(super) fn next<'f>(session: &'f Session, now: &SoFar) -> Option<&'f Entry> {
    let asking = Asking::new(session, now);
    let form = session.form();
    let of_test = asking.asked.at.and_then(|at| {
        let part = form.parts.get(at.group.0)?;
        let of_round = |entry: &&Entry| round_of(entry) == at.group.1;
        let own = part.entries.iter().skip(at.behind).filter(of_round);
        let again = part
            .entries
            .iter()
            .filter(|entry| at.group.1 < round_of(entry));
        let mut both = own.chain(again);
        both.find(|entry| asking.has(part) && asking.is_asked(part, entry))
    });
    of_test.or_else(|| {
        let mut parts = form.parts.iter().filter(|part| asking.has(part));
        parts.find_map(|part| {
            let mut entries = part.entries.iter();
            entries.find(|entry| asking.is_asked(part, entry))
        })
    })
}

/// The first value that a test is not whole without, that is asked for and has nothing, left or not.
pub(super) fn unread<'f>(session: &'f Session, now: &SoFar) -> Option<&'f Entry> {
    let asking = Asking::new(session, now);
    let mut parts = session.form().parts.iter().filter(|part| asking.has(part));
    parts.find_map(|part| {
        let mut needed = session.entered().needed(part);
        needed.find(|entry| asking.is_empty(entry) && asking.wants(part, entry))
    })
}

/// The values of tests that are made again which are shown: what is asked for, what was typed, and with one value of such
/// a test the others that it is read with.
pub(super) fn shown(session: &Session, now: &SoFar) -> BTreeSet<String> {
    let asking = Asking::new(session, now);
    let mut shown = BTreeSet::new();
    for part in &session.form().parts {
        let later = part.entries.iter().filter(|entry| 0 < round_of(entry));
        let is_shown = |entry: &&Entry| asking.is_shown(part, entry);
        shown.extend(later.filter(is_shown).map(|entry| entry.key.clone()));
    }
    shown
}

/// The last round of a step that is begun or asked for, from 0.
pub(super) fn last_round(session: &Session, part: &Part) -> usize {
    let typed = part.entries.iter().filter(|entry| {
        let typed = session.entered().typed(&entry.key);
        typed.is_some() && !matches!(entry.field, Field::Nozzle { .. })
    });
    let typed = typed.map(round_of).max().unwrap_or(0);
    let again = part.step.and_then(|step| session.asked().again.get(&step));
    typed.max(again.copied().unwrap_or(0))
}

struct Asking<'a> {
    session: &'a Session,
    now: &'a SoFar,
    asked: &'a Asked,
}

impl<'a> Asking<'a> {
    fn new(session: &'a Session, now: &'a SoFar) -> Self {
        let asked = session.asked();
        Self {
            session,
            now,
            asked,
        }
    }

    fn form(&self) -> &Form {
        self.session.form()
    }

    fn is_typed(&self, entry: &Entry) -> bool {
        self.session.entered().typed(&entry.key).is_some()
    }

    /// What is not taken is as good as empty.
    fn is_empty(&self, entry: &Entry) -> bool {
        self.session.entered().value(self.form(), entry).is_none()
    }

    fn is_off(&self, field: Field) -> bool {
        self.now.mark(&field.name()) == Mark::Off
    }

    /// Whether a part is asked for: what is due, what is asked for beside it, and what was begun.
    fn has(&self, part: &Part) -> bool {
        let is_added = |step| self.asked.added.contains(&step);
        let entered = self.session.entered();
        self.form().is_asked(part, entered, self.asked.all) || part.step.is_some_and(is_added)
    }

    fn is_asked(&self, part: &Part, entry: &Entry) -> bool {
        self.is_empty(entry) && !self.asked.left.contains(&entry.key) && self.wants(part, entry)
    }

    /// Whether somebody asked for this round of a step.
    fn is_again(&self, part: &Part, round: usize) -> bool {
        let asked = part.step.and_then(|step| self.asked.again.get(&step));
        asked.is_some_and(|last| round <= *last)
    }

    fn is_shown(&self, part: &Part, entry: &Entry) -> bool {
        let round = round_of(entry);
        let is_own = |one: &Entry| self.is_typed(one) || self.wants(part, one);
        let is_with =
            |one: &&Entry| round_of(one) == round && !matches!(one.field, Field::Nozzle { .. });
        let is_nozzle = matches!(entry.field, Field::Nozzle { .. });
        let with_it = || part.entries.iter().filter(is_with).any(is_own);
        self.is_again(part, round) || if is_nozzle { is_own(entry) } else { with_it() }
    }

    /// Whether a value is read at all, as the visit stands.
    fn wants(&self, part: &Part, entry: &Entry) -> bool {
        match entry.field {
            Field::Meter(round, "before" | "after") | Field::Speed(round, "before" | "after") => {
                self.wants_factor(part, round)
            }
            Field::Off(section, "as-left") => self.is_off(Field::Off(section, "as-found")),
            Field::Nozzle { round: 0, .. } => !entry.is_optional || self.is_whole_boom(part),
            Field::Nozzle { round, .. } => {
                let before = entry.field.in_round_before();
                self.is_again(part, round) || before.is_none_or(|before| self.is_off(before))
            }
            Field::Catch(round, _) => round == 0 || self.is_caught_again(part, round),
            // What is as in the first test was asked for there.
            Field::Meter(round, _) | Field::Speed(round, _) | Field::Run(round, _, _)
                if 0 < round =>
            {
                let is_made = self.is_again(part, round)
                    || self.is_factor_entered(part, round - 1)
                    || (round == 1 && self.is_explained(part));
                entry.as_in.is_empty() && is_made
            }
            Field::Visit(_)
            | Field::Preparation(_)
            | Field::Meter(..)
            | Field::Speed(..)
            | Field::Run(..)
            | Field::Balance(_)
            | Field::Off(..) => true,
        }
    }

    /// Whether the whole boom is caught where some nozzles would do.
    fn is_whole_boom(&self, part: &Part) -> bool {
        let is_added = part
            .step
            .is_some_and(|step| self.asked.added.contains(&step));
        let mut optional = part.entries.iter().filter(
            |entry| matches!(entry.field, Field::Nozzle { round: 0, .. } if entry.is_optional),
        );
        self.asked.all || is_added || optional.any(|entry| self.is_typed(entry))
    }

    /// Whether a nozzle of the catch before is off, so that another catch is made.
    fn is_caught_again(&self, part: &Part, round: usize) -> bool {
        let mut entries = part.entries.iter();
        entries.any(|entry| {
            let is_before =
                matches!(entry.field, Field::Nozzle { round: of, .. } if of + 1 == round);
            is_before && self.now.mark(&entry.key) == Mark::Off
        })
    }

    /// Whether a test was made whose result calls for another factor.
    fn wants_factor(&self, part: &Part, round: usize) -> bool {
        let of_round = part
            .entries
            .iter()
            .filter(|entry| entry.field.round() == Some(round));
        let mut typed = of_round.filter(|entry| self.is_typed(entry)).peekable();
        if typed.peek().is_none() {
            return false;
        }
        let is_last = (round + 1..ROUNDS).all(|later| {
            let mut entries = part.entries.iter();
            !entries.any(|entry| entry.field.round() == Some(later) && self.is_typed(entry))
        });
        let is_over = |step| {
            let mut found = self.now.of_step(step);
            found.any(|told| Severity::Note < told.words.severity())
        };
        if round == 0 && self.is_explained(part) && !self.is_factor_entered(part, 0) {
            return false;
        }
        let is_first_over = round == 0 && is_last && part.step.is_some_and(is_over);
        is_first_over || typed.any(|entry| self.now.mark(&entry.key) == Mark::Off)
    }

    /// Whether a test found something that has more than one reason, so that it is made again before anything is corrected.
    fn is_explained(&self, part: &Part) -> bool {
        part.step.is_some_and(|step| {
            let mut found = self.now.of_step(step);
            found.any(|told| told.explained().is_some())
        })
    }

    fn is_factor_entered(&self, part: &Part, round: usize) -> bool {
        let mut entries = part.entries.iter();
        entries.any(|entry| {
            let is_after = matches!(entry.field,
                Field::Meter(of, "after") | Field::Speed(of, "after") if of == round);
            is_after && self.is_typed(entry)
        })
    }
}
