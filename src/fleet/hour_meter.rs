//! The readings of a machine's hour meters: counted on where a meter was changed, and which of them can be true.
//!
//! A reading that lies below an earlier one, or further above it than there were hours, is left out of what hours are
//! counted from: one wrong number makes no step overdue, and accuses no other reading. Where the next reading goes on from
//! it, it was right after all.

use super::{Event, Moment, Unreadable};
use crate::quantity::{Exact, Quantity};
use crate::record::service::WorkDone;
use crate::record::{Application, Calibration, Service};
use crate::source::{FileId, Place, Placed, Spanned};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Seconds in a day; no meter counts more.
const SECONDS_A_DAY: f64 = 86_400.0;

const MAY_LIE_BETWEEN: &str = "a record that cannot be read may lie between this one and the last";

/// A reading of an hour meter on record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourMeter {
    /// The day.
    pub day: Date,
    /// As written.
    pub quantity: Quantity,
    /// Where it stands.
    pub place: Place,
    /// Which of the machine's meters, from 0.
    pub meter: usize,
    /// The seconds counted on from the first meter.
    pub seconds: f64,
}

impl HourMeter {
    /// Whether a machine that had this reading can have the other one later.
    fn goes_on_to(&self, later: &Self) -> bool {
        let days = later.day.since(self.day).map_or(0, |span| span.get_days());
        let most = f64::from(days + 1) * SECONDS_A_DAY;
        self.seconds <= later.seconds && later.seconds - self.seconds <= most
    }
}

/// A change of the hour meter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeterChange {
    day: Date,
    /// What the old one read last.
    pub before: Placed<Quantity>,
    /// What the new one read first.
    pub after: Placed<Quantity>,
}

/// A reading that does not go on from the one before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BrokenMeter {
    /// Its day.
    pub day: Date,
    /// Whether it is lower, not further above than there were hours.
    pub went_back: bool,
}

/// The reading before one and that one, or why it is not known.
pub type Earlier = Result<(HourMeter, HourMeter), &'static str>;

/// The readings of a machine's hour meters.
#[derive(Debug, Default)]
pub struct HourMeters {
    /// By day.
    changes: Vec<MeterChange>,
    /// Those that can be true, by day and reading.
    readings: Vec<HourMeter>,
    /// What each reading is held against.
    earlier: BTreeMap<Place, Earlier>,
    /// Those that cannot be true.
    doubted: BTreeSet<Place>,
}

impl HourMeters {
    /// The readings in the records of a machine; one of a day that has not come is held against none.
    pub fn of(
        calibrations: &[Arc<Calibration>],
        services: &[Arc<Service>],
        applications: &[Arc<Application>],
        unreadable: &[Unreadable],
        today: Date,
    ) -> Self {
        let mut meters = Self {
            changes: changes(services),
            ..Self::default()
        };
        let visits = calibrations
            .iter()
            .filter_map(|visit| Some(meters.read(visit.date?.value, visit.file, [&visit.hours])));
        let services = services.iter().filter_map(|service| {
            let day = service.date?.value;
            let mut readings = meters.read(day, service.file, [&service.hours]);
            readings.extend(meters.read_at_change(day, service.file));
            readings.sort_by(|one, other| one.seconds.total_cmp(&other.seconds));
            Some(readings)
        });
        let applications = applications.iter().filter_map(|application| {
            let hours = [&application.hours_from, &application.hours_to];
            Some(meters.read(application.date?.value, application.file, hours))
        });
        let all = visits.chain(services).chain(applications);
        let has_come = |read: &Vec<HourMeter>| {
            let first = read.first();
            first.is_some_and(|first| first.day <= today)
        };
        let mut records: Vec<Vec<HourMeter>> = all.filter(has_come).collect();
        records.sort_by_key(|readings| readings[0].day);
        let mut chain = Chain::new(unreadable);
        for of_a_day in records.chunk_by(|one, next| one[0].day == next[0].day) {
            chain.day(of_a_day);
        }
        let Chain {
            earlier, doubted, ..
        } = chain;
        let believed = |reading: &HourMeter| !doubted.contains(&reading.place);
        meters.readings = records.into_iter().flatten().filter(believed).collect();
        meters.readings.sort_by(|one, other| {
            let by_day = one.day.cmp(&other.day);
            by_day.then(one.seconds.total_cmp(&other.seconds))
        });
        meters.earlier = earlier;
        meters.doubted = doubted;
        meters
    }

    /// Those that can be true, by day and reading.
    pub fn readings(&self) -> &[HourMeter] {
        &self.readings
    }

    /// The last reading before the one at a place, of another day or of the same record, and that one; none for the first.
    pub fn held_against(&self, place: Place) -> Option<Earlier> {
        self.earlier.get(&place).copied()
    }

    /// The first reading of some days that does not go on from the one before it, and which way.
    pub fn first_broken(&self, from: Date, to: Date) -> Option<BrokenMeter> {
        let held = self.earlier.values().filter_map(|held| held.ok());
        let broken = held.filter(|(earlier, reading)| {
            from <= reading.day && reading.day <= to && !earlier.goes_on_to(reading)
        });
        let (earlier, reading) = broken.min_by_key(|(_, reading)| reading.day)?;
        Some(BrokenMeter {
            day: reading.day,
            went_back: reading.seconds < earlier.seconds,
        })
    }

    /// The changes of the meter between two readings.
    pub fn changes_between(&self, one: &HourMeter, later: &HourMeter) -> &[MeterChange] {
        self.changes.get(one.meter..later.meter).unwrap_or(&[])
    }

    /// Exactly the seconds of use by a reading, counted on from the first meter.
    pub fn exact(&self, reading: &HourMeter) -> Exact {
        let changes = self.changes.iter().take(reading.meter);
        let counted =
            changes.map(|change| change.before.value.exact() - change.after.value.exact());
        counted.fold(reading.quantity.exact(), |sum, counted| sum + counted)
    }

    /// A reading of a record; none where it cannot be true.
    pub fn believed(
        &self,
        day: Date,
        file: FileId,
        hours: Option<&Spanned<Quantity>>,
    ) -> Option<HourMeter> {
        let reading = self.reading(day, file, hours?);
        (!self.doubted.contains(&reading.place)).then_some(reading)
    }

    /// The moment of a record.
    pub fn moment(
        &self,
        day: Date,
        file: FileId,
        hours: Option<&Spanned<Quantity>>,
        event: Event,
    ) -> Moment {
        let believed = self.believed(day, file, hours);
        Moment {
            day,
            hours: believed.map(|reading| reading.seconds),
            event,
        }
    }

    fn read<const N: usize>(
        &self,
        day: Date,
        file: FileId,
        hours: [&Option<Spanned<Quantity>>; N],
    ) -> Vec<HourMeter> {
        let written = hours.into_iter().flatten();
        written
            .map(|hours| self.reading(day, file, hours))
            .collect()
    }

    fn reading(&self, day: Date, file: FileId, hours: &Spanned<Quantity>) -> HourMeter {
        let Placed { value, place } = hours.in_file(file);
        self.of_meter(self.meter_on(day, value.si()), day, value, place)
    }

    fn of_meter(&self, meter: usize, day: Date, quantity: Quantity, place: Place) -> HourMeter {
        let changes = self.changes.iter().take(meter);
        let counted = changes.map(|change| change.before.value.si() - change.after.value.si());
        HourMeter {
            day,
            quantity,
            place,
            meter,
            seconds: quantity.si() + counted.fold(0.0, |sum, counted| sum + counted),
        }
    }

    /// What the old and the new meter read where a record tells of a change.
    fn read_at_change(&self, day: Date, file: FileId) -> Vec<HourMeter> {
        let numbered = self.changes.iter().enumerate();
        let own = numbered.filter(|(_, change)| change.before.place.file == file);
        let both = own.flat_map(|(meter, change)| {
            let MeterChange { before, after, .. } = change;
            [(meter, before), (meter + 1, after)]
        });
        both.map(|(meter, read)| self.of_meter(meter, day, read.value, read.place))
            .collect()
    }

    /// The meter that was read on a day; on the day of a change it is the one whose reading then is nearer.
    fn meter_on(&self, day: Date, seconds: f64) -> usize {
        let before = self.changes.partition_point(|change| change.day < day);
        let on_the_day = self.changes[before..].iter();
        let passed = on_the_day.take_while(|change| {
            let off = |read: &Placed<Quantity>| (read.value.si() - seconds).abs();
            change.day == day && off(&change.after) < off(&change.before)
        });
        before + passed.count()
    }
}

/// The changes of the hour meter, by day.
fn changes(services: &[Arc<Service>]) -> Vec<MeterChange> {
    let dated = services
        .iter()
        .filter_map(|service| Some((service.date?.value, service)));
    let all = dated.flat_map(|(day, service)| {
        let work = service.work.iter();
        work.filter_map(move |work| {
            let WorkDone::HourMeter { before, after } = work.done else {
                return None;
            };
            Some(MeterChange {
                day,
                before: before?,
                after: after?,
            })
        })
    });
    let mut changes: Vec<MeterChange> = all.collect();
    changes.sort_by_key(|change| change.day);
    changes
}

/// The readings gone through by day.
#[derive(Default)]
struct Chain {
    /// The last reading that can be true.
    believed: Option<HourMeter>,
    /// The last one since that cannot.
    doubted_last: Option<HourMeter>,
    earlier: BTreeMap<Place, Earlier>,
    doubted: BTreeSet<Place>,
    /// The days of records that cannot be read, in order.
    unread: Vec<Date>,
    has_undated: bool,
}

impl Chain {
    fn new(unreadable: &[Unreadable]) -> Self {
        let mut unread: Vec<Date> = unreadable.iter().filter_map(|record| record.day).collect();
        unread.sort_unstable();
        Self {
            has_undated: unread.len() < unreadable.len(),
            unread,
            ..Self::default()
        }
    }

    /// The readings of one day, record by record; nobody knows the order of the records.
    fn day(&mut self, records: &[Vec<HourMeter>]) {
        let mut highest: Option<HourMeter> = None;
        let mut doubted = self.doubted_last;
        for readings in records {
            let mut own: Option<HourMeter> = None;
            for reading in readings {
                if self.is_believed(reading, own.as_ref()) {
                    let is_higher = |high: &HourMeter| high.seconds < reading.seconds;
                    if highest.as_ref().is_none_or(is_higher) {
                        highest = Some(*reading);
                    }
                } else {
                    self.doubted.insert(reading.place);
                    doubted = Some(*reading);
                }
                own = Some(*reading);
            }
        }
        (self.believed, self.doubted_last) = match highest {
            Some(highest) => (Some(highest), None),
            None => (self.believed, doubted),
        };
    }

    /// Holds a reading against the one before it, and says whether it can be true.
    fn is_believed(&mut self, reading: &HourMeter, own: Option<&HourMeter>) -> bool {
        let is_believed = |own: &HourMeter| !self.doubted.contains(&own.place);
        if let Some(own) = own {
            let goes_on = own.goes_on_to(reading);
            if goes_on || is_believed(own) {
                self.earlier.insert(reading.place, Ok((*own, *reading)));
                return goes_on && is_believed(own);
            }
        }
        let Some(believed) = self.believed else {
            return true;
        };
        if self.may_lie_between(believed.day, reading.day) {
            self.earlier.insert(reading.place, Err(MAY_LIE_BETWEEN));
            return true;
        }
        if believed.goes_on_to(reading) {
            self.earlier.insert(reading.place, Ok((believed, *reading)));
            return true;
        }
        let doubted = self.doubted_last.filter(|last| last.goes_on_to(reading));
        if let Some(last) = doubted {
            self.doubted.remove(&last.place);
        }
        let earlier = doubted.unwrap_or(believed);
        self.earlier.insert(reading.place, Ok((earlier, *reading)));
        doubted.is_some()
    }

    fn may_lie_between(&self, from: Date, to: Date) -> bool {
        let at = self.unread.partition_point(|day| *day < from);
        self.has_undated || self.unread.get(at).is_some_and(|day| *day <= to)
    }
}
