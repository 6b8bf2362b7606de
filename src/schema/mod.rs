//! The embedded JSON Schemas: which kind of record a file is, whether it has that kind's shape, and what is wrong where not.
//!
//! The only module that names the schema library. Shape only: which keys there are, and whether a value is a list, keys of
//! its own, one of a few words or a single value. What a number, a quantity, a date or a name says is for the typed record
//! to judge: a scalar whose schema has a `format` is never refused here for what it says.
//!
//! Which scalars are let through: where the schema has a `format`, any text and any number, whatever its `type`; elsewhere
//! the schema's own types. An empty value, `true` and `false`, a list or a mapping in its place are found here.

mod document;
mod fault;
mod instance;
mod wording;

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words::{phrases, spelling};
use crate::yaml::{self, Shape, Value};
use document::Document;
use instance::{Instance, Tree};
use std::sync::OnceLock;
use wording::{either, quoted};

/// The names of all faults of a shape, as they stand in brackets behind a message.
pub const FAULTS: [&str; 5] = [
    "not-a-record",
    "unknown-kind",
    "unknown-key",
    "missing-key",
    "wrong-value",
];

/// How many faults of shape one file is told; the last says how many more there are.
///
/// Who mends twenty runs the check again anyway, and a file that is no record at all has hundreds.
pub const MOST_LISTED: usize = 20;

/// How many values a file may hold for all its faults to be looked for.
///
/// The largest record of a boom has some hundreds. Above this the first fault is told and no other, because the library
/// collects every fault before it hands out one.
const MOST_VALUES: usize = 5_000;

/// File name and text of every schema, sorted by name.
static SCHEMAS: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/schemas.rs"));

/// What a file records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// What holds for the whole group.
    Fleet,
    /// A machine as it was when it was put in service.
    Machine,
    /// One visit to one machine.
    Calibration,
    /// A rule.
    Rule,
}

impl Kind {
    /// All kinds, in the order a repository is read in.
    pub const ALL: [Self; 4] = [Self::Fleet, Self::Machine, Self::Calibration, Self::Rule];

    /// The value of the key `record` in files of this kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fleet => "fleet",
            Self::Machine => "machine",
            Self::Calibration => "calibration",
            Self::Rule => "rule",
        }
    }

    /// The kind that a value of the key `record` names.
    pub fn from_record_value(value: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == value)
    }
}

/// The JSON Schema of a kind, as it stands in `schemas/`.
#[expect(
    clippy::missing_panics_doc,
    reason = "what is embedded does not depend on the call"
)]
pub fn text(kind: Kind) -> &'static str {
    let wanted = |&&(name, _): &&(&str, &str)| name.strip_suffix(".json") == Some(kind.word());
    let (_, text) = SCHEMAS
        .iter()
        .find(wanted)
        .expect("every kind has a schema: tests/schemas.rs");
    text
}

/// The kind a file says it is, by its key `record`.
///
/// # Errors
///
/// The one finding to report where it is no record, says nothing, or says what is not known.
#[expect(
    clippy::result_large_err,
    reason = "asked once a file, and the error is the finding itself"
)]
pub fn kind_of(file: FileId, root: yaml::Node<'_>) -> Result<Kind, Diagnostic> {
    let fault = |name: &'static str, span: Span, message: String| {
        let place = Place { file, span };
        Diagnostic::new(name, Severity::Error, message, Label::new(place, ""))
    };
    if root.shape() != Shape::Mapping {
        let span = root.items().next().unwrap_or(root).span();
        let found = if root.shape() == Shape::Sequence {
            "a list"
        } else {
            "a single value"
        };
        let message = format!("this file is {found}, not the keys and values of a record");
        let help = "write it as keys with values, the first of them `record`, or move it out of the records";
        return Err(fault("not-a-record", span, message).help(help));
    }
    let Some(value) = root.get("record") else {
        return Err(without_record(root, &fault));
    };
    if let Some(kind) = value.text().and_then(Kind::from_record_value) {
        return Ok(kind);
    }
    let words = Kind::ALL.map(Kind::word);
    let choices = either(&words);
    let word = value.text().unwrap_or_default();
    let unknown = match (value.shape(), spelling::nearest(word, words)) {
        (Shape::Scalar, _) if value.value() == Some(Value::Null) => {
            let span = root.key("record").unwrap_or(root).span();
            let message = format!("`record` is empty: it is {choices}");
            fault("unknown-kind", span, message).help(format!("write {choices} behind it"))
        }
        (Shape::Scalar, Some(near)) => {
            let word = quoted(word);
            let message = format!("{word} is no kind of record: did you mean `{near}`?");
            fault("unknown-kind", value.span(), message).help(format!("write `{near}`"))
        }
        (Shape::Scalar, None) => {
            let message = format!("{} is no kind of record: it is {choices}", quoted(word));
            fault("unknown-kind", value.span(), message).help(format!("write {choices}"))
        }
        (Shape::Sequence | Shape::Mapping, _) => {
            let message = format!("`record` is one word: {choices}");
            fault("unknown-kind", value.span(), message).help(format!("write {choices}"))
        }
    };
    Err(unknown)
}

/// The finding on a file of keys none of which is `record`.
fn without_record(
    root: yaml::Node<'_>,
    fault: &dyn Fn(&'static str, Span, String) -> Diagnostic,
) -> Diagnostic {
    let keys = || root.entries().map(|(key, _)| key);
    let is_misspelt = |key: &yaml::Node<'_>| {
        key.text()
            .is_some_and(|text| spelling::nearest(text, ["record"]).is_some())
    };
    if let Some(key) = keys().find(is_misspelt) {
        let word = key.text().unwrap_or_default();
        let message = format!(
            "{} is not known in a record: did you mean `record`?",
            quoted(word)
        );
        return fault("unknown-key", key.span(), message)
            .help("write `record`, which says what the file records");
    }
    let span = keys().next().unwrap_or(root).span();
    let message = "no `record` in this file: nothing says what it records".to_owned();
    let likeliest = Kind::ALL
        .into_iter()
        .map(|kind| (keys().filter(|key| knows(kind, *key)).count(), kind))
        .filter(|&(known, _)| known > 1)
        .reduce(|best, other| if other.0 > best.0 { other } else { best });
    let help = match likeliest {
        Some((_, kind)) => format!(
            "begin the file with `record: {}`, which its keys look like",
            kind.word()
        ),
        None => "begin the file with what it records, such as `record: calibration`".to_owned(),
    };
    fault("not-a-record", span, message).help(help)
}

fn knows(kind: Kind, key: yaml::Node<'_>) -> bool {
    key.text()
        .is_some_and(|text| compiled(kind).document.root().property(text).is_some())
}

/// The faults of a file's shape, in order of place; none where it has the shape of its kind.
pub fn check(kind: Kind, file: FileId, root: yaml::Node<'_>) -> Vec<Diagnostic> {
    let Compiled {
        validator,
        document,
    } = compiled(kind);
    if validator.is_valid(Instance::Value(root)) {
        return Vec::new();
    }
    if values_in(root, MOST_VALUES) > MOST_VALUES {
        let first = validator.validate(Instance::Value(root)).err();
        let findings = fault::findings(document, file, root, first.into_iter());
        let unsaid =
            format!("with over {MOST_VALUES} values in this file, no more faults were looked for");
        return findings
            .into_iter()
            .map(|finding| continued(&finding, &unsaid))
            .collect();
    }
    let errors = validator.iter_errors(Instance::Value(root));
    listed(fault::findings(document, file, root, errors))
}

/// The first of many findings, the last of them saying how many more there are.
fn listed(mut findings: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let more = findings.len().saturating_sub(MOST_LISTED);
    findings.truncate(MOST_LISTED);
    if more > 0
        && let Some(last) = findings.pop()
    {
        let unsaid = format!(
            "{} like these in this file",
            phrases::plural(more, "more fault")
        );
        findings.push(continued(&last, &unsaid));
    }
    findings
}

/// A finding that also says what is not told.
fn continued(finding: &Diagnostic, unsaid: &str) -> Diagnostic {
    let message = format!("{}; {unsaid}", finding.message());
    let (name, place) = (finding.rule().to_owned(), finding.primary().clone());
    let continued = Diagnostic::new(name, finding.severity(), message, place);
    let continued = finding
        .related()
        .iter()
        .cloned()
        .fold(continued, Diagnostic::also);
    continued.help(finding.help_text().unwrap_or_default())
}

/// How many values stand under a node; the count ends just above `most`.
fn values_in(node: yaml::Node<'_>, most: usize) -> usize {
    let children = node.items().chain(node.entries().map(|(_, value)| value));
    children.fold(1, |count, child| {
        if count > most {
            count
        } else {
            count + values_in(child, most - count.min(most))
        }
    })
}

/// A schema ready for use.
struct Compiled {
    validator: jsonschema::Validator<Tree>,
    document: Document,
}

fn compiled(kind: Kind) -> &'static Compiled {
    static COMPILED: [OnceLock<Compiled>; Kind::ALL.len()] =
        [const { OnceLock::new() }; Kind::ALL.len()];
    COMPILED[kind as usize].get_or_init(|| {
        let schema =
            serde_json::from_str(text(kind)).expect("embedded schemas are JSON: tests/schemas.rs");
        let document = Document::new(schema);
        let validator = jsonschema::options_for::<Tree>()
            .offline()
            .with_draft(jsonschema::Draft::Draft202012)
            .with_pattern_options(jsonschema::PatternOptions::regex())
            .should_validate_formats(false)
            .build(&document.with_open_formats())
            .expect("embedded schemas are valid: tests/schemas.rs");
        Compiled {
            validator,
            document,
        }
    })
}
