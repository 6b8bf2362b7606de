//! Records that are not read: in a folder that is none of ours, hidden, or with another ending.
//!
//! Looks only at the beginning of small files; what is no record by its beginning is none of our business.

use super::listing::{FOLDERS, FilePlace, ending_of, is_hidden, is_plain_text, place_of};
use super::reader::Reader;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::schema::Kind;
use crate::source::{FileId, Place, Span};
use crate::words;
use std::collections::BTreeMap;

/// No record that people write is larger, in bytes; what is, is not looked at for being one.
pub const SMALL: usize = 64 * 1024;

/// So much of a file is looked at, in bytes.
const BEGINNING: usize = 4 * 1024;

/// So many are told one by one; the last tells how many more there are.
const MOST_TOLD: usize = 100;

/// What came of looking at files in other places.
#[derive(Debug, Default)]
pub struct Misplaced {
    /// The records among them.
    pub findings: Vec<Diagnostic>,
    /// How many YAML files are none.
    pub others: usize,
}

/// A record that is not read.
struct Found<'p> {
    file: FileId,
    path: &'p str,
    /// Where it says what it is.
    span: Span,
    kind: Kind,
}

/// The records that are not read, because of where they lie or how they are named.
pub fn misplaced(reader: &Reader<'_>) -> Misplaced {
    let tree = reader.tree;
    let mut all = Misplaced::default();
    let mut found = Vec::new();
    for &file in &tree.others {
        let path = tree.path(file);
        match said_kind(reader, file) {
            Some((span, kind)) => found.push(Found {
                file,
                path,
                span,
                kind,
            }),
            None => all.others += usize::from(is_visible_yaml(path)),
        }
    }
    let mut roots: BTreeMap<&str, &Found<'_>> = BTreeMap::new();
    for one in &found {
        if let Some(root) = own_root(one.path) {
            roots.entry(root).or_insert(one);
        }
    }
    let is_below = |path: &str| {
        let mut folders = path.match_indices('/').map(|(at, _)| &path[..at]);
        folders.any(|folder| roots.contains_key(folder))
    };
    let not_read = found.iter().filter(|one| !is_below(one.path)).map(not_read);
    let of_their_own = roots.iter().map(|(root, first)| of_its_own(root, first));
    all.findings.extend(first_of(not_read.collect()));
    all.findings.extend(first_of(of_their_own.collect()));
    all
}

/// As many as are told; the last of them says how many more there are.
fn first_of(mut findings: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let more = findings.len().saturating_sub(MOST_TOLD);
    findings.truncate(MOST_TOLD);
    if more > 0
        && let Some(last) = findings.pop()
    {
        let more = words::phrases::plural(more, "more record");
        findings.push(last.and(&format!("{more} are not read")));
    }
    findings
}

fn is_visible_yaml(path: &str) -> bool {
    let is_yaml = !ending_of(path.rsplit('/').next().unwrap_or(path)).is_empty();
    is_yaml && !path.split('/').any(is_hidden)
}

/// What a file says it is a record of: in a line of its beginning, or in its first line where its name says that it is
/// neither YAML nor plain text, which may show a record and be none.
fn said_kind(reader: &Reader<'_>, file: FileId) -> Option<(Span, Kind)> {
    let decoded = reader.decoded(file).ok()?;
    let text = &*decoded.text;
    if text.len() > SMALL {
        return None;
    }
    let path = reader.tree.path(file);
    let is_by_name = !ending_of(path).is_empty() || is_plain_text(path);
    let mut is_first = true;
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        if at > BEGINNING {
            return None;
        }
        let is_looked_at = is_first || (is_by_name && line.starts_with("record:"));
        if let Some((end, said)) = said(line).filter(|_| is_looked_at) {
            let kind = Kind::from_record_value(said)?;
            let span = Span::new(u32::try_from(at).ok()?, u32::try_from(at + end).ok()?);
            return Some((span, kind));
        }
        let bare = line.trim_matches(|c: char| c.is_whitespace() || c == '{' || c == '\u{feff}');
        is_first &= bare.is_empty() || bare.starts_with('#') || bare == "---";
        at += line.len();
    }
    None
}

/// What a line says behind `record:`, as YAML or JSON, and where the colon ends.
fn said(line: &str) -> Option<(usize, &str)> {
    let (key, value) = line.split_once(':')?;
    let is_mark = |c: char| c.is_whitespace() || matches!(c, '"' | '\'' | '{' | '\u{feff}');
    if key.trim_matches(is_mark) != "record" {
        return None;
    }
    let value = value.split(['#', ',', '}']).next().unwrap_or_default();
    Some((key.len() + 1, value.trim_matches(is_mark)))
}

/// The folder of records of its own that a machine file or fleet file lies in, which is none of a folder of records.
fn own_root(path: &str) -> Option<&str> {
    let ends = path.match_indices('/').map(|(at, _)| at);
    let mut roots = ends.filter_map(|at| {
        let is_mark = matches!(
            place_of(&path[at + 1..]),
            Some(FilePlace::Fleet | FilePlace::MachineFile { .. })
        );
        is_mark.then_some(&path[..at])
    });
    let root = roots.next()?;
    let is_free = !root.split('/').any(is_hidden) && meant(root).is_none();
    is_free.then_some(root)
}

/// The folder of records that the first folder of a path is meant to be.
fn meant(path: &str) -> Option<&'static str> {
    let first = path.split('/').next().unwrap_or_default();
    let first = first.trim_start_matches('.');
    words::spelling::nearest(first, FOLDERS)
}

/// Where records of a kind belong.
const fn belongs(kind: Kind) -> &'static str {
    match kind {
        Kind::Fleet => "fleet.yaml, right beside machines/",
        Kind::Waivers => "waivers.yaml, right beside machines/",
        Kind::Machine => "machines/NAME.yaml",
        Kind::Calibration => "calibrations/NAME/DATE.yaml",
        Kind::Service => "service/NAME/DATE.yaml",
        Kind::Application => "applications/NAME/DATE.yaml",
        Kind::Rule => "house-rules/ID.yaml",
        Kind::Cause => "house-causes/ID.yaml",
    }
}

fn not_read(one: &Found<'_>) -> Diagnostic {
    let (folders, name) = one.path.rsplit_once('/').unwrap_or(("", one.path));
    let meant = meant(folders);
    let because = if one.path.split('/').any(is_hidden) {
        "its name, or that of its folder, begins with a dot".to_owned()
    } else if ending_of(name).is_empty() {
        "its name does not end in .yaml".to_owned()
    } else {
        let first = folders.split('/').next().unwrap_or_default();
        match meant {
            Some(right) if right != first => format!("its folder is named {first}, not {right}"),
            Some(_) => "it is in the wrong folder".to_owned(),
            None => "it is not in a folder of records".to_owned(),
        }
    };
    // Elsewhere it may be an example or a form, which nobody takes for a record that counts.
    let is_meant_to_count = folders.is_empty() || meant.is_some();
    let severity = if is_meant_to_count {
        Severity::Error
    } else {
        Severity::Warning
    };
    let place = Place {
        file: one.file,
        span: one.span,
    };
    let message = format!("this {} record is not read: {because}", one.kind.word());
    Diagnostic::new("record-not-read", severity, message, Label::new(place, "")).help(format!(
        "move the file to {}. If the file is not a record, delete the line that begins with record:",
        belongs(one.kind),
    ))
}

fn of_its_own(root: &str, first: &Found<'_>) -> Diagnostic {
    let place = Place {
        file: first.file,
        span: first.span,
    };
    let root = words::phrases::name(root);
    let message = format!(
        "the records in {root}/ are not read from here: it has machines or a fleet file of its own"
    );
    Diagnostic::new(
        "record-not-read",
        Severity::Note,
        message,
        Label::new(place, ""),
    )
    .help(format!("check them by themselves: swathlint check {root}"))
}
