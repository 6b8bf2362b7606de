//! The report in Markdown, for the summary of a job or a comment: first what a superintendent needs, then the findings by
//! machine.
//!
//! Text from a record is inert: no markup, link, mention, reference or HTML. What does not fit is counted.

use crate::diagnostic::Severity;
use crate::render::beside::{self, Beside, Kind};
use crate::render::format::{Format, nothing};
use crate::render::found::{Found, worst_first};
use crate::render::marked::{cell_span, span, text};
use crate::render::{Harmless, ink, location, totals};
use crate::report::{NotReady, Report};
use crate::rule::is_guard;
use crate::source::Place;
use crate::wording::findings;
use crate::words::phrases::{self, plural};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::fmt::Write;

/// Bytes that the summary of a step may have at most.
const MOST: usize = 1024 * 1024;

/// Bytes of the machines that are not ready to spray, of the items of a kind, and of the notes behind the tables, at most.
const ROOM_OF_NOT_READY: usize = 200 * 1024;
const ROOM_OF_A_KIND: usize = 50 * 1024;
const ROOM_OF_NOTES: usize = 100 * 1024;

/// Bytes kept for the line that tells how many more there are.
const ROOM_OF_A_LINE: usize = 1024;

/// Characters of a name or a path at most.
const MOST_OF_A_NAME: usize = 300;

/// So many machines that are not ready to spray are named; of others only how many.
const MOST_NOT_READY: usize = 100;

/// So many items of a kind stand behind the tables; of others only how many.
const MOST_ITEMS: usize = 25;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "markdown",
    about: "For the summary of a job or a comment: which machines are not ready to spray, then the findings by machine",
    write: |made, _| markdown(made),
    leaves_out: nothing,
};

/// What no run may be taken for.
const CAUTION: &str = "A check that ends with 0 is neither an inspection nor permission to spray. \
    The label limits are the numbers that were typed in; the label is the law.";

fn markdown(report: &Report) -> Harmless {
    let totals = totals::in_repository(report);
    let mut out = format!(
        "## Sprayer calibration records\n\n**{}**\n\n",
        text(&totals.counts)
    );
    out.push_str(&not_ready(report));
    writeln(&mut out, format_args!("*{CAUTION}*"));
    let mut end: String = Kind::ALL
        .into_iter()
        .map(|kind| items(report, kind))
        .collect();
    if !totals.notes.is_empty() {
        end.push_str("\n### Not checked, or not shown\n\n");
        let mut lines = Lines::new(ROOM_OF_NOTES, 2 * MOST_ITEMS);
        for note in &totals.notes {
            lines.add(&format!("- {}\n", text(&note.line())));
        }
        end.push_str(&lines.end(|n| format!("- {n} more in `--format jsonl`\n")));
    }
    let room = MOST.saturating_sub(out.len() + end.len() + ROOM_OF_A_LINE);
    out.push_str(&tables(report, room));
    out.push_str(&end);
    Harmless::lines(&out)
}

fn writeln(out: &mut String, line: std::fmt::Arguments<'_>) {
    writeln!(out, "{line}").expect("writing to a string does not fail");
}

/// Lines as far as there is room, and how many there is none for.
struct Lines {
    out: String,
    room: usize,
    most: usize,
    n_left: usize,
}

impl Lines {
    /// Room for so many bytes and so many lines.
    fn new(room: usize, most: usize) -> Self {
        Self {
            out: String::new(),
            room,
            most,
            n_left: 0,
        }
    }

    /// Adds a line where there is room; behind one that has none, no other is added.
    fn add(&mut self, line: &str) -> bool {
        let fits = self.n_left == 0 && 0 < self.most && self.out.len() + line.len() <= self.room;
        if fits {
            self.out.push_str(line);
            self.most -= 1;
        } else {
            self.n_left += 1;
        }
        fits
    }

    /// All that was added, and what is said of the rest.
    fn end(self, more: impl FnOnce(usize) -> String) -> String {
        match self.n_left {
            0 => self.out,
            n => self.out + &more(n),
        }
    }
}

/// Which machines are not ready to spray, and of which nobody knows, each with why.
fn not_ready(report: &Report) -> String {
    let is_forbidden = |one: &&NotReady| one.steps.iter().any(|step| step.state.forbids_spraying());
    let all = report.not_ready.iter();
    let (forbidden, others): (Vec<&NotReady>, Vec<_>) = all.partition(is_forbidden);
    let (unknown, overdue): (Vec<&NotReady>, Vec<_>) =
        others.into_iter().partition(|one| one.is_unknown);
    let mut out = String::new();
    for (caption, machines) in [
        ("Not ready to spray", &forbidden),
        ("Not known whether ready to spray", &unknown),
        ("Overdue", &overdue),
    ] {
        let mut lines = Lines::new(ROOM_OF_NOT_READY, MOST_NOT_READY);
        for machine in machines {
            lines.add(&format!("- {}\n", why_not_ready(machine)));
        }
        if !machines.is_empty() {
            let n = plural(machines.len(), "machine");
            let lines =
                lines.end(|n| format!("- {}: run `swathlint due`\n", plural(n, "more machine")));
            writeln(&mut out, format_args!("**{caption}: {n}**\n\n{lines}"));
        }
    }
    if out.is_empty() {
        return "No machine checked here has a test that is missing, void, failing, or overdue.\n\n"
            .to_owned();
    }
    out
}

fn why_not_ready(not_ready: &NotReady) -> String {
    let NotReady {
        machine,
        steps,
        is_unknown,
    } = not_ready;
    let unknown =
        is_unknown.then(|| "its machine file or a record cannot be read, or has errors".to_owned());
    let steps = steps.iter().map(|step| {
        let setup = step.setup.as_ref();
        let setup = setup.map_or_else(String::new, |setup| {
            format!(" ({})", span(setup, MOST_OF_A_NAME))
        });
        let state = step.state.word();
        format!("{}{setup} {state}: {}", step.step, text(&step.because))
    });
    let why: Vec<String> = unknown.into_iter().chain(steps).collect();
    format!("{}: {}", span(machine, MOST_OF_A_NAME), why.join("; "))
}

/// The findings by machine, the worst machine first, as far as there is room.
fn tables(report: &Report, room: usize) -> String {
    let found = worst_first(report);
    let mut by_machine: BTreeMap<Option<&str>, Vec<&Found<'_>>> = BTreeMap::new();
    for one in &found {
        by_machine.entry(one.told.machine()).or_default().push(one);
    }
    let mut machines: Vec<_> = by_machine.into_iter().collect();
    machines.sort_by_key(|(machine, found)| {
        let heaviest = found.iter().map(|one| one.told.heaviest()).max();
        let has_guard = found.iter().any(|one| is_guard(one.told.rule()));
        (Reverse(heaviest), !has_guard, machine.is_none())
    });
    let mut lines = Lines::new(room, usize::MAX);
    for (machine, found) in machines {
        let mut head = heading(machine, &found);
        for one in found {
            if lines.add(&format!("{head}{}", row(report, one))) {
                head.clear();
            }
        }
    }
    lines.end(|n| {
        format!(
            "\n**{} not shown here: run `swathlint check` to see all.**\n",
            plural(n, "more finding")
        )
    })
}

fn heading(machine: Option<&str>, found: &[&Found<'_>]) -> String {
    let name = machine.map_or_else(
        || "Of no machine".to_owned(),
        |name| span(name, MOST_OF_A_NAME),
    );
    let counts: Vec<String> = Severity::ALL
        .into_iter()
        .filter_map(|severity| {
            let own = found.iter().filter(|one| one.told.severity() == severity);
            match own.count() {
                0 => None,
                n => Some(plural(n, severity.word())),
            }
        })
        .collect();
    format!(
        "\n### {name}: {}\n\n| finding | number | limit | next step |\n|---|---|---|---|\n",
        counts.join(", ")
    )
}

fn row(report: &Report, found: &Found<'_>) -> String {
    let told = found.told;
    let severity = told.severity();
    let held = totals::held_by(told);
    let held = held.map_or_else(String::new, |held| format!("; {}", text(&held)));
    let judged = told.judged();
    let number = judged.map_or_else(String::new, |judged| text(&findings::amount(judged)));
    let limit = judged.and_then(beside::limit).unwrap_or_default();
    let cells = [
        format!(
            "{} {}: {}{held}; {} at {}",
            ink::shape(severity),
            severity.word(),
            text(told.message()),
            cell_span(told.rule(), MOST_OF_A_NAME),
            cell_span(&place(report, told.primary().place), MOST_OF_A_NAME),
        ),
        number,
        text(&limit),
        text(told.help_text().unwrap_or_default()),
    ];
    format!("| {} |\n", cells.join(" | "))
}

fn place(report: &Report, place: Place) -> String {
    let at = location::of(report, place);
    let path = report.path_in_repository(place.file);
    format!("{path}:{}:{}", at.line.0, at.column.0)
}

/// What there is of a kind beside the findings; what is held back stands with its findings.
fn items(report: &Report, kind: Kind) -> String {
    let all = beside::all(report).into_iter();
    let all: Vec<Beside<'_>> = all.filter(|one| one.kind == kind).collect();
    if all.is_empty() {
        return String::new();
    }
    let n = all.len();
    let mut lines = Lines::new(ROOM_OF_A_KIND, MOST_ITEMS);
    for one in all {
        let at = one
            .place
            .map_or_else(|| report.in_repository(one.path), |at| place(report, at));
        let named = |name: Option<&str>, behind: &str| {
            name.map_or_else(String::new, |name| {
                format!("{}{behind}", span(name, MOST_OF_A_NAME))
            })
        };
        let machine = named(one.machine, ": ");
        let rule = named(one.rule, " at ");
        let at = span(&at, MOST_OF_A_NAME);
        lines.add(&format!("- {machine}{rule}{at}: {}\n", text(&one.text)));
    }
    let lines = lines.end(|n| format!("- {n} more in `--format jsonl`\n"));
    format!(
        "\n### {}: {n}\n\n{lines}",
        phrases::capitalized(kind.words())
    )
}
