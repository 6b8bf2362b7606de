//! What a calibration leaves empty: a reading that is still to be made.
//!
//! An empty value is nothing, `~` or `null`. It is no fault, and the test it belongs to is not done.

use super::lowering::{Lowering, is_empty};
use crate::diagnostic::NOT_FILLED_IN;
use crate::source::Span;
use crate::words;
use crate::yaml::{Node, Shape};

/// What an empty value belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    /// The visit as a whole: none of its tests counts.
    Visit,
    /// Its catches.
    CatchTests,
    /// Its meter tests.
    MeterTests,
    /// Its speed tests.
    SpeedTests,
    /// Its section balance.
    SectionBalance,
    /// The pressure at the end of the boom, which is no step.
    BoomEnd,
}

impl Owner {
    /// By the outermost key of the record; none where a value says which record it is, what became of it, or is a remark.
    fn of_key(key: &str) -> Option<Self> {
        Some(match key {
            "record" | "machine" | "date" | "amends" | "confirmed" | "occasion" | "notes" => {
                return None;
            }
            "catch-tests" => Self::CatchTests,
            "meter-tests" => Self::MeterTests,
            "speed-tests" => Self::SpeedTests,
            "section-balance" => Self::SectionBalance,
            "boom-end-pressure" | "boom-end-gauge" => Self::BoomEnd,
            _ => Self::Visit,
        })
    }

    const fn words(self) -> &'static str {
        match self {
            Self::Visit => "visit",
            Self::CatchTests => "catch test",
            Self::MeterTests => "meter test",
            Self::SpeedTests => "speed test",
            Self::SectionBalance => "section balance",
            Self::BoomEnd => "boom-end pressure",
        }
    }
}

/// Whether a value under an outermost key of a record may be filled in after the record was merged.
pub fn may_be_filled_in(root: Node<'_>, outermost_key: &str, value: Node<'_>) -> bool {
    let is_calibration = root.get("record").and_then(Node::text) == Some("calibration");
    is_calibration && is_empty(value) && Owner::of_key(outermost_key).is_some()
}

/// Whether a record is a calibration that was begun and is not filled in.
pub fn is_begun(root: Node<'_>) -> bool {
    root.get("record").and_then(Node::text) == Some("calibration") && !of(root).is_empty()
}

/// The empty values of one test, or of the visit as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotFilledIn {
    /// What they belong to.
    pub owner: Owner,
    /// Where the first of them stands.
    pub span: Span,
    /// What they are, as people say it, each with how many there are.
    values: Vec<(String, usize)>,
}

impl NotFilledIn {
    /// What is to be filled in: `12 readings`, `duration`, `elapsed (3)`.
    pub fn values(&self) -> Vec<String> {
        let values = self.values.iter().map(|(name, count)| match count {
            _ if name == READING => words::phrases::plural(*count, name),
            1 => name.clone(),
            several => format!("{name} ({several})"),
        });
        values.collect()
    }
}

/// What one nozzle is read as.
const READING: &str = "reading";

/// What a calibration leaves empty, in the order of the record.
pub(super) fn of(root: Node<'_>) -> Vec<NotFilledIn> {
    let mut all: Vec<NotFilledIn> = Vec::new();
    for (key, value) in root.entries() {
        let word = key.text().unwrap_or_default();
        let Some(owner) = Owner::of_key(word) else {
            continue;
        };
        let mut found = Vec::new();
        gather(key, value, false, &mut found);
        for (name, span) in found {
            let at = all.iter().position(|one| one.owner == owner);
            let at = at.unwrap_or_else(|| {
                all.push(NotFilledIn {
                    owner,
                    span,
                    values: Vec::new(),
                });
                all.len() - 1
            });
            let values = &mut all[at].values;
            match values.iter_mut().find(|(known, _)| *known == name) {
                Some((_, count)) => *count += 1,
                None => values.push((name, 1)),
            }
        }
    }
    all
}

/// The empty values at or under a key, by name.
fn gather(key: Node<'_>, value: Node<'_>, is_caught: bool, found: &mut Vec<(String, Span)>) {
    let word = key.text().unwrap_or_default();
    match value.shape() {
        Shape::Scalar if is_empty(value) => {
            let is_position = is_caught && word.bytes().all(|byte| byte.is_ascii_digit());
            let name = match word {
                _ if is_position => READING.to_owned(),
                "caught" => "readings".to_owned(),
                _ if is_caught => format!("readings of {}", words::phrases::name(word)),
                _ => word.replace('-', " "),
            };
            found.push((name, visible(key, value)));
        }
        Shape::Scalar => {}
        Shape::Sequence => gather_items(key, value, is_caught || word == "caught", found),
        Shape::Mapping => {
            for (inner, value) in value.entries() {
                gather(inner, value, is_caught || word == "caught", found);
            }
        }
    }
}

fn gather_items(key: Node<'_>, list: Node<'_>, is_caught: bool, found: &mut Vec<(String, Span)>) {
    for item in list.items() {
        match item.shape() {
            // Of any other list an empty item is a fault of its shape.
            Shape::Scalar if is_caught && is_empty(item) => {
                found.push((READING.to_owned(), visible(key, item)));
            }
            Shape::Scalar => {}
            Shape::Sequence => gather_items(key, item, is_caught, found),
            Shape::Mapping => {
                for (inner, value) in item.entries() {
                    gather(inner, value, is_caught, found);
                }
            }
        }
    }
}

/// What can be pointed at: the value, or its key where there is nothing.
fn visible(key: Node<'_>, value: Node<'_>) -> Span {
    let span = value.span();
    if span.is_empty() { key.span() } else { span }
}

/// One note for each test, and one for the visit as a whole.
pub(super) fn tell(lowering: &mut Lowering, all: &[NotFilledIn]) {
    for one in all {
        let values = words::phrases::list_some(&one.values(), "and");
        let message = format!("not filled in: {}: {values}", one.owner.words());
        lowering.note(NOT_FILLED_IN, one.span, message, match one.owner {
            Owner::Visit => "fill it in, or take the line out; until then none of the tests of this visit counts",
            Owner::BoomEnd => "fill in what you read, or take the line out",
            Owner::CatchTests
            | Owner::MeterTests
            | Owner::SpeedTests
            | Owner::SectionBalance => "fill in what you read; until then this test does not count",
        });
    }
}

/// Whether a node holds an empty value.
pub(super) fn has_empty(node: Node<'_>) -> bool {
    match node.shape() {
        Shape::Scalar => is_empty(node),
        Shape::Sequence => node.items().any(has_empty),
        Shape::Mapping => node.entries().any(|(_, value)| has_empty(value)),
    }
}
