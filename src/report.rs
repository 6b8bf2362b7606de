//! Plain data that renderers see: findings, counts, rule descriptions.
//!
//! Knows no rule file and no figure's code; nothing in it decides anything.

mod row_place;
mod unusable;

use crate::diagnostic::{Diagnostic, Severity};
use crate::fact::Fact;
use crate::finding::{Explained, Judged, NotComputed, WeakTest};
use crate::procedure::Step;
use crate::source::{FileId, Place, Sources};
pub use crate::tree::Failure;
use jiff::civil::Date;
pub use row_place::RowPlace;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Deref;
pub use unusable::{Unusable, machine_asked_for, setup_asked_for};

/// All that one run found, in canonical order: path, place, rule, message.
#[derive(Debug, Default)]
pub struct Report {
    /// The day the check was made for.
    pub today: Date,
    /// Findings to report, in canonical order.
    pub findings: Vec<Told>,
    /// Findings that a waiver lets pass, in the order of their places.
    pub waived: Vec<ToldWaived>,
    /// Figures that rules asked for and that cannot be computed, where they are listed, in the order of their places.
    pub not_computed: Vec<NotComputed>,
    /// Records that nothing can be made of, in the order of their paths.
    pub not_read: Vec<Place>,
    /// The texts that labels point into.
    pub sources: Sources,
    /// Path of every file of the tree relative to the records' root, by [`FileId`].
    pub paths: Vec<String>,
    /// Where the records' root lies below the top of its repository: empty, or parts that each end with `/`.
    pub folder: String,
    /// The record files looked at and asked for, in the order of their paths.
    pub records: Vec<FileId>,
    /// Every rule there is, with the limits in force for the whole fleet, sorted by name.
    pub rules: Vec<RuleDescription>,
    /// Machines checked and asked for that are not ready to spray, in the order of their names.
    pub not_ready: Vec<NotReady>,
    /// What was looked at and what came of it.
    pub counts: Counts,
    /// Files that could not be read; any makes the exit code 2.
    pub failures: Vec<Failure>,
    /// Files that were not asked for and have errors, and that what was asked for depends on.
    pub errors_elsewhere: Vec<String>,
    /// What the records were compared with, where they were.
    pub compared: Option<Compared>,
}

/// A machine that is not ready to spray, of which nobody knows whether it is, or which is overdue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotReady {
    /// The machine.
    pub machine: String,
    /// The steps that forbid it, and those that are overdue.
    pub steps: Vec<ForbiddingStep>,
    /// Whether nobody knows: it has no machine file, or one with errors, or a record of it cannot be read.
    pub is_unknown: bool,
}

/// A step that forbids spraying, or is overdue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ForbiddingStep {
    /// The step.
    pub step: &'static str,
    /// The setup, where the step belongs to one of several.
    pub setup: Option<String>,
    /// How it stands.
    pub state: DueState,
    /// Why, in one line.
    pub because: String,
}

/// What the records were compared with, and what was not told for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Compared {
    /// The revision, as the user names it.
    pub revision: String,
    /// The commit that it and what is there now both come from, in full.
    pub base: String,
    /// Findings that were there before, and are not told.
    pub unchanged: usize,
    /// Findings that were there before, and are no more.
    pub gone: usize,
    /// Machines that were not checked because nothing of theirs has changed.
    pub passed_over: usize,
}

/// What was looked at and what came of it; the numbers reconcile with the findings.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Counts {
    /// Record files read, of any kind.
    pub records: usize,
    /// Record files that could not be made sense of, wholly.
    pub unreadable: usize,
    /// YAML files outside the known folders; not looked into.
    pub ignored: usize,
    /// Per rule, how often it held.
    pub passes: BTreeMap<String, usize>,
    /// Per rule, how often its figure could not be computed.
    pub unavailable: BTreeMap<String, usize>,
    /// Per rule, how often its limit lay inside the uncertainty.
    pub undecided: BTreeMap<String, usize>,
    /// Findings held back because another finding explains them.
    pub held: usize,
    /// Findings left out because a waiver lets them pass.
    pub waived: usize,
    /// House rules that were not run.
    pub rules_not_run: usize,
}

/// A finding in words, with what the words were put to.
#[derive(Debug, Clone)]
pub struct Told {
    /// The words.
    pub words: Diagnostic,
    /// What it is as data; none for a fault of a text, which is nothing but its words and places.
    pub data: Option<Data>,
}

/// A finding as data.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub enum Data {
    /// A rule that does not hold.
    Judged(Box<Judged>),
    /// What explains rules of a visit that do not hold.
    Explained(Box<Explained>),
    /// What makes a test prove less than it could.
    Weak(Box<WeakTest>),
}

/// A waived finding.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct ToldWaived {
    /// The finding.
    pub told: Told,
    /// The waiver: where it stands.
    pub waiver: Place,
    /// Its last day.
    pub until: Option<Date>,
    /// Its reason.
    pub because: Option<String>,
}

impl From<Diagnostic> for Told {
    fn from(words: Diagnostic) -> Self {
        Self::fault(words)
    }
}

impl Deref for Told {
    type Target = Diagnostic;

    fn deref(&self) -> &Diagnostic {
        &self.words
    }
}

impl Told {
    /// A fault of a text, in the words of who found it.
    pub const fn fault(words: Diagnostic) -> Self {
        Self { words, data: None }
    }

    /// Whether it is of a figure by itself, and not explained.
    pub fn is_of_figure(&self, figure: &str) -> bool {
        self.judged().is_some_and(|judged| judged.figure == figure)
    }

    /// The factor that the test it is of gives the console, and where what was read of that test stands; none where it gives
    /// none.
    pub fn factor_given(&self) -> Option<(&Fact, Place)> {
        match self.data.as_ref()? {
            Data::Judged(judged) => judged.factor_given(),
            Data::Explained(explained) => explained.factor_given(),
            Data::Weak(_) => None,
        }
    }

    /// What a rule made of a figure, where that is what was found.
    pub fn judged(&self) -> Option<&Judged> {
        match &self.data {
            Some(Data::Judged(judged)) => Some(judged),
            Some(Data::Explained(_) | Data::Weak(_)) | None => None,
        }
    }

    /// What explains a visit, where that is what was found.
    pub fn explained(&self) -> Option<&Explained> {
        match &self.data {
            Some(Data::Explained(explained)) => Some(explained),
            Some(Data::Judged(_) | Data::Weak(_)) | None => None,
        }
    }

    /// What it holds back, as data.
    pub fn held_judged(&self) -> &[Judged] {
        match &self.data {
            Some(Data::Judged(judged)) => &judged.held,
            Some(Data::Explained(explained)) => &explained.held,
            Some(Data::Weak(_)) | None => &[],
        }
    }

    /// What rules made of figures, as far as it is not only a weak point: itself, and what it holds back.
    pub fn all_judged(&self) -> impl Iterator<Item = &Judged> {
        self.judged().into_iter().chain(self.held_judged())
    }

    /// What only weakens a test: gathered in this note, or not told while this finding stands.
    pub fn weak(&self) -> Vec<&Judged> {
        let gathered: Vec<&Judged> = match &self.data {
            Some(Data::Judged(judged)) => {
                let own = judged.weak.iter();
                let of_held = judged.held.iter().flat_map(|held| &held.weak);
                own.chain(of_held).collect()
            }
            Some(Data::Explained(explained)) => {
                explained.held.iter().flat_map(|held| &held.weak).collect()
            }
            Some(Data::Weak(weak)) => std::iter::once(&weak.first).chain(&weak.more).collect(),
            None => Vec::new(),
        };
        // One that weakens a test may be the cause of others.
        let gathered = gathered.into_iter();
        let with_its_own = gathered.flat_map(|weak| std::iter::once(weak).chain(&weak.weak));
        with_its_own.collect()
    }
}

impl Report {
    /// How many findings have this severity by themselves.
    pub fn count(&self, severity: Severity) -> usize {
        self.findings
            .iter()
            .filter(|finding| finding.severity() == severity)
            .count()
    }

    /// How many of those held back have this severity, under whatever finding, waived or not.
    pub fn count_held(&self, severity: Severity) -> usize {
        let waived = self.waived.iter().map(|waived| &waived.told);
        let held = self.findings.iter().chain(waived);
        let held = held.flat_map(|finding| finding.held());
        held.filter(|held| held.severity == severity).count()
    }

    /// How many of those held back have this severity and stand under a finding that weighs less by itself.
    pub fn count_outweighing(&self, severity: Severity) -> usize {
        let lesser = self.findings.iter();
        let lesser = lesser.filter(|finding| finding.severity() < severity);
        let held = lesser.flat_map(|finding| finding.held());
        held.filter(|held| held.severity == severity).count()
    }

    /// The most that anything found weighs, what is held back included; none where nothing was found.
    pub fn heaviest(&self) -> Option<Severity> {
        self.findings.iter().map(|finding| finding.heaviest()).max()
    }

    /// How many files have a finding.
    pub fn files_with_findings(&self) -> usize {
        self.findings
            .iter()
            .map(|finding| finding.primary().place.file)
            .collect::<BTreeSet<FileId>>()
            .len()
    }

    /// The path of a file.
    pub fn path(&self, id: FileId) -> &str {
        &self.paths[id.0 as usize]
    }

    /// The path of a file from the top of the repository.
    pub fn path_in_repository(&self, id: FileId) -> String {
        self.in_repository(self.path(id))
    }

    /// A path relative to the records' root, from the top of the repository.
    pub fn in_repository(&self, path: &str) -> String {
        format!("{}{path}", self.folder)
    }

    /// The findings, worst first by the heaviest that each is or holds back, and within that in canonical order.
    pub fn by_severity(&self) -> Vec<&Told> {
        let mut findings: Vec<&Told> = self.findings.iter().collect();
        findings.sort_by_key(|finding| std::cmp::Reverse(finding.heaviest()));
        findings
    }
}

/// The rules and causes as a user reads of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleList {
    /// Every rule, sorted by name.
    pub rules: Vec<RuleDescription>,
    /// Every cause, sorted by name.
    pub causes: Vec<CauseDescription>,
    /// Where the group's own files have errors, which may change rules and limits: `fleet.yaml:3:1`.
    pub errors: Vec<String>,
}

/// A cause as a user reads of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CauseDescription {
    /// The cause's name.
    pub id: String,
    /// What it is, in one line.
    pub title: String,
    /// Whether it is ever reported.
    pub is_told: bool,
    /// What it is of, in words.
    pub about: String,
    /// What a finding says, slots as `<place>`; nothing where it is never reported.
    pub message: String,
    /// What would be different were it put right, one line a kind of mend, with its prior.
    pub mends: Vec<String>,
    /// The causes reported instead where both make the same record.
    pub gives_way_to: Vec<String>,
    /// What to do, likeliest and cheapest first.
    pub remedies: Vec<String>,
    /// What tells it from other causes, one line a cause.
    pub told_apart: Vec<String>,
    /// Why the cause exists.
    pub why: String,
    /// Where its numbers come from, one line each.
    pub sources: Vec<String>,
}

/// A rule as a user reads of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleDescription {
    /// The rule's name.
    pub id: String,
    /// What it finds, in one line.
    pub title: String,
    /// `settled`, `on trial` or `withdrawn`.
    pub status: String,
    /// The figure it judges.
    pub figure: String,
    /// What the figure is, in one sentence.
    pub figure_title: String,
    /// The figure's formula, in words and symbols.
    pub formula: String,
    /// What it is judged for: `each nozzle`, `each machine`.
    pub family: String,
    /// Limits as written, worst grade first: (`error`, `10%`, where it was set).
    pub limits: Vec<LimitDescription>,
    /// How uncertainty enters the verdict, in one sentence.
    pub decision: String,
    /// Where it applies, where that is not everywhere.
    pub applies: Vec<String>,
    /// The rules whose findings explain those of this rule.
    pub follows: Vec<String>,
    /// What to do, one text or one a direction.
    pub remedies: Vec<String>,
    /// What its smallest faulty record gives.
    pub example: Option<&'static str>,
    /// Why the rule exists.
    pub why: String,
    /// Where its limits come from, one line each.
    pub sources: Vec<String>,
}

/// One limit of a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LimitDescription {
    /// `error`, `warning`, `note` or `weakens`.
    pub grade: String,
    /// The limit as written: `at most 10%`.
    pub limit: String,
    /// Who set it: `built in`, or `fleet.yaml:12, for machine heron, because: ...`.
    pub set_by: String,
}

/// Every figure of a tree, in the order of machines, files and the procedure.
#[derive(Debug)]
pub struct FigureTable {
    /// One row a member of a figure's family.
    pub rows: Vec<FigureRow>,
    /// What was read for them.
    pub totals: FigureTotals,
}

/// What was read for the figures of a fleet.
#[derive(Debug, Default)]
pub struct FigureTotals {
    /// Files that could not be read; any makes the exit code 2.
    pub failures: Vec<Failure>,
    /// Records that nothing can be made of: their figures are missing.
    pub unreadable: usize,
}

/// One figure at one place.
#[derive(Debug, Clone, PartialEq)]
pub struct FigureRow {
    /// The figure's name.
    pub figure: &'static str,
    /// The machine.
    pub machine: String,
    /// The visit's date; none for a figure of state.
    pub date: Option<Date>,
    /// The setup, where it belongs to one.
    pub setup: Option<String>,
    /// `as found` or `as left`, where it has a stage.
    pub stage: Option<&'static str>,
    /// The part it is about, as people count.
    pub part: String,
    /// The value in `unit`, or why there is none.
    pub value: Result<f64, String>,
    /// The expanded uncertainty in `unit`; none where nothing it stands on has any.
    pub expanded: Option<f64>,
    /// The unit, `%` for ratios; empty for counts and factors.
    pub unit: String,
    /// Where it was read.
    pub place: RowPlace,
    /// What contributes most to its uncertainty, largest first.
    pub contributions: Vec<Contribution>,
    /// How it was worked out, in one line with the numbers in.
    pub working: Option<String>,
}

/// One source of error of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// What it is.
    pub what: &'static str,
    /// Its share of the variance, from 0 to 1.
    pub share: f64,
    /// Where it stands; a default of ours stands nowhere.
    pub place: Option<RowPlace>,
}

/// The nightly list: what is due, by course and urgency.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueList {
    /// The day the list was made for.
    pub today: Date,
    /// How many days ahead it looks.
    pub within_days: u32,
    /// What is due, in the order to be shown: by course, then by the machine's urgency.
    pub steps: Vec<DueStep>,
    /// The number of this edition, for calendars: higher than that of every earlier one.
    pub sequence: u32,
    /// How many steps are not listed because they are current.
    pub current: usize,
    /// How many of those no interval would ever make due: no rule that runs and applies limits their age.
    pub without_interval: usize,
    /// Machines of which nobody knows whether they are ready to spray: their own file has errors.
    pub broken: Vec<BrokenMachine>,
    /// Machines that are laid up on the day.
    pub laid_up: Vec<LaidUpMachine>,
    /// Machines with an interval in hours that no reading of the hour meter counts.
    pub hours_unread: Vec<HoursUnread>,
    /// Machines whose file does not say whether they have a step.
    pub unsure: Vec<UnsureMachine>,
    /// What is begun and not filled in, whether its step is due or not.
    pub not_filled_in: Vec<ToFillIn>,
    /// Tests newer than those that count, whether their step is due or not.
    pub not_counted: Vec<TestNotCounted>,
    /// What whoever does any of it takes care of.
    pub cautions: &'static [&'static str],
    /// Record files read, of any kind.
    pub records: usize,
    /// Where a check has errors on the records read that no rule finds; what they do to the list is
    /// unknown.
    pub errors: Vec<RowPlace>,
    /// Files that could not be read; any makes the exit code 2.
    pub failures: Vec<Failure>,
}

impl DueList {
    /// What runs out within so many days is listed where nobody says otherwise, and done in a visit.
    pub const DAYS_AHEAD: u32 = 14;

    /// Whether errors keep records from counting, so that it may lack a step.
    pub fn has_errors(&self) -> bool {
        !(self.errors.is_empty() && self.broken.is_empty())
    }

    /// Whether an hour meter cannot be right, so that it may lack a step that is due by hours.
    pub fn has_unknown_hours(&self) -> bool {
        let mut unread = self.hours_unread.iter();
        unread.any(|unread| match unread.why {
            WhyHoursUnread::WentBack(_) | WhyHoursUnread::Jumped(_) => true,
            WhyHoursUnread::NotRead | WhyHoursUnread::NoForecast => false,
        })
    }
}

/// The empty values of one test of a record, or of the record as a whole.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct ToFillIn {
    /// Where the first of them stands.
    pub at: RowPlace,
    /// What they are, and of which test: `not filled in: catch test: 12 readings and duration`.
    pub what: String,
}

/// The last test of a step that does not count: an older one does, or none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TestNotCounted {
    /// The machine.
    pub machine: String,
    /// The setup, where the step belongs to one of several.
    pub setup: Option<String>,
    /// The step, as [`DueStep::step`].
    pub step: &'static str,
    /// Which step of which setup it is, for a program.
    pub of: StepOf,
    /// The day of the test.
    pub day: Date,
    /// Whether it is only begun: something in it is not filled in.
    pub is_begun: bool,
    /// That it does not count and why, in one line.
    pub says: String,
    /// The day of the test that counts, if any.
    pub counts: Option<Date>,
    /// Where it stands.
    pub at: RowPlace,
    /// Whether its step is due, so that why it is due says the same.
    pub is_told_by_step: bool,
}

/// One step of one machine that is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueStep {
    /// The full name of the course, where the machine has one.
    pub course: Option<String>,
    /// The machine.
    pub machine: String,
    /// The setup, where the step belongs to one of several.
    pub setup: Option<String>,
    /// The setup, where it is the only one and need not be named; what names a step for good has it in.
    pub only_setup: Option<String>,
    /// The step: `catch test`, `meter test`, `speed test` or `section balance`.
    pub step: &'static str,
    /// Which step of which setup it is, for a program: by this two of them are told apart.
    pub of: StepOf,
    /// How it stands.
    pub state: DueState,
    /// The day it is or was due; of a void step the day of the work, of a failing one the day of the visit.
    pub due: Option<Date>,
    /// What makes it due first.
    pub by: DueBy,
    /// Why, in one line.
    pub because: String,
    /// What to do, beginning with a verb, where it is more than to do the step.
    pub to_do: Option<String>,
    /// The interval and who set it: `12 months, group decision of 2026-01-10`.
    pub interval: Option<String>,
    /// When it was last done.
    pub last_done: Option<Date>,
    /// The line that makes it so.
    pub at: Option<RowPlace>,
    /// The waivers in force for what makes it so.
    pub waived: Vec<DueWaiver>,
    /// What to bring.
    pub bring: Vec<String>,
    /// What to aim at: the catch of one nozzle, or the factor as it was last left.
    pub target: Option<String>,
    /// What whoever does it takes care of, beside what holds for every step.
    pub cautions: &'static [&'static str],
    /// How many records of the machine there are up to the day.
    pub events: u32,
}

/// A step of a machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepOf {
    /// The step.
    pub step: Step,
    /// The setup it belongs to, as the machine file writes it; none of a step of the whole machine.
    pub setup: Option<String>,
}

impl StepOf {
    /// Whether it belongs to a setup, or to the whole machine and so to each.
    pub fn is_of(&self, setup: &str) -> bool {
        self.setup.as_ref().is_none_or(|own| own == setup)
    }
}

/// A waiver in force for what makes a step due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueWaiver {
    /// The rule whose finding is waived.
    pub rule: String,
    /// Its last day.
    pub until: Option<Date>,
    /// Its reason.
    pub because: Option<String>,
    /// Where it stands.
    pub at: RowPlace,
}

/// How a step that is due stands, most urgent first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum DueState {
    /// No record shows it.
    NeverDone,
    /// Work since it was done makes it worth nothing.
    Void,
    /// The visit that last did it left it beyond a limit.
    Failing,
    /// The same, and the record of that visit is what is wrong.
    RecordToCorrect,
    /// Its interval has run out.
    Overdue,
    /// Work since it was done asks for another look.
    Recheck,
    /// Its interval runs out within the days asked for.
    ComingDue,
    /// The visit that last did it left it beyond a limit, and a waiver is in force for that.
    Waived,
}

impl DueState {
    /// Every state, most urgent first.
    pub const ALL: [Self; 8] = [
        Self::NeverDone,
        Self::Void,
        Self::Failing,
        Self::RecordToCorrect,
        Self::Overdue,
        Self::Recheck,
        Self::ComingDue,
        Self::Waived,
    ];

    /// The words for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NeverDone => "never done",
            Self::Void => "void",
            Self::Failing => "failing",
            Self::RecordToCorrect => "record to correct",
            Self::Overdue => "overdue",
            Self::Recheck => "recheck",
            Self::ComingDue => "coming due",
            Self::Waived => "failing, waived",
        }
    }

    /// Whether a machine is not ready to spray while a step of it stands so.
    pub const fn forbids_spraying(self) -> bool {
        match self {
            Self::NeverDone | Self::Void | Self::Failing | Self::RecordToCorrect => true,
            Self::Overdue | Self::Recheck | Self::ComingDue | Self::Waived => false,
        }
    }
}

/// What makes a step due first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum DueBy {
    /// Time gone by.
    Calendar,
    /// Hours run.
    Hours,
    /// Applications made.
    Applications,
    /// Work on the machine.
    Work,
    /// A finding.
    Finding,
    /// That no record shows it.
    Nothing,
}

impl DueBy {
    /// The words for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Calendar => "calendar",
            Self::Hours => "hours",
            Self::Applications => "applications",
            Self::Work => "work",
            Self::Finding => "finding",
            Self::Nothing => "nothing on record",
        }
    }
}

/// A machine whose own file has errors, or that has none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BrokenMachine {
    /// The machine.
    pub machine: String,
    /// Whether it has a file of its own.
    pub has_file: bool,
    /// Where the errors stand; none where the file could not be read.
    pub errors: Vec<RowPlace>,
    /// Whether it is a record that cannot be read, at the place of the errors, and not the machine file.
    pub is_record: bool,
}

/// A machine that is laid up on the day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LaidUpMachine {
    /// The machine.
    pub machine: String,
    /// The last day of its lay-up.
    pub until: Date,
    /// What it needs before it sprays again, beside what the list has of it: each step with how it stands.
    pub waiting: Vec<WaitingStep>,
}

/// A step that is not due while its machine is laid up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaitingStep {
    /// The step.
    pub step: &'static str,
    /// The setup, where the step belongs to one of several.
    pub setup: Option<String>,
    /// How it stands.
    pub state: DueState,
}

/// Why an interval in hours makes no step due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhyHoursUnread {
    /// No hours were read since the step was done.
    NotRead,
    /// Hours were read since, and too few days lie between readings for a forecast.
    NoForecast,
    /// The hour meter went back on a day: nobody knows the hours since.
    WentBack(Date),
    /// The hour meter rose on a day by more hours than there were.
    Jumped(Date),
}

impl WhyHoursUnread {
    /// As formats for programs have it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NotRead => "not read",
            Self::NoForecast => "no forecast",
            Self::WentBack(_) => "went back",
            Self::Jumped(_) => "jumped",
        }
    }
}

/// A machine with an interval in hours that no reading of the hour meter counts, for one reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HoursUnread {
    /// The machine.
    pub machine: String,
    /// Why.
    pub why: WhyHoursUnread,
    /// Its steps that never come due by hours, each with its setup where it belongs to one of several.
    pub steps: Vec<(&'static str, Option<String>)>,
}

/// A machine whose file does not say whether it has a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnsureMachine {
    /// The machine.
    pub machine: String,
    /// The steps it may have.
    pub steps: Vec<&'static str>,
    /// The keys its file lacks: `control`, `speed-source`, `section-valves`.
    pub says_nothing_of: Vec<&'static str>,
}
