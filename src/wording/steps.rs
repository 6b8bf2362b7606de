//! Why a step is due, in words.

use super::facts::fact;
use super::findings;
use crate::assess::{HeldAgainst, State, StepStanding, UndoneBy, Used};
use crate::finding::Finding;
use crate::rule::{Limit, RuleSet};
use crate::words;
use jiff::civil::Date;

/// Why a step stands as it does, and what to do where that is more than to do the step.
#[derive(Debug, Clone, Default)]
pub struct Because {
    /// Why, in one line.
    pub because: String,
    /// What to do, beginning with a verb.
    pub to_do: Option<String>,
    /// The interval and who set it: `12 months, group decision of 2026-01-10`.
    pub interval: Option<String>,
}

impl Because {
    fn only(because: impl Into<String>) -> Self {
        Self {
            because: because.into(),
            ..Self::default()
        }
    }
}

/// Why a step that is due stands so; `left_failing` are the findings of its machine's visits.
///
/// A step that is current is due by `next`, the interval that runs out first.
pub fn because(
    step: &StepStanding,
    next: Option<&HeldAgainst>,
    left_failing: &[Finding],
    rules: &RuleSet,
    today: Date,
) -> Because {
    match &step.state {
        State::NeverDone => Because::only("no record shows that it was done"),
        State::UnreadVisit(_) => Because::only("a visit that cannot be read may be the latest"),
        State::Void(by) => Because {
            to_do: by
                .nozzles
                .as_ref()
                .map(|nozzles| format!("catch {} again at the working pressure", fact(nozzles))),
            ..undone(by)
        },
        State::Failing { finding, .. } => {
            let Some(finding) = left_failing.get(*finding) else {
                return Because::default();
            };
            let words = findings::words(finding, rules);
            Because {
                because: format!("{} [{}]", words.message(), words.rule()),
                to_do: words.help_text().map(str::to_owned),
                interval: None,
            }
        }
        State::Recheck(by) => undone(by),
        State::UnreadWork(_) => {
            Because::only("a service record that cannot be read may tell of work since")
        }
        State::Overdue(first) => interval_of(step, step.intervals.get(*first), today),
        State::Current => interval_of(step, next, today),
    }
}

fn undone(by: &UndoneBy) -> Because {
    Because::only(format!(
        "on {} {}; {}",
        words::dates::date(by.undone.day),
        fact(&by.work),
        by.undone.because
    ))
}

fn interval_of(step: &StepStanding, against: Option<&HeldAgainst>, today: Date) -> Because {
    let (Some(done), Some(against)) = (step.done, against) else {
        return Because::default();
    };
    let done = words::dates::date(done.day);
    let limit = &against.limit;
    let bound = limit.bound.in_words();
    let because = match &against.used {
        Used::Calendar => format!("last done on {done}, good for {bound}"),
        Used::Hours { hours, now } => {
            let used = words::numbers::number(*hours, 1);
            let read = words::dates::date(now.day);
            let day = words::dates::date(against.due);
            let forecast = if against.is_over {
                String::new()
            } else if against.due < today {
                format!("; by its use so far used up after {day}: read the hour-meter")
            } else {
                format!("; by its use so far good until {day}")
            };
            format!(
                "{used} h of use since {done}, good for {bound}; read {} on {read}{forecast}",
                now.quantity
            )
        }
        Used::Applications { made, is_used_up } => {
            let made = words::phrases::plural(*made, "application");
            let none_left = if *is_used_up { ": none is left" } else { "" };
            format!("{made} since {done}, good for {bound}{none_left}")
        }
    };
    Because {
        interval: Some(interval(&against.used, limit)),
        ..Because::only(because)
    }
}

/// The interval and who set it, why: `50 h of use, group decision of 2026-01-10`.
fn interval(used: &Used, limit: &Limit) -> String {
    let bound = limit.bound.in_words();
    let interval = match used {
        Used::Calendar => bound,
        Used::Hours { .. } => format!("{bound} of use"),
        Used::Applications { .. } if bound == "1" => "1 application".to_owned(),
        Used::Applications { .. } => format!("{bound} applications"),
    };
    let because = limit.set_at.as_ref().and_then(|set| set.because.as_ref());
    match because {
        Some(because) => format!("{interval}, {because}"),
        None => interval,
    }
}
