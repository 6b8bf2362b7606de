//! The report for a person at a terminal: findings with the lines they are about, then the totals.
//!
//! Decides nothing about what is found; shortens what repeats, and hides none of it.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::render::drawing::{self, Drawing, Role};
use crate::render::excerpt::{Excerpt, Mark};
use crate::render::format::{Format, nothing};
use crate::render::ink::{self, Ink, Look};
use crate::render::{Harmless, clean, location, totals};
use crate::report::Report;
use crate::source::{FileId, SourceFile};
use crate::words::phrases::noun_for;
use std::collections::BTreeMap;

/// So many findings of one rule and severity are told in full; the others get one line each.
const IN_FULL: usize = 3;

/// Columns that what belongs to a finding is moved in.
const INDENT: usize = 2;

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "terminal",
    about: "For people: each finding with the lines it is about, how it was worked out and what to do",
    write: terminal,
    leaves_out: nothing,
};

/// The report for a terminal, or for a log that people read.
pub fn terminal(report: &Report, look: &Look) -> Harmless {
    let mut out = String::new();
    let groups = groups(report);
    let mut told: BTreeMap<(&str, Severity), usize> = BTreeMap::new();
    for finding in &report.findings {
        let key = (finding.rule(), finding.severity());
        let n_told = told.entry(key).or_default();
        *n_told += 1;
        if *n_told <= IN_FULL {
            out.push_str(&in_full(report, finding, *look));
            out.push('\n');
        }
        let rest = groups[&key].get(IN_FULL..).unwrap_or_default();
        if *n_told == IN_FULL && !rest.is_empty() {
            out.push_str(&in_short(report, rest, *look));
            out.push('\n');
        }
    }
    out.push_str(&failures(report, *look));
    out.push_str(&end(report, *look));
    Harmless::painted(&out, look)
}

/// The findings of each rule and severity, in canonical order.
fn groups(report: &Report) -> BTreeMap<(&str, Severity), Vec<&Diagnostic>> {
    let mut groups: BTreeMap<_, Vec<&Diagnostic>> = BTreeMap::new();
    for finding in &report.findings {
        groups
            .entry((finding.rule(), finding.severity()))
            .or_default()
            .push(finding);
    }
    groups
}

fn in_full(report: &Report, finding: &Diagnostic, look: Look) -> String {
    let severity = finding.severity();
    let lead = format!("{} {}: ", ink::shape(severity), severity.word());
    let message = format!(
        "{} [{}]",
        clean::text(finding.message()),
        clean::text(finding.rule())
    );
    let mut out = look.paragraph(Ink::of(severity), &lead, &message, INDENT);
    for block in blocks(report, finding) {
        out.push_str(&block.told(report, severity, look));
    }
    if let Some(derivation) = finding.derivation() {
        out.push_str(&captioned("worked out: ", derivation, look));
    }
    if let Some(help) = finding.help_text() {
        out.push_str(&captioned("help: ", help, look));
    }
    if let Some(held) = totals::held_by(finding) {
        out.push_str(&captioned("", &held, look));
    }
    out
}

fn captioned(caption: &str, text: &str, look: Look) -> String {
    let lead = format!("{:INDENT$}{caption}", "");
    look.paragraph(Ink::Caption, &lead, &clean::text(text), 2 * INDENT)
}

/// The findings of a group beyond those told in full, one line each, and each help once behind those it is for.
fn in_short(report: &Report, rest: &[&Diagnostic], look: Look) -> String {
    let Some(first) = rest.first() else {
        return String::new();
    };
    let severity = first.severity();
    let lead = format!("{} {} more ", ink::shape(severity), rest.len());
    let words = format!(
        "{} [{}]",
        noun_for(rest.len(), severity.word()),
        clean::text(first.rule())
    );
    let mut out = look.paragraph(Ink::of(severity), &lead, &words, INDENT);
    for (help, alike) in by_help(rest) {
        for finding in alike {
            out.push_str(&in_one_line(report, finding, look));
        }
        if let Some(help) = help {
            out.push_str(&captioned("help: ", help, look));
        }
    }
    out
}

/// Findings with the same help together, in the order of the first of each.
fn by_help<'a>(findings: &[&'a Diagnostic]) -> Vec<(Option<&'a str>, Vec<&'a Diagnostic>)> {
    let mut places: BTreeMap<Option<&str>, usize> = BTreeMap::new();
    let mut groups: Vec<(Option<&str>, Vec<&Diagnostic>)> = Vec::new();
    for finding in findings {
        let help = finding.help_text();
        let at = *places.entry(help).or_insert(groups.len());
        match groups.get_mut(at) {
            Some((_, alike)) => alike.push(finding),
            None => groups.push((help, vec![finding])),
        }
    }
    groups
}

/// A finding in one line behind its place.
fn in_one_line(report: &Report, finding: &Diagnostic, look: Look) -> String {
    let place = format!("{:INDENT$}{}: ", "", place(report, finding.primary()));
    let message = clean::text(finding.message());
    let told = match totals::held_by(finding) {
        Some(held) => format!("{message}; {}", clean::text(&held)),
        None => message.into_owned(),
    };
    look.paragraph(Ink::Place, &place, &told, 2 * INDENT)
}

/// `path:line:column` of a label.
fn place(report: &Report, label: &Label) -> String {
    let location = location::of(report, label.place);
    let path = clean::text(report.path(label.place.file));
    format!("{path}:{}:{}", location.line.0, location.column.0)
}

/// Labels of one finding in neighboring lines of one file.
struct Block<'a> {
    file: FileId,
    labels: Vec<(&'a Label, Role)>,
    marks: Vec<Mark>,
}

/// The labels in as few blocks as can be drawn, the finding's own place first.
fn blocks<'a>(report: &Report, finding: &'a Diagnostic) -> Vec<Block<'a>> {
    let mut blocks: Vec<Block<'a>> = Vec::new();
    let own = std::iter::once((finding.primary(), Role::Primary));
    let related = finding.related().iter().map(|label| (label, Role::Related));
    for (label, role) in own.chain(related) {
        let file = label.place.file;
        let mark = report
            .sources
            .get(file)
            .map(|source| Mark::new(source, label.place.span));
        let joined = blocks.iter().position(|block| {
            block.file == file && mark.as_ref().is_none_or(|mark| mark.can_join(&block.marks))
        });
        let at = joined.unwrap_or(blocks.len());
        if joined.is_none() {
            blocks.push(Block {
                file,
                labels: Vec::new(),
                marks: Vec::new(),
            });
        }
        let block = &mut blocks[at];
        block.labels.push((label, role));
        block.marks.extend(mark);
    }
    blocks
}

impl Block<'_> {
    /// Where the labels stand, then the lines with the marks.
    fn told(&self, report: &Report, severity: Severity, look: Look) -> String {
        let Some(file) = report.sources.get(self.file) else {
            return self
                .labels
                .iter()
                .map(|(label, role)| head(report, label, *role, &label.text, look))
                .collect();
        };
        let excerpt = self.excerpt(file, look.width);
        let mut heads = String::new();
        let mut labels = Vec::with_capacity(self.labels.len());
        for (at, (label, role)) in self.labels.iter().enumerate() {
            let words = words(label, &self.marks[at]);
            let beside = drawing::label_beside(&excerpt, at, &words, look.width);
            // A label without room beside its mark is told above; the first has a line above anyway.
            if at == 0 || beside.is_none() {
                let above = if beside.is_none() { words.as_str() } else { "" };
                heads.push_str(&head(report, label, *role, above, look));
            }
            labels.push((beside.unwrap_or_default(), *role));
        }
        let drawing = Drawing {
            excerpt: &excerpt,
            labels,
            severity,
            color: look.color,
        };
        format!("{heads}{}", drawing.draw())
    }

    fn excerpt(&self, file: &SourceFile, width: usize) -> Excerpt {
        let ruling = file.line_count().to_string().len() + drawing::RULING;
        // One column is left for a mark behind the last character.
        Excerpt::new(file, &self.marks, width.saturating_sub(ruling + 1))
    }
}

/// A line with a place, and a label's words where they are told here.
fn head(report: &Report, label: &Label, role: Role, words: &str, look: Look) -> String {
    let lead = match role {
        Role::Primary => "at",
        Role::Related => "see",
    };
    let place = place(report, label);
    let text = if words.is_empty() {
        String::new()
    } else {
        format!(": {words}")
    };
    look.paragraph(
        Ink::Place,
        &format!("{:INDENT$}{lead} {place}", ""),
        &text,
        2 * INDENT,
    )
}

/// A label's words, with where its place ends when that is another line.
fn words(label: &Label, mark: &Mark) -> String {
    let text = clean::text(&label.text);
    match mark.down_to {
        Some(line) if text.is_empty() => format!("down to line {line}"),
        Some(line) => format!("{text} (down to line {line})"),
        None => text.into_owned(),
    }
}

/// The files that could not be read, one paragraph each.
fn failures(report: &Report, look: Look) -> String {
    let mut out = String::new();
    for failure in &report.failures {
        let (path, reason) = (clean::text(&failure.path), clean::text(&failure.reason));
        out.push_str(&look.paragraph(
            Ink::Error,
            "could not read ",
            &format!("{path}: {reason}"),
            INDENT,
        ));
    }
    if !out.is_empty() {
        out.push('\n');
    }
    out
}

/// What was not checked, then what was found.
fn end(report: &Report, look: Look) -> String {
    let totals = totals::of(report);
    let mut out = String::new();
    for note in &totals.notes {
        let (caption, text) = (format!("{}: ", note.caption), clean::text(&note.text));
        out.push_str(&look.paragraph(Ink::Caption, &caption, &text, INDENT));
        for missing in &note.missing.told {
            let place = format!("{:INDENT$}{}: ", "", missing.place);
            out.push_str(&look.paragraph(Ink::Place, &place, &missing.text, 2 * INDENT));
        }
        if let Some(more) = &note.missing.more {
            out.push_str(&captioned("", more, look));
        }
    }
    out.push_str(&look.paint(Ink::Caption, &totals.counts));
    out.push('\n');
    out
}
