//! Causes that records rule out: each stays visible, and one that there is not is told.

use crate::cause::{CauseSet, unknown_cause};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::fleet::History;
use crate::record::Confirmed;
use crate::source::{FileId, Place};
use crate::words;

/// What is told of every entry under `confirmed`: it hides nothing that rules find, and is not hidden itself.
pub(super) fn told(history: &History, causes: &CauseSet) -> Vec<Diagnostic> {
    let visits = history.calibrations.iter();
    let entries = visits.flat_map(|visit| {
        let entries = visit.confirmed.iter();
        entries.map(move |entry| (visit.file, entry))
    });
    entries
        .map(|(file, entry)| one(file, entry, causes).of_machine(history.id.clone()))
        .collect()
}

fn one(file: FileId, entry: &Confirmed, causes: &CauseSet) -> Diagnostic {
    let named = causes.find(&entry.what.value);
    // What is never told cannot be ruled out either.
    if !named.is_some_and(|(_, cause)| cause.told) {
        let span = entry.what.span;
        let told = causes.causes().iter().filter(|cause| cause.told);
        let known = told.map(|cause| cause.id.as_str());
        return unknown_cause(Place { file, span }, &entry.what.value, known);
    }
    let [by, why] = [&entry.by, &entry.why].map(|text| words::phrases::name(&text.value));
    let message = format!(
        "the cause {} is confirmed as not the case by {by}: {why}",
        entry.what.value
    );
    let span = entry.span;
    let label = Label::new(Place { file, span }, "");
    Diagnostic::new("cause-confirmed", Severity::Note, message, label)
}
