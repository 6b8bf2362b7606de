//! Names by which it is open which file counts: two files of one thing, and known names in the wrong case.
//!
//! Of two files of one thing neither counts, since whoever adds the second may be the one who is to be checked. Some
//! systems take names that differ only in case for one, so that what counts there must count nowhere else.

use super::listing::{ending_of, is_record, stem};
use super::reader::Reader;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words;
use crate::yaml::Node;
use std::collections::{BTreeMap, BTreeSet};

/// Files that do not count, and why.
#[derive(Debug)]
pub struct Refusal {
    why: Why,
    /// The first file of each name.
    first: Vec<FileId>,
}

#[derive(Debug)]
enum Why {
    /// Files of one thing.
    Twice,
    /// Names that only differ in case, of files or of folders.
    AlikeButForCase { names: Vec<String>, is_folder: bool },
    /// A known name in the wrong case.
    WrongCase { name: String, right: String },
}

/// The files of each written name.
type Names<'p> = BTreeMap<&'p str, Vec<FileId>>;

/// Why files of these paths do not count, and which they are.
pub fn refusals<'p>(
    files: impl Iterator<Item = (FileId, &'p str)>,
) -> (Vec<Refusal>, BTreeSet<FileId>) {
    let mut refusals = Vec::new();
    let mut refused = BTreeSet::new();
    let records: Vec<(FileId, &str)> = files.filter(|(_, path)| is_record(path)).collect();
    // The outermost name explains all below it.
    for depth in 1..=3 {
        let mut alike: BTreeMap<(bool, String), Names<'_>> = BTreeMap::new();
        for &(file, path) in records.iter().filter(|(file, _)| !refused.contains(file)) {
            if let Some(name) = up_to(path, depth) {
                let is_folder = name.len() < path.len();
                let compared = if is_folder { name } else { stem(name) };
                let names = alike.entry((is_folder, compared.to_lowercase()));
                names.or_default().entry(name).or_default().push(file);
            }
        }
        for ((is_folder, _), names) in alike {
            let Some(why) = why(&names, is_folder, depth) else {
                continue;
            };
            let first = names.values().filter_map(|files| files.first().copied());
            refusals.push(Refusal {
                why,
                first: first.collect(),
            });
            refused.extend(names.into_values().flatten());
        }
    }
    (refusals, refused)
}

/// The first so many parts of a path.
fn up_to(path: &str, depth: usize) -> Option<&str> {
    let mut ends = path.match_indices('/').map(|(at, _)| at);
    match ends.nth(depth - 1) {
        Some(end) => Some(&path[..end]),
        None => (path.matches('/').count() + 1 == depth).then_some(path),
    }
}

fn why(names: &Names<'_>, is_folder: bool, depth: usize) -> Option<Why> {
    let written: Vec<&str> = names.keys().copied().collect();
    if let [name] = written[..] {
        // The group chooses the names of machines; ours are those at the root, and the endings.
        let right = match (depth, is_folder) {
            (1, _) => name.to_lowercase(),
            (_, true) => return None,
            (_, false) => format!("{}{}", stem(name), ending_of(name).to_lowercase()),
        };
        let name = name.to_owned();
        return (name != right).then_some(Why::WrongCase { name, right });
    }
    let is_one_stem = written.windows(2).all(|two| stem(two[0]) == stem(two[1]));
    Some(if is_one_stem && !is_folder {
        Why::Twice
    } else {
        let names = written.into_iter().map(str::to_owned).collect();
        Why::AlikeButForCase { names, is_folder }
    })
}

/// The findings of the files that do not count.
pub fn findings(reader: &Reader<'_>) -> impl Iterator<Item = Diagnostic> {
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
                "compare them; if they are equal, delete one, and keep the one that was merged; if they are two visits or jobs \
                 of one day, give the second a name of its own, DATE-2.yaml; delete no readings"
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
