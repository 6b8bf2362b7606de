//! What a visit leaves failing: its errors as left, by the step they are of.

use super::cause::{self, Told};
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::Visit;
use crate::history::{Failing, LetPass};
use crate::outcome::Stage;
use crate::procedure::{PROCEDURES, Step};
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
        setup: step.setup(setup),
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
    let mut procedures = PROCEDURES.iter();
    let found = procedures.find(|procedure| {
        let mut tests = (procedure.tests)(calibration).into_iter();
        tests.any(|test| test.contains(span))
    });
    found.map(|procedure| procedure.step)
}
