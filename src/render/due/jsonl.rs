//! The nightly list for other programs: one JSON object a step and one for the totals.
//!
//! Loses nothing: what could drive a terminal or a log is escaped, not replaced.

use crate::render::Harmless;
use crate::render::due::grouping;
use crate::render::format::{Format, nothing};
use crate::render::jsonl::push_line;
use crate::report::{
    BrokenMachine, DueList, DueState, DueStep, DueWaiver, Failure, HoursUnread, LaidUpMachine,
    RowPlace, TestNotCounted, ToFillIn, UnsureMachine, WaitingStep, WhyHoursUnread,
};
use crate::words::dates;
use serde::Serialize;
use std::collections::BTreeMap;

/// Changes when a field is renamed, removed or changes its meaning; not when one is added.
const SCHEMA_VERSION: u32 = 1;

/// The format.
pub(super) static FORMAT: Format<DueList> = Format {
    name: "jsonl",
    about: "For programs: one JSON object a step and one for the totals",
    write: |made, _| due_jsonl(made),
    leaves_out: nothing,
};

/// The list as JSON Lines: one object with `"kind": "step"` each, then one with `"kind": "summary"`.
pub fn due_jsonl(due: &DueList) -> Harmless {
    let mut out = String::new();
    for step in &due.steps {
        push_line(&mut out, &StepLine::new(step));
    }
    push_line(&mut out, &SummaryLine::new(due));
    Harmless::json(&out)
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct StepLine<'a> {
    kind: &'static str,
    schema_version: u32,
    machine: &'a str,
    course: Option<&'a str>,
    setup: Option<&'a str>,
    step: &'static str,
    state: &'static str,
    due: Option<String>,
    due_by: &'static str,
    because: &'a str,
    to_do: Option<&'a str>,
    interval: Option<&'a str>,
    last_done: Option<String>,
    place: Option<PlaceFields<'a>>,
    waived: Vec<WaiverFields<'a>>,
    bring: &'a [String],
    target: Option<&'a str>,
    cautions: &'a [&'static str],
    records_of_machine: u32,
    not_ready_to_spray: bool,
}

#[derive(Serialize)]
struct WaiverFields<'a> {
    rule: &'a str,
    until: Option<String>,
    because: Option<&'a str>,
    place: PlaceFields<'a>,
}

/// The first character of what is at the place: one-based.
#[derive(Serialize)]
struct PlaceFields<'a> {
    path: &'a str,
    line: u32,
    column: u32,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct SummaryLine<'a> {
    kind: &'static str,
    schema_version: u32,
    today: String,
    within_days: u32,
    due: usize,
    states: BTreeMap<&'static str, usize>,
    current: usize,
    without_interval: usize,
    not_known: Vec<UnsureFields<'a>>,
    not_known_whether_ready: Vec<BrokenFields<'a>>,
    laid_up: Vec<LaidUpFields<'a>>,
    hours_unread: Vec<HoursUnreadFields<'a>>,
    not_filled_in: Vec<ToFillInFields<'a>>,
    tests_not_counted: Vec<NotCountedFields<'a>>,
    cautions: &'static [&'static str],
    records: usize,
    errors: usize,
    errors_at: Vec<PlaceFields<'a>>,
    failures: Vec<FailureFields<'a>>,
    not_ready_to_spray: Vec<&'a str>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct UnsureFields<'a> {
    machine: &'a str,
    steps: &'a [&'static str],
    says_nothing_of: &'a [&'static str],
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct BrokenFields<'a> {
    machine: &'a str,
    has_file: bool,
    errors_at: Vec<PlaceFields<'a>>,
}

#[derive(Serialize)]
struct LaidUpFields<'a> {
    machine: &'a str,
    until: String,
    waiting: Vec<WaitingFields<'a>>,
}

#[derive(Serialize)]
struct WaitingFields<'a> {
    step: &'static str,
    setup: Option<&'a str>,
    state: &'static str,
}

#[derive(Serialize)]
struct HoursUnreadFields<'a> {
    machine: &'a str,
    why: &'static str,
    day: Option<String>,
    steps: Vec<StepFields<'a>>,
}

#[derive(Serialize)]
struct ToFillInFields<'a> {
    what: &'a str,
    place: PlaceFields<'a>,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct NotCountedFields<'a> {
    machine: &'a str,
    step: &'static str,
    setup: Option<&'a str>,
    day: String,
    is_begun: bool,
    because: &'a str,
    counts: Option<String>,
    place: PlaceFields<'a>,
}

#[derive(Serialize)]
struct StepFields<'a> {
    step: &'static str,
    setup: Option<&'a str>,
}

#[derive(Serialize)]
struct FailureFields<'a> {
    path: &'a str,
    reason: &'a str,
}

impl<'a> StepLine<'a> {
    fn new(step: &'a DueStep) -> Self {
        let DueStep {
            course,
            machine,
            setup,
            only_setup: _,
            step,
            of: _,
            state,
            due,
            by,
            because,
            to_do,
            interval,
            last_done,
            at,
            waived,
            bring,
            target,
            cautions,
            events,
        } = step;
        Self {
            kind: "step",
            schema_version: SCHEMA_VERSION,
            machine,
            course: course.as_deref(),
            setup: setup.as_deref(),
            step,
            state: state.word(),
            due: due.map(dates::date),
            due_by: by.word(),
            because,
            to_do: to_do.as_deref(),
            interval: interval.as_deref(),
            last_done: last_done.map(dates::date),
            place: at.as_ref().map(place_fields),
            waived: waived.iter().map(waiver_fields).collect(),
            bring,
            target: target.as_deref(),
            cautions,
            records_of_machine: *events,
            not_ready_to_spray: state.forbids_spraying(),
        }
    }
}

impl<'a> SummaryLine<'a> {
    fn new(due: &'a DueList) -> Self {
        let DueList {
            today,
            within_days,
            steps,
            sequence: _,
            current,
            without_interval,
            broken,
            laid_up,
            hours_unread,
            unsure,
            not_filled_in,
            not_counted,
            cautions,
            records,
            errors,
            failures,
        } = due;
        let not_known = |unsure: &'a UnsureMachine| UnsureFields {
            machine: &unsure.machine,
            steps: &unsure.steps,
            says_nothing_of: &unsure.says_nothing_of,
        };
        let failure = |Failure { path, reason }: &'a Failure| FailureFields { path, reason };
        Self {
            kind: "summary",
            schema_version: SCHEMA_VERSION,
            today: dates::date(*today),
            within_days: *within_days,
            due: steps.len(),
            states: DueState::ALL
                .into_iter()
                .map(|state| (state.word(), grouping::in_state(due, state)))
                .collect(),
            current: *current,
            without_interval: *without_interval,
            not_known: unsure.iter().map(not_known).collect(),
            not_known_whether_ready: broken.iter().map(broken_fields).collect(),
            laid_up: laid_up.iter().map(laid_up_fields).collect(),
            hours_unread: hours_unread.iter().map(hours_unread_fields).collect(),
            not_filled_in: not_filled_in.iter().map(to_fill_in_fields).collect(),
            tests_not_counted: not_counted.iter().map(not_counted_fields).collect(),
            cautions,
            records: *records,
            errors: errors.len(),
            errors_at: errors.iter().map(place_fields).collect(),
            failures: failures.iter().map(failure).collect(),
            not_ready_to_spray: grouping::not_ready_to_spray(due)
                .into_iter()
                .map(|(machine, _)| machine)
                .collect(),
        }
    }
}

fn waiver_fields(waiver: &DueWaiver) -> WaiverFields<'_> {
    let DueWaiver {
        rule,
        until,
        because,
        at,
    } = waiver;
    WaiverFields {
        rule,
        until: until.map(dates::date),
        because: because.as_deref(),
        place: place_fields(at),
    }
}

fn broken_fields(broken: &BrokenMachine) -> BrokenFields<'_> {
    let BrokenMachine {
        machine,
        has_file,
        errors,
        is_record: _,
    } = broken;
    BrokenFields {
        machine,
        has_file: *has_file,
        errors_at: errors.iter().map(place_fields).collect(),
    }
}

fn laid_up_fields(laid_up: &LaidUpMachine) -> LaidUpFields<'_> {
    let LaidUpMachine {
        machine,
        until,
        waiting,
    } = laid_up;
    let waiting = waiting.iter().map(|WaitingStep { step, setup, state }| {
        let (setup, state) = (setup.as_deref(), state.word());
        WaitingFields { step, setup, state }
    });
    LaidUpFields {
        machine,
        until: dates::date(*until),
        waiting: waiting.collect(),
    }
}

fn hours_unread_fields(unread: &HoursUnread) -> HoursUnreadFields<'_> {
    let HoursUnread {
        machine,
        why,
        steps,
    } = unread;
    let day = match why {
        WhyHoursUnread::NotRead | WhyHoursUnread::NoForecast => None,
        WhyHoursUnread::WentBack(day) | WhyHoursUnread::Jumped(day) => Some(dates::date(*day)),
    };
    let steps = steps.iter().map(|(step, setup)| StepFields {
        step,
        setup: setup.as_deref(),
    });
    HoursUnreadFields {
        machine,
        why: why.word(),
        day,
        steps: steps.collect(),
    }
}

fn to_fill_in_fields(ToFillIn { at, what }: &ToFillIn) -> ToFillInFields<'_> {
    ToFillInFields {
        what,
        place: place_fields(at),
    }
}

fn not_counted_fields(test: &TestNotCounted) -> NotCountedFields<'_> {
    let TestNotCounted {
        machine,
        setup,
        step,
        of: _,
        day,
        is_begun,
        says,
        counts,
        at,
        is_told_by_step: _,
    } = test;
    NotCountedFields {
        machine,
        step,
        setup: setup.as_deref(),
        day: dates::date(*day),
        is_begun: *is_begun,
        because: says,
        counts: counts.map(dates::date),
        place: place_fields(at),
    }
}

fn place_fields(RowPlace { path, line, column }: &RowPlace) -> PlaceFields<'_> {
    PlaceFields {
        path,
        line: *line,
        column: *column,
    }
}
