//! One machine: its records read, its visits judged one by one, then how it stands.

use super::cause::{self, Told};
use super::outcomes::{self, Judged, Judging};
use super::reading::{Group, MachineFiles, Reader};
use super::tally::Tallies;
use super::{Part, gather};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::visit::Records;
use crate::figure::{ReadingsStratum, Standing, StateStratum, Subject, Visit};
use crate::fleet::{History, Layout, Unreadable};
use crate::history;
use crate::record::{self, Calibration, Machine};
use crate::rule::LimitsInForce;
use crate::schema::Kind;
use crate::source::Place;
use crate::words;
use jiff::civil::Date;

/// What all shards share.
pub(super) struct Context<'a> {
    pub(super) group: &'a Group,
    pub(super) limits: &'a LimitsInForce,
    pub(super) today: Date,
    pub(super) coverage_factor: f64,
}

/// What is done with a machine's visits and with how it stands.
pub(super) trait Viewer {
    /// Sees one visit, earliest first.
    fn visit(&mut self, day: Date, visit: &Visit<'_>, part: &mut Part);
    /// Sees how the machine stands, after all its visits.
    fn standing(&mut self, standing: &Standing<'_>, part: &mut Part);
}

/// Reads a machine's records and shows each visit, then how the machine stands.
pub(super) fn each_view(
    reader: &Reader<'_>,
    files: &MachineFiles,
    context: &Context<'_>,
    part: &mut Part,
    viewer: &mut impl Viewer,
) {
    let history = read(reader, files, part);
    for (index, calibration) in history.calibrations.iter().enumerate() {
        let Some(day) = calibration.date.map(|date| date.value) else {
            continue; // A record without a readable date has a finding, and no place in time.
        };
        let Some(machine) = history.machine_on(day) else {
            continue; // Without a sheet nothing can be computed; a finding tells of it.
        };
        let records = Records {
            calibration,
            file_stem: reader.tree.stem(calibration.file),
            earlier: &history.calibrations[..index],
            unreadable: &history.unreadable,
        };
        let subject = subject(&history, machine, context);
        let visit = Visit::new(subject, records, context.today, &mut part.findings);
        viewer.visit(day, &visit, part);
    }
    if let Some(machine) = history.machine_on(context.today) {
        let standing = Standing::new(
            subject(&history, machine, context),
            context.today,
            history::steps(&history, machine, context.today),
        );
        viewer.standing(&standing, part);
    }
}

pub(super) fn check(reader: &Reader<'_>, files: &MachineFiles, context: &Context<'_>) -> Part {
    let mut part = Part::default();
    let mut judge = Judge {
        context,
        tallies: Tallies::new(&context.group.rules),
        visits: Vec::new(),
        of_machine: Vec::new(),
    };
    each_view(reader, files, context, &mut part, &mut judge);
    judge.tell(&mut part);
    part
}

/// Runs the rules over what it sees; causes are sought when all is seen.
struct Judge<'c> {
    context: &'c Context<'c>,
    tallies: Tallies,
    visits: Vec<Judged>,
    of_machine: Vec<Told>,
}

impl Viewer for Judge<'_> {
    fn visit(&mut self, day: Date, visit: &Visit<'_>, _: &mut Part) {
        let judging = Judging {
            context: self.context,
            day,
            view: visit,
        };
        let mut judged = outcomes::of::<ReadingsStratum>(&judging, &mut self.tallies);
        let weak = std::mem::take(&mut judged.weak);
        judged.notes = gather::one_note_a_test(&judging, weak, &judged.told);
        judged.most = if is_enforced(self.context, day) {
            Severity::Error
        } else {
            Severity::Note
        };
        self.visits.push(judged);
    }

    fn standing(&mut self, standing: &Standing<'_>, part: &mut Part) {
        let judging = Judging {
            context: self.context,
            day: self.context.today,
            view: standing,
        };
        let judged = outcomes::of::<StateStratum>(&judging, &mut self.tallies);
        self.of_machine = cause::resolve(judged.told, &mut [], &mut part.counts);
    }
}

impl Judge<'_> {
    /// A visit's findings may follow from one another, or from what is wrong with the machine.
    fn tell(self, part: &mut Part) {
        self.tallies
            .add_to(&mut part.counts, &self.context.group.rules);
        let mut of_machine = self.of_machine;
        let mut findings = Vec::new();
        for visit in self.visits {
            let told = cause::resolve(visit.told, &mut of_machine, &mut part.counts);
            let told = told.into_iter().chain(visit.notes);
            findings.extend(told.map(|told| told.weighing_at_most(visit.most).into_finding()));
        }
        part.findings.extend(findings);
        part.findings
            .extend(of_machine.into_iter().map(Told::into_finding));
    }
}

fn subject<'a>(history: &'a History, machine: &'a Machine, context: &Context<'a>) -> Subject<'a> {
    Subject {
        fleet: context.group.fleet.as_ref(),
        machine,
        id: &history.id,
        index: history.index,
        layout: Layout::of(&machine.boom),
    }
}

/// Findings on records from before the day a group enforces its rules from are notes.
fn is_enforced(context: &Context<'_>, day: Date) -> bool {
    let from = context
        .group
        .fleet
        .as_ref()
        .and_then(|fleet| fleet.enforce_from);
    from.is_none_or(|from| from.value <= day)
}

fn read(reader: &Reader<'_>, files: &MachineFiles, part: &mut Part) -> History {
    let mut history = History {
        id: files.id.clone(),
        index: files.index,
        versions: Vec::new(),
        calibrations: Vec::new(),
        unreadable: Vec::new(),
    };
    for &file in &files.sheets {
        if let Some(sheet) = reader.record(file, Kind::Machine, record::lower_machine, part) {
            part.findings.extend(unlike_file_name(&sheet, files));
            history
                .versions
                .push((sheet.in_service.map(|date| date.value), sheet));
        }
    }
    for &file in &files.calibrations {
        let read = reader.record(file, Kind::Calibration, record::lower_calibration, part);
        let stray = read.as_ref().and_then(|visit| unlike_folder(visit, files));
        let is_stray = stray.is_some();
        part.findings.extend(stray);
        match read.filter(|visit| !is_stray && visit.date.is_some()) {
            Some(visit) => history.calibrations.push(visit),
            None => history.unreadable.push(Unreadable {
                file,
                day: words::dates::parse_date(day_of_name(reader.tree.stem(file))).ok(),
            }),
        }
    }
    if files.sheets.is_empty() {
        part.findings.extend(unknown_machine(&history, files));
    }
    history
        .calibrations
        .sort_by_key(|visit| (visit.date.map(|date| date.value), visit.file));
    history
}

/// A file's name begins with its date; a second visit that day adds `-2`.
fn day_of_name(stem: &str) -> &str {
    stem.get(..10).unwrap_or(stem)
}

fn unlike_file_name(sheet: &Machine, files: &MachineFiles) -> Option<Diagnostic> {
    let id = sheet.id.as_ref().filter(|id| id.value != files.id)?;
    let place = Place {
        file: sheet.file,
        span: id.span,
    };
    let message = format!(
        "the machine calls itself `{}`, its file `{}`",
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

/// A record that names another machine than its folder: nobody knows whose readings they are.
fn unlike_folder(visit: &Calibration, files: &MachineFiles) -> Option<Diagnostic> {
    let machine = visit.machine.as_ref()?;
    if machine.value == files.id {
        return None;
    }
    let place = Place {
        file: visit.file,
        span: machine.span,
    };
    let message = format!(
        "the record is of `{}` but stands in the folder of `{}`",
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

/// One finding for all records of a machine that has no sheet.
fn unknown_machine(history: &History, files: &MachineFiles) -> Option<Diagnostic> {
    let first = history.calibrations.first()?;
    let place = Place {
        file: first.file,
        span: first.machine.as_ref().map_or(first.span, |name| name.span),
    };
    let message = format!(
        "no machine is called `{}`, so nothing of its {} can be checked",
        files.id,
        words::phrases::plural(history.calibrations.len(), "record"),
    );
    Some(
        Diagnostic::new(
            "unknown-machine",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help(format!(
            "add machines/{}.yaml, or move the folder to the machine it is of",
            files.id,
        ))
        .of_machine(files.id.clone()),
    )
}
