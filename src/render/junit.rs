//! Test results in XML (JUnit): a failed case a finding, a passing case a clean record.
//!
//! The whole finding stands in the element's text, because some readers leave out its attributes.

use crate::render::beside::{self, Kind};
use crate::render::format::{Format, nothing};
use crate::render::found::worst_first;
use crate::render::totals::Note;
use crate::render::{Harmless, clean, location, totals};
use crate::report::{Report, Told};
use crate::source::{FileId, Place};
use crate::words::dates;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "junit",
    about: "Test results in XML (JUnit): a failed case per finding, a passing case per clean record",
    write: |made, _| junit(made),
    leaves_out: nothing,
};

/// What became of a case: the element, its type and message, and the whole text; none of a case that passed.
type Outcome = Option<(&'static str, &'static str, String, String)>;

/// One case.
struct Case {
    class: String,
    name: String,
    outcome: Outcome,
}

fn junit(report: &Report) -> Harmless {
    let cases = unique(cases(report));
    let count = |wanted: &str| {
        let outcomes = cases.iter().filter_map(|case| case.outcome.as_ref());
        outcomes.filter(|(element, ..)| *element == wanted).count()
    };
    let (failures, errors, skipped) = (count("failure"), count("error"), count("skipped"));
    let tests = cases.len();
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let mut line = |text: std::fmt::Arguments<'_>| {
        writeln!(out, "{text}").expect("writing to a string does not fail");
    };
    line(format_args!(
        "<testsuites name=\"swathlint\" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\">"
    ));
    line(format_args!(
        "<testsuite name=\"swathlint\" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\" \
         skipped=\"{skipped}\" timestamp=\"{}T00:00:00\">",
        dates::date(report.today)
    ));
    for Case {
        class,
        name,
        outcome,
    } in &cases
    {
        let case = format!(
            "<testcase classname=\"{}\" name=\"{}\"",
            escaped(class),
            escaped(name)
        );
        match outcome {
            None => line(format_args!("{case}/>")),
            Some((element, kind, message, text)) => line(format_args!(
                "{case}><{element} type=\"{kind}\" message=\"{}\">{}</{element}></testcase>",
                escaped(message),
                escaped(text)
            )),
        }
    }
    line(format_args!(
        "<system-out>{}</system-out>",
        escaped(&beside_the_cases(report))
    ));
    line(format_args!("</testsuite>"));
    line(format_args!("</testsuites>"));
    Harmless::lines(&out)
}

fn cases(report: &Report) -> Vec<Case> {
    let beside = beside::all(report);
    let not_read = beside.iter().filter(|one| one.kind == Kind::NotRead);
    let not_read = not_read.map(|one| Case {
        class: report.in_repository(one.path),
        name: "read".to_owned(),
        outcome: Some(("error", one.kind.id(), one.text.clone(), one.text.clone())),
    });
    let findings = worst_first(report).into_iter().map(|found| {
        let told = found.told;
        let at = told.primary().place;
        Case {
            class: report.path_in_repository(at.file),
            name: named(report, told.rule(), at),
            outcome: Some((
                "failure",
                // What it holds back fails the run too.
                told.heaviest().word(),
                message(told),
                in_full(report, told),
            )),
        }
    });
    let skipped = beside.iter().filter_map(|one| {
        let place = one.place?;
        let is_skipped = matches!(one.kind, Kind::Waived | Kind::NotCalculated);
        let rule = one.rule.filter(|_| is_skipped)?;
        Some(Case {
            class: report.in_repository(one.path),
            name: format!("{}, {}", named(report, rule, place), one.kind.words()),
            outcome: Some(("skipped", one.kind.id(), one.text.clone(), one.text.clone())),
        })
    });
    let findings_at = report.findings.iter().map(|told| told.primary().place.file);
    let not_clean: BTreeSet<FileId> = findings_at
        .chain(report.not_read.iter().map(|place| place.file))
        .collect();
    let failed: BTreeSet<&str> = report.failures.iter().map(|one| &*one.path).collect();
    let clean = report
        .records
        .iter()
        .filter(|file| !not_clean.contains(file) && !failed.contains(report.path(**file)));
    let clean = clean.map(|file| Case {
        class: report.path_in_repository(*file),
        name: "nothing found".to_owned(),
        outcome: None,
    });
    not_read
        .chain(findings)
        .chain(skipped)
        .chain(clean)
        .collect()
}

/// A case by its rule and place.
fn named(report: &Report, rule: &str, place: Place) -> String {
    let at = location::of(report, place);
    format!("{rule} at {}:{}", at.line.0, at.column.0)
}

/// The cases, each with a name of its own within its class.
fn unique(cases: Vec<Case>) -> Vec<Case> {
    let mut known: BTreeMap<(String, String), usize> = BTreeMap::new();
    let cases = cases.into_iter();
    cases
        .map(|mut case| {
            case.class = clean::text(&case.class).into_owned();
            case.name = clean::text(&case.name).into_owned();
            let key = (case.class.clone(), case.name.clone());
            let n = known.entry(key).or_default();
            *n += 1;
            if *n > 1 {
                case.name = format!("{}, number {n}", case.name);
            }
            case
        })
        .collect()
}

/// The message of a finding, and what it holds back.
fn message(told: &Told) -> String {
    let held = totals::held_by(told);
    let held = held.map_or_else(String::new, |held| format!("; {held}"));
    format!("{}{held}", told.message())
}

/// All of a finding, a line each.
fn in_full(report: &Report, told: &Told) -> String {
    let at = |place: Place| {
        let at = location::of(report, place);
        let path = report.path_in_repository(place.file);
        format!("{path}:{}:{}", at.line.0, at.column.0)
    };
    let machine = told.machine().map(|machine| format!("machine: {machine}"));
    let mut lines = vec![
        format!(
            "{}: {} [{}]",
            told.severity().word(),
            told.message(),
            told.rule()
        ),
        format!("at {}: {}", at(told.primary().place), told.primary().text),
    ];
    lines.extend(machine);
    let related = told.related().iter();
    lines.extend(related.map(|label| format!("see {}: {}", at(label.place), label.text)));
    lines.extend(told.derivation().map(|sum| format!("worked out: {sum}")));
    lines.extend(told.help_text().map(|help| format!("help: {help}")));
    lines.extend(totals::held_by(told));
    let lines: Vec<String> = lines
        .iter()
        .map(|line| clean::text(line).into_owned())
        .collect();
    lines.join("\n")
}

/// What no case tells, and the totals, a line each.
fn beside_the_cases(report: &Report) -> String {
    let items = beside::all(report).into_iter().filter_map(|one| {
        let place = one
            .place
            .filter(|_| matches!(one.kind, Kind::TooClose | Kind::Weakens | Kind::HeldBack))?;
        let at = location::of(report, place);
        Some(format!(
            "{}:{}:{}: {}: {} [{}]",
            report.in_repository(one.path),
            at.line.0,
            at.column.0,
            one.kind.words(),
            one.text,
            one.rule.unwrap_or_default()
        ))
    });
    let totals = totals::in_repository(report);
    let notes = totals.notes.iter().map(Note::line);
    let lines: Vec<String> = items.chain(notes).chain([totals.counts.clone()]).collect();
    let lines: Vec<String> = lines
        .iter()
        .map(|line| clean::text(line).into_owned())
        .collect();
    lines.join("\n")
}

/// A text within an element or an attribute; what XML cannot carry is replaced (XML 1.0, 2.2).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push('\n'),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push(clean::MARK),
            letter => out.push(letter),
        }
    }
    out
}
