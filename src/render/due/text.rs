//! The nightly list for a person at a terminal or reading a log.
//!
//! Decides nothing about what is due, and cuts nothing.

use crate::render::due::grouping;
use crate::render::due::wording;
use crate::render::format::{Format, nothing};
use crate::render::ink::{INDENT, Ink, Look};
use crate::render::{Harmless, clean};
use crate::report::{DueBy, DueList, DueState, DueStep, RowPlace};
use crate::words::dates;
use crate::words::phrases::{list, plural};

/// The format.
pub(super) static FORMAT: Format<DueList> = Format {
    name: "text",
    about: "For people: by course and machine, with the reason and what to bring",
    write: due_text,
    leaves_out: nothing,
};

/// The list by course and machine, then what is not known, then what it comes to.
pub fn due_text(due: &DueList, look: &Look) -> Harmless {
    let mut out = String::new();
    if !due.steps.is_empty() {
        out.push_str(&look.paragraph(Ink::Caption, &heading(due), "", INDENT));
        out.push('\n');
    }
    out.push_str(&not_ready_to_spray(due, *look));
    out.push_str(&not_known(due, *look));
    if !due.steps.is_empty() {
        for course in grouping::courses(due) {
            out.push_str(&of_course(due, course, *look));
        }
    }
    let notes = wording::notes(due);
    for line in &notes {
        out.push_str(&look.paragraph(Ink::Caption, "", line, INDENT));
    }
    if !notes.is_empty() {
        out.push('\n');
    }
    if !due.steps.is_empty() {
        out.push_str(&legend(due, *look));
        out.push_str(&look.paragraph(Ink::Caption, "", &wording::before_any(due), INDENT));
        out.push('\n');
    }
    out.push_str(&look.paragraph(Ink::Caption, "", &wording::totals(due), INDENT));
    Harmless::painted(&out, look)
}

fn heading(due: &DueList) -> String {
    let today = dates::date(due.today);
    match due.within_days {
        0 => format!("due on {today}"),
        days => format!(
            "due on {today} or in the {} after it",
            plural(days as usize, "day")
        ),
    }
}

/// Which machines are not ready to spray, and for which steps.
fn not_ready_to_spray(due: &DueList, look: Look) -> String {
    let machines = grouping::not_ready_to_spray(due);
    if machines.is_empty() {
        return String::new();
    }
    let heading = format!("{}:", wording::NOT_READY);
    let mut out = look.paragraph(Ink::Error, &heading, "", INDENT);
    for (machine, steps) in machines {
        let steps: Vec<String> = steps
            .into_iter()
            .map(|step| format!("{} {}", wording::name(step), step.state.word()))
            .collect();
        let (machine, steps) = (clean::text(machine), list(&steps, "and"));
        let lead = format!("{:INDENT$}{machine}: ", "");
        out.push_str(&look.paragraph(Ink::Error, &lead, &clean::text(&steps), 2 * INDENT));
    }
    out.push('\n');
    out
}

/// Of which machines nobody knows whether they are ready to spray, and why.
fn not_known(due: &DueList, look: Look) -> String {
    if due.broken.is_empty() {
        return String::new();
    }
    let heading = format!("{}:", wording::NOT_KNOWN);
    let mut out = look.paragraph(Ink::Error, &heading, "", INDENT);
    for broken in &due.broken {
        let lead = format!("{:INDENT$}{}, ", "", clean::text(&broken.machine));
        let why = wording::why_not_known(broken);
        out.push_str(&look.paragraph(Ink::Error, &lead, &why, 2 * INDENT));
    }
    out.push('\n');
    out
}

/// What the marks of the list mean.
fn legend(due: &DueList, look: Look) -> String {
    let marks = wording::legend(due);
    let mut out: String = marks
        .iter()
        .map(|mark| look.paragraph(Ink::Caption, "", mark, INDENT))
        .collect();
    out.push('\n');
    out
}

fn of_course(due: &DueList, steps: &[DueStep], look: Look) -> String {
    let course = steps.first().and_then(|step| step.course.as_deref());
    let course = clean::text(course.unwrap_or(wording::NO_COURSE));
    let mut out = look.paragraph(Ink::Caption, &course, "", INDENT);
    for machine in grouping::machines(steps) {
        out.push_str(&of_machine(due, machine, look));
        out.push('\n');
    }
    out
}

fn of_machine(due: &DueList, steps: &[DueStep], look: Look) -> String {
    let mut out = String::new();
    if let Some(first) = steps.first() {
        let machine = format!("{:INDENT$}{}", "", clean::text(&first.machine));
        out.push_str(&look.paragraph(Ink::Caption, &machine, "", 2 * INDENT));
    }
    for step in steps {
        out.push_str(&of_step(due, step, look));
    }
    let bring = grouping::bring(steps);
    if !bring.is_empty() {
        let lead = format!("{:1$}bring: ", "", 2 * INDENT);
        let bring = clean::text(&bring.join(", ")).into_owned();
        out.push_str(&look.paragraph(Ink::Caption, &lead, &bring, 3 * INDENT));
    }
    let cautions = grouping::cautions(steps);
    if !cautions.is_empty() {
        let lead = format!("{:1$}caution: ", "", 2 * INDENT);
        out.push_str(&look.paragraph(Ink::Caption, &lead, &cautions.join("; "), 3 * INDENT));
    }
    out
}

fn of_step(due: &DueList, step: &DueStep, look: Look) -> String {
    let lead = format!(
        "{:3$}{} {}: ",
        "",
        wording::shape(step.state),
        step.state.word(),
        2 * INDENT
    );
    let when = wording::when(step, due).map_or_else(String::new, |when| format!(", {when}"));
    let what = format!("{}{when}", clean::text(&wording::name(step)));
    let mut out = look.paragraph(ink(step.state), &lead, &what, 3 * INDENT);
    let mut captioned = |caption: &str, text: &str| {
        let lead = format!("{:1$}{caption}", "", 3 * INDENT);
        out.push_str(&look.paragraph(Ink::Caption, &lead, text, 4 * INDENT));
    };
    captioned("why: ", &clean::text(&step.because));
    if let Some(to_do) = &step.to_do {
        captioned("do: ", &clean::text(to_do));
    }
    for waiver in &step.waived {
        let waived = wording::waived(waiver, |text| clean::text(text).into_owned());
        captioned("waived: ", &waived);
    }
    if let Some(target) = &step.target {
        captioned("target: ", &clean::text(target));
    }
    // Why it is due says since when, but where work or nothing made it so.
    match (&step.interval, step.by, step.last_done) {
        (Some(interval), _, _) => captioned("interval: ", &clean::text(interval)),
        (None, DueBy::Work, Some(day)) => captioned("last done: ", &dates::date(day)),
        (None, _, _) => {}
    }
    if let Some(RowPlace { path, line, column }) = &step.at {
        let place = format!(
            "{:2$}at {}:{line}:{column}",
            "",
            clean::text(path),
            3 * INDENT
        );
        out.push_str(&look.paragraph(Ink::Place, &place, "", 4 * INDENT));
    }
    out
}

/// The more weight, the more it matters that nobody sprays.
const fn ink(state: DueState) -> Ink {
    if state.forbids_spraying() {
        Ink::Error
    } else if matches!(state, DueState::Overdue) {
        Ink::Warning
    } else {
        Ink::Note
    }
}
