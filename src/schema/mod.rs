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
mod kind;
mod place;
mod wording;

use crate::diagnostic::Diagnostic;
use crate::source::FileId;
use crate::words::phrases;
use crate::yaml;
use document::Document;
use fault::Findings;
use instance::{Instance, Tree};
use std::sync::OnceLock;

pub use kind::{Kind, kind_of};

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
        .expect("every kind has a schema: tests/fast/schemas.rs");
    text
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
        let told = fault::findings(document, file, root, first.into_iter()).told;
        let unsaid =
            format!("with over {MOST_VALUES} values in this file, no more faults were looked for");
        let first = told.into_iter().next().map(|finding| finding.and(&unsaid));
        return first.into_iter().collect();
    }
    let errors = validator.iter_errors(Instance::Value(root));
    listed(fault::findings(document, file, root, errors))
}

/// The first of many findings, the last of them saying how many more there are.
fn listed(findings: Findings) -> Vec<Diagnostic> {
    let Findings { mut told, untold } = findings;
    let more = untold + told.len().saturating_sub(MOST_LISTED);
    told.truncate(MOST_LISTED);
    if more > 0
        && let Some(last) = told.pop()
    {
        let more = phrases::plural(more, "more fault");
        told.push(last.and(&format!("{more} like these in this file")));
    }
    told
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
        let schema = serde_json::from_str(text(kind))
            .expect("embedded schemas are JSON: tests/fast/schemas.rs");
        let document = Document::new(schema);
        let validator = jsonschema::options_for::<Tree>()
            .offline()
            .with_draft(jsonschema::Draft::Draft202012)
            .with_pattern_options(jsonschema::PatternOptions::regex())
            .should_validate_formats(false)
            .build(&document.with_open_formats())
            .expect("embedded schemas are valid: tests/fast/schemas.rs");
        Compiled {
            validator,
            document,
        }
    })
}
