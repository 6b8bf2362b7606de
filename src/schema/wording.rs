//! Words for what stands in a record and for what a schema wants in its place.
//!
//! Knows no finding and no place.

use super::document::Schema;
use crate::words::phrases;
use crate::yaml::{self, Shape};
use serde_json::Value;
use std::fmt::Write;

/// How much of a record's text is repeated in a message, in characters.
const LONGEST_QUOTE: usize = 40;

/// How long an example may be that advice shows, in characters.
const LONGEST_EXAMPLE: usize = 90;

/// A word of a record, marked off from the message around it.
pub(super) fn quoted(text: &str) -> String {
    format!("`{}`", cut(text))
}

/// One of several words of ours.
pub(super) fn either(words: &[&str]) -> String {
    let marked: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    phrases::list(&marked, "or")
}

/// What stands in the record.
pub(super) fn found(node: yaml::Node<'_>) -> String {
    match node.shape() {
        Shape::Scalar => quoted(node.text().unwrap_or_default()),
        Shape::Sequence => "a list".to_owned(),
        Shape::Mapping => "keys of its own".to_owned(),
    }
}

/// What a schema of these types wants.
pub(super) fn wanted(types: &[&str], field: Schema<'_>) -> String {
    let mut wanted: Vec<String> = Vec::new();
    for name in types {
        let phrase = match *name {
            "object" => "keys of its own".to_owned(),
            "array" => "a list".to_owned(),
            "boolean" => "`true` or `false`".to_owned(),
            _ => match single_values(field).next() {
                Some(example) => format!("a value such as `{}`", flow(example)),
                None => "a single value".to_owned(),
            },
        };
        if !wanted.contains(&phrase) {
            wanted.push(phrase);
        }
    }
    phrases::list(&wanted, "or")
}

/// A key with an example behind it, as one would write it.
pub(super) fn line(key: &str, field: Option<Schema<'_>>) -> String {
    match field.and_then(shown_example) {
        Some(example) => format!("`{}: {example}`", cut(key)),
        None => quoted(key),
    }
}

/// How the value itself may look: up to three single values, else a longer example.
pub(super) fn shown_examples(field: Schema<'_>) -> Option<String> {
    let single: Vec<String> = single_values(field).take(3).map(flow).collect();
    if single.is_empty() {
        return shown_example(field).map(|example| format!("`{example}`"));
    }
    Some(either(
        &single.iter().map(String::as_str).collect::<Vec<_>>(),
    ))
}

/// The first example that is short enough to be shown, in YAML on one line.
fn shown_example(field: Schema<'_>) -> Option<String> {
    let mut shown = field.examples().map(flow);
    shown.find(|example| example.chars().count() <= LONGEST_EXAMPLE)
}

fn single_values(field: Schema<'_>) -> impl Iterator<Item = &Value> {
    field
        .examples()
        .filter(|example| !example.is_object() && !example.is_array())
}

/// A value in YAML on one line.
fn flow(value: &Value) -> String {
    let mut text = String::new();
    write_flow(value, &mut text);
    text
}

fn write_flow(value: &Value, text: &mut String) {
    match value {
        Value::Null => text.push('~'),
        Value::Bool(truth) => write!(text, "{truth}").expect(STRINGS_GROW),
        Value::Number(number) => write!(text, "{number}").expect(STRINGS_GROW),
        Value::String(word) if is_plain(word) => text.push_str(word),
        Value::String(word) => write!(text, "\"{word}\"").expect(STRINGS_GROW),
        Value::Array(items) => {
            text.push('[');
            for (at, item) in items.iter().enumerate() {
                text.push_str(if at == 0 { "" } else { ", " });
                write_flow(item, text);
            }
            text.push(']');
        }
        Value::Object(members) => {
            text.push('{');
            for (at, (key, member)) in members.iter().enumerate() {
                text.push_str(if at == 0 { "" } else { ", " });
                text.push_str(key);
                text.push_str(": ");
                write_flow(member, text);
            }
            text.push('}');
        }
    }
}

const STRINGS_GROW: &str = "writing to a string does not fail";

/// Whether a text of an example needs no quotes to be read as that text.
fn is_plain(word: &str) -> bool {
    let first = word.chars().next().is_some_and(char::is_alphanumeric);
    first
        && word.parse::<f64>().is_err()
        && !word.contains(['{', '}', '[', ']', ',', '#', '"', '\'', ':'])
}

fn cut(text: &str) -> String {
    match text.char_indices().nth(LONGEST_QUOTE) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schema::Kind;
    use crate::source::FileId;
    use crate::yaml::Shape;

    /// Whether a node is what the JSON value says.
    fn says(node: yaml::Node<'_>, value: &Value) -> bool {
        match (node.shape(), value) {
            (Shape::Sequence, Value::Array(items)) => {
                node.items().len() == items.len()
                    && node.items().zip(items).all(|(node, item)| says(node, item))
            }
            (Shape::Mapping, Value::Object(members)) => {
                node.entries().len() == members.len()
                    && members
                        .iter()
                        .all(|(key, member)| node.get(key).is_some_and(|node| says(node, member)))
            }
            (Shape::Scalar, Value::String(word)) => node.value() == Some(yaml::Value::Text(word)),
            (Shape::Scalar, Value::Number(_) | Value::Bool(_)) => {
                !matches!(node.value(), Some(yaml::Value::Text(_)))
                    && node.text() == Some(value.to_string().as_str())
            }
            (Shape::Scalar | Shape::Sequence | Shape::Mapping, _) => false,
        }
    }

    fn examples_in<'v>(value: &'v Value, found: &mut Vec<&'v Value>) {
        if let Some(examples) = value.get("examples").and_then(Value::as_array) {
            found.extend(examples);
        }
        match value {
            Value::Object(members) => members
                .values()
                .for_each(|member| examples_in(member, found)),
            Value::Array(items) => items.iter().for_each(|item| examples_in(item, found)),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }

    #[test]
    fn an_example_is_shown_as_the_yaml_that_reads_as_it() {
        for kind in Kind::ALL {
            let name = kind.word();
            let schema: Value = serde_json::from_str(crate::schema::text(kind)).unwrap();
            let mut examples = Vec::new();
            examples_in(&schema, &mut examples);
            assert!(!examples.is_empty(), "{name}");
            for example in examples {
                let text = format!("key: {}", flow(example));
                let parsed = yaml::parse(FileId(0), &text);
                let value = parsed.tree.root().and_then(|root| root.get("key"));
                assert!(
                    value.is_some_and(|value| says(value, example)),
                    "{name}: {text}"
                );
            }
        }
    }

    #[test]
    fn a_long_text_is_cut_between_characters() {
        assert_eq!(quoted(&"é".repeat(50)), format!("`{}...`", "é".repeat(40)));
    }
}
