//! The schemas, embedded as they stand in `schemas/`, and ready for use.

use super::document::Document;
use super::instance::Tree;
use super::kind::Kind;
use std::sync::OnceLock;

/// File name and text of every schema, sorted by name.
static SCHEMAS: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/schemas.rs"));

/// The JSON Schema of a kind, as it stands in `schemas/`.
pub fn text(kind: Kind) -> &'static str {
    named(kind.word()).expect("every kind has a schema: tests/fast/schemas.rs")
}

/// The schema of the lines of `check --format jsonl`, which are no record.
pub const CHECK_LINES: &str = "check-lines";

/// The names of the schemas to ask for: every kind of record, then [`CHECK_LINES`].
pub fn names() -> impl Iterator<Item = &'static str> {
    Kind::ALL.into_iter().map(Kind::word).chain([CHECK_LINES])
}

/// The JSON Schema of a name, as it stands in `schemas/`.
pub fn named(name: &str) -> Option<&'static str> {
    let is_wanted = |&&(file, _): &&(&str, &str)| file.strip_suffix(".json") == Some(name);
    let (_, text) = SCHEMAS.iter().find(is_wanted)?;
    Some(text)
}

/// A schema ready for use.
pub(super) struct Compiled {
    pub(super) validator: jsonschema::Validator<Tree>,
    pub(super) document: Document,
}

pub(super) fn compiled(kind: Kind) -> &'static Compiled {
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
