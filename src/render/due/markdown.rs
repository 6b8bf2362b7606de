//! The nightly list as the body of an issue: a task list by course and machine.
//!
//! Text from a record stands in code spans alone, where nothing in it is a mention, a reference, a link or markup.
//! What does not fit is counted, never dropped in silence.

use crate::render::Harmless;
use crate::render::due::grouping;
use crate::render::due::wording;
use crate::render::format::{Format, nothing};
use crate::render::marked::span;
use crate::report::{DueList, DueStep};
use crate::words::phrases::{list_and_more, plural};

/// Characters of the list at most. The body of an issue may have 65,536; the rest is for what `action/nightly` writes
/// around the list.
const MOST: usize = 60_000;

/// Characters kept for the end, which is always told.
const END: usize = 2_048;

/// Characters of a reason or an interval at most.
const MOST_OF_A_TEXT: usize = 1_000;

/// Characters of a name, or of a note at the top, at most.
const MOST_OF_A_NAME: usize = 300;

/// So many machines that are not ready to spray, and so many notes, stand at the top; of others only how many.
const MOST_AT_TOP: usize = 25;

/// The format.
pub(super) static FORMAT: Format<DueList> = Format {
    name: "markdown",
    about: "A task list, for the body of an issue",
    write: |made, _| due_markdown(made),
    leaves_out: nothing,
};

/// The list as the body of an issue.
pub fn due_markdown(due: &DueList) -> Harmless {
    let mut body = Body::default();
    body.add(&format!("**{}.**\n", wording::totals(due)));
    body.add(&not_ready_to_spray(due));
    body.add(&not_known(due));
    body.add(&notes(due));
    let mut n_left = 0;
    for course in grouping::courses(due) {
        let mut heading = course_heading(course);
        for machine in grouping::machines(course) {
            heading.push_str(&machine_heading(machine));
            for step in machine {
                let item = item(due, step);
                if n_left == 0 && body.fits(&heading, &item) {
                    body.add(&heading);
                    body.add(&item);
                    heading.clear();
                } else {
                    n_left += 1;
                }
            }
        }
    }
    if n_left > 0 {
        body.add(&format!(
            "\n{} more: run `swathlint due` to see all.\n",
            plural(n_left, "step")
        ));
    }
    if !due.steps.is_empty() {
        let marks = wording::legend(due).join("\n- ");
        body.add(&format!(
            "\nMarks:\n\n- {marks}\n\nChecking a box here changes nothing. A step is done when a record shows the test.\n\n*{}.*\n",
            wording::before_any(due)
        ));
    }
    Harmless::lines(&body.out)
}

/// What is written so far, and how long it is as the service counts.
#[derive(Debug, Default)]
struct Body {
    out: String,
    length: usize,
}

impl Body {
    fn add(&mut self, text: &str) {
        self.out.push_str(text);
        self.length += length(text);
    }

    /// Whether there is room for both, and for the end behind them.
    fn fits(&self, heading: &str, item: &str) -> bool {
        self.length + length(heading) + length(item) + END <= MOST
    }
}

/// The length in units of 16 bits, which is no less than the number of characters.
fn length(text: &str) -> usize {
    text.encode_utf16().count()
}

/// Which machines are not ready to spray.
fn not_ready_to_spray(due: &DueList) -> String {
    let machines = grouping::not_ready_to_spray(due);
    let names: Vec<String> = machines
        .iter()
        .map(|(machine, _)| span(machine, MOST_OF_A_NAME))
        .collect();
    if names.is_empty() {
        return String::new();
    }
    let named = &names[..names.len().min(MOST_AT_TOP)];
    let named = list_and_more(named, names.len() - named.len(), "and");
    format!("\n**{}:** {named}.\n", wording::NOT_READY)
}

/// Of which machines nobody knows whether they are ready to spray.
fn not_known(due: &DueList) -> String {
    let machines = due.broken.iter();
    let names: Vec<String> = machines
        .map(|broken| {
            let why = span(&wording::why_not_known(broken), MOST_OF_A_NAME);
            format!("{}, {why}", span(&broken.machine, MOST_OF_A_NAME))
        })
        .collect();
    if names.is_empty() {
        return String::new();
    }
    let named = &names[..names.len().min(MOST_AT_TOP)];
    let more = match names.len() - named.len() {
        0 => String::new(),
        n => format!("; {n} more"),
    };
    format!(
        "\n**{}:** {}{more}.\n",
        wording::NOT_KNOWN,
        named.join("; ")
    )
}

/// What else is not known, one note each.
fn notes(due: &DueList) -> String {
    let notes = wording::notes(due);
    let told = notes.iter().take(MOST_AT_TOP);
    let mut lines: Vec<String> = told
        .map(|note| format!("- {}\n", span(note, MOST_OF_A_NAME)))
        .collect();
    if lines.len() < notes.len() {
        lines.push(format!("- {} more like these\n", notes.len() - lines.len()));
    }
    if !lines.is_empty() {
        lines.insert(0, "\n".to_owned());
    }
    lines.concat()
}

fn course_heading(steps: &[DueStep]) -> String {
    let course = steps.first().and_then(|step| step.course.as_deref());
    let course = course.map_or_else(
        || wording::NO_COURSE.to_owned(),
        |course| span(course, MOST_OF_A_NAME),
    );
    format!("\n### {course}\n")
}

fn machine_heading(steps: &[DueStep]) -> String {
    let machine = steps
        .first()
        .map_or_else(String::new, |step| span(&step.machine, MOST_OF_A_NAME));
    let bring = match grouping::bring(steps) {
        things if things.is_empty() => String::new(),
        things => format!("\n  bring: {}", span(&things.join(", "), MOST_OF_A_TEXT)),
    };
    let cautions = match grouping::cautions(steps) {
        cautions if cautions.is_empty() => String::new(),
        cautions => format!("\n  caution: {}", cautions.join("; ")),
    };
    format!("\n**{machine}**{bring}{cautions}\n\n")
}

fn item(due: &DueList, step: &DueStep) -> String {
    let setup = step.setup.as_ref().map_or_else(String::new, |setup| {
        format!(" ({})", span(setup, MOST_OF_A_NAME))
    });
    let when = wording::when(step, due).map_or_else(String::new, |when| format!(", {when}"));
    let by = wording::made_due_by(step, |interval| span(interval, MOST_OF_A_TEXT));
    let at = step.at.as_ref().map_or_else(String::new, |at| {
        let place = format!("{}:{}:{}", at.path, at.line, at.column);
        format!("; at {}", span(&place, MOST_OF_A_TEXT))
    });
    let to_do = step.to_do.as_ref().map_or_else(String::new, |to_do| {
        format!("  do: {}\n", span(to_do, MOST_OF_A_TEXT))
    });
    let waived: Vec<String> = step
        .waived
        .iter()
        .map(|waiver| {
            let waived = wording::waived(waiver, |text| span(text, MOST_OF_A_TEXT));
            format!("  waived: {waived}\n")
        })
        .collect();
    let waived = waived.concat();
    let target = step.target.as_ref().map_or_else(String::new, |target| {
        format!("  target: {}\n", span(target, MOST_OF_A_TEXT))
    });
    format!(
        "- [ ] {} {}: {}{setup}{when}\n  why: {}\n{to_do}{waived}{target}  made due by: {by}{at}\n",
        wording::shape(step.state),
        step.state.word(),
        step.step,
        span(&step.because, MOST_OF_A_TEXT),
    )
}
