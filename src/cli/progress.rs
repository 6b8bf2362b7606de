//! How far the work is, on the standard error, where a person waits at a terminal.
//!
//! Says nothing where the work is short or nobody watches.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{self, IsTerminal};

/// Fewer files than this are read before anybody wonders.
const LONG_WORK: usize = 5_000;

/// Counts the files that were read.
#[derive(Debug)]
pub(crate) struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// Progress over so many files.
    pub(crate) fn new(n_files: usize) -> Self {
        let is_shown = n_files >= LONG_WORK && io::stderr().is_terminal();
        let target = if is_shown {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        };
        let style = ProgressStyle::with_template("{pos} of {len} records read")
            .expect("the template is well formed");
        let length = u64::try_from(n_files).unwrap_or(u64::MAX);
        Self {
            bar: ProgressBar::with_draw_target(Some(length), target).with_style(style),
        }
    }

    /// One file more was read.
    pub(crate) fn step(&self) {
        self.bar.inc(1);
    }

    /// Clears the line.
    pub(crate) fn end(self) {
        self.bar.finish_and_clear();
    }
}
