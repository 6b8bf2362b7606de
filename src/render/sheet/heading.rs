//! The head of a step: whether it is due and why, what it aims at, what to take care of.

use super::html::{element, of_class, text, with};
use super::piece::{Piece, high, paragraph};
use crate::draft::{Form, Part};
use crate::procedure::CAUTIONS;
use crate::report::DueState;
use crate::words::dates;
use crate::words::phrases::{capitalized, shortened};

/// So much of why a step is due has room.
const LONGEST_WHY: usize = 105;

/// A target has more: it may say what to enter in the console.
const LONGEST_TARGET: usize = 160;

/// The head of a step, of a form that has the step.
pub(super) fn heading(form: &Form, part: &Part) -> Option<Piece> {
    let step = part.step?;
    let (mark, state) = match &part.due {
        Some(due) => ("■ ", due.state.word().to_owned()),
        None => ("□ ", not_due(part)),
    };
    let words = [
        with("span", &[("aria-hidden", "true")], [text(mark)]),
        text(&capitalized(step.test())),
        of_class("span", "state", [text(&format!(": {state}"))]),
    ];
    let mut pieces = vec![Piece::new(element("h2", words), 64, 0)];
    let cautions = step.procedure().cautions.iter().copied();
    let own: Vec<&str> = cautions
        .filter(|caution| !is_shared(form, caution))
        .collect();
    let why = part
        .due
        .as_ref()
        .map(|due| format!("Why: {}. ", cut(&due.because)));
    pieces.extend(why_and_cautions(&why.unwrap_or_default(), &sentences(own)));
    // Otherwise the factor in the console is the one in its box; a catch has its target at each nozzle.
    let is_wrong = |state| matches!(state, DueState::Failing | DueState::RecordToCorrect);
    if let (Some(due), Some(target), Some(_)) = (&part.due, &part.target, &part.factor)
        && is_wrong(due.state)
    {
        let target = format!("Target: {}.", shortened(target, LONGEST_TARGET));
        pieces.push(paragraph("target", &target));
    }
    Some(pieces.into_iter().collect())
}

/// As much of why a step is due as has room, to the end of a word.
fn cut(because: &str) -> String {
    let Some((most, _)) = because.char_indices().nth(LONGEST_WHY) else {
        return because.to_owned();
    };
    let end = because[..most].rfind(' ').unwrap_or(most);
    format!("{}…", &because[..end])
}

/// Why a step is due and what to take care of, in one paragraph to save a line; none where there is neither.
fn why_and_cautions(why: &str, cautions: &str) -> Option<Piece> {
    let letters = why.chars().count() + cautions.chars().count();
    let cautions = element("i", [text(cautions)]);
    let words = of_class("p", "why", [text(why), cautions]);
    (0 < letters).then(|| Piece::new(words, high(letters), 0))
}

/// What is said of a step that nothing makes due.
fn not_due(part: &Part) -> String {
    match part.last_done {
        Some(day) => format!("not due, done {}", dates::date(day)),
        None => "not due".to_owned(),
    }
}

/// What to take care of in all of a visit: what holds for every step, and what more than one step of the form has.
pub(super) fn cautions_of_all(form: &Form) -> String {
    let mut all = CAUTIONS.to_vec();
    for caution in steps_cautions(form) {
        if is_shared(form, caution) && !all.contains(&caution) {
            all.push(caution);
        }
    }
    sentences(all)
}

fn steps_cautions(form: &Form) -> impl Iterator<Item = &'static str> {
    let steps = form.parts.iter().filter_map(|part| part.step);
    steps.flat_map(|step| step.procedure().cautions.iter().copied())
}

fn is_shared(form: &Form, caution: &str) -> bool {
    1 < steps_cautions(form)
        .filter(|of_step| *of_step == caution)
        .count()
}

/// Cautions as sentences.
fn sentences(cautions: Vec<&str>) -> String {
    let sentences = cautions
        .into_iter()
        .map(|caution| capitalized(caution) + ".");
    sentences.collect::<Vec<_>>().join(" ")
}
