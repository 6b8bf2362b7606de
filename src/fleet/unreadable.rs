//! Records that could not be made sense of.

use super::Event;
use crate::source::{FileId, Place, Span};
use jiff::civil::Date;

/// A record that could not be made sense of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unreadable {
    /// The file.
    pub file: FileId,
    /// The day its name gives it.
    pub day: Option<Date>,
    /// What it would have told.
    pub event: Event,
}

impl Unreadable {
    /// Where it begins.
    pub fn place(&self) -> Place {
        Place {
            file: self.file,
            span: Span::new(0, 0),
        }
    }
}
