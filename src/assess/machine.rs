//! One machine on one day: its records read, its visits judged one by one, then how it stands.

use super::cause::{self, Causes};
use super::context::Context;
use super::explain::{self, Compared, Explaining, LastCatch, OfMachine};
use super::figures::{self, FigureValue};
use super::judge::{self, AgeLimit, Judging, Outcomes};
use super::steps::{self, Deciding, StepStanding, Unsure};
use super::tally::Tallies;
use super::texts::Texts;
use super::{confirmed, declared, failing, history, instruments, merged, waive, weak, worn};
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::about::TESTS_NOT_COUNTED;
use crate::figure::visit::Records;
use crate::figure::{AnyView, Facts, RatePart, RatesFound, Standing, Subject, Visit, add_visit};
use crate::finding::{Explained, Finding, Judged, NotComputed, Waived, WeakTest};
use crate::fleet::{Event, History, Layout, UNKNOWN_SECTION, no_such_setup};
use crate::history::{Failing, LeftOpen, Timeline, Undecided};
use crate::record::{Calibration, Machine};
use crate::source::{FileId, Place};
use crate::tree::{MachineFiles, Reader};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::mem;

/// What is asked for beside what is always decided.
#[derive(Clone, Copy, Default)]
pub struct Asked<'a> {
    /// Every figure whose name is wanted.
    pub figures: Option<&'a (dyn Fn(&str) -> bool + Sync)>,
    /// Every figure that a rule asked for and that cannot be computed.
    pub not_computed: bool,
    /// Findings rule by rule, none held back by a cause.
    pub rule_by_rule: bool,
    /// Every cause of each visit beside the others.
    pub compares_causes: bool,
}

/// Everything that is true of a machine on a day.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct Assessment {
    /// The machine.
    pub machine: String,
    /// The full name of its course, where it has one.
    pub course: Option<String>,
    /// How many setups it has.
    pub setups: usize,
    /// What stands.
    pub findings: Vec<Finding>,
    /// What would, but for a waiver.
    pub waived: Vec<Waived>,
    /// The waivers there is something to let pass for.
    pub waivers_used: BTreeSet<usize>,
    /// What rules asked for and could not be computed, where that is listed.
    pub not_computed: Vec<NotComputed>,
    /// How often each rule came to the verdicts that are only counted.
    pub tallies: Tallies,
    /// What came of reading its files.
    pub texts: Texts,
    /// How each step stands, of a machine in use.
    pub steps: Vec<StepStanding>,
    /// The steps that its file does not say it has.
    pub unsure: Unsure,
    /// Where its own file has errors, or that there is none; nothing of a machine out of service.
    pub broken: Option<BrokenMachineFile>,
    /// The lay-up that the day is in: its first and its last day.
    pub laid_up: Option<(Date, Date)>,
    /// What its visits left failing.
    pub left_failing: Vec<Finding>,
    /// How many of its records are of the day or before.
    pub events: usize,
    /// The dates of its records of days that have not come: none of them counts.
    pub not_come: Vec<Place>,
    /// Every figure, where they are asked for.
    pub figures: Vec<FigureValue>,
    /// Every cause of each visit beside the others, where they are asked for.
    pub compared: Vec<Compared>,
}

/// What is wrong with a machine's own file, so that nobody knows how the machine stands.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct BrokenMachineFile {
    /// Whether there is a file.
    pub is_there: bool,
    /// Where errors stand in it; none where it could not be read.
    pub errors: Vec<Place>,
}

/// Assesses a machine.
pub fn assess(
    context: &Context,
    reader: &Reader<'_>,
    files: &MachineFiles,
    asked: Asked<'_>,
) -> Assessment {
    assess_and_look(context, reader, files, asked, &mut |_| {})
}

/// The same, and shows `look` what the figures are computed from: each visit, earliest first, then how the machine stands.
pub fn assess_and_look<'c>(
    context: &'c Context,
    reader: &'c Reader<'c>,
    files: &MachineFiles,
    asked: Asked<'c>,
    look: &'c mut dyn FnMut(AnyView<'_>),
) -> Assessment {
    let mut texts = Texts::default();
    let history = history::read(reader, files, context.today, &mut texts);
    let latest_days = history::latest_days(&history, files, reader.tree);
    let mut assessing = Assessing {
        latest_days,
        context,
        reader,
        asked,
        look,
        tallies: Tallies::new(&context.group.rules),
        assessment: Assessment {
            machine: files.id.clone(),
            ..Assessment::default()
        },
        texts,
        machine_files: &files.machine_files,
        state_of_machine_file: MachineFile::Missing,
        visits: Vec::new(),
        explained: Vec::new(),
        last_catches: BTreeMap::new(),
        notes: Vec::new(),
        of_machine: Vec::new(),
    };
    let timeline = Timeline::new(&history);
    assessing.machine(&history, &timeline);
    assessing.done()
}

/// What could be made of a machine's own file.
#[derive(Clone, Copy, PartialEq, Eq)]
enum MachineFile {
    /// Nothing.
    Missing,
    /// A machine in use.
    InUse,
    /// A machine that works no longer.
    OutOfService,
}

/// An assessment in the making.
struct Assessing<'c> {
    context: &'c Context,
    reader: &'c Reader<'c>,
    /// The latest day that the name of a record's file or its date as written says.
    latest_days: BTreeMap<FileId, Date>,
    asked: Asked<'c>,
    look: &'c mut dyn FnMut(AnyView<'_>),
    tallies: Tallies,
    assessment: Assessment,
    texts: Texts,
    /// The machine's own file; several where it has two names.
    machine_files: &'c [FileId],
    state_of_machine_file: MachineFile,
    /// What stands of each visit by itself.
    visits: Vec<Vec<Judged>>,
    /// What explains findings of visits.
    explained: Vec<Explained>,
    /// What each tip of a setup put out in the last good catch of it.
    last_catches: BTreeMap<Option<u16>, LastCatch>,
    notes: Vec<WeakTest>,
    /// What stands of the machine.
    of_machine: Vec<Judged>,
}

/// What rules gave over a view, once what follows from other findings is held back by them.
struct StandingOutcomes {
    standing: Vec<Judged>,
    ages: Vec<AgeLimit>,
    open: LeftOpen,
}

impl Assessing<'_> {
    fn machine(&mut self, history: &History, timeline: &Timeline<'_>) {
        let mut problems_of: BTreeMap<FileId, Vec<Diagnostic>> = BTreeMap::new();
        for finding in &self.texts.findings {
            let file = finding.primary().place.file;
            problems_of.entry(file).or_default().push(finding.clone());
        }
        let visits = Visits {
            history,
            timeline,
            context: self.context,
        };
        let mut happened = Vec::new();
        let mut undecided = Undecided::new();
        let mut rates = RatesFound::default();
        let mut means = Vec::new();
        for (index, calibration) in history.calibrations.iter().enumerate() {
            let mut problems = problems_of.remove(&calibration.file).unwrap_or_default();
            let mut more = Vec::new();
            let visit = visits.visit(index, &rates, &mut more);
            for section in more.iter().filter(|one| one.rule() == UNKNOWN_SECTION) {
                let section = section.primary().place;
                let is_told = |one: &Diagnostic| !is_of_readings_of(calibration, section, one);
                self.texts.findings.retain(is_told);
                problems.retain(is_told);
            }
            problems.extend(more.iter().cloned());
            self.texts.findings.extend(more);
            let Some(visit) = visit else {
                continue; // Without a date or a machine nothing can be computed; a finding tells of it.
            };
            let is_recent = history.calibrations.len() - index <= explain::LATEST_VISITS;
            let (failing, open) = self.visit(&visit, &problems, is_recent);
            happened.extend(failing);
            undecided.insert(calibration.file, open);
            add_visit(&mut rates, &visit);
            means.extend(worn::caught_mean(index, &visit));
        }
        let Some(machine) = history.machine_on(self.context.today) else {
            let changes = self.context.merged.get(&history.id);
            let told =
                changes.and_then(|changes| merged::without_machine_file(&history.id, changes));
            self.texts.findings.extend(told);
            return;
        };
        let may_be_off = |index: usize| {
            // What nozzles put out stands on no speed.
            let visit = visits.visit(index, &RatesFound::default(), &mut Vec::new());
            visit.as_ref().map(worn::may_be_off).unwrap_or_default()
        };
        let failing = timeline.failing(happened, &undecided);
        let worn = worn::sets(history, timeline, self.context, &means, may_be_off);
        let context = self.context;
        let tree = self.reader.tree;
        let facts = Facts {
            history,
            timeline,
            failing: &failing,
            rates: &rates,
            worn: &worn,
            merged: context.merged.get(&history.id).map_or(&[], Vec::as_slice),
            stem: &|file| tree.stem(file),
            path: &|file| tree.path(file),
        };
        let standing = Standing::new(subject(history, machine, context), context.today, &facts);
        self.standing(&standing, history, timeline);
        if self.asked.rule_by_rule {
            return;
        }
        let latest_days = &self.latest_days;
        let judged = |machine: &Machine| {
            let facts = Facts {
                stem: &|file| tree.stem(file),
                path: &|file| tree.path(file),
                ..facts
            };
            let of = subject(history, machine, context);
            let mended = Standing::new(of, context.today, &facts);
            explain::still_told(context, AnyView::State(&mended), latest_days)
        };
        let of_machine = OfMachine {
            subject: &standing.subject,
            causes: &context.group.causes,
            coverage_factor: context.coverage_factor,
            judged: &judged,
        };
        let told = mem::take(&mut self.of_machine);
        let standing = of_machine.explain(told, &mut self.explained);
        self.of_machine = cause::resolve(standing, &context.group.rules);
    }

    /// Judges a visit; gives what it leaves failing, and of which rules it leaves open whether their limits are kept.
    ///
    /// Only a recent one is explained.
    fn visit(
        &mut self,
        visit: &Visit<'_>,
        problems: &[Diagnostic],
        is_recent: bool,
    ) -> (Vec<Failing>, LeftOpen) {
        let StandingOutcomes { standing, open, .. } = self.judged(AnyView::Readings(visit));
        let left = failing::of(visit, &standing, problems);
        let all = &self.assessment.left_failing;
        let group = &self.context.group;
        let happened = left.iter().zip(all.len()..).map(|(failing, at)| {
            let let_pass = waive::periods(group, &failing.1, self.reader.tree);
            failing::happened(visit, failing, at, let_pass)
        });
        let happened = happened.collect();
        let before = self.explained.len();
        let standing = if is_recent && !self.asked.rule_by_rule {
            self.explain(visit, standing)
        } else {
            standing
        };
        let explained = self.explained.get(before..).unwrap_or_default();
        let left = failing::explained(&left, explained, visit.calibration);
        self.assessment.left_failing.extend(left);
        self.visits.push(standing);
        (happened, open)
    }

    /// Takes out of what stands of a visit what a cause explains; how its steps stand is decided before, without it.
    fn explain(&mut self, visit: &Visit<'_>, standing: Vec<Judged>) -> Vec<Judged> {
        let setup = visit.setup.map(|(index, _)| index);
        let last = self.last_catches.get(&setup);
        let last = last.and_then(|last| Some(last.without(&visit.fitted_since()?)));
        let explaining = Explaining {
            context: self.context,
            visit,
            last: last.as_ref(),
            latest_days: &self.latest_days,
            compares: self.asked.compares_causes,
        };
        let is_good = explain::is_good_catch(&standing);
        // What is waived takes along what follows from it, so it needs no cause.
        let is_waived = |judged: &Judged| {
            let finding = Finding::Judged(Box::new(judged.clone()));
            let periods = waive::periods(&self.context.group, &finding, self.reader.tree);
            let mut periods = periods.into_iter();
            periods.any(|period| period.holds_on(self.context.today))
        };
        let has_waivers = self.context.group.waivers.is_some();
        let (waived, told): (Vec<Judged>, Vec<Judged>) = standing
            .into_iter()
            .partition(|judged| has_waivers && is_waived(judged));
        let mut outcome = explaining.explain(told);
        outcome.standing.extend(waived);
        self.explained.extend(outcome.explained);
        self.assessment.compared.extend(outcome.compared);
        // What was fitted or caught alone since is not what was caught before it.
        let kept = match LastCatch::of(visit).filter(|_| is_good) {
            Some(whole) => Some(whole),
            None if is_good => last.map(|last| last.without(&visit.caught())),
            None => last,
        };
        match kept {
            Some(kept) => self.last_catches.insert(setup, kept),
            None => self.last_catches.remove(&setup),
        };
        cause::resolve(outcome.standing, &self.context.group.rules)
    }

    fn standing(&mut self, standing: &Standing<'_>, history: &History, timeline: &Timeline<'_>) {
        self.state_of_machine_file = match standing.subject.machine.out_of_service {
            Some(_) => MachineFile::OutOfService,
            None => MachineFile::InUse,
        };
        let StandingOutcomes {
            standing: judged,
            ages,
            ..
        } = self.judged(AnyView::State(standing));
        self.of_machine = judged;
        self.texts.findings.extend(unknown_setups(standing));
        let fleet = standing.subject.fleet;
        self.texts
            .findings
            .extend(declared::undeclared_courses(history, fleet));
        self.texts
            .findings
            .extend(instruments::misused(history, fleet));
        self.texts
            .findings
            .extend(declared::lacking_speed_sources(history));
        let confirmed = confirmed::told(history, &self.context.group.causes);
        self.texts.findings.extend(confirmed);
        let subject = &standing.subject;
        let machine = subject.machine;
        let assessment = &mut self.assessment;
        assessment.course = machine.course.as_ref().map(|course| {
            let named = subject
                .fleet
                .and_then(|fleet| fleet.courses.get(&course.value));
            named.map_or(&course.value, |name| &name.value).clone()
        });
        assessment.setups = machine.setups.len();
        let records = standing.records.iter();
        let (past, not_come): (Vec<_>, Vec<_>) =
            records.partition(|record| record.day <= standing.today);
        assessment.events = past.len();
        let not_come = not_come.into_iter();
        assessment.not_come = not_come
            .map(|record| record.place(record.date.span))
            .collect();
        let in_use = self.state_of_machine_file == MachineFile::InUse;
        assessment.laid_up = standing.lay_ups.on(standing.today).filter(|_| in_use);
        (assessment.steps, assessment.unsure) = steps::of(&Deciding {
            context: self.context,
            history,
            standing,
            timeline,
            ages: &ages,
            left_failing: &assessment.left_failing,
        });
    }

    /// Whether a test does not count because something in it cannot be read, which a fault of the text tells already.
    fn is_told_by_a_fault(&self, judged: &Judged) -> bool {
        let Place { file, span } = judged.subject;
        let is_within = |place: Place| {
            place.file == file && span.start <= place.span.start && place.span.end <= span.end
        };
        let mut faults = self.texts.findings.iter();
        judged.figure == TESTS_NOT_COUNTED
            && faults.any(|fault| {
                fault.severity() == Severity::Error && is_within(fault.primary().place)
            })
    }

    /// Runs the rules of a view; gives what stands of it by itself.
    fn judged(&mut self, view: AnyView<'_>) -> StandingOutcomes {
        (self.look)(view);
        let judging = Judging {
            context: self.context,
            of: view,
            lists_not_computed: self.asked.not_computed,
            latest_days: &self.latest_days,
        };
        let Outcomes {
            mut told,
            weak,
            not_computed,
            ages,
            open,
        } = judge::run(&judging, &mut self.tallies);
        told.retain(|judged| !self.is_told_by_a_fault(judged));
        self.assessment.not_computed.extend(not_computed);
        self.notes
            .extend(weak::one_note_a_test(&judging, weak, &mut told));
        if let Some(is_wanted) = self.asked.figures {
            let factor = self.context.coverage_factor;
            let values = figures::of(view, factor, is_wanted);
            self.assessment.figures.extend(values);
        }
        StandingOutcomes {
            standing: cause::resolve(told, &self.context.group.rules),
            ages,
            open,
        }
    }

    /// A visit's findings may follow from what is wrong with the machine.
    fn done(self) -> Assessment {
        let Self {
            context,
            reader,
            tallies,
            mut assessment,
            mut texts,
            visits,
            explained,
            last_catches: _,
            notes,
            mut of_machine,
            machine_files,
            state_of_machine_file,
            latest_days: _,
            asked: _,
            look: _,
        } = self;
        let causes = Causes::of(&of_machine);
        let rules = &context.group.rules;
        let mut judged = Vec::new();
        for visit in visits {
            judged.extend(cause::resolve_against(
                visit,
                &mut of_machine,
                &causes,
                rules,
            ));
        }
        judged.extend(of_machine);
        let faults = mem::take(&mut texts.findings)
            .into_iter()
            .map(Box::new)
            .map(Finding::Fault);
        let judged = judged
            .into_iter()
            .map(|judged| Finding::Judged(Box::new(judged)));
        let notes = notes.into_iter().map(|weak| Finding::Weak(Box::new(weak)));
        let explained = explained
            .into_iter()
            .map(|explained| Finding::Explained(Box::new(explained)));
        let findings = faults.chain(judged).chain(explained).chain(notes).collect();
        let through = waive::apply(findings, &context.group, reader.tree, context.today);
        for step in &mut assessment.steps {
            let of_state = waive::of_step(step, &through.waived);
            step.waived.extend(of_state);
        }
        assessment.broken = broken(&through.standing, machine_files, state_of_machine_file);
        assessment.findings = through.standing;
        assessment.waived = through.waived;
        assessment.waivers_used = through.used;
        assessment.tallies = tallies;
        assessment.texts = texts;
        assessment
    }
}

/// The name of the fault of a value of another shape than its key takes.
const WRONG_VALUE: &str = "wrong-value";

/// Whether a fault is of the shape of what a catch gives for a section that the boom does not have: once the catch is
/// written for the boom there is it is gone.
fn is_of_readings_of(calibration: &Calibration, section: Place, fault: &Diagnostic) -> bool {
    let mut caught = calibration
        .catch_tests
        .iter()
        .filter_map(|test| test.caught.as_ref());
    let Place { file, span } = fault.primary().place;
    file == section.file
        && fault.rule() == WRONG_VALUE
        && section.span.end <= span.start
        && caught.any(|caught| caught.span.contains(section.span) && caught.span.contains(span))
}

/// What is wrong with a machine's own file.
fn broken(
    findings: &[Finding],
    machine_files: &[FileId],
    state: MachineFile,
) -> Option<BrokenMachineFile> {
    let errors = findings.iter().filter(|finding| {
        finding.severity() == Severity::Error && machine_files.contains(&finding.place().file)
    });
    let errors: Vec<Place> = errors.map(Finding::place).collect();
    let is_broken = match state {
        MachineFile::Missing => true,
        MachineFile::InUse => !errors.is_empty(),
        MachineFile::OutOfService => false,
    };
    is_broken.then_some(BrokenMachineFile {
        is_there: !machine_files.is_empty(),
        errors,
    })
}

/// The visits of a machine, each made ready when it is asked for.
struct Visits<'v> {
    history: &'v History,
    timeline: &'v Timeline<'v>,
    context: &'v Context,
}

impl<'v> Visits<'v> {
    /// The visit at a place of the history, after what earlier ones found; what it does not fit is told in `problems`.
    fn visit(
        &self,
        index: usize,
        rates: &RatesFound,
        problems: &mut Vec<Diagnostic>,
    ) -> Option<Visit<'v>> {
        let calibration = self.history.calibrations.get(index)?;
        let date = calibration.date?.value;
        let hours = calibration.hours.as_ref();
        let moment = self
            .history
            .hour_meters
            .moment(date, calibration.file, hours, Event::Visit);
        let machine = self.history.machine_at(&moment)?;
        let setup = machine.setup_index(calibration.setup.as_ref());
        let measured_speed = setup.and_then(|index| {
            let setup = machine.setups.get(usize::from(index))?;
            let declared = setup.speed.map(|speed| speed.value);
            rates.latest(RatePart::Speed, Some((index, declared)))
        });
        let records = Records {
            calibration,
            earlier: &self.history.calibrations[..index],
            timeline: self.timeline,
            measured_speed,
            hour_meters: &self.history.hour_meters,
        };
        let subject = subject(self.history, machine, self.context);
        Some(Visit::new(subject, records, self.context.today, problems))
    }
}

fn subject<'a>(history: &'a History, machine: &'a Machine, context: &'a Context) -> Subject<'a> {
    Subject {
        fleet: context.group.fleet.as_deref(),
        machine,
        id: &history.id,
        index: history.index,
        layout: Layout::of(&machine.boom),
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
