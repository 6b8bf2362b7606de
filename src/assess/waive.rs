//! What a group lets pass: findings left out while a waiver holds, and waivers that hold nothing.
//!
//! A waived finding still holds back what follows from it, but never what weighs more. Only what a rule finds can be
//! waived, and never what a guard does: whoever adds a fault must not be able to hide it.

use super::cause;
use super::context::Group;
use super::steps::{State, StepStanding, WaivedOfStep};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::fact::Fact;
use crate::figure::about;
use crate::finding::{Explained, Finding, Judged, WEAK_TEST, Waived};
use crate::history::LetPass;
use crate::record::Waivers;
use crate::record::waivers::Waiver;
use crate::rule::{RuleSet, guard_overruled, is_guard, unknown_rule};
use crate::source::{Place, Span};
use crate::tree::Tree;
use crate::words;
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::mem;

/// Whether a waiver is of this finding, whenever it holds.
fn is_of(waiver: &Waiver, finding: &Finding, tree: &Tree) -> bool {
    let is_rule = waiver
        .rule
        .as_ref()
        .is_some_and(|own| own.value == finding.name());
    is_rule && is_whose(waiver, finding, tree)
}

fn is_whose(waiver: &Waiver, finding: &Finding, tree: &Tree) -> bool {
    let is_machine = waiver
        .machine
        .as_ref()
        .is_none_or(|machine| finding.machine() == Some(machine.value.as_str()));
    let path = tree.path(finding.place().file);
    let is_record = waiver
        .record
        .as_ref()
        .is_none_or(|record| record.value == path);
    // One that names neither has a fault of its shape and lets nothing pass.
    let is_narrow = waiver.machine.is_some() || waiver.record.is_some();
    is_narrow && is_machine && is_record
}

/// When a waiver holds; `at` is its place in the waivers file.
fn period(at: usize, waiver: &Waiver) -> Option<LetPass> {
    Some(LetPass {
        from: waiver.from?.value,
        until: waiver.until?.value,
        waiver: at,
    })
}

/// The waivers of a group, each with its place in the waivers file.
fn waivers_of(group: &Group) -> impl Iterator<Item = (usize, &Waiver)> {
    let waivers = group.waivers.iter();
    waivers.flat_map(|waivers| &waivers.waivers).enumerate()
}

/// When a finding is let pass.
pub(super) fn periods(group: &Group, finding: &Finding, tree: &Tree) -> Vec<LetPass> {
    if !may_pass(finding, &group.rules) {
        return Vec::new();
    }
    let own = waivers_of(group).filter(|(_, waiver)| is_of(waiver, finding, tree));
    own.filter_map(|(at, waiver)| period(at, waiver)).collect()
}

/// The waivers in force for what makes a step due.
pub(super) fn of_step(step: &StepStanding, waived: &[Waived]) -> Vec<WaivedOfStep> {
    let own = waived.iter().filter(|waived| match &waived.finding {
        // What it holds back is let pass with it.
        Finding::Judged(judged) => {
            let held = judged.held.iter();
            held.chain([&**judged]).any(|one| makes_due(one, step))
        }
        Finding::Explained(_) | Finding::Fault(_) | Finding::Weak(_) => false,
    });
    let mut all: Vec<WaivedOfStep> = Vec::new();
    for waived in own {
        let rule = waived.finding.name();
        if !all
            .iter()
            .any(|one| one.rule == rule && one.waiver == waived.waiver)
        {
            all.push(WaivedOfStep {
                rule: rule.to_owned(),
                waiver: waived.waiver,
            });
        }
    }
    all
}

/// Whether a finding is of the state a step is in.
fn makes_due(judged: &Judged, step: &StepStanding) -> bool {
    let of_work = |figure: &str, place: Place| judged.figure == figure && judged.subject == place;
    match &step.state {
        State::Void(by) => of_work(about::STEP_VOID, by.undone.place),
        State::Recheck(by) => of_work(about::STEP_TO_RECHECK, by.undone.place),
        State::Overdue(first) => step.intervals.get(*first).is_some_and(|against| {
            let is_own = judged.at.step == Some(step.step) && judged.at.setup == step.setup;
            is_own && judged.figure == against.used.figure()
        }),
        State::NeverDone
        | State::UnreadVisit(_)
        | State::UnreadWork(_)
        | State::Failing { .. }
        | State::RecordToCorrect { .. }
        | State::Current => false,
    }
}

/// Whether a group may let a finding pass: what a rule found, never a fault of a text, whatever a house rule is called.
fn may_pass(finding: &Finding, rules: &RuleSet) -> bool {
    match finding {
        Finding::Fault(_) | Finding::Explained(_) => false,
        Finding::Judged(_) | Finding::Weak(_) => can_be_waived(finding.name(), rules),
    }
}

/// Whether a group may let findings of this name pass.
fn can_be_waived(rule: &str, rules: &RuleSet) -> bool {
    !is_guard(rule) && (rule == WEAK_TEST || rules.find(rule).is_some())
}

/// What of some findings is let pass.
#[derive(Debug, Default)]
pub(super) struct LetThrough {
    /// The findings that stand.
    pub(super) standing: Vec<Finding>,
    /// Those that are let pass.
    pub(super) waived: Vec<Waived>,
    /// The waivers that there was something to let pass for, today or not, by their places in the waivers file.
    pub(super) used: BTreeSet<usize>,
}

/// Takes out what is let pass today, by itself or where another finding holds it back.
///
/// A waived finding takes with it what follows from it and weighs no more, and what was sprayed in the waiver's time;
/// what else weighs more stands.
pub(super) fn apply(findings: Vec<Finding>, group: &Group, tree: &Tree, today: Date) -> LetThrough {
    let mut through = LetThrough::default();
    for finding in findings {
        if let Finding::Explained(explained) = finding {
            through.explained(explained, group, tree, today);
            continue;
        }
        let waiver = through.waiver_of(&finding, group, tree, today);
        let Finding::Judged(mut judged) = finding else {
            match waiver {
                Some(waiver) => through.waived.push(Waived { finding, waiver }),
                None => through.standing.push(finding),
            }
            continue;
        };
        let held = through.not_waived(mem::take(&mut judged.held), group, tree, today);
        let Some(waiver) = waiver else {
            judged.held = held;
            through.standing.push(Finding::Judged(judged));
            continue;
        };
        let weight = judged.severity;
        let (heavier, others): (Vec<Judged>, Vec<Judged>) = held
            .into_iter()
            .partition(|one| weight < one.severity && !was_allowed(one, waiver, group));
        judged.held = others;
        let finding = Finding::Judged(judged);
        through.waived.push(Waived { finding, waiver });
        let heavier = cause::resolve(heavier, &group.rules).into_iter();
        let heavier = heavier.map(|one| Finding::Judged(Box::new(one)));
        through.standing.extend(heavier);
    }
    through
}

/// Whether all that was sprayed on a void step was sprayed while a waiver of the work held.
fn was_allowed(judged: &Judged, waiver: usize, group: &Group) -> bool {
    let mut facts = judged.facts.iter();
    let first = facts.find_map(|(slot, fact)| match fact {
        Some(Fact::Date(first)) if *slot == about::FIRST_SPRAYED => Some(*first),
        _ => None,
    });
    let period = waivers_of(group)
        .nth(waiver)
        .and_then(|(at, waiver)| period(at, waiver));
    first
        .zip(period)
        .is_some_and(|(first, period)| period.holds_on(first))
}

impl LetThrough {
    /// What of the findings held back is not waived by name.
    fn not_waived(
        &mut self,
        held: Vec<Judged>,
        group: &Group,
        tree: &Tree,
        today: Date,
    ) -> Vec<Judged> {
        let mut left = Vec::new();
        for one in held {
            let finding = Finding::Judged(Box::new(one));
            match (self.waiver_of(&finding, group, tree, today), finding) {
                (Some(waiver), finding) => self.waived.push(Waived { finding, waiver }),
                (None, Finding::Judged(one)) => left.push(*one),
                (None, other) => self.standing.push(other),
            }
        }
        left
    }

    /// A cause is told as long as one of its findings is not waived; a waiver names a rule, never a cause.
    fn explained(
        &mut self,
        mut explained: Box<Explained>,
        group: &Group,
        tree: &Tree,
        today: Date,
    ) {
        let held = mem::take(&mut explained.held);
        explained.held = self.not_waived(held, group, tree, today);
        explained.weigh();
        if !explained.held.is_empty() {
            self.standing.push(Finding::Explained(explained));
        }
    }

    /// The first waiver in force for a finding; notes every waiver of it as used.
    fn waiver_of(
        &mut self,
        finding: &Finding,
        group: &Group,
        tree: &Tree,
        today: Date,
    ) -> Option<usize> {
        if !may_pass(finding, &group.rules) {
            return None;
        }
        let own = waivers_of(group).filter(|(_, waiver)| is_of(waiver, finding, tree));
        let mut in_force = None;
        for (at, waiver) in own {
            self.used.insert(at);
            let holds = period(at, waiver).is_some_and(|period| period.holds_on(today));
            in_force = in_force.or(holds.then_some(at));
        }
        in_force
    }
}

/// What is wrong with the waivers of a group: one has ended, or there is nothing it lets pass.
///
/// `used` are those there was something to let pass for, over all machines looked at.
pub fn spent_waivers(
    group: &Group,
    used: &BTreeSet<usize>,
    tree: &Tree,
    today: Date,
) -> Vec<Diagnostic> {
    let Some(waivers) = group.waivers.as_deref() else {
        return Vec::new();
    };
    let all = waivers.waivers.iter().enumerate();
    all.filter_map(|(at, waiver)| {
        not_waivable(waivers, waiver, &group.rules).or_else(|| {
            let is_looked_at = !is_passed_over(waiver, tree);
            is_looked_at.then(|| spent(waivers, (at, waiver), used.contains(&at), today))?
        })
    })
    .collect()
}

/// The finding of a waiver for what cannot be waived.
fn not_waivable(waivers: &Waivers, waiver: &Waiver, rules: &RuleSet) -> Option<Diagnostic> {
    let rule = waiver.rule.as_ref()?;
    if can_be_waived(&rule.value, rules) {
        return None;
    }
    let place = Place {
        file: waivers.file,
        span: rule.span,
    };
    Some(if is_guard(&rule.value) {
        guard_overruled(place, "it cannot be waived", &rule.value)
    } else {
        unknown_rule(place, &rule.value, rules)
    })
}

/// Whether a waiver is of a machine nobody looked at, so that what it lets pass is not known.
fn is_passed_over(waiver: &Waiver, tree: &Tree) -> bool {
    let of_record = waiver.record.as_ref().and_then(|record| {
        let name = record.value.split('/').nth(1)?;
        Some(name.split('.').next().unwrap_or(name))
    });
    let machine = waiver
        .machine
        .as_ref()
        .map(|machine| machine.value.as_str());
    machine
        .into_iter()
        .chain(of_record)
        .any(|machine| tree.passed_over.contains(machine))
}

/// What is wrong with a waiver: it has ended, or there is nothing it lets pass.
fn spent(
    waivers: &Waivers,
    (at, waiver): (usize, &Waiver),
    is_used: bool,
    today: Date,
) -> Option<Diagnostic> {
    let period = period(at, waiver)?;
    let rule = waiver.rule.as_ref()?;
    let whose = waiver.machine.as_ref().or(waiver.record.as_ref())?;
    let told = |name: &'static str, severity: Severity, span: Span, message: String| {
        let place = Place {
            file: waivers.file,
            span,
        };
        Diagnostic::new(name, severity, message, Label::new(place, ""))
    };
    let what = format!("{} of {}", rule.value, whose.value);
    let until = waiver.until?;
    if until.value < waiver.from?.value {
        let message = format!(
            "the waiver for {what} ends on {}, before it begins",
            words::dates::date(until.value)
        );
        return Some(
            told("waiver-never-holds", Severity::Error, until.span, message)
                .help("correct the day it begins or the day it ends"),
        );
    }
    if period.until < today {
        let ended = words::dates::date(period.until);
        let (message, help) = if is_used {
            (
                format!("the waiver for {what} ended on {ended}, and the waived problem remains"),
                "correct the problem, or renew the waiver with a new date and reason",
            )
        } else {
            (
                format!("the waiver for {what} ended on {ended}"),
                "delete the waiver: the waived problem is gone",
            )
        };
        return Some(told("waiver-ended", Severity::Warning, until.span, message).help(help));
    }
    if is_used || today < period.from {
        return None;
    }
    let message = format!("the waiver waives nothing: there is no finding {what}");
    Some(
        told("waiver-unused", Severity::Warning, rule.span, message)
            .help("delete the waiver, or correct the rule, machine, or record that it names"),
    )
}
