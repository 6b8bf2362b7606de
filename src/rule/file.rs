//! Reading a rule file: ours and a group's own go the same way.

use super::applies::{Applies, Attribute};
use super::content::{Rule, Status};
use super::guard::REQUIREMENT_RELAXED;
use super::limit::{Bound, Limit};
use super::template::{HIGH, HIGH_NOTE, LOW, OTHERWISE, Slot, Text, TextFault, Texts};
use super::verdict::Decision;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::{Entry, catalogue};
use crate::outcome::Grade;
use crate::schema::{self, Source};
use crate::source::{FileId, Place, Span, Spanned};
use crate::words;
use crate::yaml::{Node, Shape};
use std::collections::BTreeMap;

/// The file our own rules claim to stand in; no label ever points there.
pub(super) const EMBEDDED: FileId = FileId(u32::MAX);

/// What could be made of a rule file.
#[derive(Debug)]
pub struct Loaded {
    /// The name it gives itself, whatever else is wrong.
    pub id: Option<Spanned<String>>,
    /// The rule; none where anything in its file is wrong.
    pub rule: Option<Rule>,
    /// What is wrong.
    pub problems: Vec<Diagnostic>,
}

/// Reads a rule file.
pub fn load(file: FileId, text: &str) -> Loaded {
    let declared = schema::declared(schema::Kind::Rule, file, text);
    let mut problems = declared.problems;
    let root = declared.tree.root();
    problems.extend(
        root.into_iter()
            .flat_map(|root| schema::check(schema::Kind::Rule, file, root)),
    );
    let root = root.filter(|_| problems.is_empty());
    let rule = root.and_then(|root| {
        Loader {
            file,
            problems: &mut problems,
        }
        .rule(root)
    });
    let rule = rule.filter(|_| problems.is_empty());
    problems.extend(declared.old_words);
    Loaded {
        id: declared.id,
        rule,
        problems,
    }
}

struct Loader<'p> {
    file: FileId,
    problems: &'p mut Vec<Diagnostic>,
}

impl Loader<'_> {
    fn rule(&mut self, root: Node<'_>) -> Option<Rule> {
        let figure_node = root.get("figure")?;
        let name = figure_node.text()?;
        let Some((figure, entry)) = catalogue::find(name) else {
            let known = catalogue::FIGURES.iter().map(|entry| entry.id);
            let nearest = words::spelling::nearest(name, known.clone());
            let help = nearest.map_or_else(
                || {
                    let known: Vec<&str> = known.collect();
                    format!("write one of {}", words::phrases::list(&known, "or"))
                },
                |nearest| format!("write `{nearest}`, if that figure is meant"),
            );
            self.problem(
                figure_node.span(),
                format!("no figure is called `{name}`"),
                help,
            );
            return None;
        };
        let text = |key: &str| root.get(key).and_then(Node::text).map(str::to_owned);
        if matches!(entry, Entry::Comparison(_)) && text("id")? != REQUIREMENT_RELAXED {
            let message = format!("only the built-in rule {REQUIREMENT_RELAXED} judges `{name}`");
            self.problem(
                figure_node.span(),
                message,
                "judge another figure".to_owned(),
            );
            return None;
        }
        Some(Rule {
            id: text("id")?,
            since: text("since")?,
            status: status(root.get("status")?.text()?)?,
            figure,
            applies: self.applies(root),
            follows: texts(root, "follows"),
            limits: self.limits(root, entry),
            interval: text("interval"),
            decision: decision(root.get("decision")?.text()?)?,
            title: text("title")?,
            message: self.texts(root, "message", entry)?,
            help: self.texts(root, "help", entry)?,
            why: text("why")?,
            sources: Source::listed(root),
        })
    }

    fn limits(&mut self, root: Node<'_>, entry: &Entry) -> BTreeMap<Grade, Limit> {
        let mut limits = BTreeMap::new();
        for grade in Grade::ALL {
            let Some(node) = root
                .get("limits")
                .and_then(|limits| limits.get(grade.word()))
            else {
                continue;
            };
            match Bound::parse(node.text().unwrap_or_default(), entry.shown_as) {
                Ok(bound) => {
                    let limit = Limit {
                        bound,
                        set_at: None,
                    };
                    limits.insert(grade, limit);
                }
                Err(fault) => {
                    let help = fault.help().to_owned();
                    self.problem(node.span(), fault.message(), help);
                }
            }
        }
        limits
    }

    fn applies(&mut self, root: Node<'_>) -> Applies {
        let mut wanted = BTreeMap::new();
        let entries = root.get("applies").into_iter().flat_map(Node::entries);
        for (attribute, values) in entries {
            let Some(name) = attribute.text() else {
                continue; // A key that is no text has a finding of the tree.
            };
            let known = Attribute::ALL.map(Attribute::word);
            let Some(at) = known.iter().position(|known| *known == name) else {
                let help = format!("write one of {}", words::phrases::list(&known, "or"));
                self.problem(
                    attribute.span(),
                    format!("no attribute is called `{name}`"),
                    help,
                );
                continue;
            };
            let values = match values.shape() {
                Shape::Sequence => values
                    .items()
                    .filter_map(Node::text)
                    .map(str::to_owned)
                    .collect(),
                Shape::Scalar | Shape::Mapping => {
                    values.text().map(str::to_owned).into_iter().collect()
                }
            };
            wanted.insert(Attribute::ALL[at], values);
        }
        Applies { wanted }
    }

    fn texts(&mut self, root: Node<'_>, key: &str, entry: &Entry) -> Option<Texts> {
        let node = root.get(key)?;
        if node.shape() == Shape::Scalar {
            return Some(Texts::one(self.text(node, entry)?));
        }
        let mut by_case = BTreeMap::new();
        for (case, text) in node.entries() {
            let name = case.text()?;
            let known = [HIGH, HIGH_NOTE, LOW, OTHERWISE];
            if !known.contains(&name) && !entry.cases.contains(&name) {
                let cases: Vec<&str> = known.iter().chain(entry.cases).copied().collect();
                let help = format!("write one of {}", words::phrases::list(&cases, "or"));
                self.problem(
                    case.span(),
                    format!("the figure `{}` has no case `{name}`", entry.id),
                    help,
                );
                continue;
            }
            by_case.insert(name.to_owned(), self.text(text, entry)?);
        }
        let texts = Texts::by_case(by_case);
        if !texts.is_complete() {
            self.problem(
                node.span(),
                format!("some findings have no {key}"),
                "add a text for `otherwise`, or for both `high` and `low`".to_owned(),
            );
        }
        Some(texts)
    }

    fn text(&mut self, node: Node<'_>, entry: &Entry) -> Option<Text> {
        let (message, help) = match Text::parse(node.text()?, entry) {
            Ok(text) => return Some(text),
            Err(TextFault::StrayBrace) => (
                "a brace has no partner".to_owned(),
                "write slots as {found}; leave braces out of the words".to_owned(),
            ),
            Err(TextFault::UnknownSlot(slot)) => (
                format!("no slot of the figure `{}` is called `{slot}`", entry.id),
                format!(
                    "write one of {}",
                    words::phrases::list(&Slot::names(entry), "or")
                ),
            ),
        };
        self.problem(node.span(), message, help);
        None
    }

    fn problem(&mut self, span: Span, message: String, help: String) {
        let place = Place {
            file: self.file,
            span,
        };
        let label = Label::new(place, "");
        self.problems
            .push(Diagnostic::new("wrong-rule", Severity::Error, message, label).help(help));
    }
}

fn status(words: &str) -> Option<Status> {
    [Status::Settled, Status::OnTrial, Status::Withdrawn]
        .into_iter()
        .find(|status| status.words() == words)
}

fn decision(word: &str) -> Option<Decision> {
    [Decision::Simple, Decision::Guarded]
        .into_iter()
        .find(|decision| decision.word() == word)
}

fn texts(root: Node<'_>, key: &str) -> Vec<String> {
    let items = root.get(key).into_iter().flat_map(Node::items);
    items.filter_map(Node::text).map(str::to_owned).collect()
}
