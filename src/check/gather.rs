//! What only weakens a test, gathered into one note a test.

use super::cause::{Causes, Told};
use super::outcomes::Judging;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::outcome::{Key, Part, Step};
use crate::source::Place;
use crate::words;
use std::collections::BTreeMap;

/// The name of the one note a test.
pub const WEAK_TEST: &str = "weak-test";

/// One thing that weakens a test.
#[derive(Debug)]
pub(super) struct Weak {
    pub(super) key: Key,
    /// The rules whose findings explain it.
    pub(super) follows: Vec<String>,
    /// The step whose test it weakens.
    pub(super) step: Option<Step>,
    pub(super) subject: Place,
    /// What, as a message of its own.
    pub(super) message: String,
    /// What would help, beginning with a verb.
    pub(super) remedy: String,
}

/// So many more places are marked below a note.
const MOST_MARKED: usize = 50;

/// The notes of one visit, by step; what a finding of the visit explains is left out.
pub(super) fn one_note_a_test(judging: &Judging<'_>, weak: Vec<Weak>, told: &[Told]) -> Vec<Told> {
    let causes = Causes::of(told);
    let is_explained = |one: &Weak| {
        let mut causes = causes.for_key(&one.follows, &one.key).into_iter();
        causes.any(|at| one.key.overlaps(&told[at].key))
    };
    let mut by_step: BTreeMap<Option<Step>, Vec<Weak>> = BTreeMap::new();
    for one in weak {
        if is_explained(&one) {
            continue; // Mending the cause decides it, or lets it be told.
        }
        by_step.entry(one.step).or_default().push(one);
    }
    by_step
        .into_iter()
        .filter_map(|(step, weak)| note(judging, step, &weak))
        .collect()
}

fn note(judging: &Judging<'_>, step: Option<Step>, weak: &[Weak]) -> Option<Told> {
    let (first, more) = weak.split_first()?;
    let test = step.map_or("record", Step::test);
    let others = match more.len() {
        0 => String::new(),
        n => format!(", and {} more", words::phrases::plural(n, "point")),
    };
    let message = format!(
        "the {test} proves less than it could: {}{others}",
        first.message
    );
    let label = Label::new(first.subject, "");
    let mut finding = Diagnostic::new(WEAK_TEST, Severity::Note, message, label)
        .help(best_remedy(weak))
        .of_machine(judging.view().subject().id);
    let elsewhere = more.iter().filter(|other| other.subject != first.subject);
    for other in elsewhere.take(MOST_MARKED) {
        finding = finding.also(Label::new(other.subject, other.message.clone()));
    }
    Some(Told {
        rule: WEAK_TEST.to_owned(),
        follows: Vec::new(),
        key: Key {
            stage: None,
            part: Part::Whole,
            ..first.key
        },
        subject: first.subject,
        value: 0.0,
        excess: 0.0,
        siblings: 0,
        most: judging.most(WEAK_TEST, &first.key, first.subject),
        held: Vec::new(),
        finding,
    })
}

/// The change that helps most of them; the first among equals.
fn best_remedy(weak: &[Weak]) -> String {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for one in weak {
        *counts.entry(&one.remedy).or_default() += 1;
    }
    let best = weak
        .iter()
        .rev()
        .max_by_key(|one| counts[one.remedy.as_str()]);
    best.map(|one| one.remedy.clone()).unwrap_or_default()
}
