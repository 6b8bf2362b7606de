//! What a visit leaves failing: its errors as left, by the step they are of.

use super::cause::{self, Told};
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::Visit;
use crate::history::{Failing, LetPass};
use crate::outcome::{Stage, Step};
use crate::record::Calibration;
use crate::source::Span;

/// The errors of a visit's rules that none of them explains, then those of its text that stand within a
/// test.
pub(super) fn of(
    visit: &Visit<'_>,
    told: &[Told],
    problems: &[Diagnostic],
    let_pass: &dyn Fn(&Diagnostic) -> Vec<LetPass>,
) -> Vec<Failing> {
    let calibration = visit.calibration;
    let record = calibration.file;
    let setup = visit.setup.map(|(index, _)| index);
    let failing = |step: Step, finding: &Diagnostic| Failing {
        record,
        step,
        setup: match step {
            Step::Catch | Step::Balance => setup,
            Step::Flow | Step::Speed => None,
        },
        rule: finding.rule().to_owned(),
        message: finding.message().to_owned(),
        help: finding.help_text().map(str::to_owned),
        place: finding.primary().place,
        let_pass: let_pass(finding),
    };
    let by_rules = cause::unexplained(told).filter_map(|(told, severity)| {
        let is_left = told.key.stage != Some(Stage::AsFound);
        if severity != Severity::Error || !is_left {
            return None;
        }
        let place = told.finding.primary().place;
        let within = || step_at(calibration, place.span).filter(|_| place.file == record);
        let step = told.key.step.or_else(within)?;
        Some(failing(step, &told.finding))
    });
    let by_text = problems.iter().filter_map(|problem| {
        let place = problem.primary().place;
        let is_error = problem.severity() == Severity::Error && place.file == record;
        let step = step_at(calibration, place.span).filter(|_| is_error)?;
        Some(failing(step, problem))
    });
    by_rules.chain(by_text).collect()
}

/// The step whose test holds a span of the record.
fn step_at(calibration: &Calibration, span: Span) -> Option<Step> {
    let catches = calibration.catch_tests.iter();
    let catches = catches.map(|test| (Step::Catch, test.span));
    let meters = calibration.meter_tests.iter();
    let meters = meters.map(|test| (Step::Flow, test.span));
    let speeds = calibration.speed_tests.iter();
    let speeds = speeds.map(|test| (Step::Speed, test.span));
    let balance = calibration.section_balance.iter();
    let balance = balance.map(|test| (Step::Balance, test.span));
    let mut tests = catches.chain(meters).chain(speeds).chain(balance);
    let found = tests.find(|(_, test)| test.contains(span));
    found.map(|(step, _)| step)
}
