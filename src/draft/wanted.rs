//! Which visit is to be made.

use jiff::civil::Date;

/// What is to be begun.
#[derive(Debug, Clone)]
pub struct Wanted<'a> {
    /// The machine, by name.
    pub machine: &'a str,
    /// The setup; the only one where none is named.
    pub setup: Option<&'a str>,
    /// The day of the visit.
    pub day: Date,
    /// The initials of who makes the tests; left empty where nobody is named.
    pub by: Option<&'a str>,
}
