//! The rules of a group's own: read, and refused where it is open which rule would run.
//!
//! A refused rule is counted as not run, and one of ours of the same name stands.

use super::texts::Texts;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::rule::{self, Loaded, Rule, guard_overruled, is_guard};
use crate::source::{FileId, Place, Span, Spanned};
use crate::tree::Reader;
use crate::words;
use std::collections::BTreeMap;

/// So many rules of its own a group has at most: every one of them is run on every record.
const MOST_RULES: usize = 200;

/// The rules that run; what is wrong with the others goes to `texts`.
pub(super) fn rules(reader: &Reader<'_>, texts: &mut Texts) -> Vec<Rule> {
    let mut all = Vec::new();
    let files = &reader.tree.house_rules;
    texts.records += files.len();
    if let Some(&file) = files.get(MOST_RULES) {
        texts.findings.push(too_many_rules(file));
        texts.rules_not_run += files.len() - MOST_RULES;
    }
    for &file in files.iter().take(MOST_RULES) {
        if reader.tree.is_refused(file) {
            texts.rules_not_run += 1;
            continue; // Its name has a finding.
        }
        match reader.decoded(file) {
            Ok(decoded) => {
                let mut loaded = rule::load(file, &decoded.text);
                loaded.rule = loaded.rule.filter(|_| decoded.problems.is_empty());
                texts.findings.extend(decoded.problems);
                texts.findings.append(&mut loaded.problems);
                all.push((file, loaded));
            }
            Err(failure) => {
                texts.failures.push(failure);
                texts.unreadable.push(file);
            }
        }
    }
    let (refused, findings) = refused(reader, &all);
    texts.findings.extend(findings);
    let mut rules = Vec::new();
    for (file, loaded) in all {
        match loaded.rule.filter(|_| !refused.contains(&file)) {
            Some(rule) => rules.push(rule),
            None => texts.rules_not_run += 1,
        }
    }
    rules
}

fn too_many_rules(first_left_out: FileId) -> Diagnostic {
    let place = Place {
        file: first_left_out,
        span: Span::new(0, 0),
    };
    let message = format!(
        "there are more than {MOST_RULES} house rules; this one and those after it are not run"
    );
    let label = Label::new(place, "");
    Diagnostic::new("too-many-rules", Severity::Error, message, label)
        .help("delete rules that are no longer used")
}

/// The files whose rules must not run, and why.
fn refused(reader: &Reader<'_>, all: &[(FileId, Loaded)]) -> (Vec<FileId>, Vec<Diagnostic>) {
    let mut by_id: BTreeMap<&str, Vec<(FileId, Span)>> = BTreeMap::new();
    for (file, loaded) in all {
        if let Some(Spanned { value, span }) = &loaded.id {
            by_id.entry(value).or_default().push((*file, *span));
        }
    }
    let mut refused = Vec::new();
    let mut findings = Vec::new();
    for (id, files) in by_id {
        let places: Vec<Place> = files
            .iter()
            .map(|&(file, span)| Place { file, span })
            .collect();
        if is_guard(id) {
            let because = "a house rule cannot replace it";
            findings.extend(places.iter().map(|at| guard_overruled(*at, because, id)));
        } else if let [first @ .., last] = &places[..]
            && !first.is_empty()
        {
            findings.push(two_of_one_name(reader, id, first, *last));
        } else if let [(file, span)] = files[..]
            && reader.tree.stem(file) != id
        {
            findings.push(unlike_file_name(reader, id, Place { file, span }));
        } else {
            continue;
        }
        refused.extend(files.iter().map(|(file, _)| *file));
    }
    (refused, findings)
}

fn two_of_one_name(reader: &Reader<'_>, id: &str, first: &[Place], last: Place) -> Diagnostic {
    let paths: Vec<&str> = first
        .iter()
        .chain([&last])
        .map(|place| reader.tree.path(place.file))
        .collect();
    let message = format!(
        "{} share the name `{id}`, so none of these rules runs",
        words::phrases::list_some(&paths, "and"),
    );
    let finding = Diagnostic::new(
        "duplicate-rule",
        Severity::Error,
        message,
        Label::new(last, ""),
    );
    let others = first.iter().take(words::phrases::MOST_NAMED);
    let finding = others.fold(finding, |finding, other| {
        finding.also(Label::new(*other, "the same name"))
    });
    finding.help(format!("keep one of them, as house-rules/{id}.yaml"))
}

fn unlike_file_name(reader: &Reader<'_>, id: &str, at: Place) -> Diagnostic {
    let message = format!(
        "the rule's id is `{id}`, but its file is named `{}`, so the rule does not run",
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
