//! Files of a group's own, rules and causes alike: read, and refused where it is open which of them would count.
//!
//! What is refused leaves the built-in one of its name as it stands.

use super::texts::Texts;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span, Spanned};
use crate::tree::Reader;
use crate::words;
use std::collections::BTreeMap;

/// What files of one kind are called.
#[derive(Debug)]
pub(super) struct Called {
    /// One of what they hold.
    pub(super) noun: &'static str,
    /// Where they stand.
    pub(super) folder: &'static str,
    /// So many files a group has at most.
    pub(super) most: usize,
    /// The name of the finding of too many.
    pub(super) too_many: &'static str,
    /// The name of the finding of two of one name.
    pub(super) duplicate: &'static str,
    /// That several do not count.
    pub(super) do_not: &'static str,
    /// That one does not.
    pub(super) does_not: &'static str,
    /// That one does, behind `none of these`.
    pub(super) does: &'static str,
}

/// One file and what could be made of it.
#[derive(Debug)]
pub(super) struct Own<T> {
    /// The file.
    pub(super) file: FileId,
    /// The name it gives itself, whatever else is wrong.
    pub(super) id: Option<Spanned<String>>,
    /// What it declares; none where anything is wrong.
    pub(super) made: Option<T>,
    /// What is wrong.
    pub(super) problems: Vec<Diagnostic>,
}

/// What files of one kind declare, and how many do not count.
#[derive(Debug)]
pub(super) struct Counting<T> {
    /// What counts.
    pub(super) made: Vec<T>,
    /// Where each file that could be read gives its name.
    pub(super) names: Vec<(FileId, Spanned<String>)>,
    /// How many do not count, but for those that cannot be read.
    pub(super) not_counted: usize,
}

/// Reads files of one kind; what is wrong with them goes to `texts`. `taken` says why nothing of a group's own may have a
/// name.
pub(super) fn read<T>(
    reader: &Reader<'_>,
    texts: &mut Texts,
    (called, files): (&Called, &[FileId]),
    mut load: impl FnMut(FileId, &str) -> Own<T>,
    taken: impl Fn(&str, Place) -> Option<Diagnostic>,
) -> Counting<T> {
    let mut all: Vec<Own<T>> = Vec::new();
    let mut not_counted = 0;
    texts.records += files.len();
    if let Some(&file) = files.get(called.most) {
        texts.findings.push(too_many(called, file));
        not_counted += files.len() - called.most;
    }
    for &file in files.iter().take(called.most) {
        if reader.tree.is_refused(file) {
            not_counted += 1;
            continue; // Its name has a finding.
        }
        match reader.decoded(file) {
            Ok(decoded) => {
                let mut own = load(file, &decoded.text);
                own.made = own.made.filter(|_| decoded.problems.is_empty());
                texts.findings.extend(decoded.problems);
                texts.findings.append(&mut own.problems);
                all.push(own);
            }
            Err(failure) => {
                texts.failures.push(failure);
                texts.unreadable.push(file);
            }
        }
    }
    let (refused, findings) = refused(reader, called, &all, taken);
    texts.findings.extend(findings);
    let mut counting = Counting {
        made: Vec::new(),
        names: Vec::new(),
        not_counted,
    };
    for own in all {
        counting.names.extend(own.id.map(|id| (own.file, id)));
        match own.made.filter(|_| !refused.contains(&own.file)) {
            Some(made) => counting.made.push(made),
            None => counting.not_counted += 1,
        }
    }
    counting
}

fn too_many(called: &Called, first_left_out: FileId) -> Diagnostic {
    let place = Place {
        file: first_left_out,
        span: Span::new(0, 0),
    };
    let Called {
        noun, most, do_not, ..
    } = called;
    let message =
        format!("there are more than {most} house {noun}s; this one and those after it {do_not}");
    let label = Label::new(place, "");
    Diagnostic::new(called.too_many, Severity::Error, message, label)
        .help(format!("delete {noun}s that are no longer used"))
}

/// The files that must not count, and why.
fn refused<T>(
    reader: &Reader<'_>,
    called: &Called,
    all: &[Own<T>],
    taken: impl Fn(&str, Place) -> Option<Diagnostic>,
) -> (Vec<FileId>, Vec<Diagnostic>) {
    let mut by_id: BTreeMap<&str, Vec<Place>> = BTreeMap::new();
    for own in all {
        if let Some(Spanned { value, span }) = &own.id {
            let file = own.file;
            let places = by_id.entry(value).or_default();
            places.push(Place { file, span: *span });
        }
    }
    let mut refused = Vec::new();
    let mut findings = Vec::new();
    for (id, places) in by_id {
        let are_taken: Vec<Diagnostic> = places.iter().filter_map(|at| taken(id, *at)).collect();
        if !are_taken.is_empty() {
            findings.extend(are_taken);
        } else if let [first @ .., last] = &places[..]
            && !first.is_empty()
        {
            findings.push(two_of_one_name(reader, called, id, first, *last));
        } else if let [at] = places[..]
            && reader.tree.stem(at.file) != id
        {
            findings.push(unlike_file_name(reader, called, id, at));
        } else {
            continue;
        }
        refused.extend(places.iter().map(|place| place.file));
    }
    (refused, findings)
}

fn two_of_one_name(
    reader: &Reader<'_>,
    called: &Called,
    id: &str,
    first: &[Place],
    last: Place,
) -> Diagnostic {
    let paths: Vec<&str> = first
        .iter()
        .chain([&last])
        .map(|place| reader.tree.path(place.file))
        .collect();
    let Called {
        noun, folder, does, ..
    } = called;
    let message = format!(
        "{} share the name `{id}`, so none of these {noun}s {does}",
        words::phrases::list_some(&paths, "and"),
    );
    let label = Label::new(last, "");
    let finding = Diagnostic::new(called.duplicate, Severity::Error, message, label);
    let others = first.iter().take(words::phrases::MOST_NAMED);
    let finding = others.fold(finding, |finding, other| {
        finding.also(Label::new(*other, "the same name"))
    });
    finding.help(format!("keep one of them, as {folder}/{id}.yaml"))
}

fn unlike_file_name(reader: &Reader<'_>, called: &Called, id: &str, at: Place) -> Diagnostic {
    let Called { noun, does_not, .. } = called;
    let message = format!(
        "the {noun}'s id is `{id}`, but its file is named `{}`, so the {noun} {does_not}",
        reader.tree.stem(at.file),
    );
    Diagnostic::new(
        "unlike-file-name",
        Severity::Error,
        message,
        Label::new(at, ""),
    )
    .help(format!("rename the file to {id}.yaml, or correct the id"))
}
