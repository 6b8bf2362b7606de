//! What stays due of a machine with the visit as it is, and whether any test keeps the machine from spraying.

use crate::diagnostic::Severity;
use crate::procedure::Step;
use crate::report::{DueList, DueState, DueStep, Report, Told};
use crate::wording::visit;
use crate::words::phrases::name;

/// What stays due of the machine and the setup of a visit, with what was read so far.
#[derive(Debug)]
pub struct Stays {
    /// What is due on the day, and everything that keeps that list from being whole.
    pub due: DueList,
    /// What the tests say of spraying.
    pub readiness: Readiness,
    /// Why nobody knows more, where that is not in the list: errors that are of no step.
    pub because: Option<String>,
}

/// What the tests of a machine say of spraying. None of them permits it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readiness {
    /// No test keeps the machine from spraying.
    Ready,
    /// A step forbids it.
    NotReady,
    /// Errors, or what no record says, may hide a step that forbids it.
    NotKnown,
}

impl Readiness {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ready => "ready",
            Self::NotReady => "not ready",
            Self::NotKnown => "not known",
        }
    }

    /// What is said of it, in whole sentences.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Ready => visit::READY,
            Self::NotReady => visit::NOT_READY,
            Self::NotKnown => visit::NOT_KNOWN,
        }
    }
}

impl Stays {
    /// What stays due of a setup, out of what is due of its machine; `path` is the record of the visit.
    pub(super) fn of(mut due: DueList, found: &Report, setup: &str, path: &str) -> Self {
        due.steps.retain(|step| step.of.is_of(setup));
        let shown = name(setup);
        let is_own = |of: &Option<String>| of.as_deref().is_none_or(|of| of == shown);
        for laid_up in &mut due.laid_up {
            laid_up.waiting.retain(|step| is_own(&step.setup));
        }
        for unread in &mut due.hours_unread {
            unread.steps.retain(|(_, setup)| is_own(setup));
        }
        due.hours_unread.retain(|unread| !unread.steps.is_empty());
        due.not_counted.retain(|test| test.of.is_of(setup));
        // What is empty in the visit is what is still to be read.
        due.not_filled_in.retain(|empty| empty.at.path != path);
        let of_no_step = errors_of_no_step(found);
        Self {
            readiness: readiness(&due, of_no_step),
            because: (0 < of_no_step).then(|| visit::errors_of_no_test(of_no_step)),
            due,
        }
    }

    /// What is said of it all, in whole sentences.
    pub fn words(&self) -> String {
        let nothing = if self.is_nothing_due() {
            visit::NOTHING_DUE
        } else {
            ""
        };
        format!("{nothing}{}", self.readiness.words())
    }

    /// Whether no step is due, as far as anybody knows.
    pub fn is_nothing_due(&self) -> bool {
        let is_known = self.readiness != Readiness::NotKnown && self.due.not_counted.is_empty();
        self.due.steps.is_empty() && is_known
    }

    /// The steps that are due.
    pub fn steps(&self) -> &[DueStep] {
        &self.due.steps
    }
}

fn readiness(due: &DueList, of_no_step: usize) -> Readiness {
    let waiting = due.laid_up.iter().flat_map(|laid_up| &laid_up.waiting);
    let mut states = due
        .steps
        .iter()
        .map(|step| step.state)
        .chain(waiting.map(|step| step.state));
    if states.any(DueState::forbids_spraying) {
        return Readiness::NotReady;
    }
    let is_whole = !due.has_errors()
        && !due.has_unknown_hours()
        && due.unsure.is_empty()
        // What a test that does not count would have found nobody knows.
        && due.not_counted.is_empty()
        && due.failures.is_empty()
        && of_no_step == 0;
    if is_whole {
        Readiness::Ready
    } else {
        Readiness::NotKnown
    }
}

/// How many errors are found that no step bears, with those that others hold back.
fn errors_of_no_step(found: &Report) -> usize {
    let is_error = |told: &&Told| Severity::Error <= told.heaviest();
    let errors = found.findings.iter().filter(is_error);
    errors
        .filter(|told| step_of_finding(told).is_none())
        .count()
}

/// The step that a finding is of; none of a fault of the text.
pub(super) fn step_of_finding(told: &Told) -> Option<Step> {
    let explained = told.explained().and_then(|explained| explained.at.step);
    told.judged()
        .and_then(|judged| judged.at.step)
        .or(explained)
}
