//! One machine: its records read, its visits judged one by one, then how it stands.

use super::cause::{self, Causes, Told};
use super::landed::{self, Landed};
use super::outcomes::{self, Judged, Judging};
use super::reading::{self, Group, MachineFiles, Reader, Tree};
use super::tally::Tallies;
use super::{COVERAGE_FACTOR, Part, Settings, failing, gather, waive, worn};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::visit::Records;
use crate::figure::{AnyView, Facts, Standing, Subject, Visit, calibrated_rate, catalogue};
use crate::fleet::{self, Event, History, Layout, Moment, Unreadable, no_such_setup};
use crate::history::{Failing, Timeline};
use crate::quantity::Quantity;
use crate::record::{self, Lowered, Machine};
use crate::rule::{Limit, LimitsInForce, Whose};
use crate::schema::Kind;
use crate::source::{FileId, Place, Spanned};
use crate::words;
use crate::yaml::Node;
use jiff::civil::Date;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// What all shards share.
pub(super) struct Context {
    pub(super) group: Group,
    pub(super) limits: LimitsInForce,
    pub(super) today: Date,
    pub(super) coverage_factor: f64,
    /// Landed records that are not what they were.
    pub(super) landed: Landed,
}

impl Context {
    /// What the group declares, read; what is wrong with it goes to `part`.
    pub(super) fn read(reader: &Reader<'_>, settings: &Settings, part: &mut Part) -> Self {
        let group = reading::group(reader, reader.tree, part);
        let fleet = group.fleet.as_ref();
        let factor = fleet.and_then(|fleet| fleet.coverage_factor);
        Self {
            limits: LimitsInForce::read(fleet, &group.rules, &mut part.findings),
            coverage_factor: factor.map_or(COVERAGE_FACTOR, |k| k.value.to_f64()),
            today: settings.today,
            landed: Landed::new(),
            group,
        }
    }

    /// The limit with a value that weighs most, of all rules that judge a figure.
    pub(super) fn heaviest_limit(
        &self,
        figure: &str,
        whose: Whose<'_>,
        day: Date,
    ) -> Option<&Limit> {
        let rules = self.group.rules.rules().iter().enumerate();
        let judging = rules.filter(|(_, rule)| catalogue::FIGURES[rule.figure].id == figure);
        let in_force = judging.flat_map(|rule| self.limits.limits(rule, whose, day));
        let with_a_value = in_force.filter(|(_, limit)| limit.bound.quantity().is_some());
        let heaviest = with_a_value.min_by_key(|(grade, _)| *grade);
        heaviest.map(|(_, limit)| limit)
    }
}

/// What is done with a machine's visits and with how it stands.
pub(super) trait Viewer {
    /// Sees one visit, earliest first, with what else is wrong with its record; gives what it leaves
    /// failing.
    fn visit(
        &mut self,
        visit: &Visit<'_>,
        problems: &[Diagnostic],
        part: &mut Part,
    ) -> Vec<Failing>;
    /// Sees how the machine stands, after all its visits.
    fn standing(&mut self, standing: &Standing<'_>, timeline: &Timeline<'_>, part: &mut Part);
}

/// Reads a machine's records and shows each visit, then how the machine stands.
pub(super) fn each_view(
    reader: &Reader<'_>,
    files: &MachineFiles,
    context: &Context,
    part: &mut Part,
    viewer: &mut impl Viewer,
) {
    let earlier = part.findings.len();
    let history = read(reader, files, part);
    let mut problems_of: BTreeMap<FileId, Vec<Diagnostic>> = BTreeMap::new();
    for finding in &part.findings[earlier..] {
        let file = finding.primary().place.file;
        problems_of.entry(file).or_default().push(finding.clone());
    }
    let timeline = Timeline::new(&history);
    let visits = Visits {
        history: &history,
        timeline: &timeline,
        context,
    };
    let mut failing = Vec::new();
    let mut rates = Vec::new();
    let mut means = Vec::new();
    for (index, calibration) in history.calibrations.iter().enumerate() {
        let mut problems = problems_of.remove(&calibration.file).unwrap_or_default();
        let before = part.findings.len();
        let Some(visit) = visits.visit(index, &mut part.findings) else {
            continue; // Without a date or a sheet nothing can be computed; a finding tells of it.
        };
        problems.extend_from_slice(&part.findings[before..]);
        failing.extend(viewer.visit(&visit, &problems, part));
        if !history.applications.is_empty() {
            rates.extend(calibrated_rate(&visit));
        }
        means.extend(worn::caught_mean(index, &visit));
    }
    if let Some(machine) = history.machine_on(context.today) {
        let uncertainty = |index: usize| {
            let visit = visits.visit(index, &mut Vec::new());
            visit.map_or(0.0, |visit| worn::uncertainty(&visit))
        };
        let failing = timeline.failing(failing);
        let worn = worn::sets(&history, &timeline, context, &means, uncertainty);
        let facts = Facts {
            history: &history,
            timeline: &timeline,
            failing: &failing,
            rates: &rates,
            worn: &worn,
            landed: context.landed.get(&history.id).map_or(&[], Vec::as_slice),
            stem: &|file| reader.tree.stem(file),
        };
        let subject = subject(&history, machine, context);
        let standing = Standing::new(subject, context.today, &facts);
        viewer.standing(&standing, &timeline, part);
    }
}

/// The visits of a machine, each made ready when it is asked for.
struct Visits<'v> {
    history: &'v History,
    timeline: &'v Timeline<'v>,
    context: &'v Context,
}

impl<'v> Visits<'v> {
    /// The visit at a place of the history; what it does not fit is told in `problems`.
    fn visit(&self, index: usize, problems: &mut Vec<Diagnostic>) -> Option<Visit<'v>> {
        let calibration = self.history.calibrations.get(index)?;
        let date = calibration.date?.value;
        let moment = Moment::new(date, calibration.hours.as_ref(), Event::Visit);
        let machine = self.history.machine_at(&moment)?;
        let records = Records {
            calibration,
            earlier: &self.history.calibrations[..index],
            timeline: self.timeline,
        };
        let subject = subject(self.history, machine, self.context);
        Some(Visit::new(subject, records, self.context.today, problems))
    }
}

pub(super) fn check(reader: &Reader<'_>, files: &MachineFiles, context: &Context) -> Part {
    let mut part = Part::default();
    let mut judge = Judge::new(context, reader.tree);
    each_view(reader, files, context, &mut part, &mut judge);
    if !judge.has_stood {
        let changes = context.landed.get(&files.id);
        let told = changes.and_then(|changes| landed::without_sheet(&files.id, changes));
        part.findings.extend(told);
    }
    judge.tell(&mut part);
    part
}

/// Runs the rules over what it sees; causes are sought when all is seen.
pub(super) struct Judge<'c> {
    context: &'c Context,
    tree: &'c Tree,
    tallies: Tallies,
    visits: Vec<Judged>,
    of_machine: Vec<Told>,
    /// Whether it saw how the machine stands.
    has_stood: bool,
}

impl<'c> Judge<'c> {
    pub(super) fn new(context: &'c Context, tree: &'c Tree) -> Self {
        Self {
            context,
            tree,
            tallies: Tallies::new(&context.group.rules),
            visits: Vec::new(),
            of_machine: Vec::new(),
            has_stood: false,
        }
    }
}

impl Viewer for Judge<'_> {
    fn visit(&mut self, visit: &Visit<'_>, problems: &[Diagnostic], _: &mut Part) -> Vec<Failing> {
        let judging = Judging {
            context: self.context,
            of: AnyView::Readings(visit),
        };
        let mut judged = outcomes::of(&judging, &mut self.tallies);
        let weak = std::mem::take(&mut judged.weak);
        judged.notes = gather::one_note_a_test(&judging, weak, &judged.told);
        let let_pass =
            |finding: &Diagnostic| waive::periods(&self.context.group, finding, self.tree);
        let failing = failing::of(visit, &judged.told, problems, &let_pass);
        self.visits.push(judged);
        failing
    }

    fn standing(&mut self, standing: &Standing<'_>, _: &Timeline<'_>, part: &mut Part) {
        let judging = Judging {
            context: self.context,
            of: AnyView::State(standing),
        };
        let judged = outcomes::of(&judging, &mut self.tallies);
        let weak = gather::one_note_a_test(&judging, judged.weak, &judged.told);
        part.findings.extend(unknown_setups(standing));
        self.has_stood = true;
        self.of_machine =
            cause::resolve(judged.told, &mut [], &Causes::default(), &mut part.counts);
        self.of_machine.extend(weak);
    }
}

/// Applications with a setup the machine does not have.
fn unknown_setups(standing: &Standing<'_>) -> Vec<Diagnostic> {
    let unknown = standing
        .sprayings
        .iter()
        .filter(|spraying| spraying.setup.is_none() && !spraying.machine.setups.is_empty());
    unknown
        .filter_map(|spraying| {
            let application = spraying.application;
            let named = application.setup.as_ref();
            let at = named.or(application.machine.as_ref())?.span;
            Some(no_such_setup(spraying.machine, application.file, at, named))
        })
        .collect()
}

impl Judge<'_> {
    /// A visit's findings may follow from one another, or from what is wrong with the machine.
    pub(super) fn tell(self, part: &mut Part) {
        self.tallies
            .add_to(&mut part.counts, &self.context.group.rules);
        let mut of_machine = self.of_machine;
        let causes = Causes::of(&of_machine);
        let mut findings = Vec::new();
        for visit in self.visits {
            let told = cause::resolve(visit.told, &mut of_machine, &causes, &mut part.counts);
            let told = told.into_iter().chain(visit.notes);
            findings.extend(told.map(Told::into_finding));
        }
        part.findings.extend(findings);
        part.findings
            .extend(of_machine.into_iter().map(Told::into_finding));
    }
}

fn subject<'a>(history: &'a History, machine: &'a Machine, context: &'a Context) -> Subject<'a> {
    Subject {
        fleet: context.group.fleet.as_ref(),
        machine,
        id: &history.id,
        index: history.index,
        layout: Layout::of(&machine.boom),
    }
}

fn read(reader: &Reader<'_>, files: &MachineFiles, part: &mut Part) -> History {
    let mut history = History {
        id: files.id.clone(),
        index: files.index,
        versions: Vec::new(),
        calibrations: Vec::new(),
        services: Vec::new(),
        applications: Vec::new(),
        unreadable: Vec::new(),
    };
    let mut sheets = Vec::new();
    for &file in &files.sheets {
        if let Some(sheet) = reader.record(file, Kind::Machine, record::lower_machine, part) {
            part.findings.extend(unlike_file_name(&sheet, files));
            sheets.push(sheet);
        }
    }
    let mut reading = MachineReading {
        reader,
        files,
        part,
        unreadable: &mut history.unreadable,
    };
    history.calibrations = reading.records(
        &files.calibrations,
        (Kind::Calibration, Event::Visit),
        record::lower_calibration,
        |visit| (visit.machine.as_ref(), visit.date, visit.hours.as_ref()),
    );
    history.services = reading.records(
        &files.services,
        (Kind::Service, Event::Service),
        record::lower_service,
        |service| {
            let hours = service.hours.as_ref();
            (service.machine.as_ref(), service.date, hours)
        },
    );
    history.applications = reading.records(
        &files.applications,
        (Kind::Application, Event::Application),
        record::lower_application,
        |application| {
            let hours = application.hours_from.as_ref();
            (application.machine.as_ref(), application.date, hours)
        },
    );
    if files.sheets.is_empty() {
        part.findings.extend(unknown_machine(&history, reader.tree));
    }
    if let Some(sheet) = sheets.into_iter().next_back() {
        history.versions = fleet::versions(sheet, &history.services, &mut part.findings);
    }
    history
}

/// Whose a record is, of which day, and what the hour-meter read.
type Heading<'a> = (
    Option<&'a Spanned<String>>,
    Option<Spanned<Date>>,
    Option<&'a Spanned<Quantity>>,
);

/// Puts those that tell hours in the order of these, in the places they hold among the others.
fn in_order_of_hours<T>(records: &mut [T], hours: impl Fn(&T) -> Option<f64>) {
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
    part: &'r mut Part,
    unreadable: &'r mut Vec<Unreadable>,
}

impl MachineReading<'_, '_> {
    /// The records of one kind, earliest first.
    fn records<T>(
        &mut self,
        files: &[FileId],
        (kind, event): (Kind, Event),
        lower: fn(FileId, Node<'_>) -> Lowered<T>,
        heading: fn(&T) -> Heading<'_>,
    ) -> Vec<T> {
        let mut records: Vec<(Spanned<Date>, FileId, T)> = Vec::with_capacity(files.len());
        for &file in files {
            let read = self.reader.record(file, kind, lower, self.part);
            let stray = read
                .as_ref()
                .and_then(|record| unlike_folder(file, heading(record).0, self.files));
            let is_stray = stray.is_some();
            self.part.findings.extend(stray);
            let dated = read
                .filter(|_| !is_stray)
                .and_then(|record| Some((heading(&record).1?, file, record)));
            match dated {
                Some(record) => records.push(record),
                None => self.unreadable.push(Unreadable {
                    file,
                    day: words::dates::parse_date(day_of_name(self.reader.tree.stem(file))).ok(),
                    event,
                }),
            }
        }
        // The first of a day has no number behind its date.
        let tree = self.reader.tree;
        let nth = |file: FileId| (tree.stem(file).len(), file);
        records.sort_by_key(|(date, file, _)| (date.value, nth(*file)));
        let records = self.as_many_as_a_day_has(records, event);
        let mut records: Vec<T> = records.into_iter().map(|(_, _, record)| record).collect();
        for of_a_day in records.chunk_by_mut(|one, next| {
            heading(one).1.map(|date| date.value) == heading(next).1.map(|date| date.value)
        }) {
            in_order_of_hours(of_a_day, |record| {
                heading(record).2.map(|hours| hours.value.si())
            });
        }
        records
    }
}

/// So many records of one kind a machine has on one day at most: far more than anybody can make. What came first of one day
/// is found record by record.
const MOST_A_DAY: usize = 100;

impl MachineReading<'_, '_> {
    /// Leaves out what is more than anybody can do in a day; one finding a day tells of it.
    fn as_many_as_a_day_has<T>(
        &mut self,
        records: Vec<(Spanned<Date>, FileId, T)>,
        event: Event,
    ) -> Vec<(Spanned<Date>, FileId, T)> {
        let mut kept: Vec<(Spanned<Date>, FileId, T)> = Vec::with_capacity(records.len());
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
                self.part.findings.push(finding);
            }
            self.part.counts.unreadable += 1;
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

fn unlike_file_name(sheet: &Machine, files: &MachineFiles) -> Option<Diagnostic> {
    let id = sheet.id.as_ref().filter(|id| id.value != files.id)?;
    let place = Place {
        file: sheet.file,
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
fn unknown_machine(history: &History, tree: &Tree) -> Option<Diagnostic> {
    let visits = history.calibrations.iter();
    let visits = visits.map(|visit| (visit.file, visit.machine.as_ref(), visit.span));
    let services = history.services.iter();
    let services = services.map(|service| (service.file, service.machine.as_ref(), service.span));
    let applications = history.applications.iter();
    let applications = applications.map(|a| (a.file, a.machine.as_ref(), a.span));
    let mut records: Vec<_> = visits.chain(services).chain(applications).collect();
    records.sort_by_key(|(file, _, _)| *file);
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
    let with_sheet = tree.machines.iter().filter(|one| !one.sheets.is_empty());
    let mut others = with_sheet.map(|machine| machine.id.as_str());
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
