//! The parser's events to a tree, with the parser's own notion of places set right.
//!
//! Words nothing: faults are named here and worded in [`super::fault`] and [`super::syntax`]. Never recurses, so no text
//! can exhaust a stack; whatever it keeps is bounded by the length of the text.

use super::fault::{Fault, Found};
use super::syntax::{Cause, Surroundings};
use super::tree::{Content, Item, Kept, Tree, Typed, Written};
use super::{DEEPEST, MOST_ALIASED, MOST_LISTED, Parsed, scalar};
use crate::source::{FileId, LARGEST_TEXT, Span};
use granit_parser::{Event, Options, Parser, ScalarStyle, ScanError, StructureStyle, Tag};
use std::borrow::Cow;

/// An offset in a text; [`build`] refuses texts in which it would not fit.
pub(super) fn offset(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

pub(super) fn drain_events(text: &str) -> usize {
    let mut parser = Parser::new_from_str_with_options(text, options());
    let mut count = 0;
    while let Some(event) = parser.next_event() {
        count += 1;
        if event.is_err() && !matches!(parser.proceed_next_document(), Ok(true)) {
            break;
        }
    }
    count
}

fn options() -> Options {
    granit_parser::options! {
        emit_comments: false,
        flow_nesting_limit: DEEPEST,
        block_nesting_limit: DEEPEST,
    }
}

pub(super) fn build(file: FileId, text: &str) -> Parsed<'_> {
    let mut builder = Builder::new(text);
    if text.len() <= LARGEST_TEXT {
        builder.read();
    } else {
        builder.report(Found::new(Fault::TooLarge, Span::default()));
    }
    builder.finish(file)
}

/// A collection whose end has not been met yet.
struct Open {
    item: u32,
    is_mapping: bool,
    is_flow: bool,
    /// How many nodes stand directly in it so far: items, or keys and values.
    children: u32,
    /// How many nodes it stands for so far, itself and what aliases stand for included.
    weight: u32,
    /// How many levels of collections stand within it so far.
    height: usize,
    anchor: usize,
}

/// What an anchor marks.
#[derive(Clone, Copy)]
enum Anchor {
    Unset,
    /// A collection that is still open.
    Open,
    Node {
        item: u32,
        weight: u32,
        height: usize,
    },
}

struct Builder<'s> {
    tree: Tree<'s>,
    open: Vec<Open>,
    anchors: Vec<Anchor>,
    /// The end of the last token whose place is certain.
    reached: usize,
    /// The root of the document being read.
    root: Option<u32>,
    /// Whether the document being read has a fault that leaves its meaning open.
    spoilt: bool,
    in_document: bool,
    /// What aliases of the document being read stand for, in nodes.
    aliased: u32,
    document_mark: Span,
    second_document: Option<Span>,
    found: Vec<Found>,
    not_listed: usize,
    first_not_listed: Option<Span>,
}

impl<'s> Builder<'s> {
    fn new(source: &'s str) -> Self {
        Self {
            tree: Tree {
                source,
                items: Vec::with_capacity(source.len() / 12),
                unescaped: String::new(),
                documents: Vec::new(),
            },
            open: Vec::new(),
            anchors: Vec::new(),
            reached: 0,
            root: None,
            spoilt: false,
            in_document: false,
            aliased: 0,
            document_mark: Span::default(),
            second_document: None,
            found: Vec::new(),
            not_listed: 0,
            first_not_listed: None,
        }
    }

    fn read(&mut self) {
        let mut parser = Parser::new_from_str_with_options(self.tree.source, options());
        while let Some(event) = parser.next_event() {
            let taken = match event {
                Ok((event, span)) => self.take(event, &span),
                Err(error) => Err(self.unreadable(&error)),
            };
            if let Err(found) = taken {
                self.report(found);
                self.abandon_document();
                // The only other error is one of the input, and a text in memory has none.
                if !matches!(parser.proceed_next_document(), Ok(true)) {
                    break;
                }
            }
        }
    }

    fn unreadable(&self, error: &ScanError) -> Found {
        let bracket = self
            .open
            .iter()
            .rev()
            .find(|open| open.is_flow)
            .map(|open| self.tree.items[open.item as usize].span);
        let surroundings = Surroundings {
            source: self.tree.source,
            reached: self.reached,
            bracket,
        };
        surroundings.explain(
            error.kind(),
            error.marker().byte_offset().unwrap_or(self.reached),
        )
    }

    fn report(&mut self, found: Found) {
        if self.found.len() < MOST_LISTED {
            self.found.push(found);
        } else {
            self.not_listed += 1;
            self.first_not_listed.get_or_insert(found.span);
        }
    }

    fn take(&mut self, event: Event<'s>, span: &granit_parser::Span) -> Result<(), Found> {
        let place = span.byte_range().unwrap_or(self.reached..self.reached);
        let tag_place = span.tag_span().and_then(|tag| tag.byte_range());
        if let Some(tag) = &tag_place {
            self.reached = self.reached.max(tag.end);
        }
        let tag_span = tag_place.map(|tag| self.span(tag.start, tag.end));
        match event {
            Event::DocumentStart(explicit, _) => self.begin_document(explicit, &place),
            Event::DocumentEnd => self.end_document(),
            Event::Scalar(text, style, anchor, tag) => {
                self.scalar(text, style, anchor, tag.as_deref().zip(tag_span), &place);
            }
            Event::SequenceStart(style, anchor, tag) => {
                self.check_collection_tag(tag.as_deref(), tag_span, "seq");
                let start = if style == StructureStyle::Block {
                    self.block_sequence_start(place.start)
                } else {
                    place.start
                };
                return self.begin_collection(false, style, anchor, start, place.end);
            }
            Event::MappingStart(style, anchor, tag) => {
                self.check_collection_tag(tag.as_deref(), tag_span, "map");
                return self.begin_collection(true, style, anchor, place.start, place.end);
            }
            Event::SequenceEnd | Event::MappingEnd => self.end_collection(&place),
            Event::Alias(anchor) => return self.alias(anchor, &place),
            // Neither comments nor anchors nor unresolved aliases are asked for.
            _ => {}
        }
        Ok(())
    }

    fn begin_document(&mut self, explicit: bool, place: &std::ops::Range<usize>) {
        self.in_document = true;
        self.root = None;
        self.spoilt = false;
        self.aliased = 0;
        self.document_mark = self.span(place.start, place.end);
        // A document without a mark carries the place of its first token, which is still to be understood.
        if explicit {
            self.reached = place.end;
        }
    }

    fn end_document(&mut self) {
        self.in_document = false;
        let root = if self.spoilt { None } else { self.root };
        let is_blank = root.is_some_and(|root| self.tree.items[root as usize].span.is_empty());
        self.keep_document(root, is_blank);
    }

    fn abandon_document(&mut self) {
        self.open.clear();
        self.in_document = false;
        self.keep_document(None, false);
    }

    fn keep_document(&mut self, root: Option<u32>, is_blank: bool) {
        if !self.tree.documents.is_empty() && !is_blank {
            self.second_document.get_or_insert(self.document_mark);
        }
        self.tree.documents.push(root);
    }

    fn scalar(
        &mut self,
        text: Cow<'s, str>,
        style: ScalarStyle,
        anchor: usize,
        tag: Option<(&Tag, Span)>,
        place: &std::ops::Range<usize>,
    ) {
        let (span, text, kept, written) = match style {
            ScalarStyle::Plain if place.is_empty() => {
                let at = self.absent_place(place.start);
                (
                    self.span(at, at),
                    self.span(at, at),
                    Kept::Source,
                    Written::Plain,
                )
            }
            ScalarStyle::Plain => {
                let (text, kept) = self.keep(text, place.start);
                (
                    self.span(place.start, place.end),
                    text,
                    kept,
                    Written::Plain,
                )
            }
            ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => {
                let (text, kept) = self.keep(text, place.start + 1);
                (
                    self.span(place.start, place.end),
                    text,
                    kept,
                    Written::Quoted,
                )
            }
            ScalarStyle::Literal | ScalarStyle::Folded => {
                let (text, kept) = self.keep(text, place.start);
                let start = self.block_scalar_start(place.start);
                (
                    self.span(start, self.block_scalar_end(start, place.end)),
                    text,
                    kept,
                    Written::Quoted,
                )
            }
        };
        self.reached = self.reached.max(span.end as usize);
        let content = Content::Scalar {
            text,
            kept,
            written,
            typed: if written == Written::Plain {
                Typed::Core
            } else {
                Typed::Text
            },
        };
        let item = self.push(span, content, anchor, 1, 0);
        if let Some((tag, tag_span)) = tag {
            self.apply_scalar_tag(item, tag, tag_span);
        }
    }

    /// Where a scalar's content is kept: in the source from `start` if the parser borrowed it from there, else aside.
    fn keep(&mut self, text: Cow<'s, str>, start: usize) -> (Span, Kept) {
        match text {
            Cow::Borrowed(text) => (self.span(start, start + text.len()), Kept::Source),
            Cow::Owned(text) => {
                let start = self.tree.unescaped.len();
                self.tree.unescaped.push_str(&text);
                (self.span(start, start + text.len()), Kept::Unescaped)
            }
        }
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span::new(offset(start), offset(end.max(start)))
    }

    fn push(
        &mut self,
        span: Span,
        content: Content,
        anchor: usize,
        weight: u32,
        height: usize,
    ) -> u32 {
        let item = offset(self.tree.items.len());
        self.tree.items.push(Item { span, content });
        if anchor > 0 {
            if self.anchors.len() <= anchor {
                self.anchors.resize(anchor + 1, Anchor::Unset);
            }
            self.anchors[anchor] = Anchor::Node {
                item,
                weight,
                height,
            };
        }
        match self.open.last_mut() {
            Some(parent) => {
                parent.children += 1;
                parent.weight = parent.weight.saturating_add(weight);
                parent.height = parent.height.max(height);
            }
            None => self.root = Some(item),
        }
        item
    }

    fn begin_collection(
        &mut self,
        is_mapping: bool,
        style: StructureStyle,
        anchor: usize,
        start: usize,
        end: usize,
    ) -> Result<(), Found> {
        let span = self.span(start, end);
        if self.open.len() >= DEEPEST {
            return Err(Found::new(Fault::NestedTooDeep, span));
        }
        let content = if is_mapping {
            Content::Mapping { len: 0, after: 0 }
        } else {
            Content::Sequence { len: 0, after: 0 }
        };
        let item = self.push(span, content, anchor, 0, 0);
        if anchor > 0 {
            self.anchors[anchor] = Anchor::Open;
        }
        let is_flow = style == StructureStyle::Flow;
        if is_flow {
            self.reached = self.reached.max(end);
        }
        self.open.push(Open {
            item,
            is_mapping,
            is_flow,
            children: 0,
            weight: 1,
            height: 1,
            anchor,
        });
        Ok(())
    }

    fn end_collection(&mut self, place: &std::ops::Range<usize>) {
        let Some(open) = self.open.pop() else {
            return;
        };
        let after = offset(self.tree.items.len());
        let start = self.tree.items[open.item as usize].span.start;
        let end = if open.is_flow && !place.is_empty() {
            self.reached = self.reached.max(place.end);
            offset(place.end)
        } else {
            self.last_child_end(&open)
        };
        let content = if open.is_mapping {
            Content::Mapping {
                len: open.children / 2,
                after,
            }
        } else {
            Content::Sequence {
                len: open.children,
                after,
            }
        };
        self.tree.items[open.item as usize] = Item {
            span: Span::new(start, end.max(start)),
            content,
        };
        if open.anchor > 0 {
            self.anchors[open.anchor] = Anchor::Node {
                item: open.item,
                weight: open.weight,
                height: open.height,
            };
        }
        if let Some(parent) = self.open.last_mut() {
            parent.weight = parent.weight.saturating_add(open.weight);
            parent.height = parent.height.max(open.height + 1);
        }
        if open.is_mapping {
            self.check_keys(open.item);
        }
    }

    fn last_child_end(&self, open: &Open) -> u32 {
        let mut end = self.tree.items[open.item as usize].span.start;
        let mut child = open.item + 1;
        for _ in 0..open.children {
            end = self.tree.items[child as usize].span.end;
            child = self.tree.after(child);
        }
        end
    }

    fn alias(&mut self, anchor: usize, place: &std::ops::Range<usize>) -> Result<(), Found> {
        let span = self.span(place.start, place.end);
        self.reached = self.reached.max(place.end);
        match self.anchors.get(anchor).copied().unwrap_or(Anchor::Unset) {
            Anchor::Unset => Err(Found::new(Fault::Unreadable(Cause::UnknownAlias), span)),
            Anchor::Open => Err(Found::new(
                Fault::AliasInItself {
                    alias: self.tree.source[span.range()].to_owned(),
                },
                span,
            )),
            Anchor::Node {
                item,
                weight,
                height,
            } => {
                self.aliased = self.aliased.saturating_add(weight);
                if self.aliased > MOST_ALIASED {
                    return Err(Found::new(Fault::AliasTooLarge, span));
                }
                if self.open.len() + height > DEEPEST {
                    return Err(Found::new(Fault::NestedTooDeep, span));
                }
                self.push(span, Content::Alias { target: item }, 0, weight, height);
                Ok(())
            }
        }
    }

    fn check_collection_tag(&mut self, tag: Option<&Tag>, span: Option<Span>, wanted: &str) {
        if let (Some(tag), Some(span)) = (tag, span)
            && tag.core_suffix() != Some(wanted)
        {
            self.report(Found::new(
                Fault::UnknownTag {
                    tag: self.tree.source[span.range()].to_owned(),
                },
                span,
            ));
        }
    }

    fn apply_scalar_tag(&mut self, item: u32, tag: &Tag, tag_span: Span) {
        let text = self.tree.scalar_text(item).unwrap_or_default();
        let meaning = scalar::resolve(text);
        let typed = match (tag.core_suffix(), meaning) {
            (Some("str"), _) => Some(Typed::Text),
            (Some("null"), scalar::Value::Null)
            | (Some("bool"), scalar::Value::Bool(_))
            | (Some("int"), scalar::Value::Int(_) | scalar::Value::UInt(_))
            | (
                Some("float"),
                scalar::Value::Int(_) | scalar::Value::UInt(_) | scalar::Value::Float(_),
            ) => Some(Typed::Core),
            _ => None,
        };
        match typed {
            Some(new) => {
                if let Content::Scalar { typed, .. } = &mut self.tree.items[item as usize].content {
                    *typed = new;
                }
            }
            None => {
                let tag = self.tree.source[tag_span.range()].to_owned();
                self.report(Found::new(Fault::UnknownTag { tag }, tag_span));
            }
        }
    }

    fn check_keys(&mut self, mapping: u32) {
        let Content::Mapping { len, .. } = self.tree.items[mapping as usize].content else {
            return;
        };
        let mut keys: Vec<u32> = Vec::new();
        let mut key = mapping + 1;
        for _ in 0..len {
            let item = self.tree.items[key as usize];
            match self.tree.scalar_text(key) {
                None => {
                    self.spoilt = true;
                    self.report(Found::new(Fault::KeyNotText, item.span));
                }
                Some(_) if item.span.is_empty() => {
                    self.spoilt = true;
                    self.report(Found::new(Fault::KeyAbsent, item.span));
                }
                Some("<<")
                    if matches!(
                        item.content,
                        Content::Scalar {
                            written: Written::Plain,
                            ..
                        }
                    ) =>
                {
                    self.spoilt = true;
                    self.report(Found::new(Fault::MergeKey, item.span));
                }
                Some(_) => keys.push(key),
            }
            key = self.tree.after(self.tree.after(key));
        }
        keys.sort_by(|a, b| {
            self.tree
                .scalar_text(*a)
                .cmp(&self.tree.scalar_text(*b))
                .then(a.cmp(b))
        });
        let mut first = 0;
        for at in 1..keys.len() {
            if self.tree.scalar_text(keys[first]) != self.tree.scalar_text(keys[at]) {
                first = at;
                continue;
            }
            let key = self
                .tree
                .scalar_text(keys[at])
                .unwrap_or_default()
                .to_owned();
            let span = self.tree.items[keys[at] as usize].span;
            let related = Some((
                self.tree.items[keys[first] as usize].span,
                "first written here",
            ));
            self.report(Found {
                fault: Fault::DuplicateKey { key },
                span,
                related,
            });
        }
    }

    /// Where an absent value would stand: the parser names the colon that announces it, or the end of the dash's line.
    fn absent_place(&self, at: usize) -> usize {
        let bytes = self.tree.source.as_bytes();
        if let Some(parent) = self.open.last() {
            let is_value = parent.is_mapping && parent.children % 2 == 1;
            if is_value && bytes.get(at) == Some(&b':') {
                return at + 1;
            }
            if !parent.is_mapping && !parent.is_flow {
                let span = self.tree.items[parent.item as usize].span;
                return if parent.children == 0 {
                    span.start as usize + 1
                } else {
                    self.line_content(at) + 1
                };
            }
        }
        at
    }

    /// The first character of a line that is no space.
    fn line_content(&self, at: usize) -> usize {
        let start = self.tree.source[..at]
            .rfind(['\n', '\r'])
            .map_or(0, |line_break| line_break + 1);
        start
            + self.tree.source[start..]
                .bytes()
                .take_while(|&byte| byte == b' ')
                .count()
    }

    /// Where the first dash of a list stands: the parser names what follows the dash, if the list is not indented.
    fn block_sequence_start(&self, at: usize) -> usize {
        let Some(parent) = self.open.last().filter(|parent| parent.is_mapping) else {
            return at;
        };
        let dash = self.line_content(at);
        let parent_start = self.tree.items[parent.item as usize].span.start as usize;
        let is_own = dash >= parent_start.max(self.reached)
            && self.tree.source.as_bytes().get(dash) == Some(&b'-');
        if is_own { dash } else { at }
    }

    /// Where the `|` or `>` of a block scalar stands: the parser names its first character.
    fn block_scalar_start(&self, at: usize) -> usize {
        let bytes = self.tree.source.as_bytes();
        if matches!(bytes.get(at), Some(b'|' | b'>')) {
            return at;
        }
        let before = self.tree.source[self.reached..at].trim_end_matches([' ', '\t', '\r', '\n']);
        let line = before
            .rfind(['\n', '\r'])
            .map_or(0, |line_break| line_break + 1);
        let header = before[line..]
            .char_indices()
            .find(|&(mark, character)| {
                matches!(character, '|' | '>')
                    && before[..line + mark].ends_with([' ', '\t', '\n', '\r', ':'])
            })
            .map_or(0, |(mark, _)| mark);
        self.reached + line + header
    }

    fn block_scalar_end(&self, start: usize, end: usize) -> usize {
        let text = &self.tree.source[start..end.max(start)];
        let content = text.trim_end_matches([' ', '\t', '\r', '\n']).len();
        let rest = &text[content..];
        let line_break = rest
            .find('\n')
            .map_or(rest.len(), |line_feed| line_feed + 1);
        start + content + line_break
    }

    fn finish(mut self, file: FileId) -> Parsed<'s> {
        let source = self.tree.source;
        if let Some(span) = self.second_document {
            let fault = Fault::SeveralDocuments {
                count: self.tree.documents.len(),
            };
            self.found.push(Found::new(fault, span));
        }
        if self.tree.documents.is_empty() && self.found.is_empty() {
            let fault = if source.trim().is_empty() {
                Fault::Empty
            } else {
                Fault::OnlyComments
            };
            self.found.push(Found::new(fault, Span::default()));
        }
        self.found.sort_by_key(|found| found.span);
        if let Some(span) = self.first_not_listed {
            self.found.push(Found::new(
                Fault::FurtherFaults {
                    count: self.not_listed,
                },
                span,
            ));
        }
        let problems = self
            .found
            .iter()
            .map(|found| found.diagnostic(file))
            .collect();
        Parsed {
            tree: self.tree,
            problems,
        }
    }
}
