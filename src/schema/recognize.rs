//! Which kind of record a file says it is.
//!
//! Looks at the key `record` alone; where there is none, at the other keys for a guess to offer.

use super::embedded::compiled;
use super::kind::Kind;
use super::wording::{either, quoted};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::source::{FileId, Place, Span};
use crate::words::spelling;
use crate::yaml::{self, Shape, Value};

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
            let message = format!("{word} is not a kind of record; did you mean `{near}`?");
            fault("unknown-kind", value.span(), message).help(format!("write `{near}`"))
        }
        (Shape::Scalar, None) => {
            let message = format!("{} is not a kind of record; use {choices}", quoted(word));
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
