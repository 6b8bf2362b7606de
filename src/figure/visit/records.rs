//! A visit's record beside those it is compared with.

use crate::figure::rate::found::RateFound;
use crate::fleet::HourMeters;
use crate::history::Timeline;
use crate::record::Calibration;
use jiff::civil::Date;
use std::sync::Arc;

/// A visit's record and those it is compared with.
#[derive(Debug, Clone, Copy)]
pub struct Records<'a> {
    /// The visit's.
    pub calibration: &'a Calibration,
    /// The machine's visits before it, earliest first.
    pub earlier: &'a [Arc<Calibration>],
    /// What happened to the machine.
    pub timeline: &'a Timeline<'a>,
    /// The speed of its setup as the last visit before it measured it.
    pub measured_speed: Option<RateFound>,
    /// The readings of its hour meters.
    pub hour_meters: &'a HourMeters,
}

impl<'a> Records<'a> {
    /// The latest earlier visit that `has` something to compare with.
    ///
    /// An unreadable record of a day between the two may have what is sought: then the answer is why
    /// nothing can be compared, never an older record.
    ///
    /// # Errors
    /// Where such a record lies between.
    pub fn last_with<T>(
        &self,
        has: impl Fn(&'a Calibration) -> Option<T>,
    ) -> Result<Option<T>, &'static str> {
        let mut latest_first = self.earlier.iter().rev();
        let found = latest_first.find_map(|visit| Some((visit, has(visit)?)));
        match found {
            Some((visit, found)) => self.readable_since(visit).map(|()| Some(found)),
            None => Ok(None),
        }
    }

    /// The latest earlier visit with a catch that names the same setup.
    ///
    /// # Errors
    /// As of [`Self::last_with`].
    pub fn last_caught_alike(&self) -> Result<Option<&'a Calibration>, &'static str> {
        let setup = self
            .calibration
            .setup
            .as_ref()
            .map(|setup| setup.value.as_str());
        let last = self.timeline.last_caught(setup, self.earlier.len());
        match last.and_then(|place| self.earlier.get(place)) {
            Some(visit) => self.readable_since(visit).map(|()| Some(&**visit)),
            None => Ok(None),
        }
    }

    /// Whether every record from an earlier visit on can be read.
    fn readable_since(&self, visit: &Calibration) -> Result<(), &'static str> {
        let (since, until) = (
            visit.date.map(|d| d.value),
            self.calibration.date.map(|d| d.value),
        );
        let until = until.unwrap_or(Date::MIN);
        if self.timeline.unreadable_between(since, until).is_some() {
            return Err("a record that cannot be read may lie between this one and the last");
        }
        Ok(())
    }
}
