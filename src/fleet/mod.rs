//! The records of one machine put together: the machine as it was on a day, its boom, its visits.
//!
//! Computes no figure and judges nothing.

mod layout;

pub use layout::{Laid, Layout, Nozzle};

use crate::record::{Calibration, Machine};
use crate::source::FileId;
use jiff::civil::Date;

/// All that is on record of one machine.
#[derive(Debug)]
pub struct History {
    /// The machine's name, as its folder has it.
    pub id: String,
    /// Its place among the group's machines.
    pub index: u32,
    /// The machine as it was from a day on, earliest first; the first holds before its day too.
    pub versions: Vec<(Option<Date>, Machine)>,
    /// Its visits, earliest first; those without a readable date are left out.
    pub calibrations: Vec<Calibration>,
    /// Records that could not be made sense of.
    pub unreadable: Vec<Unreadable>,
}

/// A record that could not be made sense of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Unreadable {
    /// The file.
    pub file: FileId,
    /// The day its name gives it.
    pub day: Option<Date>,
}

impl History {
    /// The machine as it was on a day.
    pub fn machine_on(&self, day: Date) -> Option<&Machine> {
        self.versions
            .iter()
            .rev()
            .find(|(from, _)| from.is_none_or(|from| from <= day))
            .or(self.versions.first())
            .map(|(_, machine)| machine)
    }

    /// Whether a record that could not be read may have changed how the machine stands since `day`.
    pub fn unreadable_since(&self, day: Date) -> Option<&Unreadable> {
        self.unreadable
            .iter()
            .find(|unreadable| unreadable.day.is_none_or(|on| on >= day))
    }
}
