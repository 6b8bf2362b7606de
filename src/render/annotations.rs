//! One workflow command a finding, which the hosting service shows on the changed line.
//!
//! The service keeps 10 annotations of a kind a step and cuts long ones, without a word: what has no room is counted here.

use crate::diagnostic::Severity;
use crate::render::format::{Format, could_not_read, nothing};
use crate::render::found::{Found, worst_first};
use crate::render::totals::Note;
use crate::render::{Harmless, clean, location, totals};
use crate::report::{Failure, Report};
use crate::words::phrases::plural;

/// Annotations of a kind that the service keeps of a step. Of a job it keeps 50, which three kinds do not reach.
const MOST_OF_A_KIND: usize = 10;

/// Characters of a message, escaped, that are shown at most.
const MOST_OF_A_MESSAGE: usize = 4_096;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "annotations",
    about: "Workflow commands, which a hosting service shows on the changed lines: at most 10 of a kind, worst first",
    write: |made, _| annotations(made),
    leaves_out: nothing,
};

/// A line that marks a place.
struct Annotation {
    severity: Severity,
    properties: Vec<(&'static str, String)>,
    message: String,
}

fn annotations(report: &Report) -> Harmless {
    let found = worst_first(report);
    let mut commands = Vec::new();
    for severity in Severity::ALL {
        let failures = report.failures.iter();
        let failures = failures.filter(|_| severity == Severity::Error);
        // A finding is shown as what it fails a run as: by the heaviest that it is or holds back.
        let own = found.iter();
        let own = own.filter(|found| found.told.heaviest() == severity);
        let all: Vec<Annotation> = failures
            .map(|failure| of_failure(report, failure))
            .chain(own.map(|found| of_finding(report, found)))
            .collect();
        let is_cut = MOST_OF_A_KIND < all.len();
        let n_shown = if is_cut {
            MOST_OF_A_KIND - 1
        } else {
            all.len()
        };
        let n_left = all.len() - n_shown;
        let shown = all.into_iter().take(n_shown);
        commands.extend(shown.map(Annotation::command));
        if is_cut {
            let more = Annotation {
                severity,
                properties: vec![("title", format!("{n_left} more"))],
                message: format!(
                    "{} not shown here: the service shows {MOST_OF_A_KIND} of a kind. See the summary or the log",
                    plural(n_left, &format!("more {}", severity.word())),
                ),
            };
            commands.push(more.command());
        }
    }
    let totals = totals::in_repository(report);
    let missing = totals.notes.iter().flat_map(|note| &note.missing.told);
    let missing = missing.map(|one| format!("{}: not calculated: {}", one.place, one.text));
    let notes = totals.notes.iter().map(Note::line);
    let end = missing.chain(notes).chain([totals.counts.clone()]);
    let end: Vec<String> = end
        .map(|line| format!("{}\n", clean::text(&line)))
        .collect();
    Harmless::commands(&commands).and(&Harmless::lines(&end.concat()))
}

fn of_failure(report: &Report, failure: &Failure) -> Annotation {
    Annotation {
        severity: Severity::Error,
        properties: vec![
            ("file", report.in_repository(&failure.path)),
            ("title", "could not read".to_owned()),
        ],
        message: could_not_read(failure),
    }
}

fn of_finding(report: &Report, found: &Found<'_>) -> Annotation {
    let told = found.told;
    let place = told.primary().place;
    let at = location::of(report, place);
    let mut properties = vec![
        ("file", report.path_in_repository(place.file)),
        ("line", at.line.0.to_string()),
        ("endLine", at.end_line.0.to_string()),
    ];
    // Columns of several lines are refused.
    if at.line == at.end_line {
        properties.push(("col", at.column.0.to_string()));
        properties.push(("endColumn", at.end_column.0.to_string()));
    }
    let machine = told
        .machine()
        .map_or_else(String::new, |machine| format!("{machine}: "));
    properties.push(("title", format!("{machine}{}", told.rule())));
    let heavier = told.severity() < told.heaviest();
    let own = heavier.then(|| format!("{}: ", told.severity().word()));
    let parts = [
        Some(format!(
            "{}{}",
            own.unwrap_or_default(),
            clean::text(told.message())
        )),
        totals::held_by(told).map(|held| clean::text(&held).into_owned()),
        told.derivation()
            .map(|sum| format!("worked out: {}", clean::text(sum))),
        told.help_text()
            .map(|help| format!("help: {}", clean::text(help))),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    Annotation {
        severity: told.heaviest(),
        properties,
        message: parts.join("\n"),
    }
}

impl Annotation {
    fn command(self) -> String {
        let word = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "notice",
        };
        let properties = self.properties.into_iter();
        let properties: Vec<String> = properties
            .map(|(name, value)| format!("{name}={}", property(&value)))
            .collect();
        format!("::{word} {}::{}", properties.join(","), cut(&self.message))
    }
}

/// A message as far as it is shown, with what would end it escaped.
fn cut(message: &str) -> String {
    let mut out = String::new();
    let mut length = 0;
    for letter in message.chars() {
        let escaped = escaped_letter(letter);
        let own = escaped.map_or(1, str::len);
        // One is kept for the mark of what is cut.
        if MOST_OF_A_MESSAGE - 1 < length + own {
            out.push('\u{2026}');
            break;
        }
        length += own;
        match escaped {
            Some(escaped) => out.push_str(escaped),
            None => out.push(letter),
        }
    }
    out
}

/// What stands for a character in a message, where it cannot stand for itself.
const fn escaped_letter(letter: char) -> Option<&'static str> {
    match letter {
        '%' => Some("%25"),
        '\r' => Some("%0D"),
        '\n' => Some("%0A"),
        _ => None,
    }
}

/// A value between the commas of a command.
fn property(value: &str) -> String {
    let mut out = String::new();
    for letter in value.chars() {
        match (escaped_letter(letter), letter) {
            (Some(escaped), _) => out.push_str(escaped),
            (None, ':') => out.push_str("%3A"),
            (None, ',') => out.push_str("%2C"),
            (None, _) => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_end_a_value_is_escaped_once() {
        assert_eq!(property("a%0A:b,\r\n"), "a%250A%3Ab%2C%0D%0A");
        assert_eq!(cut("a%0A:b,\r\n"), "a%250A:b,%0D%0A");
    }

    #[test]
    fn no_escape_is_cut_apart() {
        for before in 4_085..4_100 {
            let message = cut(&format!("{}%%%", "x".repeat(before)));
            assert!(message.chars().count() <= MOST_OF_A_MESSAGE, "{before}");
            let rest = message.trim_start_matches('x').trim_end_matches('\u{2026}');
            assert_eq!(rest.replace("%25", ""), "", "{before}");
        }
    }
}
