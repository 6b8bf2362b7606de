//! A format of something that is made of the records; each stands in a file of its own, and in one list.
//!
//! Whoever needs every format walks the list: the arguments, the pages and the tests.

use crate::render::ink::Look;
use crate::render::{Harmless, clean};
use crate::report::{Failure, FigureRow, FigureTotals};
use crate::words::phrases::plural;

/// How something is written.
#[derive(Debug)]
pub struct Format<T> {
    /// The word for it on the command line.
    pub name: &'static str,
    /// What it is, in one line.
    pub about: &'static str,
    /// Writes it.
    pub write: fn(&T, &Look) -> Harmless,
    /// What it has no room for, each in one line, to be told beside it.
    pub leaves_out: fn(&T) -> Vec<String>,
}

/// How figures are written, which come one machine after another.
#[derive(Debug)]
pub struct FigureFormat {
    /// The word for it on the command line.
    pub name: &'static str,
    /// What it is, in one line.
    pub about: &'static str,
    /// Makes what writes them.
    pub writer: fn(Look) -> Box<dyn FigureWriter>,
}

/// Writes the figures of one machine after another, so that memory follows the largest machine.
pub trait FigureWriter {
    /// What stands before all figures.
    fn head(&mut self) -> Harmless {
        Harmless::default()
    }

    /// Figures of one machine: all of them, or the next few.
    fn machine(&mut self, rows: &[FigureRow]) -> Harmless;

    /// What it has no room for, each in one line, to be told beside it: records whose figures are missing.
    fn leaves_out(&self, totals: &FigureTotals) -> Vec<String> {
        missing(totals).into_iter().collect()
    }

    /// What stands behind all figures.
    fn end(&mut self, _: &FigureTotals) -> Harmless {
        Harmless::default()
    }
}

/// What every format has on the command line.
pub trait Named {
    /// The word for it.
    fn name(&self) -> &'static str;

    /// What it is, in one line.
    fn about(&self) -> &'static str;
}

impl<T> Named for Format<T> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn about(&self) -> &'static str {
        self.about
    }
}

impl Named for FigureFormat {
    fn name(&self) -> &'static str {
        self.name
    }

    fn about(&self) -> &'static str {
        self.about
    }
}

/// Of a format that has room for everything.
pub(super) fn nothing<T>(_: &T) -> Vec<String> {
    Vec::new()
}

/// That a file could not be read, and why, in one line.
pub(crate) fn could_not_read(Failure { path, reason }: &Failure) -> String {
    format!(
        "could not read {}: {}",
        clean::text(path),
        clean::text(reason)
    )
}

/// That figures are missing; none where every record could be made sense of.
pub(super) fn missing(totals: &FigureTotals) -> Option<String> {
    let files = plural(totals.unreadable, "file");
    let text = format!("{files} could not be made sense of: run `swathlint check`");
    (totals.unreadable > 0).then_some(text)
}
