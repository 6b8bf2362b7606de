//! What is told of files that do not count.

use super::naming::{Refusal, Why};
use super::reader::Reader;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words;
use crate::yaml::Node;

/// The findings of the files that do not count.
pub fn refused(reader: &Reader<'_>) -> impl Iterator<Item = Diagnostic> {
    let refusals = reader.tree.refusals.iter();
    refusals.map(|refusal| finding(reader, refusal))
}

fn finding(reader: &Reader<'_>, refusal: &Refusal) -> Diagnostic {
    let tree = reader.tree;
    let (name, message, help) = match &refusal.why {
        Why::Twice => {
            let paths: Vec<&str> = refusal.first.iter().map(|file| tree.path(*file)).collect();
            (
                "duplicate-file",
                format!(
                    "{} are {} files for the same record; {} is used",
                    words::phrases::list_some(&paths, "and"),
                    how_many(paths.len()),
                    none_of(paths.len()),
                ),
                "compare the files. If they are equal, keep the merged one and delete the other. If they are two visits or jobs \
                 of one day, name the second DATE-2.yaml. Do not delete readings"
                    .to_owned(),
            )
        }
        Why::AlikeButForCase { names, is_folder } => {
            let (what, none, help) = if *is_folder {
                (
                    "the folders ",
                    "nothing in them",
                    "move all files into one of them",
                )
            } else {
                (
                    "",
                    none_of(names.len()),
                    "keep one of them, or give the other a different name",
                )
            };
            (
                "duplicate-file",
                format!(
                    "{what}{} differ only in upper and lower case, so {none} is used",
                    words::phrases::list_some(names, "and"),
                ),
                help.to_owned(),
            )
        }
        Why::WrongCase { name, right } => (
            "wrong-case",
            format!("{name} is not used: its name must be written {right}"),
            format!("rename it to {right}"),
        ),
    };
    let place = |file| Place {
        file,
        span: heading(reader, file),
    };
    let (last, others) = refusal
        .first
        .split_last()
        .expect("a name is kept with its files");
    let finding = Diagnostic::new(name, Severity::Error, message, Label::new(place(*last), ""));
    let others = others.iter().take(words::phrases::MOST_NAMED);
    let finding = others.fold(finding, |finding, other| {
        finding.also(Label::new(place(*other), "the other one"))
    });
    let finding = finding.help(help);
    match tree.machine_of(*last) {
        Some(machine) => finding.of_machine(machine),
        None => finding,
    }
}

fn none_of(count: usize) -> &'static str {
    if count == 2 { "neither" } else { "none" }
}

fn how_many(count: usize) -> String {
    if count == 2 {
        "two".to_owned()
    } else {
        count.to_string()
    }
}

/// What the file says it is; its beginning, where nothing can be made of it.
fn heading(reader: &Reader<'_>, file: FileId) -> Span {
    let span = reader.looked_into(file, |root| root.get("record").map(Node::span));
    span.flatten().unwrap_or_default()
}
