//! The parser's events to a tree.
//!
//! Words nothing: faults are named here and worded in [`super::fault`] and [`super::cause`]. Never recurses, so that no
//! text can exhaust a stack; whatever it keeps is bounded by the length of the text.

use super::bounds::{DEEPEST, MOST_ALIASED, offset};
use super::cause::Cause;
use super::fault::{Fault, Faults, Found};
use super::syntax::Surroundings;
use super::tree::{Content, Item, Kept, Tree, Typed, Written};
use super::{foreign, keys, place, tag};
use crate::diagnostic::Diagnostic;
use crate::source::{FileId, LARGEST_TEXT, Span};
use granit_parser::{Event, Options, Parser, ScalarStyle, ScanError, StructureStyle, Tag};
use std::borrow::Cow;
use std::ops::Range;

/// What was made of a text, and what is wrong with it.
///
/// Where [`Tree::root`] is absent there is at least one problem that says why.
#[derive(Debug)]
pub struct Parsed<'s> {
    /// The documents that could be read.
    pub tree: Tree<'s>,
    /// The faults of the text, in order of place; at the end, how many more there are than are listed.
    pub problems: Vec<Diagnostic>,
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
        if let Some(found) = foreign::seen(text) {
            builder.faults.report(found);
        } else {
            builder.read();
            builder.explain_by_indentation();
        }
    } else {
        builder
            .faults
            .report(Found::new(Fault::TooLarge, Span::default()));
    }
    builder.finish(file)
}

struct Builder<'s> {
    tree: Tree<'s>,
    faults: Faults,
    document: Document,
    /// The collections whose ends have not been met yet, outermost first.
    open: Vec<Open>,
    /// What each anchor marks, by the parser's number for it.
    anchors: Vec<Anchor>,
    /// The end of the last token whose place is certain.
    reached: usize,
    /// Whether the last document was ended by a line `...`.
    is_closed: bool,
    /// Where a second document begins that is not blank.
    second_document: Option<Span>,
    /// How many documents are not blank.
    written_documents: usize,
    /// Room for [`keys::check`] to work in.
    keys: Vec<u32>,
}

/// The document being read.
#[derive(Default)]
struct Document {
    is_begun: bool,
    /// Its `---`, or the first of its characters where it has none.
    mark: Span,
    root: Option<u32>,
    /// Whether a fault leaves open what the document says, so that it is better not judged at all.
    is_spoilt: bool,
    /// How many nodes its aliases stand for.
    aliased: u32,
}

/// A collection whose end has not been met yet.
struct Open {
    item: u32,
    anchor: usize,
    is_mapping: bool,
    /// Whether it is written in brackets, which a pair within a list in brackets is not.
    is_in_brackets: bool,
    /// Whether its columns tell what belongs to it.
    is_block: bool,
    /// How many nodes stand directly in it so far: items, or keys and values.
    children: u32,
    /// Where the last of them ends, or where it begins itself.
    end: u32,
    /// How many nodes it comes to so far, with itself and with what aliases stand for.
    weight: u32,
    /// How many levels of collections it comes to so far, with itself.
    height: usize,
}

/// What goes on over several lines.
#[derive(Clone, Copy)]
enum Further {
    InQuotes,
    InBrackets,
}

/// What an anchor marks.
#[derive(Clone, Copy)]
enum Anchor {
    /// A collection that is still open.
    Open,
    Node(Node),
}

/// A node that is complete.
#[derive(Clone, Copy)]
struct Node {
    item: u32,
    weight: u32,
    height: usize,
}

impl<'s> Builder<'s> {
    fn new(source: &'s str) -> Self {
        // A record has about one node for nine bytes.
        let items = Vec::with_capacity(source.len() / 8);
        Self {
            tree: Tree {
                source,
                items,
                unescaped: String::new(),
                documents: Vec::new(),
            },
            faults: Faults::default(),
            document: Document::default(),
            open: Vec::new(),
            anchors: Vec::new(),
            reached: 0,
            is_closed: false,
            second_document: None,
            written_documents: 0,
            keys: Vec::new(),
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
                self.abandon_document(found.span);
                self.faults.report(found);
                // An error here would be one of the input, and a text in memory has none.
                if !matches!(parser.proceed_next_document(), Ok(true)) {
                    break;
                }
            }
        }
    }

    /// Where a line is indented with what is no space, all that is wrong may come of it; a key takes it for its first letter.
    fn explain_by_indentation(&mut self) {
        let odd = foreign::odd_indentations(self.tree.source)
            .find(|(line, _)| self.faults.has_one_in(*line));
        if let Some((_, found)) = odd {
            self.tree.documents.clear();
            self.faults.replace_by(found);
        }
    }

    fn unreadable(&self, error: &ScanError) -> Found {
        let bracket = self
            .open
            .iter()
            .rev()
            .find(|open| open.is_in_brackets)
            .map(|open| {
                let start = self.tree.items[open.item as usize].span.start;
                Span::new(start, start + 1)
            });
        let surroundings = Surroundings {
            source: self.tree.source,
            reached: self.reached,
            last: self
                .tree
                .items
                .last()
                .map_or_else(Span::default, |item| item.span),
            bracket,
        };
        surroundings.explain(
            error.kind(),
            error.marker().byte_offset().unwrap_or(self.reached),
        )
    }

    /// Takes one event in; an error ends the document.
    fn take(&mut self, event: Event<'s>, span: &granit_parser::Span) -> Result<(), Found> {
        let range = span.byte_range().unwrap_or(self.reached..self.reached);
        match event {
            Event::DocumentStart(is_marked, _) => self.begin_document(is_marked, &range),
            Event::DocumentEnd => self.end_document(&range),
            Event::Scalar(text, style, anchor, tag) => {
                let tag = self.tagged(tag, span);
                self.take_scalar(text, style, anchor, tag, &range)?;
            }
            Event::SequenceStart(style, anchor, tag) => {
                if let Some((tag, tag_span)) = self.tagged(tag, span) {
                    self.check_collection_tag(&tag, tag_span, "seq");
                }
                let start = match (style, self.open.last()) {
                    (StructureStyle::Block, Some(parent)) if parent.is_mapping => {
                        place::first_dash(
                            self.tree.source,
                            range.start,
                            self.reached.max(parent.end as usize),
                        )
                    }
                    _ => range.start,
                };
                self.open_collection(
                    Content::Sequence { len: 0, after: 0 },
                    style,
                    anchor,
                    start..range.end,
                )?;
            }
            Event::MappingStart(style, anchor, tag) => {
                if let Some((tag, tag_span)) = self.tagged(tag, span) {
                    self.check_collection_tag(&tag, tag_span, "map");
                }
                self.open_collection(Content::Mapping { len: 0, after: 0 }, style, anchor, range)?;
            }
            Event::SequenceEnd | Event::MappingEnd => self.close_collection(&range)?,
            Event::Alias(anchor) => self.take_alias(anchor, &range)?,
            // The ends of the stream mean nothing here, and no other event is asked for.
            Event::StreamStart
            | Event::StreamEnd
            | Event::Anchor(..)
            | Event::UnresolvedAlias(_)
            | Event::Comment(..)
            | _ => {}
        }
        Ok(())
    }

    fn begin_document(&mut self, is_marked: bool, range: &Range<usize>) {
        let first = self.tree.source[range.start..]
            .chars()
            .next()
            .map_or(0, char::len_utf8);
        self.document = Document {
            is_begun: true,
            mark: span(&(range.start..range.end.max(range.start + first))),
            ..Document::default()
        };
        // A document without a mark has the place of its first token, which is still to be taken in.
        if is_marked {
            self.reached = range.end;
        }
    }

    fn end_document(&mut self, range: &Range<usize>) {
        let root = self.document.root.filter(|_| !self.document.is_spoilt);
        let is_blank = root.is_some_and(|root| self.tree.items[root as usize].span.is_empty());
        self.keep_document(root, is_blank);
        self.is_closed = !range.is_empty();
    }

    fn abandon_document(&mut self, at: Span) {
        self.open.clear();
        match self.tree.documents.last_mut() {
            // What follows a document and begins no other belongs to it, as does a line indented less than its first.
            Some(last) if !self.document.is_begun && !self.is_closed => {
                *last = None;
                self.written_documents = self.written_documents.max(1);
            }
            Some(_) | None => {
                if !self.document.is_begun {
                    self.document.mark = at;
                }
                self.keep_document(None, false);
            }
        }
    }

    /// Keeps a document; a blank one only as long as there is no other.
    fn keep_document(&mut self, root: Option<u32>, is_blank: bool) {
        if self.written_documents == 0 {
            self.tree.documents.clear();
        } else if !is_blank {
            self.second_document.get_or_insert(self.document.mark);
        }
        if !is_blank || self.written_documents == 0 {
            self.tree.documents.push(root);
        }
        self.written_documents += usize::from(!is_blank);
        self.document = Document::default();
    }

    fn take_scalar(
        &mut self,
        text: Cow<'s, str>,
        style: ScalarStyle,
        anchor: usize,
        tag: Option<(Cow<'s, Tag>, Span)>,
        range: &Range<usize>,
    ) -> Result<(), Found> {
        let (span, text, kept, written) = match style {
            ScalarStyle::Plain if range.is_empty() => {
                let at = self.absent_place(range.start);
                (
                    span(&(at..at)),
                    span(&(at..at)),
                    Kept::Source,
                    Written::Plain,
                )
            }
            ScalarStyle::Plain => {
                if matches!(text, Cow::Owned(_)) {
                    self.refuse_comment(range)?;
                }
                let (text, kept) = self.keep(text, range.start);
                (span(range), text, kept, Written::Plain)
            }
            ScalarStyle::SingleQuoted | ScalarStyle::DoubleQuoted => {
                self.refuse_outdented(range.clone(), Further::InQuotes)?;
                let (text, kept) = self.keep(text, range.start + 1);
                (span(range), text, kept, Written::Quoted)
            }
            ScalarStyle::Literal | ScalarStyle::Folded => {
                let (text, kept) = self.keep(text, range.start);
                let start = place::block_mark(self.tree.source, range.start, self.reached);
                let end = place::block_end(self.tree.source, start, range.end);
                (span(&(start..end)), text, kept, Written::Quoted)
            }
        };
        let typed = match written {
            Written::Plain => Typed::Core,
            Written::Quoted => Typed::Text,
        };
        self.reached = self.reached.max(span.end as usize);
        let item = self.push(
            span,
            Content::Scalar {
                text,
                kept,
                written,
                typed,
            },
        );
        if let Some((tag, tag_span)) = tag {
            self.apply_scalar_tag(item, &tag, tag_span);
        }
        self.complete(
            Node {
                item,
                weight: 1,
                height: 0,
            },
            anchor,
        );
        Ok(())
    }

    /// The parser takes a text on behind a comment if a tab stands before it, which the standard does not.
    fn refuse_comment(&self, range: &Range<usize>) -> Result<(), Found> {
        match place::comment(&self.tree.source[range.clone()]) {
            Some(at) => {
                let at = range.start + at;
                Err(Found::new(
                    Fault::Unreadable(Cause::CommentInText),
                    span(&(at..at + 1)),
                ))
            }
            None => Ok(()),
        }
    }

    /// Where a scalar's content is kept: in the source from `start` on if the parser borrowed it, else aside.
    fn keep(&mut self, text: Cow<'s, str>, start: usize) -> (Span, Kept) {
        match text {
            Cow::Borrowed(text) => (span(&(start..start + text.len())), Kept::Source),
            Cow::Owned(text) => {
                let start = self.tree.unescaped.len();
                self.tree.unescaped.push_str(&text);
                (span(&(start..start + text.len())), Kept::Unescaped)
            }
        }
    }

    fn absent_place(&self, at: usize) -> usize {
        match self.open.last() {
            Some(parent) if parent.is_mapping && parent.children % 2 == 1 => {
                let is_in_brackets = self.open.iter().any(|open| open.is_in_brackets);
                let followers = if is_in_brackets {
                    &b" \t\r\n,]}"[..]
                } else {
                    b" \t\r\n"
                };
                place::behind_colon(self.tree.source, at, followers)
            }
            Some(parent)
                if !parent.is_mapping && !parent.is_in_brackets && parent.children == 0 =>
            {
                parent.end as usize + 1
            }
            Some(parent) if !parent.is_mapping && !parent.is_in_brackets => {
                place::behind_dash(self.tree.source, at)
            }
            Some(_) | None => at,
        }
    }

    fn open_collection(
        &mut self,
        content: Content,
        style: StructureStyle,
        anchor: usize,
        range: Range<usize>,
    ) -> Result<(), Found> {
        let span = span(&range);
        if self.open.len() >= DEEPEST {
            return Err(Found::new(Fault::NestedTooDeep, span));
        }
        let is_mapping = matches!(content, Content::Mapping { .. });
        let is_in_brackets =
            style == StructureStyle::Flow && matches!(&self.tree.source[range.clone()], "[" | "{");
        if style == StructureStyle::Flow {
            self.reached = self.reached.max(range.end);
        }
        let item = self.push(span, content);
        self.mark(anchor, Anchor::Open);
        let end = span.start;
        self.open.push(Open {
            item,
            anchor,
            is_mapping,
            is_in_brackets,
            is_block: style == StructureStyle::Block,
            children: 0,
            end,
            weight: 1,
            height: 1,
        });
        Ok(())
    }

    fn close_collection(&mut self, range: &Range<usize>) -> Result<(), Found> {
        let open = self
            .open
            .pop()
            .expect("the parser ends only what it has begun");
        let end = if open.is_in_brackets {
            // Those within others are looked at with them.
            if self.open.last().is_none_or(|parent| parent.is_block) {
                let start = self.tree.items[open.item as usize].span.start as usize;
                self.refuse_outdented(start..range.end, Further::InBrackets)?;
            }
            self.reached = self.reached.max(range.end);
            offset(range.end)
        } else {
            // A block collection ends with its last node, and so does a pair within a flow sequence.
            open.end
        };
        let after = offset(self.tree.items.len());
        let item = &mut self.tree.items[open.item as usize];
        item.span.end = end.max(item.span.start);
        item.content = if open.is_mapping {
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
        if open.is_mapping {
            keys::check(&self.tree, open.item, &mut self.keys, |found| {
                self.document.is_spoilt |= found.fault.spoils_document();
                self.faults.report(found);
            });
        }
        self.complete(
            Node {
                item: open.item,
                weight: open.weight,
                height: open.height,
            },
            open.anchor,
        );
        Ok(())
    }

    /// The parser takes further lines of quotes and brackets at any column, the standard only those indented under their
    /// key (YAML 1.2.2, 6.3). A closing bracket may stand under its key: it can belong to nothing else.
    fn refuse_outdented(&self, range: Range<usize>, further: Further) -> Result<(), Found> {
        let text = &self.tree.source[range.clone()];
        let mut block = self.open.iter().rev().filter(|open| open.is_block);
        let Some(block) = block.next().filter(|_| text.contains('\n')) else {
            return Ok(());
        };
        let column = place::column(
            self.tree.source,
            self.tree.items[block.item as usize].span.start as usize,
        );
        let mut at = range.start;
        for (number, line) in text.split_inclusive('\n').enumerate() {
            let content = line.trim_start_matches(' ');
            let start = at + line.len() - content.len();
            let begins = content.trim_start().chars().next();
            let is_free = match further {
                Further::InQuotes => begins.is_none(),
                Further::InBrackets => matches!(begins, None | Some('#' | ']' | '}')),
            };
            if number > 0 && !is_free && start - at <= column {
                let is_tab = content.starts_with('\t');
                let (cause, len) = if is_tab {
                    (Cause::Tab, 1)
                } else {
                    (Cause::Outdented, content.trim_end().len())
                };
                let found = Found::new(Fault::Unreadable(cause), span(&(start..start + len)));
                return Err(found);
            }
            at += line.len();
        }
        Ok(())
    }

    fn take_alias(&mut self, anchor: usize, range: &Range<usize>) -> Result<(), Found> {
        let span = span(range);
        self.reached = self.reached.max(range.end);
        let target = match self.anchors.get(anchor) {
            Some(Anchor::Node(target)) => *target,
            Some(Anchor::Open) => {
                let alias = self.tree.source[range.clone()].to_owned();
                return Err(Found::new(Fault::AliasInItself { alias }, span));
            }
            None => return Err(Found::new(Fault::Unreadable(Cause::UnknownAlias), span)),
        };
        self.document.aliased = self.document.aliased.saturating_add(target.weight);
        if self.document.aliased > MOST_ALIASED {
            return Err(Found::new(Fault::AliasTooLarge, span));
        }
        if self.open.len() + target.height > DEEPEST {
            return Err(Found::new(Fault::NestedTooDeep, span));
        }
        let item = self.push(
            span,
            Content::Alias {
                target: target.item,
            },
        );
        self.complete(Node { item, ..target }, 0);
        Ok(())
    }

    fn push(&mut self, span: Span, content: Content) -> u32 {
        let item = offset(self.tree.items.len());
        self.tree.items.push(Item { span, content });
        item
    }

    /// Counts a node, all of it now being known, in the collection that it stands in.
    fn complete(&mut self, node: Node, anchor: usize) {
        self.mark(anchor, Anchor::Node(node));
        match self.open.last_mut() {
            Some(parent) => {
                parent.children += 1;
                parent.end = self.tree.items[node.item as usize].span.end;
                parent.weight = parent.weight.saturating_add(node.weight);
                parent.height = parent.height.max(node.height + 1);
            }
            None => self.document.root = Some(node.item),
        }
    }

    /// Notes what an anchor marks; the parser numbers anchors from 1 on in their order and gives 0 where there is none.
    fn mark(&mut self, anchor: usize, marked: Anchor) {
        if anchor > 0 {
            if self.anchors.len() <= anchor {
                self.anchors.resize(anchor + 1, Anchor::Open);
            }
            self.anchors[anchor] = marked;
        }
    }

    /// A tag with its place, which counts as reached.
    fn tagged(
        &mut self,
        tag: Option<Cow<'s, Tag>>,
        event: &granit_parser::Span,
    ) -> Option<(Cow<'s, Tag>, Span)> {
        let range = event.tag_span()?.byte_range()?;
        self.reached = self.reached.max(range.end);
        Some((tag?, span(&range)))
    }

    fn check_collection_tag(&mut self, tag: &Tag, tag_span: Span, fitting: &str) {
        if tag.core_suffix() != Some(fitting) {
            self.report_tag(tag_span);
        }
    }

    fn apply_scalar_tag(&mut self, item: u32, tag: &Tag, tag_span: Span) {
        let text = self.tree.scalar_text(item).unwrap_or_default();
        let Some(wanted) = tag::reading(tag, text) else {
            return self.report_tag(tag_span);
        };
        if let Content::Scalar { typed, .. } = &mut self.tree.items[item as usize].content {
            *typed = wanted;
        }
    }

    fn report_tag(&mut self, tag_span: Span) {
        let tag = self.tree.source[tag_span.range()].to_owned();
        self.faults
            .report(Found::new(Fault::UnknownTag { tag }, tag_span));
    }

    fn finish(mut self, file: FileId) -> Parsed<'s> {
        if let Some(mark) = self.second_document {
            let count = self.written_documents;
            self.faults
                .report(Found::new(Fault::SeveralDocuments { count }, mark));
        }
        if self.tree.documents.is_empty() && self.faults.is_empty() {
            let is_empty = self
                .tree
                .source
                .trim_start_matches('\u{feff}')
                .trim()
                .is_empty();
            let fault = if is_empty {
                Fault::Empty
            } else {
                Fault::OnlyComments
            };
            self.faults.report(Found::new(fault, Span::default()));
        }
        Parsed {
            tree: self.tree,
            problems: self.faults.diagnostics(file),
        }
    }
}

fn span(range: &Range<usize>) -> Span {
    Span::new(offset(range.start), offset(range.end.max(range.start)))
}
