//! A record read back into what was typed of it, so that a visit goes on where it was left.
//!
//! Nothing is guessed and nothing lost: what is read back must come to the very same record, or is refused.

use super::entered::Entered;
use super::form::{Entry, Field, Form, ROUNDS};
use super::text::{Extent, key_of, text};
use super::typed::{Kind, MISSED, Refused};
use crate::source::FileId;
use crate::wording::visit;
use crate::yaml::{self, Node, Shape, Value};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// So many values of a record are read back: a visit of the largest boom has fewer.
const MOST_NODES: usize = 20_000;

/// What an editor is told of a record's schema.
const SCHEMA_COMMENT: &str = "yaml-language-server:";

/// The values of a record, by JSON Pointer (RFC 6901), with where each stands.
type Leaves<'t> = BTreeMap<String, (&'t str, Range<usize>)>;

/// Whether a record may be of a visit's setup: it names that one or none, or cannot be read.
pub(super) fn may_be_of(form: &Form, record: &str) -> bool {
    let parsed = yaml::parse(FileId(0), record);
    let setup = parsed.tree.root().and_then(|root| root.get("setup"));
    let named = setup.filter(|setup| setup.value() != Some(Value::Null));
    named
        .and_then(Node::text)
        .is_none_or(|named| named == form.setup.name)
}

impl Entered {
    /// What was typed of a record, by a form of its machine, setup and day.
    ///
    /// # Errors
    /// Where the record cannot be read, or holds more than the form can keep, such as notes, a fourth round or comments.
    pub fn of_record(form: &Form, record: &str) -> Result<Self, Refused> {
        let parsed = yaml::parse(FileId(0), record);
        let is_one = parsed.tree.document_count() == 1;
        let Some(root) = parsed
            .tree
            .root()
            .filter(|_| parsed.problems.is_empty() && is_one)
        else {
            return Err(by_hand(visit::NOT_READ.to_owned()));
        };
        let reading = Reading::new(root, record)?;
        reading.has_only_comments_of(form)?;
        let entered = reading.typed(form)?;
        reading.is_all_of(form, &entered)?;
        Ok(entered)
    }
}

fn by_hand(message: String) -> Refused {
    Refused {
        message,
        help: visit::BY_HAND.to_owned(),
    }
}

struct Reading<'t> {
    root: Node<'t>,
    record: &'t str,
    leaves: Leaves<'t>,
    /// Where a scalar or a key stands: a `#` there begins no comment.
    scalars: Vec<Range<usize>>,
}

impl<'t> Reading<'t> {
    fn new(root: Node<'t>, record: &'t str) -> Result<Self, Refused> {
        let mut reading = Self {
            root,
            record,
            leaves: Leaves::new(),
            scalars: Vec::new(),
        };
        let mut left = MOST_NODES;
        if !reading.take(root, String::new(), &mut left) {
            return Err(by_hand(visit::NOT_READ.to_owned()));
        }
        Ok(reading)
    }

    /// Takes in what a node holds; not all where there is too much of it.
    fn take(&mut self, node: Node<'t>, at: String, left: &mut usize) -> bool {
        let Some(fewer) = left.checked_sub(1) else {
            return false;
        };
        *left = fewer;
        match node.shape() {
            Shape::Scalar => {
                self.scalars.push(node.span().range());
                if let Some(text) = node.text().filter(|_| node.value() != Some(Value::Null)) {
                    self.leaves.insert(at, (text, node.span().range()));
                }
                true
            }
            Shape::Sequence => {
                let mut items = node.items().enumerate();
                items.all(|(number, item)| self.take(item, format!("{at}/{number}"), left))
            }
            Shape::Mapping => node.entries().all(|(key, value)| {
                self.scalars.push(key.span().range());
                let key = escaped(key.text().unwrap_or_default());
                self.take(value, format!("{at}/{key}"), left)
            }),
        }
    }

    /// The line of a byte, from 1.
    fn line(&self, at: usize) -> usize {
        let before = self.record.as_bytes().iter().take(at);
        before.filter(|byte| **byte == b'\n').count() + 1
    }

    /// The comments of the record, each with where it begins.
    fn comments(&self) -> Vec<(usize, &'t str)> {
        let mut comments = Vec::new();
        let mut start = 0;
        for line in self.record.split_inclusive('\n') {
            let is_comment = |at: &usize| {
                let at = start + at;
                let before = self.record[..at].chars().next_back();
                let begins = before.is_none_or(char::is_whitespace);
                begins && !self.scalars.iter().any(|scalar| scalar.contains(&at))
            };
            let mut hashes = line.match_indices('#').map(|(at, _)| at);
            if let Some(at) = hashes.find(is_comment) {
                comments.push((start + at, line[at + 1..].trim()));
            }
            start += line.len();
        }
        comments
    }

    /// Refuses comments that no begun record has: somebody wrote them to be kept.
    fn has_only_comments_of(&self, form: &Form) -> Result<(), Refused> {
        let begun = text(form, &Entered::default(), BEGUN).text;
        let parsed = yaml::parse(FileId(0), &begun);
        let Some(root) = parsed.tree.root() else {
            return Err(by_hand(visit::NOT_READ.to_owned()));
        };
        let known = Reading::new(root, &begun)?.comments();
        let known: BTreeSet<&str> = known.into_iter().map(|(_, comment)| comment).collect();
        let comments = self.comments();
        let own = comments
            .iter()
            .find(|(_, comment)| !known.contains(comment) && !comment.starts_with(SCHEMA_COMMENT));
        own.map_or(Ok(()), |(at, _)| {
            Err(by_hand(visit::comment_kept(self.line(*at))))
        })
    }

    /// What somebody has typed: what the record says and would not say by itself.
    fn typed(&self, form: &Form) -> Result<Entered, Refused> {
        let mut entered = Entered::default();
        for entry in form.entries() {
            let Some((text, at)) = self.read(form, entry) else {
                continue;
            };
            let written = entry.kind.written(&text).map_err(|refused| Refused {
                message: visit::on_line(self.line(at), &refused.message),
                help: refused.help,
            })?;
            if entered.value(form, entry).as_ref() != Some(&written) {
                entered.type_in(&entry.key, short(entry, &text));
            }
        }
        self.keep_rounds(form, &mut entered);
        Ok(entered)
    }

    /// A test that was made again and has nothing but what the first has is in the record all the same.
    fn keep_rounds(&self, form: &Form, entered: &mut Entered) {
        for part in form.parts.iter().filter(|part| part.step.is_some()) {
            for round in 1..ROUNDS {
                let of_round = part.entries.iter();
                let of_round: Vec<&Entry> = of_round
                    .filter(|entry| entry.field.round() == Some(round))
                    .collect();
                let is_typed = |entry: &&Entry| entered.typed(&entry.key).is_some();
                if of_round.iter().any(is_typed) {
                    continue;
                }
                let first = of_round
                    .iter()
                    .find_map(|entry| Some((*entry, self.read(form, entry)?.0)));
                if let Some((entry, text)) = first {
                    entered.type_in(&entry.key, short(entry, &text));
                }
            }
        }
    }

    /// What the record has for a value, as somebody would type it, and where; nothing where it is empty.
    fn read(&self, form: &Form, entry: &Entry) -> Option<(String, usize)> {
        let node = self.root.at_pointer(&self.pointer(form, entry)?)?;
        let at = usize::try_from(node.span().start).ok()?;
        let text = match (&entry.kind, node.shape()) {
            (Kind::List(_), Shape::Sequence) => {
                let items: Option<Vec<&str>> = node.items().map(Node::text).collect();
                items.filter(|items| !items.is_empty())?.join(", ")
            }
            (_, Shape::Scalar) if node.value() != Some(Value::Null) => node.text()?.to_owned(),
            _ => return None,
        };
        // A list of all nozzles says of those that were not caught again that they were missed.
        let is_filler = matches!(entry.field, Field::Nozzle { round, section, .. }
            if 0 < round && form.sections.get(section).is_none_or(|section| section.name.is_none()));
        (!(is_filler && text == MISSED)).then_some((text, at))
    }

    /// Where a value stands in this record; none where the record has no such place.
    fn pointer(&self, form: &Form, entry: &Entry) -> Option<String> {
        let key = key_of(entry.field);
        let factored = if matches!(key, "before" | "after") {
            format!("factor/{key}")
        } else {
            key.to_owned()
        };
        Some(match entry.field {
            Field::Visit(_) => format!("/{key}"),
            Field::Preparation(_) => format!("/preparation/{key}"),
            Field::Catch(round, _) => format!("/catch-tests/{round}/{key}"),
            Field::Meter(round, _) => format!("/meter-tests/{round}/{factored}"),
            Field::Speed(round, _) => format!("/speed-tests/{round}/{factored}"),
            Field::Run(round, run, _) => format!("/speed-tests/{round}/runs/{run}/{key}"),
            Field::Balance(_) => format!("/section-balance/{key}"),
            Field::Off(section, _) => {
                let name = form.sections.get(section)?.name.as_deref()?;
                let rows = self.root.at_pointer("/section-balance/sections-off")?;
                let is_own = |row: Node<'_>| {
                    let mut off = row.get("sections").into_iter().flat_map(Node::items);
                    off.next().and_then(Node::text) == Some(name) && off.next().is_none()
                };
                let number = rows.items().position(is_own)?;
                format!("/section-balance/sections-off/{number}/{key}")
            }
            Field::Nozzle {
                round,
                section,
                position,
                number,
            } => {
                let all = format!("/catch-tests/{round}/caught");
                match &form.sections.get(section)?.name {
                    None => format!("{all}/{}", number.checked_sub(1)?),
                    Some(name) => {
                        let of_section = format!("{all}/{}", escaped(name));
                        let shape = self.root.at_pointer(&of_section)?.shape();
                        let position = match shape {
                            Shape::Mapping => position,
                            Shape::Sequence | Shape::Scalar => position.checked_sub(1)?,
                        };
                        format!("{of_section}/{position}")
                    }
                }
            }
        })
    }

    /// Refuses a record that says anything that the one made of what was read back does not, or the other way round.
    fn is_all_of(&self, form: &Form, entered: &Entered) -> Result<(), Refused> {
        let record = text(form, entered, Extent::Record).text;
        let begun = text(form, entered, BEGUN).text;
        let [record, begun] = [&record, &begun].map(|text| yaml::parse(FileId(0), text));
        let (Some(root), Some(begun)) = (record.tree.root(), begun.tree.root()) else {
            return Err(by_hand(visit::NOT_READ.to_owned()));
        };
        let made = Reading::new(root, record.tree.text())?.leaves;
        let begun = Reading::new(begun, record.tree.text())?.leaves;
        let same = self.taken(form, entered);
        for (at, (text, place)) in &self.leaves {
            let known = made.get(at).or_else(|| begun.get(at));
            let is_known = known.is_some_and(|(known, _)| known == text) || same.contains(at);
            if !is_known {
                return Err(by_hand(visit::more_kept(
                    self.line(place.start),
                    &named(at),
                )));
            }
        }
        let left_out = made.keys().find(|at| !self.leaves.contains_key(*at));
        left_out.map_or(Ok(()), |at| Err(by_hand(visit::left_out(&named(at)))))
    }

    /// The places of single values that stand for what was read back, in whatever spelling.
    fn taken(&self, form: &Form, entered: &Entered) -> BTreeSet<String> {
        let all = form.entries().filter_map(|entry| {
            let at = self.pointer(form, entry)?;
            let written = entry.kind.written(self.leaves.get(&at)?.0).ok();
            (written.is_some() && written == entered.value(form, entry)).then_some(at)
        });
        all.collect()
    }
}

/// Every test of a begun record.
const BEGUN: Extent<'_> = Extent::Begun {
    all: true,
    schema: None,
};

/// The digits alone where they say the same as with their unit.
fn short<'t>(entry: &Entry, text: &'t str) -> &'t str {
    let digits = text.split(' ').next().unwrap_or(text);
    let is_same = entry.kind.written(digits) == entry.kind.written(text);
    if matches!(entry.kind, Kind::Quantity(..)) && is_same {
        digits
    } else {
        text
    }
}

/// A key as a part of a JSON Pointer.
fn escaped(key: &str) -> String {
    key.replace('~', "~0").replace('/', "~1")
}

/// The last key of a JSON Pointer that is no number.
fn named(pointer: &str) -> String {
    let mut parts = pointer.rsplit('/');
    let is_name = |part: &&str| part.parse::<usize>().is_err();
    let name = parts.find(is_name).unwrap_or_default();
    name.replace("~1", "/").replace("~0", "~")
}
