//! Reading the file of a cause: ours and a group's own go the same way.

use super::content::{About, Cause, Kind, Mend};
use super::forms::Form;
use super::mend_file::mend;
use super::problems::Problems;
use super::text::text;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::schema::{self, Source};
use crate::source::{FileId, Place, Spanned};
use crate::words::{phrases, spelling};
use crate::yaml::Node;
use std::collections::BTreeMap;

/// The file our own causes claim to stand in; no label ever points there.
pub(super) const EMBEDDED: FileId = FileId(u32::MAX);

/// What could be made of the file of a cause.
#[derive(Debug)]
pub struct Loaded {
    /// The name it gives itself, whatever else is wrong.
    pub id: Option<Spanned<String>>,
    /// The cause; none where anything in its file is wrong.
    pub cause: Option<Cause>,
    /// The other causes it names.
    pub others: Vec<Spanned<String>>,
    /// What is wrong.
    pub problems: Vec<Diagnostic>,
}

/// Reads the file of a cause.
pub fn load(file: FileId, text: &str) -> Loaded {
    let declared = schema::declared(schema::Kind::Cause, file, text);
    let mut problems = declared.problems;
    let root = declared.tree.root();
    problems.extend(
        root.into_iter()
            .flat_map(|root| schema::check(schema::Kind::Cause, file, root)),
    );
    let root = root.filter(|_| problems.is_empty());
    let mut found = Problems::of(file);
    let cause = root.and_then(|root| cause(root, &mut found));
    let most = MOST.iter().map(|(_, most)| most).sum();
    let others = root.into_iter().flat_map(others).take(most).collect();
    problems.extend(found.into_found());
    let cause = cause.filter(|_| problems.is_empty());
    problems.extend(declared.old_words);
    Loaded {
        id: declared.id,
        cause,
        others,
        problems,
    }
}

fn cause(root: Node<'_>, problems: &mut Problems) -> Option<Cause> {
    if !is_short(root, problems) {
        return None;
    }
    let word = |key: &str| root.get(key).and_then(Node::text).map(str::to_owned);
    let id = word("id")?;
    let told = word("told")? == "always";
    let mends = mends(root, problems);
    names_not_itself(root, &id, problems);
    is_told_or_not(root, told, problems);
    let (mends, forms): (Vec<Mend>, Vec<&Form>) = mends?.into_iter().unzip();
    if told && !changes_something(root, &mends, problems) {
        return None;
    }
    let about = about(root, told, problems);
    if about == Some(About::Record) && !is_of_record(root, &mends, problems) {
        return None;
    }
    let message = match root.get("message") {
        Some(node) => text(node, &forms, problems),
        None => Some(String::new()),
    };
    let next = root.get("next").into_iter().flat_map(Node::items);
    let next: Vec<Option<String>> = next.map(|node| text(node, &forms, problems)).collect();
    let told_apart = root.get("told-apart").into_iter().flat_map(Node::entries);
    let told_apart: Vec<Option<(String, String)>> = told_apart
        .map(|(key, node)| Some((key.text()?.to_owned(), text(node, &forms, problems)?)))
        .collect();
    Some(Cause {
        id,
        since: word("since")?,
        told,
        mends,
        gives_way_to: gives_way_to(root)
            .filter_map(Node::text)
            .map(str::to_owned)
            .collect(),
        about: about?,
        title: word("title")?,
        message: message?,
        next: next.into_iter().collect::<Option<_>>()?,
        told_apart: told_apart.into_iter().collect::<Option<BTreeMap<_, _>>>()?,
        why: word("why")?,
        sources: Source::listed(root),
    })
}

/// How many entries each list of a cause has at most. Each mend is tried at every place of a boom.
const MOST: [(&str, usize); 4] = [
    ("mends", 10),
    ("gives-way-to", 20),
    ("next", 20),
    ("told-apart", 50),
];

/// Whether no list is longer than any that is meant to be read.
fn is_short(root: Node<'_>, problems: &mut Problems) -> bool {
    let mut is_so = true;
    for (key, most) in MOST {
        let Some(node) = root.get(key) else {
            continue;
        };
        let entries = node.entries().map(|(key, _)| key);
        if let Some(first_left_out) = node.items().chain(entries).nth(most) {
            let message = format!("a cause has at most {most} entries in `{key}`");
            let help = "take entries out";
            problems.add(first_left_out.span(), message, help.to_owned());
            is_so = false;
        }
    }
    is_so
}

/// The mends of a cause; together they are no more probable than what is certain.
fn mends(root: Node<'_>, problems: &mut Problems) -> Option<Vec<(Mend, &'static Form)>> {
    let node = root.get("mends")?;
    let mends: Vec<Option<_>> = node.items().map(|node| mend(node, problems)).collect();
    let mends: Vec<(Mend, &Form)> = mends.into_iter().collect::<Option<_>>()?;
    let sum: f64 = mends.iter().map(|(mend, _)| mend.prior).sum();
    if sum > 1.0 + f64::EPSILON {
        problems.add(
            root.key("mends").unwrap_or(node).span(),
            format!("the priors of these mends add up to {sum:.3}; together they are at most 1"),
            "write smaller priors".to_owned(),
        );
    }
    Some(mends)
}

fn gives_way_to(root: Node<'_>) -> impl Iterator<Item = Node<'_>> {
    let list = root.get("gives-way-to");
    list.into_iter().flat_map(Node::items)
}

/// Where it names causes.
fn named(root: Node<'_>) -> impl Iterator<Item = Node<'_>> {
    let rivals = root.get("told-apart").into_iter().flat_map(Node::entries);
    gives_way_to(root).chain(rivals.map(|(rival, _)| rival))
}

fn others(root: Node<'_>) -> impl Iterator<Item = Spanned<String>> {
    named(root).filter_map(|node| {
        let value = node.text()?.to_owned();
        let span = node.span();
        Some(Spanned { value, span })
    })
}

fn names_not_itself(root: Node<'_>, id: &str, problems: &mut Problems) {
    for node in named(root).filter(|node| node.text() == Some(id)) {
        let id = phrases::name(id);
        let message = format!("`{id}` names itself where it names another cause");
        let help = "write the name of another cause, or take it out";
        problems.add(node.span(), message, help.to_owned());
    }
}

/// A cause that is told has texts, and one that is never told has none.
fn is_told_or_not(root: Node<'_>, told: bool, problems: &mut Problems) {
    for key in ["message", "next", "told-apart"] {
        match (told, root.key(key)) {
            (true, None) if key != "told-apart" => {
                let span = root.get("told").unwrap_or(root).span();
                let message = format!("a cause that is told needs `{key}`");
                problems.add(span, message, format!("add `{key}`, or write told: never"));
            }
            (false, Some(node)) => {
                let message = format!("a cause that is never told has no `{key}`");
                let help = "take it out, or write told: always";
                problems.add(node.span(), message, help.to_owned());
            }
            (true, Some(_) | None) | (false, None) => {}
        }
    }
}

/// A cause that is told mends something.
fn changes_something(root: Node<'_>, mends: &[Mend], problems: &mut Problems) -> bool {
    let nodes = root.get("mends").into_iter().flat_map(Node::items);
    let mut does = true;
    for (node, _) in nodes
        .zip(mends)
        .filter(|(_, mend)| mend.kind == Kind::Nothing)
    {
        let span = node.get("kind").unwrap_or(node).span();
        let message = "a cause that is told must change something";
        let help = "write another kind of mend, or told: never";
        problems.add(span, message.to_owned(), help.to_owned());
        does = false;
    }
    does
}

/// Whether each mend is of a value that is written: only a record can be corrected.
fn is_of_record(root: Node<'_>, mends: &[Mend], problems: &mut Problems) -> bool {
    let nodes = root.get("mends").into_iter().flat_map(Node::items);
    let mut nodes = nodes.zip(mends);
    let other = nodes.find(|(_, mend)| !mend.kind.is_of_record());
    let Some((node, _)) = other else {
        return true;
    };
    let message = "a cause about the record mends values that are written, and this mend does not";
    let help = "write about: machine, about: instrument, or about: test";
    problems.add(node.span(), message.to_owned(), help.to_owned());
    false
}

/// What it is of; something, if it is ever told.
fn about(root: Node<'_>, told: bool, problems: &mut Problems) -> Option<About> {
    let node = root.get("about")?;
    let about = match node.text()? {
        "record" => About::Record,
        "machine" => About::Machine,
        "instrument" => About::Instrument,
        "test" => About::Test,
        "nothing" => About::Nothing,
        _ => return None, // The schema has a finding.
    };
    if told && about == About::Nothing {
        let message = "a cause that is told is about the record, the machine, or an instrument";
        let help = "write about: record, about: machine, or about: instrument";
        problems.add(node.span(), message.to_owned(), help.to_owned());
        return None;
    }
    Some(about)
}

/// The finding of a cause that a file names and that there is not.
pub fn unknown_cause<'k>(
    at: Place,
    name: &str,
    known: impl IntoIterator<Item = &'k str>,
) -> Diagnostic {
    let help = spelling::nearest(name, known).map_or_else(
        || "run `swathlint causes` for the names of all causes".to_owned(),
        |nearest| format!("write `{nearest}`, if that cause is meant"),
    );
    let message = format!("no cause is called `{}`", phrases::name(name));
    Diagnostic::new(
        "unknown-cause",
        Severity::Error,
        message,
        Label::new(at, ""),
    )
    .help(help)
}
