//! Files that declare something under a name of its own, ours and a group's alike: rules and causes.

use super::kind::Kind;
use super::renamed::reword;
use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Spanned};
use crate::yaml::{self, Node, Tree};
use std::fmt;

/// What could be made of such a file, before its values are looked at.
#[derive(Debug)]
pub struct Declared<'t> {
    /// Its keys and values, old words read as the new ones.
    pub tree: Tree<'t>,
    /// The name it gives itself, whatever else is wrong.
    pub id: Option<Spanned<String>>,
    /// What is wrong with its text; its shape is for whoever reads on.
    pub problems: Vec<Diagnostic>,
    /// The old words in it.
    pub old_words: Vec<Diagnostic>,
}

/// Reads such a file of one kind.
pub fn declared(kind: Kind, file: FileId, text: &str) -> Declared<'_> {
    let mut parsed = yaml::parse(file, text);
    let old_words = reword(kind, file, &mut parsed.tree);
    let root = parsed.tree.root();
    let id = root.and_then(|root| {
        let id = root.get("id")?;
        Some(Spanned {
            value: id.text()?.to_owned(),
            span: id.span(),
        })
    });
    Declared {
        tree: parsed.tree,
        id,
        problems: parsed.problems,
        old_words,
    }
}

/// Where a number of a rule or a cause comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Publisher and title.
    pub title: String,
    /// Page or clause.
    pub at: Option<String>,
    /// What it says.
    pub says: Option<String>,
    /// How it is known: seen, restated, computed, memory, practice, our choice.
    pub mark: String,
}

impl Source {
    /// What a file lists under `sources`.
    pub fn listed(root: Node<'_>) -> Vec<Self> {
        let items = root.get("sources").into_iter().flat_map(Node::items);
        items
            .filter_map(|source| {
                let text = |key: &str| source.get(key).and_then(Node::text).map(str::to_owned);
                Some(Self {
                    title: text("title")?,
                    at: text("where"),
                    says: text("says"),
                    mark: text("mark")?,
                })
            })
            .collect()
    }
}

/// In one line: title, page, what it says, and how it is known.
impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.title)?;
        for more in [&self.at, &self.says].into_iter().flatten() {
            write!(f, ", {more}")?;
        }
        let mark = match self.mark.as_str() {
            "memory" => "from memory",
            "restated" => "as restated elsewhere",
            "practice" => "common practice, no source",
            other => other,
        };
        write!(f, " [{mark}]")
    }
}
