//! The report: what stands in all machines of a fleet, and in what the group declares.

use super::in_order::{Waiting, in_order};
use super::rules;
use super::standing::{Standing, setup_of_several, standing, unread};
use crate::assess::{
    self, Asked, Assessment, Context, Group, Merged, Tallies, spent_waivers, without_machine_file,
};
use crate::diagnostic::Severity;
use crate::finding::{Finding, Judged, NotComputed, Waived};
use crate::report::{
    Compared, Counts, DueState, ForbiddingStep, NotReady, Report, Told, ToldWaived,
};
use crate::rule;
use crate::source::{FileId, Place, Sources, Span};
use crate::tree::{Failure, Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::findings::told;
use crate::wording::steps::because;
use crate::words::phrases;
use jiff::civil::Date;
use std::borrow::Borrow;
use std::collections::BTreeSet;

/// What a run is asked for.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The day the check is made for.
    pub today: Date,
    /// Paths relative to the records' root whose findings are told; empty for all.
    pub selected: Vec<String>,
    /// Whether findings are reported rule by rule, none held back by a cause.
    pub rule_by_rule: bool,
    /// Whether figures are every cause beside the others and every cross-check, and no others.
    pub causes: bool,
}

impl Settings {
    /// All of a fleet as on a day.
    pub fn on(today: Date) -> Self {
        Self {
            today,
            selected: Vec::new(),
            rule_by_rule: false,
            causes: false,
        }
    }
}

/// What a report asks of each assessment.
const fn asked(settings: &Settings) -> Asked<'static> {
    Asked {
        figures: None,
        not_computed: true,
        rule_by_rule: settings.rule_by_rule,
        compares_causes: false,
    }
}

/// Checks a tree of records.
///
/// Every file is read through `read`; what cannot be read is a failure of the report, never a panic.
/// The report does not depend on the number of threads.
pub fn check(listing: &Listing, read: &ReadFile<'_>, settings: &Settings) -> Report {
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, settings.today, Merged::new());
    let found = found(&context, &reader, settings);
    found.finish(&context, &reader, settings, None)
}

/// All that is found in the machines of a tree and in what is declared for them.
pub(super) fn found(context: &Context, reader: &Reader<'_>, settings: &Settings) -> Found {
    let mut found = Found::of_group(context, reader.tree);
    in_order(
        &reader.tree.machines,
        Waiting::Some,
        |machine: &MachineFiles| {
            let assessment = assess::assess(context, reader, machine, asked(settings));
            Found::of_machine(assessment, context)
        },
        |of_machine| found.add(of_machine),
    );
    found.add_of_fleet(context, reader.tree);
    found
}

/// The report of assessments that were made before.
pub fn report<A: Borrow<Assessment>>(
    context: &Context,
    reader: &Reader<'_>,
    assessments: impl IntoIterator<Item = A>,
    settings: &Settings,
) -> Report {
    let mut found = Found::of_group(context, reader.tree);
    for assessment in assessments {
        let assessment = assessment.borrow().clone();
        found.add(Found::of_machine(assessment, context));
    }
    found.add_of_fleet(context, reader.tree);
    found.finish(context, reader, settings, None)
}

/// What was found so far, in words.
#[derive(Default)]
pub(super) struct Found {
    pub(super) findings: Vec<Told>,
    pub(super) waived: Vec<(Told, usize)>,
    not_computed: Vec<NotComputed>,
    not_read: Vec<FileId>,
    not_ready: Vec<NotReady>,
    pub(super) failures: Vec<Failure>,
    counts: Counts,
    tallies: Tallies,
    waivers_used: BTreeSet<usize>,
}

impl Found {
    /// What is wrong with what the group declares.
    pub(super) fn of_group(context: &Context, tree: &Tree) -> Self {
        let texts = &context.texts;
        let mut found = Self {
            not_read: texts.unreadable.clone(),
            failures: texts.failures.clone(),
            ..Self::default()
        };
        found.counts.ignored = tree.ignored + texts.ignored;
        found.counts.records = texts.records;
        found.counts.unreadable = texts.unreadable.len();
        found.counts.rules_not_run = texts.rules_not_run;
        let faults = texts.findings.iter().cloned();
        let faults = faults.map(Told::fault);
        found.findings.extend(faults);
        found
    }

    /// What stands in a machine, in words.
    pub(super) fn of_machine(assessment: Assessment, context: &Context) -> Self {
        let group = &context.group;
        let not_ready = not_ready(&assessment, context);
        let Assessment {
            findings,
            waived,
            waivers_used,
            not_computed,
            tallies,
            texts,
            ..
        } = assessment;
        let in_words = |finding: Finding| told(finding, group);
        let waived = waived.into_iter();
        let waived = waived.map(|Waived { finding, waiver }| (in_words(finding), waiver));
        Self {
            waived: waived.collect(),
            findings: findings.into_iter().map(in_words).collect(),
            not_computed,
            counts: Counts {
                records: texts.records,
                unreadable: texts.unreadable.len(),
                ..Counts::default()
            },
            not_read: texts.unreadable,
            not_ready: not_ready.into_iter().collect(),
            failures: texts.failures,
            tallies,
            waivers_used,
        }
    }

    /// Adds what stands in a machine.
    pub(super) fn add(&mut self, of_machine: Self) {
        self.findings.extend(of_machine.findings);
        self.waived.extend(of_machine.waived);
        self.not_computed.extend(of_machine.not_computed);
        self.not_read.extend(of_machine.not_read);
        self.not_ready.extend(of_machine.not_ready);
        self.failures.extend(of_machine.failures);
        self.counts.records += of_machine.counts.records;
        self.counts.unreadable += of_machine.counts.unreadable;
        self.tallies.add(&of_machine.tallies);
        self.waivers_used.extend(of_machine.waivers_used);
    }

    /// What the waivers let through nothing for, and merged records of machines that are no more.
    pub(super) fn add_of_fleet(&mut self, context: &Context, tree: &Tree) {
        let of_gone = context.merged.iter();
        let of_gone = of_gone.filter(|(machine, _)| tree.machine(machine).is_none());
        let of_gone =
            of_gone.filter_map(|(machine, changes)| without_machine_file(machine, changes));
        let spent = spent_waivers(&context.group, &self.waivers_used, tree, context.today);
        let faults = of_gone.chain(spent);
        self.findings.extend(faults.map(Told::fault));
    }

    /// Sorts, selects, and keeps the text of every file that something of the report points into.
    pub(super) fn finish(
        self,
        context: &Context,
        reader: &Reader<'_>,
        settings: &Settings,
        compared: Option<Compared>,
    ) -> Report {
        let tree = reader.tree;
        let Self {
            mut findings,
            waived,
            mut not_computed,
            not_read,
            mut not_ready,
            mut failures,
            mut counts,
            tallies,
            waivers_used: _,
        } = self;
        for (rule, tally) in tallies.named(&context.group.rules) {
            for (sums, count) in [
                (&mut counts.passes, tally.passes),
                (&mut counts.undecided, tally.undecided),
                (&mut counts.unavailable, tally.unavailable),
            ] {
                if count > 0 {
                    sums.insert(rule.to_owned(), count);
                }
            }
        }
        let is_selected = |place: Place| is_selected(tree.path(place.file), &settings.selected);
        let errors_elsewhere = errors_elsewhere(&findings, tree, &settings.selected);
        // What guards merged records is told whatever is asked for: a part of them is no place to hide the rest.
        findings.retain(|finding| {
            is_selected(finding.primary().place) || rule::is_of_guard(finding.rule())
        });
        let order = |told: &Told| {
            let place = told.primary().place;
            (tree.path(place.file), place.span)
        };
        findings.sort_by(|one, other| {
            let by_rule = || one.rule().cmp(other.rule());
            let by_message = || one.message().cmp(other.message());
            let by_place = order(one).cmp(&order(other));
            by_place.then_with(by_rule).then_with(by_message)
        });
        let mut waived: Vec<ToldWaived> = waived
            .into_iter()
            .filter(|(told, _)| is_selected(told.primary().place))
            .filter_map(|(told, waiver)| waived_by(told, waiver, &context.group))
            .collect();
        waived.sort_by(|one, other| order(&one.told).cmp(&order(&other.told)));
        not_computed.retain(|one| is_selected(one.place));
        not_computed.sort_by(|one, other| {
            let order = |of: &NotComputed| (of.place.file, of.place.span);
            let (one_at, other_at) = (order(one), order(other));
            let paths = tree.path(one_at.0).cmp(tree.path(other_at.0));
            paths
                .then(one_at.1.cmp(&other_at.1))
                .then_with(|| one.rule.cmp(&other.rule))
        });
        let not_read = not_read.into_iter().map(whole);
        let mut not_read: Vec<Place> = not_read.filter(|place| is_selected(*place)).collect();
        not_read.sort_by_key(|place| tree.path(place.file));
        let is_asked_for = |machine: &str| {
            let files = tree
                .machine(machine)
                .into_iter()
                .flat_map(MachineFiles::all);
            settings.selected.is_empty() || files.into_iter().any(|file| is_selected(whole(file)))
        };
        not_ready.retain(|one| is_asked_for(&one.machine));
        not_ready.sort_by(|one, other| one.machine.cmp(&other.machine));
        let of_machines = tree.machines.iter().flat_map(MachineFiles::all);
        let records = tree.of_the_group().chain(of_machines);
        let mut records: Vec<FileId> = records.filter(|file| is_selected(whole(*file))).collect();
        records.sort_by_key(|file| tree.path(*file));
        counts.waived = waived.len();
        let all = findings.iter().chain(waived.iter().map(|one| &one.told));
        counts.held = all.map(|told| told.held().len()).sum();
        let sources = texts_of(&findings, &waived, &not_computed, reader, &mut failures);
        failures.sort();
        failures.dedup();
        Report {
            today: settings.today,
            findings,
            waived,
            not_computed,
            not_read,
            sources,
            paths: tree.paths.clone(),
            folder: String::new(),
            records,
            rules: rules::in_force(context, reader),
            not_ready,
            counts,
            failures,
            errors_elsewhere,
            compared,
        }
    }
}

/// A file as a place.
fn whole(file: FileId) -> Place {
    Place {
        file,
        span: Span::default(),
    }
}

/// What keeps a machine from spraying, or is overdue; none where nothing does.
fn not_ready(assessment: &Assessment, context: &Context) -> Option<NotReady> {
    let forbidding = assessment.steps.iter().filter(|step| !step.waits);
    let forbidding = forbidding.filter_map(|step| {
        let Standing { state, .. } = standing(step, None)?;
        let why = || {
            let group = &context.group;
            because(step, None, &assessment.left_failing, group, context.today).because
        };
        let is_told = state.forbids_spraying() || state == DueState::Overdue;
        is_told.then(|| ForbiddingStep {
            step: step.step.test(),
            setup: setup_of_several(assessment, step),
            state,
            because: why(),
        })
    });
    let steps: Vec<ForbiddingStep> = forbidding.collect();
    let is_unknown = assessment.broken.is_some() || unread(assessment).is_some();
    (is_unknown || !steps.is_empty()).then(|| NotReady {
        machine: assessment.machine.clone(),
        steps,
        is_unknown,
    })
}

/// Files with errors that are not told, though what is asked for depends on them: the group's, and machine files.
fn errors_elsewhere(findings: &[Told], tree: &Tree, selected: &[String]) -> Vec<String> {
    let is_asked_for = |file: FileId| is_selected(tree.path(file), selected);
    let machines = tree.machines.iter();
    let asked_for = machines.filter(|machine| machine.all().any(is_asked_for));
    let machine_files = asked_for.flat_map(|machine| machine.machine_files.iter().copied());
    let depended_on: BTreeSet<FileId> = tree.of_the_group().chain(machine_files).collect();
    let errors = findings
        .iter()
        .filter(|finding| finding.severity() == Severity::Error);
    let files: BTreeSet<&str> = errors
        .map(|error| error.primary().place.file)
        .filter(|file| depended_on.contains(file) && !is_asked_for(*file))
        .map(|file| tree.path(file))
        .collect();
    files.into_iter().map(str::to_owned).collect()
}

/// So many characters of a waiver's reason are repeated beside each finding that it waives.
const MOST_OF_A_REASON: usize = 300;

/// A waived finding beside its waiver.
fn waived_by(told: Told, waiver: usize, group: &Group) -> Option<ToldWaived> {
    let waivers = group.waivers.as_deref()?;
    let own = waivers.waivers.get(waiver)?;
    let span = own.rule.as_ref()?.span;
    Some(ToldWaived {
        told,
        waiver: Place {
            file: waivers.file,
            span,
        },
        until: own.until.map(|until| until.value),
        because: own
            .reason
            .as_ref()
            .map(|reason| phrases::shortened(&reason.value, MOST_OF_A_REASON).into_owned()),
    })
}

/// The text of every file that something points into.
fn texts_of(
    findings: &[Told],
    waived: &[ToldWaived],
    not_computed: &[NotComputed],
    reader: &Reader<'_>,
    failures: &mut Vec<Failure>,
) -> Sources {
    let mut files: BTreeSet<FileId> = BTreeSet::new();
    for told in findings
        .iter()
        .chain(waived.iter().map(|waived| &waived.told))
    {
        let labels = std::iter::once(told.primary()).chain(told.related());
        files.extend(labels.map(|label| label.place.file));
        let items = told.all_judged().chain(told.weak());
        files.extend(items.flat_map(places).map(|place| place.file));
    }
    files.extend(waived.iter().map(|waived| waived.waiver.file));
    files.extend(not_computed.iter().map(|one| one.place.file));
    let mut sources = Sources::default();
    for file in files {
        match reader.text(file) {
            Ok(source) => sources.keep(file, source),
            Err(failure) => failures.push(failure),
        }
    }
    sources
}

/// Where something judged was read, and where its limit was set.
fn places(judged: &Judged) -> impl Iterator<Item = Place> {
    let limit = judged.limit.as_ref();
    let set_at = limit.and_then(|(_, limit)| limit.set_at.as_ref());
    [Some(judged.subject), set_at.map(|set_at| set_at.place)]
        .into_iter()
        .flatten()
}

/// Whether a path is one of those chosen, or lies in one; nothing chosen is everything.
pub(super) fn is_selected(path: &str, selected: &[String]) -> bool {
    let within = |chosen: &str| {
        path.strip_prefix(chosen)
            .is_some_and(|rest| chosen.is_empty() || rest.is_empty() || rest.starts_with('/'))
    };
    selected.is_empty() || selected.iter().any(|chosen| within(chosen))
}
