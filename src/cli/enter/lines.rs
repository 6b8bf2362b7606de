//! Lines that somebody types, or that a script gives.

use crate::cli::failure::{CannotCheck, reason};
use crate::cli::output;
use crate::render::Harmless;
use crate::words::clean::clean;
use std::io::{self, BufRead, IsTerminal};

/// The standard input, line by line.
pub(super) struct Lines {
    /// A terminal shows what is typed; what a script gives is shown behind its question.
    is_shown: bool,
}

/// What came of a question.
pub(super) enum Line {
    Typed(String),
    /// What is no text in UTF-8.
    NoText,
    /// There are no more.
    End,
}

impl Lines {
    pub(super) fn new() -> Self {
        Self {
            is_shown: io::stdin().is_terminal(),
        }
    }

    /// Asks, and waits for the next line.
    pub(super) fn next(&mut self, question: &str) -> Result<Line, CannotCheck> {
        output::to_errors(&Harmless::lines(&clean(question)));
        let mut bytes = Vec::new();
        let read = io::stdin().lock().read_until(b'\n', &mut bytes);
        read.map_err(|error| CannotCheck::Unreachable {
            path: "the standard input".into(),
            reason: reason(&error),
        })?;
        if bytes.is_empty() {
            output::to_errors(&Harmless::lines("\n"));
            return Ok(Line::End);
        }
        let Ok(line) = String::from_utf8(bytes) else {
            output::to_errors(&Harmless::lines("\n"));
            return Ok(Line::NoText);
        };
        if !self.is_shown {
            let shown = format!("{}\n", clean(line.trim()));
            output::to_errors(&Harmless::lines(&shown));
        }
        Ok(Line::Typed(line))
    }
}
