//! The words and shapes that the formats of the nightly list share.

use crate::render::clean;
use crate::render::due::grouping::in_state;
use crate::render::format::could_not_read;
use crate::report::{
    BrokenMachine, DueBy, DueList, DueState, DueStep, DueWaiver, HoursUnread, LaidUpMachine,
    RowPlace, TestNotCounted, ToFillIn, UnsureMachine, WhyHoursUnread,
};
use crate::words::dates;
use crate::words::phrases::{list, list_and_more, plural};
use jiff::Span;
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Whose word counts for more than this list.
const LABEL: &str = "the label is the law, and local codes and the license holder decide";

/// What is said of a machine while a step of it forbids spraying.
pub(super) const NOT_READY: &str = "not ready to spray";

/// Where a machine has no course.
pub(super) const NO_COURSE: &str = "no course named";

/// What is said of a machine whose own file has errors.
pub(super) const NOT_KNOWN: &str = "not known whether ready to spray";

/// A state's shape: squares where the machine is not ready to spray, triangles where time or a look is asked for, a circle
/// where a waiver is in force.
pub(super) const fn shape(state: DueState) -> char {
    match state {
        DueState::NeverDone => '□',
        DueState::Void => '▧',
        DueState::Failing => '■',
        DueState::RecordToCorrect => '▤',
        DueState::Overdue => '▶',
        DueState::Recheck => '◁',
        DueState::ComingDue => '▹',
        DueState::Waived => '○',
    }
}

/// What a state means, as the legend has it.
const fn meaning(state: DueState) -> &'static str {
    match state {
        DueState::NeverDone => "no record shows it",
        DueState::Void => "work made it invalid",
        DueState::Failing => "its last test found an error",
        DueState::RecordToCorrect => "the record of its last test has a mistake",
        DueState::Overdue => "its interval has run out",
        DueState::Recheck => "work may have changed it",
        DueState::ComingDue => "its interval runs out soon, or with the next spraying",
        DueState::Waived => "its last test found an error, and a waiver is in force",
    }
}

/// What the work may never be begun without.
pub(super) fn before_any(due: &DueList) -> String {
    format!("before you start: {}; {LABEL}", due.cautions.join("; "))
}

/// What to take care of in a step: its own, then what holds for every step.
pub(super) fn cautions<'s>(step: &'s DueStep, due: &'s DueList) -> Vec<&'s str> {
    step.cautions.iter().chain(due.cautions).copied().collect()
}

/// The marks that the list has, each with its state and what that means.
pub(super) fn legend(due: &DueList) -> Vec<String> {
    let used = DueState::ALL
        .into_iter()
        .filter(|state| in_state(due, *state) > 0);
    used.map(|state| format!("{} {}: {}", shape(state), state.word(), meaning(state)))
        .collect()
}

/// What the list says beside the steps, for formats that hold nothing but steps: each in one line.
pub fn due_not_told(due: &DueList) -> Vec<String> {
    let broken = due.broken.iter();
    let broken = broken.map(|broken| {
        format!(
            "{NOT_KNOWN}: {}, {}",
            clean::text(&broken.machine),
            why_not_known(broken)
        )
    });
    broken.chain(notes(due)).collect()
}

/// The same, but for machines of which nobody knows whether they are ready to spray.
pub(super) fn notes(due: &DueList) -> Vec<String> {
    let failures = due.failures.iter().map(could_not_read);
    let unsure = due.unsure.iter().map(not_known);
    let laid_up = due.laid_up.iter().map(laid_up);
    let hours_unread = due.hours_unread.iter().map(hours_unread);
    let not_counted = untold(due).map(not_counted);
    let told: BTreeSet<&RowPlace> = untold(due).map(|test| &test.at).collect();
    let not_filled_in = due.not_filled_in.iter();
    let not_filled_in = not_filled_in.filter(|empty| !told.contains(&empty.at));
    let not_filled_in = not_filled_in.map(not_filled_in_at);
    may_change(due)
        .into_iter()
        .chain(failures)
        .chain(unsure)
        .chain(laid_up)
        .chain(hours_unread)
        .chain(not_counted)
        .chain(not_filled_in)
        .collect()
}

/// What is wrong with the file of a machine.
pub(super) fn why_not_known(broken: &BrokenMachine) -> String {
    let errors = broken.errors.len();
    if !broken.has_file {
        return "which has no machine file".to_owned();
    }
    if broken.is_record {
        let at = places(&broken.errors);
        return format!("of which a record cannot be read, at {at}");
    }
    if errors == 0 {
        return "whose machine file could not be read".to_owned();
    }
    format!(
        "whose machine file has {}, at {}",
        plural(errors, "error"),
        places(&broken.errors)
    )
}

/// The tests that do not count and of which no step of the list tells.
fn untold(due: &DueList) -> impl Iterator<Item = &TestNotCounted> {
    let not_counted = due.not_counted.iter();
    not_counted.filter(|test| !test.is_told_by_step)
}

/// That a test does not count, why, and which one does.
fn not_counted(test: &TestNotCounted) -> String {
    let RowPlace { path, line, column } = &test.at;
    let whose = match &test.setup {
        Some(setup) => format!("{} ({setup})", test.machine),
        None => test.machine.clone(),
    };
    let counts = test.counts.map_or_else(String::new, |day| {
        format!("; the one of {} still counts", dates::date(day))
    });
    let [whose, says, path] = [&*whose, &test.says, path].map(clean::text);
    format!("{whose}: {says}{counts}, at {path}:{line}:{column}")
}

/// What is begun in a record, and where.
fn not_filled_in_at(ToFillIn { at, what }: &ToFillIn) -> String {
    let RowPlace { path, line, column } = at;
    let (what, path) = (clean::text(what), clean::text(path));
    format!("{what}, at {path}:{line}:{column}")
}

/// Until when a machine is laid up, and what it needs before it sprays again.
fn laid_up(laid_up: &LaidUpMachine) -> String {
    let LaidUpMachine {
        machine,
        until,
        waiting,
    } = laid_up;
    let mut said = format!(
        "laid up until {}: {}",
        dates::date(*until),
        clean::text(machine)
    );
    if !waiting.is_empty() {
        let steps: Vec<String> = waiting
            .iter()
            .map(|waiting| {
                let named = named(waiting.step, waiting.setup.as_deref());
                format!("{} {}", clean::text(&named), waiting.state.word())
            })
            .collect();
        said.push_str("; before it sprays again: ");
        said.push_str(&list(&steps, "and"));
    }
    said
}

/// Which steps never come due by hours, and why.
fn hours_unread(unread: &HoursUnread) -> String {
    let HoursUnread {
        machine,
        why,
        steps,
    } = unread;
    let all: Vec<String> = steps
        .iter()
        .map(|(step, setup)| clean::text(&named(step, setup.as_deref())).into_owned())
        .collect();
    let steps = format!("{} of {}", list(&all, "and"), clean::text(machine));
    let never = if all.len() == 1 {
        "never comes"
    } else {
        "never come"
    };
    let cannot = |went: &str, day: &Date| {
        format!(
            "not known whether due by hours: {steps}; hours cannot be counted: the meter {went} on {}; correct the reading, \
             or record the change of the hour meter",
            dates::date(*day)
        )
    };
    match why {
        WhyHoursUnread::NotRead => format!(
            "{steps} {never} due by hours: no engine hours were read since; write `hours` in its records"
        ),
        WhyHoursUnread::NoForecast => format!(
            "no date by hours: {steps}; the hour readings are too close together for a forecast; write `hours` in its next records"
        ),
        WhyHoursUnread::WentBack(day) => cannot("went back", day),
        WhyHoursUnread::Jumped(day) => cannot("jumped", day),
    }
}

/// Which steps a machine may have, and what its machine file does not say.
fn not_known(unsure: &UnsureMachine) -> String {
    let UnsureMachine {
        machine,
        steps,
        says_nothing_of,
    } = unsure;
    format!(
        "not known whether due: {} of {}, whose machine file says nothing of {}",
        list(steps, "and"),
        clean::text(machine),
        list(says_nothing_of, "and"),
    )
}

/// That errors on the records may hide or make steps; none where there are no errors.
fn may_change(due: &DueList) -> Option<String> {
    let errors = &due.errors;
    (!errors.is_empty()).then(|| {
        format!(
            "{} on the records may change this list, at {}: run `swathlint check`",
            plural(errors.len(), "error"),
            places(errors)
        )
    })
}

/// So many places are named; of others only how many.
const MOST_NAMED: usize = 8;

fn places(errors: &[RowPlace]) -> String {
    let named = errors.iter().take(MOST_NAMED);
    let at: Vec<String> = named
        .map(|RowPlace { path, line, column }| format!("{}:{line}:{column}", clean::text(path)))
        .collect();
    list_and_more(&at, errors.len() - at.len(), "and")
}

/// What it comes to.
pub(super) fn totals(due: &DueList) -> String {
    if due.records == 0 && due.steps.is_empty() {
        return "nothing was looked at: there are no records".to_owned();
    }
    let until = until(due);
    let incomplete = if due.has_errors() {
        Some("errors keep records from counting")
    } else {
        due.has_unknown_hours()
            .then_some("hours of use are not known")
    };
    if let Some(incomplete) = incomplete.filter(|_| due.steps.is_empty()) {
        return format!("the list is not complete: {incomplete}; nothing else is due by {until}");
    }
    if due.steps.is_empty() {
        return format!(
            "nothing is due by {until}: {} current in {}{}",
            plural(due.current, "step"),
            plural(due.records, "record"),
            after_current(due),
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
        after_current(due),
    )
}

/// What keeps current steps from being all there is to say.
fn after_current(due: &DueList) -> String {
    let newer = match untold(due).count() {
        0 => String::new(),
        1 => "; 1 newer test does not count".to_owned(),
        n => format!("; {n} newer tests do not count"),
    };
    format!("{newer}{}", without_interval(due))
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
    named(step.step, step.setup.as_deref())
}

fn named(step: &str, setup: Option<&str>) -> String {
    match setup {
        Some(setup) => format!("{step} ({setup})"),
        None => step.to_owned(),
    }
}

/// `until 2026-05-15: new tips on order (nozzle-off-mean)`; reason and rule, which are not cleaned, are put in by `text`.
pub(super) fn waived(waiver: &DueWaiver, text: impl Fn(&str) -> String) -> String {
    let mut said = match waiver.until {
        Some(day) => format!("until {}", dates::date(day)),
        None => "for a time that is not known".to_owned(),
    };
    if let Some(because) = &waiver.because {
        said.push_str(": ");
        said.push_str(&text(because));
    }
    format!("{said} ({})", text(&waiver.rule))
}

/// The day of a step and how far it is away: `due 2026-05-12 (20 days ago)`.
pub(super) fn when(step: &DueStep, due: &DueList) -> Option<String> {
    let day = step.due?;
    let is_past = day <= due.today;
    let lead = match step.state {
        DueState::Void => "since",
        DueState::Failing | DueState::RecordToCorrect | DueState::Waived => "since the visit of",
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
