//! Every dated record of a machine, whatever its kind: what its date, hours and names are.

use super::super::visit::Shown;
use super::super::visit::instrument::Bench;
use super::hours::HoursUsed;
use crate::fleet::{Event, History, HourMeters};
use crate::quantity::Quantity;
use crate::record::NamedFor;
use crate::record::service::WorkDone;
use crate::source::{FileId, Place, Placed, Spanned};
use jiff::civil::Date;

/// A dated record of a machine.
#[derive(Debug)]
pub struct DatedRecord<'a> {
    /// Its file.
    pub file: FileId,
    /// Its file's name without the ending.
    pub file_stem: &'a str,
    /// What it tells of.
    pub event: Event,
    /// Its date, as written.
    pub date: Spanned<Date>,
    /// The day it is believed to be of.
    pub day: Date,
    /// The people it names.
    pub people: Vec<&'a Spanned<String>>,
    /// The instruments it names, in order.
    pub instruments: Vec<NamedFor<'a>>,
    /// Its readings of the hour meter, in order, each with the last of an earlier day.
    pub hours: Vec<HourReading>,
}

/// A reading of the hour meter beside the last one before it.
#[derive(Debug, Clone)]
pub struct HourReading {
    /// The reading.
    pub now: Shown,
    /// The last reading before it, or why it is not known; none for the first.
    pub earlier: Option<Result<EarlierReading, &'static str>>,
}

/// The reading before another one.
#[derive(Debug, Clone)]
pub struct EarlierReading {
    /// Its day.
    pub day: Date,
    /// The use between the two.
    pub used: HoursUsed,
}

impl DatedRecord<'_> {
    /// Where it is named in findings: at its date.
    pub fn dated(&self) -> Place {
        self.place(self.date.span)
    }

    /// A place in the record.
    pub fn place(&self, span: crate::source::Span) -> Place {
        Place {
            file: self.file,
            span,
        }
    }
}

/// What a record has of the kind asked for here.
struct Raw<'a> {
    file: FileId,
    event: Event,
    date: Spanned<Date>,
    people: Vec<&'a Spanned<String>>,
    instruments: Vec<NamedFor<'a>>,
    hours: Vec<Placed<Quantity>>,
}

/// The records of a history, by day and path.
pub(super) fn of<'a>(
    bench: &mut Bench<'_>,
    history: &'a History,
    path: impl Fn(FileId) -> &'a str,
    stem: impl Fn(FileId) -> &'a str,
) -> Vec<DatedRecord<'a>> {
    let mut raw: Vec<Raw<'a>> = raw_records(history).collect();
    raw.sort_by_key(|record| (record.date.value, path(record.file)));
    let dated = raw.into_iter().map(|record| {
        bench.turn_to(record.file);
        let hours = record.hours.iter();
        let Spanned { value: day, span } = record.date;
        DatedRecord {
            file: record.file,
            file_stem: stem(record.file),
            event: record.event,
            date: Spanned {
                value: *history.misdated.get(&record.file).unwrap_or(&day),
                span,
            },
            day,
            people: record.people,
            instruments: record.instruments,
            hours: hours
                .map(|read| hour_reading(bench, &history.hour_meters, read))
                .collect(),
        }
    });
    dated.collect()
}

fn hour_reading(
    bench: &mut Bench<'_>,
    meters: &HourMeters,
    read: &Placed<Quantity>,
) -> HourReading {
    let now = Shown {
        quantity: read.value,
        id: bench.declared(read.value, read.place),
        place: read.place,
    };
    let earlier = meters.held_against(read.place);
    HourReading {
        now,
        earlier: earlier.map(|earlier| {
            let (earlier, reading) = earlier?;
            Ok(EarlierReading {
                day: earlier.day,
                used: HoursUsed::between(bench, meters, &earlier, &reading),
            })
        }),
    }
}

fn raw_records(history: &History) -> impl Iterator<Item = Raw<'_>> {
    let visits = history.calibrations.iter().filter_map(|visit| {
        let hours = visit.hours.iter();
        Some(Raw {
            file: visit.file,
            event: Event::Visit,
            date: visit.date?,
            people: {
                let signed = [&visit.by, &visit.checked_by].into_iter().flatten();
                let confirmed = visit.confirmed.iter().map(|entry| &entry.by);
                signed.chain(confirmed).collect()
            },
            instruments: visit.instruments().collect(),
            hours: hours.map(|read| read.in_file(visit.file)).collect(),
        })
    });
    let services = history.services.iter().filter_map(|service| {
        let hours = service.hours.iter().map(|read| read.in_file(service.file));
        let changed = service.work.iter().flat_map(|work| {
            if let WorkDone::HourMeter { before, after } = work.done {
                [before, after]
            } else {
                [None, None]
            }
        });
        Some(Raw {
            file: service.file,
            event: Event::Service,
            date: service.date?,
            people: service.by.iter().collect(),
            instruments: Vec::new(),
            hours: hours.chain(changed.flatten()).collect(),
        })
    });
    let applications = history.applications.iter().filter_map(|application| {
        let hours = [&application.hours_from, &application.hours_to];
        let hours = hours.into_iter().flatten();
        Some(Raw {
            file: application.file,
            event: Event::Application,
            date: application.date?,
            people: application.by.iter().collect(),
            instruments: application.instruments().collect(),
            hours: hours.map(|read| read.in_file(application.file)).collect(),
        })
    });
    visits.chain(services).chain(applications)
}
