//! Reading scalars from a mapping of the tree: text, words, dates, numbers, quantities.
//!
//! Knows no kind of record. A key that is absent or has no value gives `None` without a finding; a scalar that is there and
//! cannot be read gives `None` and one finding at its bytes. Where a value must not be empty, the schema says so.

use super::usual::usual_units;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::fault::{QuantityFault, QuantityProblem};
use crate::quantity::unit::Unit;
use crate::source::{FileId, Place, Placed, Span, Spanned};
use crate::words;
use crate::yaml::{Node, Shape, Value};
use jiff::civil::Date;

/// What could be made of a record, and what was wrong with its scalars.
#[derive(Debug)]
pub struct Lowered<T> {
    /// The record; what could not be read is absent.
    pub record: T,
    /// One finding for each scalar that could not be read.
    pub problems: Vec<Diagnostic>,
}

/// Collects the findings of one file while it is lowered.
pub(super) struct Lowering {
    file: FileId,
    problems: Vec<Diagnostic>,
    /// How many more there are than are told.
    untold: usize,
}

/// So many values that cannot be read are told of one file; the last says how many more there are.
const MOST_TOLD: usize = 500;

impl Lowering {
    pub(super) fn run<T>(file: FileId, lower: impl FnOnce(&mut Self) -> T) -> Lowered<T> {
        let mut lowering = Self {
            file,
            problems: Vec::new(),
            untold: 0,
        };
        let record = lower(&mut lowering);
        let Self {
            mut problems,
            untold,
            ..
        } = lowering;
        if untold > 0
            && let Some(last) = problems.pop()
        {
            let more = words::phrases::plural(untold, "more value");
            problems.push(last.and(&format!("{more} of this file cannot be read")));
        }
        Lowered { record, problems }
    }

    pub(super) fn file(&self) -> FileId {
        self.file
    }

    /// The text of a scalar, as it stands, whatever a YAML reader would take it for.
    pub(super) fn text(parent: Node<'_>, key: &str) -> Option<Spanned<String>> {
        Self::text_of(parent.get(key)?)
    }

    pub(super) fn text_of(node: Node<'_>) -> Option<Spanned<String>> {
        let text = written(node)?;
        (!text.is_empty()).then(|| Spanned {
            value: text.to_owned(),
            span: node.span(),
        })
    }

    /// One word of a closed list; another word is a schema fault and is passed over.
    pub(super) fn word<T>(
        parent: Node<'_>,
        key: &str,
        meaning: impl FnOnce(&str) -> Option<T>,
    ) -> Option<Spanned<T>> {
        let node = parent.get(key)?;
        let value = meaning(written(node)?)?;
        Some(Spanned {
            value,
            span: node.span(),
        })
    }

    /// The items of a sequence; anything else is a schema fault and has none.
    pub(super) fn items<'a>(
        parent: Node<'a>,
        key: &str,
    ) -> impl Iterator<Item = Node<'a>> + use<'a> {
        let items = parent.get(key).into_iter().flat_map(Node::items);
        items.take(most_entries(key))
    }

    /// The entries of a mapping whose keys are names chosen by the user.
    pub(super) fn named<'a>(
        parent: Node<'a>,
        key: &str,
    ) -> impl Iterator<Item = (Spanned<String>, Node<'a>)> + use<'a> {
        parent
            .get(key)
            .into_iter()
            .flat_map(Node::entries)
            .take(most_entries(key))
            .filter_map(|(name, value)| {
                // A name that looks like an empty value is a name all the same.
                let text = name.text().filter(|text| !text.is_empty())?;
                let span = name.span();
                let value_of = text.to_owned();
                Some((
                    Spanned {
                        value: value_of,
                        span,
                    },
                    value,
                ))
            })
    }

    pub(super) fn date(&mut self, parent: Node<'_>, key: &str) -> Option<Spanned<Date>> {
        let node = parent.get(key)?;
        let text = written(node)?;
        match words::dates::parse_date(text) {
            Ok(value) => Some(Spanned {
                value,
                span: node.span(),
            }),
            Err(fault) => {
                self.problem(
                    "unreadable-date",
                    node.span(),
                    fault.message,
                    Some(fault.help),
                );
                None
            }
        }
    }

    pub(super) fn decimal(&mut self, parent: Node<'_>, key: &str) -> Option<Spanned<Decimal>> {
        self.decimal_of(parent.get(key)?)
    }

    /// A plain number without a unit.
    pub(super) fn decimal_of(&mut self, node: Node<'_>) -> Option<Spanned<Decimal>> {
        let text = written(node)?;
        match Decimal::parse(text) {
            Ok(value) => Some(Spanned {
                value,
                span: node.span(),
            }),
            Err(fault) => {
                self.problem(
                    "unreadable-number",
                    node.span(),
                    fault.message(),
                    Some(fault.help()),
                );
                None
            }
        }
    }

    /// How far a scale may be off: a percentage below 50.
    pub(super) fn tolerance(&mut self, parent: Node<'_>, key: &str) -> Option<Spanned<Quantity>> {
        let tolerance = self.quantity(parent, key, &[Dimension::RATIO])?;
        if tolerance.value.si() < 0.5 {
            return Some(tolerance);
        }
        self.problem(
            "unreadable-number",
            tolerance.span,
            format!("what is true only within {} is not known", tolerance.value),
            Some("write how far it may be off, such as 0.5%".to_owned()),
        );
        None
    }

    /// A plain number greater than 0.
    pub(super) fn factor(&mut self, parent: Node<'_>, key: &str) -> Option<Spanned<Decimal>> {
        let decimal = self.decimal(parent, key)?;
        if decimal.value.is_sign_negative() || decimal.value.is_zero() {
            self.problem(
                "unreadable-number",
                decimal.span,
                format!("a factor of `{}` is none", decimal.value),
                Some("write a number greater than 0, as the console shows it".to_owned()),
            );
            return None;
        }
        Some(decimal)
    }

    /// A count of one or more.
    pub(super) fn count(&mut self, parent: Node<'_>, key: &str) -> Option<Spanned<u32>> {
        self.count_of(parent.get(key)?)
    }

    pub(super) fn count_of(&mut self, node: Node<'_>) -> Option<Spanned<u32>> {
        let text = written(node)?;
        match text.parse::<u32>() {
            Ok(value) if (1..=MOST_NOZZLES).contains(&value) => Some(Spanned {
                value,
                span: node.span(),
            }),
            Ok(_) | Err(_) => {
                self.problem(
                    "unreadable-number",
                    node.span(),
                    format!("`{text}` must be a whole number from 1 to {MOST_NOZZLES}"),
                    Some("write a whole number such as 3".to_owned()),
                );
                None
            }
        }
    }

    /// A quantity of one of the `wanted` dimensions, greater than none.
    pub(super) fn quantity(
        &mut self,
        parent: Node<'_>,
        key: &str,
        wanted: &[Dimension],
    ) -> Option<Spanned<Quantity>> {
        self.quantity_of(parent.get(key)?, key, wanted)
    }

    /// The same with the file it stands in, for what another record may change.
    pub(super) fn placed(
        &mut self,
        parent: Node<'_>,
        key: &str,
        wanted: &[Dimension],
    ) -> Option<Placed<Quantity>> {
        let quantity = self.quantity(parent, key, wanted)?;
        Some(quantity.in_file(self.file))
    }

    /// A quantity of one of the `wanted` dimensions, none at least: a new hour meter begins at 0, a dead sensor shows 0.
    pub(super) fn quantity_or_0(
        &mut self,
        parent: Node<'_>,
        key: &str,
        wanted: &[Dimension],
    ) -> Option<Spanned<Quantity>> {
        let node = parent.get(key)?;
        let quantity = self.parsed(node, key, wanted)?;
        if quantity.value.decimal.is_sign_negative() {
            self.too_small(node, "at least 0");
            return None;
        }
        Some(quantity)
    }

    /// A plain number greater than 0, with the file it stands in.
    pub(super) fn placed_factor(&mut self, parent: Node<'_>, key: &str) -> Option<Placed<Decimal>> {
        let factor = self.factor(parent, key)?;
        Some(factor.in_file(self.file))
    }

    /// A quantity as those of a key are usually written.
    pub(super) fn quantity_of(
        &mut self,
        node: Node<'_>,
        key: &str,
        wanted: &[Dimension],
    ) -> Option<Spanned<Quantity>> {
        let quantity = self.parsed(node, key, wanted)?;
        let decimal = quantity.value.decimal;
        if decimal.is_sign_negative() || decimal.is_zero() {
            self.too_small(node, "greater than 0");
            return None;
        }
        Some(quantity)
    }

    fn parsed(
        &mut self,
        node: Node<'_>,
        key: &str,
        wanted: &[Dimension],
    ) -> Option<Spanned<Quantity>> {
        match Quantity::parse(written(node)?, wanted) {
            Ok(value) => Some(Spanned {
                value,
                span: node.span(),
            }),
            Err(fault) => {
                self.quantity_fault(node, &fault.in_field(usual_units(key), wanted));
                None
            }
        }
    }

    fn too_small(&mut self, node: Node<'_>, must_be: &str) {
        let written = node.text().unwrap_or_default();
        self.problem(
            "unreadable-number",
            node.span(),
            format!("`{written}` must be {must_be}"),
            Some("write the number as it was read; leave the line out if there is none".to_owned()),
        );
    }

    /// A unit that stands alone, as for a list of readings.
    pub(super) fn unit(
        &mut self,
        parent: Node<'_>,
        key: &str,
        wanted: &[Dimension],
    ) -> Option<Spanned<Unit>> {
        let node = parent.get(key)?;
        match Unit::parse(written(node)?, wanted) {
            Ok(value) => Some(Spanned {
                value,
                span: node.span(),
            }),
            Err(fault) => {
                self.quantity_fault(node, &fault.in_field(usual_units(key), wanted));
                None
            }
        }
    }

    /// Tells of something that is no fault.
    pub(super) fn note(
        &mut self,
        name: &'static str,
        span: Span,
        message: impl Into<String>,
        help: &str,
    ) {
        let place = Place {
            file: self.file,
            span,
        };
        let note = Diagnostic::new(name, Severity::Note, message, Label::new(place, ""));
        self.problems.push(note.help(help));
    }

    /// Tells of a scalar that cannot be read.
    pub(super) fn problem(
        &mut self,
        name: &'static str,
        span: Span,
        message: impl Into<String>,
        help: Option<String>,
    ) {
        if self.problems.len() == MOST_TOLD {
            self.untold += 1;
            return;
        }
        let place = Place {
            file: self.file,
            span,
        };
        let mut finding = Diagnostic::new(name, Severity::Error, message, Label::new(place, ""));
        if let Some(help) = help {
            finding = finding.help(help);
        }
        self.problems.push(finding);
    }

    /// The fault stands at its part of the scalar where the scalar is written as it reads.
    fn quantity_fault(&mut self, node: Node<'_>, fault: &QuantityFault) {
        let span = node.span();
        let part = &fault.part;
        let as_written = node.is_plain() && node.text() == Some(node.raw());
        let span = if as_written && part.end <= span.len() && part.start < part.end {
            let at = |offset: usize| {
                span.start + u32::try_from(offset).expect("the part lies within the scalar")
            };
            Span::new(at(part.start), at(part.end))
        } else {
            span
        };
        let help = fault.help().to_owned();
        self.problem(name_of(fault.kind), span, fault.message(), Some(help));
    }
}

/// The name a fault of a quantity goes by in reports.
fn name_of(problem: QuantityProblem) -> &'static str {
    match problem {
        QuantityProblem::Number(_) => "unreadable-number",
        QuantityProblem::Unit(_) => "unknown-unit",
        QuantityProblem::MissingNumber => "missing-number",
        QuantityProblem::MissingUnit => "missing-unit",
        QuantityProblem::InTwoUnits => "two-units",
        QuantityProblem::WrongDimension(_) => "wrong-unit",
    }
}

/// No boom has more nozzles: the longest on farms have some two hundred, those of golf courses under fifty.
pub(super) const MOST_NOZZLES: u32 = 300;

/// How many entries a list or a mapping of names has at most, by its key: far more than any real machine or day, so that
/// what is done for each beside each other one stays small. The schemas say the same and tell of more; more are not read.
pub const MOST_ENTRIES: [(&str, usize); 17] = [
    ("sections", 100),
    ("setups", 100),
    ("catch-tests", 100),
    ("meter-tests", 100),
    ("speed-tests", 100),
    ("runs", 100),
    ("sections-off", 100),
    ("work", 100),
    ("at", 100),
    ("entered-widths", 100),
    ("tanks", 100),
    ("products", 100),
    ("people", 500),
    ("instruments", 500),
    ("courses", 500),
    ("waivers", 500),
    ("laid-up", 100),
];

pub(super) fn most_entries(key: &str) -> usize {
    let mut bounds = MOST_ENTRIES.iter();
    let bound = bounds.find(|(of, _)| *of == key);
    bound.map_or(usize::MAX, |(_, most)| *most)
}

/// Whether a value is empty: nothing, `~`, or `null`.
pub(super) fn is_empty(node: Node<'_>) -> bool {
    node.value() == Some(Value::Null)
}

/// What is written in the place of a single value; none where it is empty, or a list or a mapping.
pub(super) fn written(node: Node<'_>) -> Option<&str> {
    node.text().filter(|_| !is_empty(node))
}

/// Whether the node is a mapping.
pub(super) fn is_mapping(node: Node<'_>) -> bool {
    node.shape() == Shape::Mapping
}

/// The bytes of a key, for faults of what it holds.
pub(super) fn key_span(parent: Node<'_>, key: &str) -> Option<Span> {
    parent.key(key).map(Node::span)
}
