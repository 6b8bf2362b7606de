//! The records of one machine put together: the machine as it was at a moment, its boom, its visits.
//!
//! Computes no figure and judges nothing.

mod hour_meter;
mod lay_ups;
mod layout;
mod moment;
mod retest;
mod unreadable;
mod versions;

pub use hour_meter::{BrokenMeter, Earlier, HourMeter, HourMeters, MeterChange};
pub use lay_ups::LayUps;
pub use layout::{Laid, Layout, Nozzle, UNKNOWN_SECTION};
pub use moment::{Event, Moment};
pub use retest::{AtPressure, FARTHEST_PERCENT, at_pressure, base, is_near};
pub use unreadable::Unreadable;
pub use versions::{Version, machine_after, no_such_setup, versions};

use crate::record::{Application, Calibration, Machine, Service};
use crate::source::FileId;
use jiff::civil::Date;
use std::collections::BTreeMap;
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
    /// The readings of its hour meters.
    pub hour_meters: HourMeters,
    /// The dates of records, as written, that are believed to be the days of their files' names.
    pub misdated: BTreeMap<FileId, Date>,
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
