//! The spanned tree as the schema library sees it, without a copy.
//!
//! Judges nothing. Infinities and not-a-number, which JSON does not have, are shown as the texts they were written as.

use crate::yaml::{self, Shape, Value};
use jsonschema::JsonType;
use jsonschema::json::{Array, Json, JsonNumber, Node, NodeIdentity, Object};
use serde_json::Value as JsonValue;
use std::borrow::Cow;

/// The representation: trees read by [`yaml::parse`].
pub(super) struct Tree;

/// A value of a tree, or a key that is looked at as a value.
#[derive(Clone, Copy)]
pub(super) enum Instance<'a> {
    Value(yaml::Node<'a>),
    Key(&'a str),
}

/// A finite number.
#[derive(Clone, Copy)]
pub(super) enum Number {
    Int(i64),
    UInt(u64),
    Float(f64),
}

impl Json for Tree {
    type Node<'a> = Instance<'a>;
    type PreparedKey = Box<str>;
    type StringBuffer = ();
    // Trees refuse an alias within what it stands for.
    const ACYCLIC: bool = true;
    // Looking a key up walks the mapping, so one pass over all keys costs no more than one look-up.
    const KEYS_PER_LOOKUP: usize = 8;

    fn prepare_key(key: &str) -> Box<str> {
        key.into()
    }

    fn with_string_node<T>((): &mut (), string: &str, judge: impl FnOnce(Instance<'_>) -> T) -> T {
        judge(Instance::Key(string))
    }
}

impl<'a> Instance<'a> {
    fn scalar(&self) -> Option<Value<'a>> {
        match *self {
            Self::Value(node) => match node.value()? {
                Value::Float(number) if !number.is_finite() => node.text().map(Value::Text),
                value @ (Value::Null
                | Value::Bool(_)
                | Value::Int(_)
                | Value::UInt(_)
                | Value::Float(_)
                | Value::Text(_)) => Some(value),
            },
            Self::Key(key) => Some(Value::Text(key)),
        }
    }

    fn collection(&self, shape: Shape) -> Option<yaml::Node<'a>> {
        match *self {
            Self::Value(node) if node.shape() == shape => Some(node),
            Self::Value(_) | Self::Key(_) => None,
        }
    }
}

impl<'a> Node<'a, Tree> for Instance<'a> {
    type Object = yaml::Node<'a>;
    type Array = yaml::Node<'a>;
    type Number = Number;

    fn as_object(&self) -> Option<yaml::Node<'a>> {
        self.collection(Shape::Mapping)
    }

    fn as_array(&self) -> Option<yaml::Node<'a>> {
        self.collection(Shape::Sequence)
    }

    fn as_string(&self) -> Option<Cow<'a, str>> {
        match self.scalar()? {
            Value::Text(text) => Some(Cow::Borrowed(text)),
            Value::Null | Value::Bool(_) | Value::Int(_) | Value::UInt(_) | Value::Float(_) => None,
        }
    }

    fn as_number(&self) -> Option<Number> {
        match self.scalar()? {
            Value::Int(number) => Some(Number::Int(number)),
            Value::UInt(number) => Some(Number::UInt(number)),
            Value::Float(number) => Some(Number::Float(number)),
            Value::Null | Value::Bool(_) | Value::Text(_) => None,
        }
    }

    fn as_boolean(&self) -> Option<bool> {
        match self.scalar()? {
            Value::Bool(truth) => Some(truth),
            Value::Null | Value::Int(_) | Value::UInt(_) | Value::Float(_) | Value::Text(_) => None,
        }
    }

    fn is_null(&self) -> bool {
        matches!(self.scalar(), Some(Value::Null))
    }

    fn json_type(&self) -> JsonType {
        match self.scalar() {
            Some(Value::Null) => JsonType::Null,
            Some(Value::Bool(_)) => JsonType::Boolean,
            Some(Value::Int(_) | Value::UInt(_) | Value::Float(_)) => JsonType::Number,
            Some(Value::Text(_)) => JsonType::String,
            None if self.as_array().is_some() => JsonType::Array,
            None => JsonType::Object,
        }
    }

    // Schemas compare with texts and with nothing at all, never with a list or an object: tests/fast/schemas.rs.
    fn equals_value(&self, expected: &JsonValue) -> bool {
        match (self.scalar(), expected) {
            (Some(Value::Text(text)), JsonValue::String(expected)) => text == expected,
            (Some(Value::Null), JsonValue::Null) => true,
            (Some(_) | None, _) => false,
        }
    }

    // Every error carries a copy of what it is about. Findings are worded from the tree itself, and only a key is not found
    // again by its place; a list or a mapping is not copied.
    fn to_value(&self) -> Cow<'a, JsonValue> {
        Cow::Owned(match self.scalar() {
            None | Some(Value::Null) => JsonValue::Null,
            Some(Value::Bool(truth)) => truth.into(),
            Some(Value::Int(number)) => number.into(),
            Some(Value::UInt(number)) => number.into(),
            Some(Value::Float(number)) => number.into(),
            Some(Value::Text(text)) => text.into(),
        })
    }

    fn identity(&self) -> Option<NodeIdentity> {
        match *self {
            Self::Value(node) => {
                let (tree, index) = node.identity();
                Some(NodeIdentity::tagged(tree, index))
            }
            Self::Key(_) => None,
        }
    }
}

impl<'a> Object<'a, Tree> for yaml::Node<'a> {
    type Node = Instance<'a>;
    type MemberName = &'a str;
    type MembersIter = Members<'a>;

    fn len(&self) -> usize {
        self.entries().len()
    }

    fn get(&self, key: &Box<str>) -> Option<Instance<'a>> {
        yaml::Node::get(*self, key).map(Instance::Value)
    }

    fn members(&self) -> Members<'a> {
        Members(self.entries())
    }
}

impl<'a> Array<'a, Tree> for yaml::Node<'a> {
    type Node = Instance<'a>;
    type ElementsIter = Elements<'a>;

    fn len(&self) -> usize {
        self.items().len()
    }

    fn elements(&self) -> Elements<'a> {
        Elements(self.items())
    }
}

/// The keys and values of a mapping.
pub(super) struct Members<'a>(yaml::Entries<'a>);

impl<'a> Iterator for Members<'a> {
    type Item = (&'a str, Instance<'a>);

    fn next(&mut self) -> Option<Self::Item> {
        // A key that is no scalar has no text; the reader of the text has refused it already.
        self.0
            .next()
            .map(|(key, value)| (key.text().unwrap_or_default(), Instance::Value(value)))
    }
}

/// The items of a list.
pub(super) struct Elements<'a>(yaml::Items<'a>);

impl<'a> Iterator for Elements<'a> {
    type Item = Instance<'a>;

    fn next(&mut self) -> Option<Instance<'a>> {
        self.0.next().map(Instance::Value)
    }
}

impl JsonNumber for Number {
    fn as_u64(&self) -> Option<u64> {
        match *self {
            Self::Int(number) => u64::try_from(number).ok(),
            Self::UInt(number) => Some(number),
            Self::Float(_) => None,
        }
    }

    fn as_i64(&self) -> Option<i64> {
        match *self {
            Self::Int(number) => Some(number),
            Self::UInt(number) => i64::try_from(number).ok(),
            Self::Float(_) => None,
        }
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "the library compares whole numbers as such and asks for this only beside a fraction"
    )]
    fn as_f64(&self) -> Option<f64> {
        Some(match *self {
            Self::Int(number) => number as f64,
            Self::UInt(number) => number as f64,
            Self::Float(number) => number,
        })
    }

    fn as_str(&self) -> Cow<'_, str> {
        Cow::Owned(self.to_number().to_string())
    }

    fn to_number(&self) -> Cow<'_, serde_json::Number> {
        Cow::Owned(match *self {
            Self::Int(number) => number.into(),
            Self::UInt(number) => number.into(),
            Self::Float(number) => {
                serde_json::Number::from_f64(number).expect("numbers are finite by construction")
            }
        })
    }

    fn is_integer(&self) -> bool {
        match *self {
            Self::Int(_) | Self::UInt(_) => true,
            Self::Float(number) => number.fract().abs() <= 0.0,
        }
    }

    fn is_written_as_integer(&self) -> bool {
        match *self {
            Self::Int(_) | Self::UInt(_) => true,
            Self::Float(_) => false,
        }
    }
}
