//! The records of one machine, read and put in order; what does not fit its folder or its day is told.

use super::texts::Texts;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::fleet::{self, Event, History, HourMeters, Unreadable};
use crate::quantity::Quantity;
use crate::record::{Application, Calibration, Machine, Service};
use crate::source::{FileId, Place, Spanned};
use crate::tree::{MachineFiles, Reader, Record, Tree};
use crate::words;
use jiff::civil::Date;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The records of a machine; what is wrong with them goes to `texts`.
pub(super) fn read(
    reader: &Reader<'_>,
    files: &MachineFiles,
    today: Date,
    texts: &mut Texts,
) -> History {
    let mut machine_files: Vec<Arc<Machine>> = Vec::new();
    for &file in &files.machine_files {
        if let Some(machine_file) = texts.record::<Machine>(reader, file) {
            texts
                .findings
                .extend(unlike_file_name(&machine_file, files));
            machine_files.push(machine_file);
        }
    }
    let machine_file = machine_files.into_iter().next_back();
    let in_service = machine_file
        .as_ref()
        .and_then(|machine_file| machine_file.in_service);
    let mut reading = MachineReading {
        reader,
        files,
        texts,
        today,
        in_service: in_service.map(|day| day.value),
        unreadable: Vec::new(),
        misdated: BTreeMap::new(),
    };
    let mut calibrations: Vec<Arc<Calibration>> =
        reading.records(&files.calibrations, Event::Visit);
    let mut services: Vec<Arc<Service>> = reading.records(&files.services, Event::Service);
    let mut applications: Vec<Arc<Application>> =
        reading.records(&files.applications, Event::Application);
    let MachineReading {
        unreadable,
        misdated,
        ..
    } = reading;
    let hour_meters = HourMeters::of(&calibrations, &services, &applications, &unreadable, today);
    in_order_of_hours(&mut calibrations, &hour_meters);
    in_order_of_hours(&mut services, &hour_meters);
    in_order_of_hours(&mut applications, &hour_meters);
    let mut history = History {
        id: files.id.clone(),
        index: files.index,
        versions: Vec::new(),
        calibrations,
        services,
        applications,
        unreadable,
        hour_meters,
        misdated,
    };
    if files.machine_files.is_empty() {
        texts
            .findings
            .extend(unknown_machine(&history, reader.tree));
    }
    if let Some(machine_file) = machine_file {
        let (machine_file, problems) = (Machine::clone(&machine_file), &mut texts.findings);
        let History {
            services,
            hour_meters,
            ..
        } = &history;
        history.versions = fleet::versions(machine_file, services, hour_meters, problems);
    }
    history
}

/// The latest day that the name of each record's file or its date as written says.
pub(super) fn latest_days(
    history: &History,
    files: &MachineFiles,
    tree: &Tree,
) -> BTreeMap<FileId, Date> {
    let records = files
        .all()
        .filter(|file| !files.machine_files.contains(file));
    let days = records.filter_map(|file| {
        let named = words::dates::parse_date(day_of_name(tree.stem(file))).ok();
        let written = history.misdated.get(&file).copied();
        Some((file, named.max(written)?))
    });
    days.collect()
}

/// What a record of any kind begins with.
trait Heading: Record + Clone {
    fn file(&self) -> FileId;
    fn machine(&self) -> Option<&Spanned<String>>;
    fn date(&self) -> Option<Spanned<Date>>;
    fn date_mut(&mut self) -> &mut Option<Spanned<Date>>;
    /// The first reading of the hour meter.
    fn hours(&self) -> Option<&Spanned<Quantity>>;
}

macro_rules! heading {
    ($record:ty, $hours:ident) => {
        impl Heading for $record {
            fn file(&self) -> FileId {
                self.file
            }

            fn machine(&self) -> Option<&Spanned<String>> {
                self.machine.as_ref()
            }

            fn date(&self) -> Option<Spanned<Date>> {
                self.date
            }

            fn date_mut(&mut self) -> &mut Option<Spanned<Date>> {
                &mut self.date
            }

            fn hours(&self) -> Option<&Spanned<Quantity>> {
                self.$hours.as_ref()
            }
        }
    };
}

heading!(Calibration, hours);
heading!(Service, hours);
heading!(Application, hours_from);

/// Puts those of one day that tell hours in the order of these, in the places they hold among the others.
fn in_order_of_hours<R: Heading>(records: &mut [Arc<R>], meters: &HourMeters) {
    let day = |record: &R| record.date().map(|date| date.value);
    let seconds = |record: &R| {
        let believed = meters.believed(day(record)?, record.file(), record.hours());
        Some(believed?.seconds)
    };
    for of_a_day in records.chunk_by_mut(|one, next| day(one) == day(next)) {
        put_in_order(of_a_day, |record| seconds(record));
    }
}

fn put_in_order<T>(records: &mut [T], hours: impl Fn(&T) -> Option<f64>) {
    let places: Vec<usize> = (0..records.len())
        .filter(|&at| hours(&records[at]).is_some())
        .collect();
    let mut in_order = places.clone();
    in_order.sort_by(|&one, &other| {
        let order = hours(&records[one]).partial_cmp(&hours(&records[other]));
        order.unwrap_or(Ordering::Equal)
    });
    let mut belongs: BTreeMap<usize, usize> =
        in_order.into_iter().zip(places.iter().copied()).collect();
    for at in places {
        while let Some(to) = belongs.get(&at).copied().filter(|to| *to != at) {
            records.swap(at, to);
            let next = belongs.insert(to, to).unwrap_or(to);
            belongs.insert(at, next);
        }
    }
}

/// Reads the records of one machine.
struct MachineReading<'r, 't> {
    reader: &'r Reader<'t>,
    files: &'r MachineFiles,
    texts: &'r mut Texts,
    today: Date,
    /// The day the machine was put in service, where its machine file tells.
    in_service: Option<Date>,
    unreadable: Vec<Unreadable>,
    misdated: BTreeMap<FileId, Date>,
}

/// A record with its day and its file.
type Dated<R> = (Spanned<Date>, FileId, Arc<R>);

impl MachineReading<'_, '_> {
    /// The records of one kind, earliest first.
    fn records<R: Heading>(&mut self, files: &[FileId], event: Event) -> Vec<Arc<R>> {
        let mut records: Vec<Dated<R>> = Vec::with_capacity(files.len());
        for &file in files {
            let read = self.texts.record::<R>(self.reader, file);
            let stray = read
                .as_ref()
                .and_then(|record| unlike_folder(file, record.machine(), self.files));
            let is_stray = stray.is_some();
            self.texts.findings.extend(stray);
            let dated = read
                .filter(|_| !is_stray)
                .and_then(|record| self.dated(file, record));
            match dated {
                Some(record) => records.push(record),
                None => self.unreadable.push(Unreadable {
                    file,
                    day: self.day_of_name(file),
                    event,
                }),
            }
        }
        let tree = self.reader.tree;
        // The first of a day has no number behind its date.
        records
            .sort_by_key(|(date, file, _)| (date.value, tree.stem(*file).len(), tree.path(*file)));
        let records = self.as_many_as_a_day_has(records, event);
        records.into_iter().map(|(_, _, record)| record).collect()
    }

    /// A record with its date. One that cannot be its day, where the file's name has one that can, is a slip: the record
    /// is taken for one of that day, and what it tells of is neither lost nor out of order.
    fn dated<R: Heading>(&mut self, file: FileId, mut record: Arc<R>) -> Option<Dated<R>> {
        let mut date = record.date()?;
        let can_be = |day: &Date| {
            let has_come = *day <= self.today;
            // What lies before the machine was there may be of a wrong day in its file; what has not come may not.
            has_come && (self.today < date.value || self.in_service <= Some(*day))
        };
        if (self.today < date.value || Some(date.value) < self.in_service)
            && let Some(day) = self.day_of_name(file).filter(can_be)
        {
            self.misdated.insert(file, date.value);
            date.value = day;
            *Arc::make_mut(&mut record).date_mut() = Some(date);
        }
        Some((date, file, record))
    }

    fn day_of_name(&self, file: FileId) -> Option<Date> {
        words::dates::parse_date(day_of_name(self.reader.tree.stem(file))).ok()
    }
}

/// So many records of one kind a machine has on one day at most: far more than anybody can make. What came first of one day
/// is found record by record.
pub const MOST_A_DAY: usize = 100;

impl MachineReading<'_, '_> {
    /// Leaves out what is more than anybody can do in a day; one finding a day tells of it.
    fn as_many_as_a_day_has<R>(&mut self, records: Vec<Dated<R>>, event: Event) -> Vec<Dated<R>> {
        let mut kept: Vec<Dated<R>> = Vec::with_capacity(records.len());
        let (mut last, mut of_day) = (None, 0);
        for (date, file, record) in records {
            let Spanned { value: day, span } = date;
            of_day = if last == Some(day) { of_day + 1 } else { 1 };
            last = Some(day);
            if of_day <= MOST_A_DAY {
                kept.push((date, file, record));
                continue;
            }
            if of_day == MOST_A_DAY + 1 {
                let finding = self.too_many(day, event, Place { file, span });
                self.texts.findings.push(finding);
            }
            self.texts.unreadable.push(file);
            self.unreadable.push(Unreadable {
                file,
                day: Some(day),
                event,
            });
        }
        kept
    }

    fn too_many(&self, day: Date, event: Event, place: Place) -> Diagnostic {
        let noun = match event {
            Event::Visit => "calibrations",
            Event::Service => "service records",
            Event::Application => "applications",
        };
        let message = format!(
            "{} has more than {MOST_A_DAY} {noun} on {}; this one and those after it are not checked",
            self.files.id,
            words::dates::date(day),
        );
        let label = Label::new(place, "");
        Diagnostic::new("too-many-records", Severity::Error, message, label)
            .help("delete the copies, or correct their dates")
            .of_machine(self.files.id.clone())
    }
}

/// A file's name begins with its date; a second visit that day adds `-2`.
fn day_of_name(stem: &str) -> &str {
    stem.get(..10).unwrap_or(stem)
}

fn unlike_file_name(machine_file: &Machine, files: &MachineFiles) -> Option<Diagnostic> {
    let id = machine_file.id.as_ref().filter(|id| id.value != files.id)?;
    let place = Place {
        file: machine_file.file,
        span: id.span,
    };
    let message = format!(
        "the machine's id is `{}`, but its file is named `{}`",
        id.value, files.id,
    );
    Some(
        Diagnostic::new(
            "unlike-file-name",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help(format!("write id: {}, or rename the file", files.id))
        .of_machine(files.id.clone()),
    )
}

/// A record that names another machine than its folder: nobody knows whose it is.
fn unlike_folder(
    file: FileId,
    machine: Option<&Spanned<String>>,
    files: &MachineFiles,
) -> Option<Diagnostic> {
    let machine = machine.filter(|machine| machine.value != files.id)?;
    let place = Place {
        file,
        span: machine.span,
    };
    let message = format!(
        "the record names machine `{}`, but the file is in the folder of `{}`",
        machine.value, files.id,
    );
    Some(
        Diagnostic::new(
            "unlike-folder",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help("move the file to the folder of its machine, or correct the name")
        .of_machine(files.id.clone()),
    )
}

/// One finding for all records of a machine that has no machine file.
fn unknown_machine(history: &History, tree: &Tree) -> Option<Diagnostic> {
    let visits = history.calibrations.iter();
    let visits = visits.map(|visit| (visit.file, visit.machine.as_ref(), visit.span));
    let services = history.services.iter();
    let services = services.map(|service| (service.file, service.machine.as_ref(), service.span));
    let applications = history.applications.iter();
    let applications = applications.map(|a| (a.file, a.machine.as_ref(), a.span));
    let mut records: Vec<_> = visits.chain(services).chain(applications).collect();
    records.sort_by_key(|(file, _, _)| tree.path(*file));
    let &(file, machine, span) = records.first()?;
    let place = Place {
        file,
        span: machine.map_or(span, |name| name.span),
    };
    let message = format!(
        "no machine is called `{}`, so nothing of its {} can be checked",
        history.id,
        words::phrases::plural(records.len(), "record"),
    );
    let with_machine_file = tree
        .machines
        .iter()
        .filter(|one| !one.machine_files.is_empty());
    let mut others = with_machine_file.map(|machine| machine.id.as_str());
    let alike = others.find(|id| id.to_lowercase() == history.id.to_lowercase());
    let help = match alike {
        Some(alike) => format!("rename the folder to {alike}: upper and lower case differ"),
        None => format!(
            "add machines/{}.yaml, or move the folder to the machine it is of",
            history.id,
        ),
    };
    Some(
        Diagnostic::new(
            "unknown-machine",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help(help)
        .of_machine(history.id.clone()),
    )
}
