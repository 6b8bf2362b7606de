//! What is wrong with a file of a cause, each at its exact place.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words::{phrases, spelling};

/// The name of a finding in a file of a cause.
const WRONG_CAUSE: &str = "wrong-cause";

/// The findings of one file.
pub(super) struct Problems {
    file: FileId,
    found: Vec<Diagnostic>,
}

impl Problems {
    pub(super) const fn of(file: FileId) -> Self {
        let found = Vec::new();
        Self { file, found }
    }

    pub(super) fn add(&mut self, span: Span, message: String, help: String) {
        let file = self.file;
        let label = Label::new(Place { file, span }, "");
        let finding = Diagnostic::new(WRONG_CAUSE, Severity::Error, message, label);
        self.found.push(finding.help(help));
    }

    /// That a word is none of those there are for what it stands for.
    pub(super) fn unknown<'k>(
        &mut self,
        span: Span,
        what: &str,
        word: &str,
        known: impl Iterator<Item = &'k str> + Clone,
    ) {
        let help = spelling::nearest(word, known.clone()).map_or_else(
            || {
                let known: Vec<&str> = known.collect();
                format!("write {}", phrases::list(&known, "or"))
            },
            |nearest| format!("write `{nearest}`, if that is meant"),
        );
        let message = format!("no {what} is called `{}`", phrases::name(word));
        self.add(span, message, help);
    }

    pub(super) fn into_found(self) -> Vec<Diagnostic> {
        self.found
    }
}
