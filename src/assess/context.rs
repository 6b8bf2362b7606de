//! What a group declares for all of its machines: the fleet file, the waivers, the rules, the causes and the limits in force.

use super::instruments;
use super::merged::Merged;
use super::texts::Texts;
use super::{house_causes, house_rules};
use crate::cause::CauseSet;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::{View, catalogue};
use crate::outcome::{Grade, Key, Stage};
use crate::procedure::Step;
use crate::record::{Fleet, Machine, Waivers};
use crate::rule::{Attribute, Limit, LimitsInForce, Rule, RuleSet, Whose};
use crate::source::{FileId, Place};
use crate::tree::{Reader, Record, misplaced, refused};
use crate::words;
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The coverage factor k where a group sets none: about 95% (JCGM 100:2008, 6.3.3).
pub const COVERAGE_FACTOR: f64 = 2.0;

/// What the group declares.
#[derive(Debug)]
pub struct Group {
    /// The fleet file.
    pub fleet: Option<Arc<Fleet>>,
    /// The waivers.
    pub waivers: Option<Arc<Waivers>>,
    /// Our rules and the group's own.
    pub rules: RuleSet,
    /// Our causes and the group's own.
    pub causes: CauseSet,
}

/// What the assessments of all machines share.
#[derive(Debug)]
pub struct Context {
    /// What the group declares.
    pub group: Group,
    /// The limits in force.
    pub limits: LimitsInForce,
    /// The day.
    pub today: Date,
    /// By how much standard uncertainties are multiplied.
    pub coverage_factor: f64,
    /// Merged records that are not what they were, by machine; nothing but where revisions are compared.
    pub merged: Merged,
    /// The limits of the rules that guard, as they were at the revision compared with; nothing where none is.
    pub guards_before: BTreeMap<String, Vec<(Grade, Limit)>>,
    /// What is wrong with the group's own files, and how many were read.
    pub texts: Texts,
}

impl Context {
    /// What the group of a tree declares.
    pub fn read(reader: &Reader<'_>, today: Date, merged: Merged) -> Self {
        let mut texts = Texts::default();
        texts.findings.extend(refused(reader));
        let others = misplaced(reader);
        texts.findings.extend(others.findings);
        texts.ignored = others.others;
        let tree = reader.tree;
        let fleet = only(reader, &tree.fleets, &mut texts);
        let waivers = only(reader, &tree.waivers, &mut texts);
        let rules = RuleSet::built_in().with(house_rules::rules(reader, &mut texts));
        let causes = house_causes::causes(reader, &rules, &mut texts);
        let group = Group {
            fleet,
            waivers,
            rules,
            causes,
        };
        let fleet = group.fleet.as_deref();
        let factor = fleet.and_then(|fleet| fleet.coverage_factor);
        let mut problems: Vec<Diagnostic> = Vec::new();
        let limits = LimitsInForce::read(fleet, &group.rules, &mut problems);
        texts.findings.extend(problems);
        texts
            .findings
            .extend(fleet.and_then(|fleet| enforced_later(fleet, today)));
        if let Some(fleet) = fleet {
            texts.findings.extend(instruments::unfit_usual(fleet));
            let ahead = instruments::checked_in_future(fleet, &group.rules, &limits, today);
            texts.findings.extend(ahead);
        }
        Self {
            limits,
            coverage_factor: factor.map_or(COVERAGE_FACTOR, |k| k.value.to_f64()),
            today,
            merged,
            guards_before: BTreeMap::new(),
            texts,
            group,
        }
    }

    /// Declares who and what is declared in another context too; to declare something asks for no less.
    pub fn declare_as_in(&mut self, other: &Self) {
        let Some(other) = other.group.fleet.as_deref() else {
            return;
        };
        let Some(fleet) = &mut self.group.fleet else {
            // What is declared without a word of what is asked.
            self.group.fleet = Some(Arc::new(declared_only(other)));
            return;
        };
        let fleet = Arc::make_mut(fleet);
        for (name, person) in &other.people {
            let people = &mut fleet.people;
            people.entry(name.clone()).or_insert_with(|| person.clone());
        }
        for (name, instrument) in &other.instruments {
            let instruments = &mut fleet.instruments;
            let entry = instruments.entry(name.clone());
            entry.or_insert_with(|| instrument.clone());
        }
        for (name, course) in &other.courses {
            let courses = &mut fleet.courses;
            courses
                .entry(name.clone())
                .or_insert_with(|| course.clone());
        }
    }

    /// The limits of a rule in force for somebody on a day, worst grade first; of one that guards, those of before.
    pub(super) fn limits<'s>(
        &'s self,
        rule: (usize, &'s Rule),
        whose: Whose<'_>,
        day: Date,
    ) -> impl Iterator<Item = (Grade, &'s Limit)> + use<'s> {
        let before = self.guards_before.get(&rule.1.id);
        let own = before
            .is_none()
            .then(|| self.limits.limits(rule, whose, day));
        let before = before.into_iter().flatten();
        let before = before.map(|(grade, limit)| (*grade, limit));
        before.chain(own.into_iter().flatten())
    }

    /// The limit with a value that weighs most, of all rules that judge a figure.
    pub(super) fn heaviest_limit(
        &self,
        figure: &str,
        whose: Whose<'_>,
        machine: &Machine,
        day: Date,
    ) -> Option<&Limit> {
        let in_force = self.limits_with_a_value(figure, whose, machine, day);
        let heaviest = in_force.min_by_key(|(grade, _)| *grade);
        heaviest.map(|(_, limit)| limit)
    }

    /// Every limit with a value, of all rules that judge a figure.
    pub(super) fn limits_with_a_value(
        &self,
        figure: &str,
        whose: Whose<'_>,
        machine: &Machine,
        day: Date,
    ) -> impl Iterator<Item = (Grade, &Limit)> {
        let rules = self.group.rules.rules().iter().enumerate();
        let judging = rules.filter(move |(_, rule)| {
            let of_figure = catalogue::FIGURES[rule.figure].id == figure;
            of_figure && rule.is_running() && applies(rule, machine, whose, Some(Stage::AsLeft))
        });
        let in_force = judging.flat_map(move |rule| self.limits.limits(rule, whose, day));
        in_force.filter(|(_, limit)| limit.bound.quantity().is_some())
    }
}

/// What a fleet file declares, without a word of what it asks; each field says which of the two it is.
fn declared_only(fleet: &Fleet) -> Fleet {
    Fleet {
        file: fleet.file,
        name: fleet.name.clone(),
        courses: fleet.courses.clone(),
        people: fleet.people.clone(),
        instruments: fleet.instruments.clone(),
        usual: fleet.usual.clone(),
        intervals: Vec::new(),
        limits: Vec::new(),
        second_person_checks: false,
        coverage_factor: None,
        enforce_from: None,
    }
}

/// The finding of a day to come from which rules are enforced: until then no finding on a record fails a check.
fn enforced_later(fleet: &Fleet, today: Date) -> Option<Diagnostic> {
    let from = fleet.enforce_from.filter(|from| today < from.value)?;
    let place = Place {
        file: fleet.file,
        span: from.span,
    };
    let message = format!(
        "enforce-from is in the future: until {} every finding on a record is only a note",
        words::dates::date(from.value),
    );
    let label = Label::new(place, "");
    let finding = Diagnostic::new("enforced-later", Severity::Error, message, label);
    Some(
        finding.help("write the day from which records must follow the rules, today at the latest"),
    )
}

/// Where there are several files of one thing none of them is used and each is counted: at most one gives a record.
fn only<R: Record>(reader: &Reader<'_>, files: &[FileId], texts: &mut Texts) -> Option<Arc<R>> {
    let mut first = None;
    for file in files {
        let record = texts.record(reader, *file);
        first = first.or(record);
    }
    first
}

/// Whether a rule applies to something of a machine.
pub(super) fn applies(
    rule: &Rule,
    machine: &Machine,
    whose: Whose<'_>,
    stage: Option<Stage>,
) -> bool {
    rule.applies.to(|attribute| match attribute {
        Attribute::Step => whose.step.map(Step::word),
        Attribute::Stage => stage.map(Stage::word),
        Attribute::Control => machine.control.map(|control| control.value.word()),
        Attribute::SpeedSource => machine.speed_source.map(|source| source.value.word()),
        Attribute::SectionValves => machine.section_valves.map(|valves| valves.value.word()),
        Attribute::BalanceBy => machine.balance_by.map(|by| by.value.word()),
        Attribute::Course => whose.course,
        Attribute::Setup => whose.setup,
    })
}

/// Whom limits are asked for at a key.
pub(super) fn whose<'v>(view: &'v dyn View, key: &Key) -> Whose<'v> {
    let subject = view.subject();
    let course = subject.machine.course.as_ref();
    Whose {
        machine: subject.id,
        course: course.map(|course| course.value.as_str()),
        step: key.step,
        setup: view.setup_name(key),
    }
}
