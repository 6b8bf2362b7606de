//! What a tag of the core schema makes of a scalar.
//!
//! Knows no other tag: any other is a fault, which the caller reports.

use super::scalar::{self, Value};
use super::tree::Typed;
use granit_parser::Tag;

/// How a scalar with a tag reads; nothing where the tag is none of the core schema's or the scalar does not fit it.
pub(super) fn reading(tag: &Tag, text: &str) -> Option<Typed> {
    let is_fitting = match (tag.core_suffix()?, scalar::resolve(text)) {
        ("str", _) => return Some(Typed::Text),
        ("null", value) => value == Value::Null,
        ("bool", value) => matches!(value, Value::Bool(_)),
        ("int", value) => matches!(value, Value::Int(_) | Value::UInt(_)),
        ("float", value) => matches!(value, Value::Int(_) | Value::UInt(_) | Value::Float(_)),
        _ => false,
    };
    is_fitting.then_some(Typed::Core)
}
