//! Where a fault of shape is told: a value's name, the bytes it stands on, and the key that should hold what is missing.
//!
//! Judges nothing and knows no schema.

use super::document::unescaped;
use super::wording::quoted;
use crate::source::Span;
use crate::yaml::{self, Shape, Value};

/// A value of a record with the JSON Pointer that leads to it.
#[derive(Clone, Copy)]
pub(super) struct At<'p, 'n> {
    root: yaml::Node<'n>,
    pointer: &'p str,
    pub(super) node: yaml::Node<'n>,
}

impl<'p, 'n> At<'p, 'n> {
    /// The value a pointer leads to; none where a key on the way is written twice.
    ///
    /// Which of two equal keys is meant is not known, and the reader of the text has refused the second.
    pub(super) fn find(root: yaml::Node<'n>, pointer: &'p str) -> Option<Self> {
        let mut node = root;
        for token in pointer.split('/').skip(1) {
            let name = unescaped(token);
            node = match node.shape() {
                Shape::Mapping => {
                    let mut named = node.entries().filter(|(key, _)| key.text() == Some(&name));
                    let (_, value) = named.next()?;
                    if named.next().is_some() {
                        return None;
                    }
                    value
                }
                Shape::Sequence => node.items().nth(name.parse().ok()?)?,
                Shape::Scalar => return None,
            };
        }
        Some(Self {
            root,
            pointer,
            node,
        })
    }

    pub(super) fn root(self) -> yaml::Node<'n> {
        self.root
    }

    pub(super) fn pointer(self) -> &'p str {
        self.pointer
    }

    /// Whether nothing is written where a value belongs.
    pub(super) fn is_empty(self) -> bool {
        self.node.value() == Some(Value::Null)
    }

    /// The key whose value this is; none for the item of a list and for the whole file.
    pub(super) fn key(self) -> Option<yaml::Node<'n>> {
        key_of(self.root, self.pointer)
    }

    /// What the value is called in a message: `` `pressure` ``, ``entry 3 of `caught` ``, `` `3` of `right` ``.
    pub(super) fn subject(self) -> String {
        subject(self.root, self.pointer)
    }

    /// The value's bytes; where nothing is written, those of its key, or of the dash before it.
    pub(super) fn visible(self) -> Span {
        let span = self.node.span();
        if !span.is_empty() {
            return span;
        }
        if let Some(key) = self.key() {
            return key.span();
        }
        let list = self
            .pointer
            .rsplit_once('/')
            .and_then(|(list, _)| self.root.at_pointer(list));
        list.and_then(|list| dash_before(list, span))
            .unwrap_or(span)
    }

    /// Where it is told that a key is missing: at the key of the object that should hold it; in a list, at the object's own
    /// first key; in the whole file, at `record`.
    pub(super) fn holder(self) -> Span {
        let first = self.node.entries().next().map(|(key, _)| key);
        let key = match self.key() {
            Some(key) => Some(key),
            None if self.pointer.is_empty() => self.node.key("record").or(first),
            None => first,
        };
        key.unwrap_or(self.node).span()
    }
}

fn key_of<'n>(root: yaml::Node<'n>, pointer: &str) -> Option<yaml::Node<'n>> {
    let (parent, token) = pointer.rsplit_once('/')?;
    root.at_pointer(parent)?.key(&unescaped(token))
}

fn subject(root: yaml::Node<'_>, pointer: &str) -> String {
    let Some((parent, token)) = pointer.rsplit_once('/') else {
        return "this file".to_owned();
    };
    let name = quoted(&unescaped(token));
    match (token.parse::<usize>(), key_of(root, pointer)) {
        (Ok(index), None) => format!("entry {} of {}", index + 1, subject(root, parent)),
        (Ok(_), Some(_)) if !parent.is_empty() => format!("{name} of {}", subject(root, parent)),
        (Ok(_) | Err(_), _) => name,
    }
}

/// The dash that an empty item of a list stands behind.
fn dash_before(list: yaml::Node<'_>, item: Span) -> Option<Span> {
    let before = item.start.checked_sub(list.span().start)? as usize;
    let up_to_dash = list.raw().get(..before)?.trim_end();
    let start = list.span().start + u32::try_from(up_to_dash.len()).ok()?.checked_sub(1)?;
    up_to_dash
        .ends_with('-')
        .then(|| Span::new(start, start + 1))
}
