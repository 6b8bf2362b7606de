//! The tree: its nodes in the order they stand in the text, and the views others read it through.
//!
//! Builds nothing and judges nothing. A node costs 20 bytes and no allocation of its own: a collection is followed by what
//! it holds, and a scalar's content is a range of the source or, where escapes had to be undone, of one shared buffer.

use super::scalar::{self, Value};
use crate::source::Span;
use std::borrow::Cow;

/// The documents of one text.
#[derive(Debug, PartialEq, Eq)]
pub struct Tree<'s> {
    pub(super) source: &'s str,
    pub(super) items: Vec<Item>,
    pub(super) unescaped: String,
    /// The root of every document in order; absent where it could not be read.
    pub(super) documents: Vec<Option<u32>>,
}

/// One node as stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Item {
    pub(super) span: Span,
    pub(super) content: Content,
}

/// What a node is. `after` is the number of the first node behind a collection and all it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Content {
    Scalar {
        text: Span,
        kept: Kept,
        written: Written,
        typed: Typed,
    },
    Sequence {
        len: u32,
        after: u32,
    },
    Mapping {
        len: u32,
        after: u32,
    },
    Alias {
        target: u32,
    },
}

/// What a scalar's range of text is a range of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kept {
    Source,
    Unescaped,
}

/// How a scalar is written; block scalars count as quoted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Written {
    Plain,
    Quoted,
}

/// Whether a scalar may be a number, a truth value or null, or is a text whatever it looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Typed {
    Core,
    Text,
}

impl Tree<'_> {
    /// The roots of the documents that could be read.
    pub fn documents(&self) -> impl Iterator<Item = Node<'_>> {
        self.documents
            .iter()
            .flatten()
            .map(|&index| Node { tree: self, index })
    }

    /// How many documents the text holds, whether they could be read or not.
    pub fn document_count(&self) -> usize {
        self.documents.len()
    }

    /// The root of the first document, where it could be read.
    pub fn root(&self) -> Option<Node<'_>> {
        self.documents
            .first()
            .copied()
            .flatten()
            .map(|index| Node { tree: self, index })
    }

    /// The number of the node behind this one and all it holds.
    pub(super) fn after(&self, index: u32) -> u32 {
        match self.items[index as usize].content {
            Content::Scalar { .. } | Content::Alias { .. } => index + 1,
            Content::Sequence { after, .. } | Content::Mapping { after, .. } => after,
        }
    }

    /// The node whose content this one shows: itself, or the target of an alias, which is never an alias itself.
    pub(super) fn target(&self, index: u32) -> u32 {
        match self.items[index as usize].content {
            Content::Alias { target } => target,
            Content::Scalar { .. } | Content::Sequence { .. } | Content::Mapping { .. } => index,
        }
    }

    /// A scalar's content with its escapes undone.
    pub(super) fn scalar_text(&self, index: u32) -> Option<&str> {
        match self.items[self.target(index) as usize].content {
            Content::Scalar {
                text,
                kept: Kept::Source,
                ..
            } => Some(&self.source[text.range()]),
            Content::Scalar {
                text,
                kept: Kept::Unescaped,
                ..
            } => Some(&self.unescaped[text.range()]),
            Content::Sequence { .. } | Content::Mapping { .. } | Content::Alias { .. } => None,
        }
    }
}

impl Tree<'_> {
    /// Whether a node is a scalar with this content.
    fn is_text(&self, index: u32, wanted: &str) -> bool {
        match self.items[index as usize].content {
            // Most keys of a mapping differ from the one sought in length already.
            Content::Scalar { text, .. } if text.len() != wanted.len() => false,
            Content::Scalar { .. }
            | Content::Sequence { .. }
            | Content::Mapping { .. }
            | Content::Alias { .. } => self.scalar_text(index) == Some(wanted),
        }
    }
}

/// A word of a record that is read as another one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reworded {
    /// Where it stands.
    pub span: Span,
    /// What it is read as.
    pub now: &'static str,
}

/// Whether a scalar is a key or a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A key of a mapping.
    Key,
    /// A value of a mapping, or an item of a list.
    Value,
}

/// The word that a word stands for, by the keys it lies under from the root inward (a value's own key is the last).
pub(super) type WordFor<'a> = dyn Fn(&[&str], Role, &str) -> Option<&'static str> + 'a;

impl Tree<'_> {
    /// Reads words as others, in place: spans stay, so that findings still point at what the file has.
    ///
    /// A key stays as it is where its mapping has the other one too. What an alias repeats is looked at where it is written.
    pub fn reword(&mut self, word_for: &WordFor<'_>) -> Vec<Reworded> {
        let mut found = Vec::new();
        for &root in self.documents.iter().flatten() {
            self.find_words(root, &mut Vec::new(), word_for, &mut found);
        }
        for &(index, now) in &found {
            let start = offset(&self.unescaped);
            self.unescaped.push_str(now);
            if let Content::Scalar { text, kept, .. } = &mut self.items[index as usize].content {
                *text = Span::new(start, offset(&self.unescaped));
                *kept = Kept::Unescaped;
            }
        }
        let reworded = |(index, now): (u32, _)| Reworded {
            span: self.items[index as usize].span,
            now,
        };
        found.into_iter().map(reworded).collect()
    }

    /// The scalars at or under a node that another word stands for.
    fn find_words<'t>(
        &'t self,
        index: u32,
        under: &mut Vec<&'t str>,
        word_for: &WordFor<'_>,
        found: &mut Vec<(u32, &'static str)>,
    ) {
        let node = Node { tree: self, index };
        match self.items[index as usize].content {
            Content::Scalar { .. } => {
                let word = self.scalar_text(index).unwrap_or_default();
                found.extend(word_for(under, Role::Value, word).map(|now| (index, now)));
            }
            Content::Sequence { .. } => {
                for item in node.items() {
                    self.find_words(item.index, under, word_for, found);
                }
            }
            Content::Mapping { .. } => {
                for (key, value) in node.entries() {
                    let word = key.text().unwrap_or_default();
                    let now =
                        word_for(under, Role::Key, word).filter(|now| node.get(now).is_none());
                    if let Some(now) = now {
                        found.push((key.index, now));
                    }
                    under.push(now.unwrap_or(word));
                    self.find_words(value.index, under, word_for, found);
                    under.pop();
                }
            }
            Content::Alias { .. } => {}
        }
    }
}

impl<'s> Tree<'s> {
    /// The whole text the tree was read from.
    pub fn text(&self) -> &'s str {
        self.source
    }
}

/// What a node is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A single value.
    Scalar,
    /// A list.
    Sequence,
    /// Keys with values.
    Mapping,
}

/// A key or a value of a tree: a view that is copied freely.
///
/// An alias has its own span, at the place of use, and shows the content of what it stands for.
#[derive(Clone, Copy)]
pub struct Node<'a> {
    tree: &'a Tree<'a>,
    index: u32,
}

impl<'a> Node<'a> {
    /// The bytes it stands on: with its quotes or brackets, without anchor, tag or comment.
    ///
    /// A block scalar's runs to the end of its last line; that of an absent value is empty and stands where the value would.
    pub fn span(self) -> Span {
        self.tree.items[self.index as usize].span
    }

    /// What the file has at its span.
    pub fn raw(self) -> &'a str {
        &self.tree.source[self.span().range()]
    }

    /// What it is made of.
    pub fn shape(self) -> Shape {
        match self.content() {
            Content::Sequence { .. } => Shape::Sequence,
            Content::Mapping { .. } => Shape::Mapping,
            Content::Scalar { .. } | Content::Alias { .. } => Shape::Scalar,
        }
    }

    /// A scalar's content with quotes taken off and escapes undone.
    pub fn text(self) -> Option<&'a str> {
        self.tree.scalar_text(self.index)
    }

    /// Whether it is a scalar without quotes.
    pub fn is_plain(self) -> bool {
        matches!(
            self.content(),
            Content::Scalar {
                written: Written::Plain,
                ..
            }
        )
    }

    /// A scalar's meaning in the core schema of YAML 1.2.
    pub fn value(self) -> Option<Value<'a>> {
        let Content::Scalar { typed, .. } = self.content() else {
            return None;
        };
        let text = self.text()?;
        Some(match typed {
            Typed::Core => scalar::resolve(text),
            Typed::Text => Value::Text(text),
        })
    }

    /// The items of a list; none of anything else.
    pub fn items(self) -> Items<'a> {
        match self.content() {
            Content::Sequence { len, .. } => self.children(len),
            Content::Scalar { .. } | Content::Mapping { .. } | Content::Alias { .. } => {
                self.children(0)
            }
        }
    }

    /// The keys and values of a mapping, in the order written; none of anything else.
    pub fn entries(self) -> Entries<'a> {
        match self.content() {
            Content::Mapping { len, .. } => Entries(self.children(2 * len)),
            Content::Scalar { .. } | Content::Sequence { .. } | Content::Alias { .. } => {
                Entries(self.children(0))
            }
        }
    }

    /// The value of a key; of the first, where a key is written twice.
    pub fn get(self, key: &str) -> Option<Self> {
        self.entry(key).map(|(_, value)| value)
    }

    /// The key itself; the first, where it is written twice.
    pub fn key(self, key: &str) -> Option<Self> {
        self.entry(key).map(|(key, _)| key)
    }

    /// Every scalar without quotes it holds or is, keys too, each once where it is written.
    pub(super) fn plain_scalars(self) -> impl Iterator<Item = (Span, &'a str)> {
        (self.index..self.tree.after(self.index)).filter_map(move |index| {
            let item = self.tree.items[index as usize];
            let Content::Scalar {
                written: Written::Plain,
                ..
            } = item.content
            else {
                return None;
            };
            Some((item.span, self.tree.scalar_text(index)?))
        })
    }

    /// The node a JSON Pointer (RFC 6901) leads to from here.
    pub fn at_pointer(self, pointer: &str) -> Option<Self> {
        if pointer.is_empty() {
            return Some(self);
        }
        pointer
            .strip_prefix('/')?
            .split('/')
            .try_fold(self, |node, token| match node.shape() {
                Shape::Mapping => node.get(&unescaped(token)),
                Shape::Sequence => node.items().nth(position(token)?),
                Shape::Scalar => None,
            })
    }

    /// Tells apart the contents of all trees in memory; an alias has the identity of what it stands for.
    pub fn identity(self) -> (usize, u32) {
        (
            std::ptr::from_ref(self.tree).addr(),
            self.tree.target(self.index),
        )
    }

    fn content(self) -> Content {
        self.tree.items[self.tree.target(self.index) as usize].content
    }

    fn entry(self, key: &str) -> Option<(Self, Self)> {
        self.entries()
            .find(|(found, _)| self.tree.is_text(found.index, key))
    }

    fn children(self, left: u32) -> Items<'a> {
        Items {
            tree: self.tree,
            next: self.tree.target(self.index) + 1,
            left,
        }
    }
}

impl std::fmt::Debug for Node<'_> {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("Node")
            .field("span", &self.span())
            .field("raw", &self.raw())
            .finish_non_exhaustive()
    }
}

/// Where the next word of a buffer begins; a text has at most [`crate::source::LARGEST_TEXT`] bytes, and a new word is short.
fn offset(buffer: &str) -> u32 {
    u32::try_from(buffer.len()).unwrap_or(u32::MAX)
}

/// The position a reference token of RFC 6901 stands for in a list: digits without leading zeros.
fn position(token: &str) -> Option<usize> {
    let is_position = token == "0" || !token.starts_with(['0', '+']);
    token.parse().ok().filter(|_| is_position)
}

/// A reference token of RFC 6901 with `~1` and `~0` undone, in this order.
fn unescaped(token: &str) -> Cow<'_, str> {
    if token.contains('~') {
        Cow::Owned(token.replace("~1", "/").replace("~0", "~"))
    } else {
        Cow::Borrowed(token)
    }
}

/// The items of a list, one after another.
#[derive(Clone, Debug)]
pub struct Items<'a> {
    tree: &'a Tree<'a>,
    next: u32,
    left: u32,
}

impl<'a> Iterator for Items<'a> {
    type Item = Node<'a>;

    fn next(&mut self) -> Option<Node<'a>> {
        self.left = self.left.checked_sub(1)?;
        let node = Node {
            tree: self.tree,
            index: self.next,
        };
        self.next = self.tree.after(self.next);
        Some(node)
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (self.left as usize, Some(self.left as usize))
    }
}

impl ExactSizeIterator for Items<'_> {}

/// The keys and values of a mapping, one pair after another.
#[derive(Clone, Debug)]
pub struct Entries<'a>(Items<'a>);

impl<'a> Iterator for Entries<'a> {
    type Item = (Node<'a>, Node<'a>);

    fn next(&mut self) -> Option<(Node<'a>, Node<'a>)> {
        Some((self.0.next()?, self.0.next()?))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (self.0.len() / 2, Some(self.0.len() / 2))
    }
}

impl ExactSizeIterator for Entries<'_> {}
