//! The records of one machine put together: the machine as it was at a moment, its boom, its visits.
//!
//! Computes no figure and judges nothing.

mod lay_ups;
mod layout;
mod moment;
mod retest;
mod versions;

pub use lay_ups::LayUps;
pub use layout::{Laid, Layout, Nozzle};
pub use moment::{Event, Moment};
pub use retest::{AtPressure, FARTHEST_PERCENT, at_pressure, base};
pub use versions::{Version, no_such_setup, versions};

use crate::record::{Application, Calibration, Machine, Service};
use crate::source::{FileId, Place, Span};
use jiff::civil::Date;
use std::sync::Arc;

/// All that is on record of one machine.
#[derive(Debug)]
pub struct History {
    /// The machine's name, as its folder has it.
    pub id: String,
    /// Its place among the group's machines.
    pub index: u32,
    /// The machine as it was, earliest first.
    pub versions: Vec<Version>,
    /// Its visits, earliest first; those without a readable date are left out.
    pub calibrations: Vec<Arc<Calibration>>,
    /// Work on it, earliest first; that without a readable date is left out.
    pub services: Vec<Arc<Service>>,
    /// What it sprayed, earliest first; that without a readable date is left out.
    pub applications: Vec<Arc<Application>>,
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

impl History {
    /// The machine as it was at the end of a day.
    pub fn machine_on(&self, day: Date) -> Option<&Machine> {
        self.version(day, |_| true)
    }

    /// The machine as it was at a moment.
    pub fn machine_at(&self, moment: &Moment) -> Option<&Machine> {
        self.version(moment.day, |from| from.is_before(moment))
    }

    /// The latest version of a day or earlier that had begun: those are by day.
    fn version(&self, day: Date, had_begun: impl Fn(&Moment) -> bool) -> Option<&Machine> {
        let is_by_then = |version: &Version| version.from.is_none_or(|from| from.day <= day);
        let by_then = &self.versions[..self.versions.partition_point(is_by_then)];
        let version = by_then.iter().rev();
        let mut begun = version.filter(|version| version.from.as_ref().is_none_or(&had_begun));
        begun
            .next()
            .or(self.versions.first())
            .map(|version| &version.machine)
    }
}
