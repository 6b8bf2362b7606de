//! The words and shapes that the formats of the nightly list share.

use crate::render::clean;
use crate::render::due::grouping::in_state;
use crate::render::format::could_not_read;
use crate::report::{DueBy, DueList, DueState, DueStep, RowPlace, UnsureMachine};
use crate::words::dates;
use crate::words::phrases::{list, list_and_more, plural};
use jiff::Span;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// What the work may never be begun without.
pub(super) const CAUTION: &str = "before any of it: rinse tank and lines, use clean water, wear gloves, eye protection and \
    whatever else the label asks for; the label is the law, and local codes and whoever holds the license decide";

/// What is said of a machine while a step of it forbids spraying.
pub(super) const NOT_READY: &str = "not ready to spray";

/// Where a machine has no course.
pub(super) const NO_COURSE: &str = "no course named";

/// A state's shape: squares where the machine is not ready to spray, triangles where time or a look is asked for.
pub(super) const fn shape(state: DueState) -> char {
    match state {
        DueState::NeverDone => '□',
        DueState::Void => '▧',
        DueState::Failing => '■',
        DueState::Overdue => '▶',
        DueState::Recheck => '◁',
        DueState::ComingDue => '▹',
    }
}

/// What the list says beside the steps, for formats that hold nothing but steps: each in one line.
pub fn due_not_told(due: &DueList) -> Vec<String> {
    let failures = due.failures.iter().map(could_not_read);
    let unsure = due.unsure.iter().map(not_known);
    may_change(due)
        .into_iter()
        .chain(failures)
        .chain(unsure)
        .collect()
}

/// Which steps a machine may have, and what its sheet does not say.
fn not_known(unsure: &UnsureMachine) -> String {
    let UnsureMachine {
        machine,
        steps,
        says_nothing_of,
    } = unsure;
    format!(
        "not known whether due: {} of {}, whose sheet says nothing of {}",
        list(steps, "and"),
        clean::text(machine),
        list(says_nothing_of, "and"),
    )
}

/// That errors on the records may hide or make steps; none where there are no errors.
fn may_change(due: &DueList) -> Option<String> {
    const MOST_NAMED: usize = 8;
    let errors = &due.errors;
    let named = errors.iter().take(MOST_NAMED);
    let at: Vec<String> = named
        .map(|RowPlace { path, line, column }| format!("{}:{line}:{column}", clean::text(path)))
        .collect();
    (!errors.is_empty()).then(|| {
        format!(
            "{} on the records may change this list, at {}: run `swathlint check`",
            plural(errors.len(), "error"),
            list_and_more(&at, errors.len() - at.len(), "and")
        )
    })
}

/// What it comes to.
pub(super) fn totals(due: &DueList) -> String {
    if due.records == 0 && due.steps.is_empty() {
        return "nothing was looked at: there are no records".to_owned();
    }
    let until = until(due);
    if due.steps.is_empty() && !due.errors.is_empty() {
        return format!(
            "not a complete list: errors keep records from counting; of the rest nothing is due by {until}"
        );
    }
    if due.steps.is_empty() {
        return format!(
            "nothing is due by {until}: {} current in {}{}",
            plural(due.current, "step"),
            plural(due.records, "record"),
            without_interval(due),
        );
    }
    let machines: BTreeSet<&str> = due.steps.iter().map(|step| &*step.machine).collect();
    let states: Vec<String> = DueState::ALL
        .into_iter()
        .filter_map(|state| {
            let n = in_state(due, state);
            (n > 0).then(|| format!("{n} {}", state.word()))
        })
        .collect();
    format!(
        "{} of {} due by {until}: {}; {} current{}",
        plural(due.steps.len(), "step"),
        plural(machines.len(), "machine"),
        states.join(", "),
        due.current,
        without_interval(due),
    )
}

/// That no interval would ever make some steps due; nothing where each has one.
fn without_interval(due: &DueList) -> String {
    match due.without_interval {
        0 => String::new(),
        n => format!(
            "; {} without an interval, which no rule ever makes due",
            plural(n, "step")
        ),
    }
}

/// The last day the list looks at.
fn until(due: &DueList) -> String {
    let ahead = Span::new().try_days(due.within_days);
    let last = ahead.and_then(|ahead| due.today.checked_add(ahead));
    dates::date(last.unwrap_or(Date::MAX))
}

/// `catch test (greens)`: the step with the setup where it has one, which is not cleaned.
pub(super) fn name(step: &DueStep) -> String {
    match &step.setup {
        Some(setup) => format!("{} ({setup})", step.step),
        None => step.step.to_owned(),
    }
}

/// The day of a step and how far it is away: `due 2026-05-12 (20 days ago)`.
pub(super) fn when(step: &DueStep, due: &DueList) -> Option<String> {
    let day = step.due?;
    let is_past = day <= due.today;
    let lead = match step.state {
        DueState::Void => "since",
        DueState::Failing => "since the visit of",
        DueState::Recheck if is_past => "since",
        DueState::ComingDue if is_past && step.by != DueBy::Calendar => "used up on",
        DueState::NeverDone | DueState::Overdue | DueState::Recheck | DueState::ComingDue => "due",
    };
    let days = (day - due.today).get_days();
    let n = plural(days.unsigned_abs() as usize, "day");
    let away = match days {
        0 => "today".to_owned(),
        _ if is_past => format!("{n} ago"),
        _ => format!("in {n}"),
    };
    Some(format!("{lead} {} ({away})", dates::date(day)))
}

/// What makes a step due first, with when it was last done; the interval, which is not cleaned, is put in by `interval`.
pub(super) fn made_due_by(step: &DueStep, interval: impl Fn(&str) -> String) -> String {
    let mut said = step.by.word().to_owned();
    if let Some(text) = &step.interval {
        said.push_str("; interval ");
        said.push_str(&interval(text));
    }
    if let Some(day) = step.last_done {
        said.push_str("; last done ");
        said.push_str(&dates::date(day));
    }
    said
}
