//! A format of something that is made of the records; each stands in a file of its own, and in one list.
//!
//! Whoever needs every format walks the list: the arguments, the pages and the tests.

use crate::render::Harmless;
use crate::render::ink::Look;

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

/// Of a format that has room for everything.
pub(super) fn nothing<T>(_: &T) -> Vec<String> {
    Vec::new()
}
