//! How a step stands on the day, in the words of what is due.

use crate::assess::{Assessment, HeldAgainst, State, StepStanding, Used};
use crate::report::{DueBy, DueState};
use crate::source::Place;
use crate::words::phrases;
use jiff::civil::Date;

/// The setup of a step by its name, where the machine has several.
pub(super) fn setup_of_several(assessment: &Assessment, step: &StepStanding) -> Option<String> {
    let setup = step.setup.as_ref().filter(|_| assessment.setups > 1)?;
    Some(phrases::name(setup).into_owned())
}

/// How a step that is due stands, as the list says it.
pub(super) struct Standing {
    pub(super) state: DueState,
    pub(super) due: Option<Date>,
    pub(super) by: DueBy,
    pub(super) at: Option<Place>,
}

/// Where the record stands that cannot be read and may be the latest of a step, so that nobody knows how the step stands.
pub(super) fn unread(assessment: &Assessment) -> Option<Place> {
    let steps = assessment.steps.iter().filter(|step| !step.waits);
    let mut unread = steps.filter_map(|step| match step.state {
        State::UnreadVisit(record) | State::UnreadWork(record) => Some(record.place()),
        State::NeverDone
        | State::Void(_)
        | State::Failing { .. }
        | State::RecordToCorrect { .. }
        | State::Overdue(_)
        | State::Recheck(_)
        | State::Current => None,
    });
    unread.next()
}

pub(super) fn standing(step: &StepStanding, next: Option<&HeldAgainst>) -> Option<Standing> {
    let done = step.done;
    Some(match &step.state {
        State::NeverDone => Standing {
            state: DueState::NeverDone,
            due: None,
            by: DueBy::Nothing,
            at: step.not_counted.as_ref().map(|test| test.place),
        },
        State::Void(by) => Standing {
            state: DueState::Void,
            due: Some(by.undone.day),
            by: DueBy::Work,
            at: Some(by.undone.place),
        },
        State::RecordToCorrect { place, day, .. } => Standing {
            state: DueState::RecordToCorrect,
            due: day.or_else(|| done.map(|done| done.day)),
            by: DueBy::Finding,
            at: Some(*place),
        },
        State::Failing { place, day, .. } => Standing {
            state: DueState::Failing,
            due: day.or_else(|| done.map(|done| done.day)),
            by: DueBy::Finding,
            at: Some(*place),
        },
        State::Recheck(by) => Standing {
            state: DueState::Recheck,
            due: Some(by.undone.day),
            by: DueBy::Work,
            at: Some(by.undone.place),
        },
        State::UnreadVisit(record) | State::UnreadWork(record) => Standing {
            state: DueState::Recheck,
            due: record.day,
            by: DueBy::Finding,
            at: Some(record.place()),
        },
        State::Overdue(first) => {
            let against = step.intervals.get(*first)?;
            Standing {
                state: DueState::Overdue,
                due: Some(against.due),
                by: counted_by(&against.used),
                at: done.map(|done| done.place),
            }
        }
        State::Current => match (next, step.let_pass) {
            (Some(against), _) => Standing {
                state: DueState::ComingDue,
                due: Some(against.due),
                by: counted_by(&against.used),
                at: done.map(|done| done.place),
            },
            (None, Some((_, place))) => Standing {
                state: DueState::Waived,
                due: done.map(|done| done.day),
                by: DueBy::Finding,
                at: Some(place),
            },
            (None, None) => return None,
        },
    })
}

const fn counted_by(used: &Used) -> DueBy {
    match used {
        Used::Calendar { .. } => DueBy::Calendar,
        Used::Hours { .. } => DueBy::Hours,
        Used::Applications { .. } => DueBy::Applications,
    }
}
