//! How far the work is, on the standard error, where a person waits at a terminal.
//!
//! Says nothing where the work is short or nobody watches, and nothing but numbers.

use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicUsize, Ordering};

/// Fewer files than this are read before anybody wonders.
const LONG_WORK: usize = 5_000;

/// So many files are read before the line is written again.
const FILES_A_LINE: usize = 500;

/// Counts the files that were read.
#[derive(Debug)]
pub(crate) struct Progress {
    n_files: usize,
    n_read: AtomicUsize,
    is_shown: bool,
}

impl Progress {
    /// Progress over so many files.
    pub(crate) fn new(n_files: usize) -> Self {
        Self {
            n_files,
            n_read: AtomicUsize::new(0),
            is_shown: n_files >= LONG_WORK && io::stderr().is_terminal(),
        }
    }

    /// One file more was read.
    pub(crate) fn step(&self) {
        let n_read = self.n_read.fetch_add(1, Ordering::Relaxed) + 1;
        if self.is_shown && n_read.is_multiple_of(FILES_A_LINE) {
            show(&line(n_read, self.n_files));
        }
    }

    /// Clears the line.
    pub(crate) fn end(self) {
        if self.is_shown {
            show(&blank(self.n_files));
        }
    }
}

/// Goes over the line before, as it never gets shorter.
fn line(n_read: usize, n_files: usize) -> String {
    format!("\r{n_read} of {n_files} records read")
}

/// Spaces over the longest line, and back to where it began.
fn blank(n_files: usize) -> String {
    let longest = line(n_files, n_files).len() - 1;
    format!("\r{:longest$}\r", "")
}

fn show(text: &str) {
    // Work goes on where nobody can be told how far it is.
    io::stderr().lock().write_all(text.as_bytes()).ok();
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_is_written_over_and_leaves_nothing() {
        assert_eq!(line(500, 6_000), "\r500 of 6000 records read");
        assert_eq!(blank(6_000).trim_matches('\r'), " ".repeat(25));
        assert!(blank(6_000).ends_with('\r'));
    }
}
