//! What a visit leaves failing: its errors as left, by the step they are of.

use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::Visit;
use crate::finding::{Explained, Finding, Judged};
use crate::history::{Beyond, Failing, LetPass};
use crate::outcome::{Part, Stage};
use crate::procedure::{PROCEDURES, Step};
use crate::record::Calibration;
use crate::source::Span;
use std::collections::BTreeSet;

/// The errors of a visit's rules that stand, then those of its text that stand within a test; each beside its step.
pub(super) fn of(
    visit: &Visit<'_>,
    standing: &[Judged],
    problems: &[Diagnostic],
) -> Vec<(Step, Finding)> {
    let calibration = visit.calibration;
    let record = calibration.file;
    let by_rules = standing.iter().filter_map(|judged| {
        // An error that another finding explains is an error all the same.
        if judged.heaviest().severity != Severity::Error {
            return None;
        }
        let place = judged.subject;
        let within = || step_at(calibration, place.span).filter(|_| place.file == record);
        let step = judged.key.step.or_else(within)?;
        // What was found stays so until a test shows otherwise: one that is filled in and proves it.
        let is_left =
            judged.key.stage != Some(Stage::AsFound) || judged.severity == Severity::Error;
        if !is_left {
            return None;
        }
        Some((step, Finding::Judged(Box::new(judged.clone()))))
    });
    let by_text = problems.iter().filter_map(|problem| {
        let place = problem.primary().place;
        let is_error = problem.severity() == Severity::Error && place.file == record;
        let step = step_at(calibration, place.span).filter(|_| is_error)?;
        Some((step, Finding::Fault(Box::new(problem.clone()))))
    });
    by_rules.chain(by_text).collect()
}

/// The same as what happened to the machine; `at` is the finding's place in the list of all that was left failing.
pub(super) fn happened(
    visit: &Visit<'_>,
    (step, finding): &(Step, Finding),
    at: usize,
    let_pass: Vec<LetPass>,
) -> Failing {
    Failing {
        record: visit.calibration.file,
        step: *step,
        setup: step.setup(visit.subject.machine, visit.setup.map(|(index, _)| index)),
        nozzles: nozzles_of(visit, finding),
        sections: sections_of(visit, finding),
        beyond: beyond(finding),
        rule: finding.heaviest_name().to_owned(),
        finding: at,
        place: finding.place(),
        let_pass,
    }
}

/// What a visit leaves failing, each by what explains it. What is written wrong explains a step only where it explains all that
/// the visit leaves of it: else the machine is to be mended as well.
pub(super) fn explained(
    left: &[(Step, Finding)],
    explained: &[Explained],
    calibration: &Calibration,
) -> Vec<Finding> {
    let explains = |judged: &Judged| {
        let is_held = |held: &&Judged| held.rule == judged.rule && held.key == judged.key;
        let mut all = explained.iter();
        all.find(|explained| explained.held.iter().any(|held| is_held(&held)))
    };
    let explaining = |finding: &Finding| {
        let mut errors = errors(finding).map(explains);
        let first = errors.next()??;
        errors.all(|other| other.is_some()).then_some(first)
    };
    let is_only_written_wrong = |step: Step| {
        let mut of_step = left.iter().filter(|(own, _)| *own == step);
        let is_all =
            of_step.all(|(_, finding)| explaining(finding).is_some_and(Explained::is_of_record));
        // Who rules causes out cannot make a fault of the machine a slip of the pen.
        is_all && calibration.confirmed.is_empty()
    };
    let in_its_place = left
        .iter()
        .map(|(step, finding)| match explaining(finding) {
            Some(explained) if !explained.is_of_record() || is_only_written_wrong(*step) => {
                Finding::Explained(Box::new(explained.clone()))
            }
            _ => finding.clone(),
        });
    in_its_place.collect()
}

/// The nozzles that a finding is of, by number: its own and those whose findings it holds back; none where it is of the
/// whole boom.
///
/// A catch of some nozzles has nothing to say of the others.
fn nozzles_of(visit: &Visit<'_>, finding: &Finding) -> Vec<u16> {
    let Finding::Judged(judged) = finding else {
        return Vec::new();
    };
    if judged.key.step != Some(Step::Catch) {
        return Vec::new();
    }
    let of = |judged: &Judged| nozzle_of(judged.key.part);
    let mut nozzles: Vec<u16> = match of(judged) {
        Some(_) => errors(finding).filter_map(of).collect(),
        None => nozzles_of_part_catch(visit),
    };
    nozzles.sort_unstable();
    nozzles.dedup();
    nozzles
}

/// The nozzle that a part of a machine is.
pub(super) fn nozzle_of(part: Part) -> Option<u16> {
    match part {
        Part::Nozzle { number, .. } => Some(number),
        Part::Whole | Part::Section(_) | Part::SectionsOff(_) | Part::Test(_) => None,
    }
}

/// The finding by a rule and the errors it holds back.
fn errors(finding: &Finding) -> impl Iterator<Item = &Judged> {
    let judged = match finding {
        Finding::Judged(judged) => Some(&**judged),
        Finding::Explained(_) | Finding::Fault(_) | Finding::Weak(_) => None,
    };
    let held = judged.into_iter().flat_map(|judged| &judged.held);
    let errors = held.filter(|held| held.severity == Severity::Error);
    judged.into_iter().chain(errors)
}

fn beyond(finding: &Finding) -> Vec<Beyond> {
    let errors = errors(finding);
    let beyond = errors.map(|judged| (judged.name.clone(), nozzle_of(judged.key.part)));
    beyond.collect()
}

/// The sections whose balance a finding is of, by name; none where it is of the whole test.
fn sections_of(visit: &Visit<'_>, finding: &Finding) -> BTreeSet<String> {
    let balance = visit.calibration.section_balance.as_ref();
    let readings = balance.map_or(&[][..], |balance| &balance.sections_off);
    let read = errors(finding).filter_map(|judged| match judged.key.part {
        Part::SectionsOff(at) => readings.get(usize::from(at)),
        Part::Whole | Part::Section(_) | Part::Nozzle { .. } | Part::Test(_) => None,
    });
    let names = read.flat_map(|read| &read.sections);
    names.map(|name| name.value.clone()).collect()
}

/// The nozzles that a visit caught as left, by number; none where it says something of the whole boom.
fn nozzles_of_part_catch(visit: &Visit<'_>) -> Vec<u16> {
    let left = visit.catch.left.iter();
    let nozzles = || left.clone().flat_map(|catch| &catch.nozzles);
    if nozzles().all(|nozzle| nozzle.place.is_some()) {
        return Vec::new();
    }
    let caught = nozzles().filter(|nozzle| !nozzle.readings.is_empty());
    caught.map(|nozzle| nozzle.nozzle.number).collect()
}

/// The step whose test holds a span of the record.
fn step_at(calibration: &Calibration, span: Span) -> Option<Step> {
    let mut procedures = PROCEDURES.iter();
    let found = procedures.find(|procedure| {
        let mut tests = (procedure.tests)(calibration).into_iter();
        tests.any(|test| test.contains(span))
    });
    found.map(|procedure| procedure.step)
}
