//! Every dated record of a machine, whatever its kind: what its date, hours and names are.

use super::super::visit::Shown;
use super::super::visit::instrument::Bench;
use crate::fleet::{Event, History};
use crate::history::Timeline;
use crate::quantity::Quantity;
use crate::source::{FileId, Place, Spanned};
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
    /// Its date.
    pub date: Spanned<Date>,
    /// The people it names.
    pub people: Vec<&'a Spanned<String>>,
    /// Its readings of the hour-meter, in order, each with the last of an earlier day.
    pub hours: Vec<HourReading>,
}

/// A reading of the hour-meter beside the last one before it.
#[derive(Debug, Clone)]
pub struct HourReading {
    /// The reading.
    pub now: Shown,
    /// The last reading before it, or why it is not known; none for the first.
    pub earlier: Option<Result<Shown, &'static str>>,
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
    hours: Vec<&'a Spanned<Quantity>>,
}

/// The records of a history, by day and path.
pub(super) fn of<'a>(
    bench: &mut Bench<'_>,
    history: &'a History,
    timeline: &Timeline<'_>,
    path: impl Fn(FileId) -> &'a str,
    stem: impl Fn(FileId) -> &'a str,
) -> Vec<DatedRecord<'a>> {
    let mut raw: Vec<Raw<'a>> = raw_records(history).collect();
    raw.sort_by_key(|record| (record.date.value, path(record.file)));
    let mut last: Option<(Date, Shown)> = None;
    let mut records = Vec::with_capacity(raw.len());
    for record in raw {
        bench.turn_to(record.file);
        let day = record.date.value;
        let mut hours = Vec::new();
        for reading in record.hours {
            let place = bench.place(reading.span);
            let now = Shown {
                quantity: reading.value,
                id: bench.declared(reading.value, place),
                place,
            };
            // Nobody knows the order of one day's records, only that of one record's own readings.
            let own = hours.last().map(|reading: &HourReading| Ok(reading.now));
            let before = last.filter(|(on, _)| *on < day).map(|(on, shown)| {
                match timeline.unreadable_between(Some(on), day) {
                    Some(_) => {
                        Err("a record that cannot be read may lie between this one and the last")
                    }
                    None => Ok(shown),
                }
            });
            hours.push(HourReading {
                now,
                earlier: own.or(before),
            });
        }
        for reading in &hours {
            let higher = last.is_none_or(|(on, shown)| {
                on < day || shown.quantity.si() < reading.now.quantity.si()
            });
            if higher {
                last = Some((day, reading.now));
            }
        }
        records.push(DatedRecord {
            file: record.file,
            file_stem: stem(record.file),
            event: record.event,
            date: record.date,
            people: record.people,
            hours,
        });
    }
    records
}

fn raw_records(history: &History) -> impl Iterator<Item = Raw<'_>> {
    let visits = history.calibrations.iter().filter_map(|visit| {
        Some(Raw {
            file: visit.file,
            event: Event::Visit,
            date: visit.date?,
            people: [&visit.by, &visit.checked_by]
                .into_iter()
                .flatten()
                .collect(),
            hours: visit.hours.iter().collect(),
        })
    });
    let services = history.services.iter().filter_map(|service| {
        Some(Raw {
            file: service.file,
            event: Event::Service,
            date: service.date?,
            people: service.by.iter().collect(),
            hours: service.hours.iter().collect(),
        })
    });
    let applications = history.applications.iter().filter_map(|application| {
        Some(Raw {
            file: application.file,
            event: Event::Application,
            date: application.date?,
            people: application.by.iter().collect(),
            hours: [&application.hours_from, &application.hours_to]
                .into_iter()
                .flatten()
                .collect(),
        })
    });
    visits.chain(services).chain(applications)
}
