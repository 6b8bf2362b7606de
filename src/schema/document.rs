//! An embedded schema as a text to look things up in: what an object is called, which keys it knows, what they are for.
//!
//! Validates nothing and words no finding.

use serde_json::{Map, Value};

/// The type of an empty value, which a record of readings may have.
const EMPTY: &str = "null";

/// A schema as read.
pub(super) struct Document(Value);

/// One object of a schema that constrains a value.
#[derive(Clone, Copy)]
pub(super) struct Schema<'d> {
    document: &'d Document,
    keywords: &'d Map<String, Value>,
}

/// The schemas that led to one place of a record, outermost first; never empty.
pub(super) struct Way<'d>(Vec<Schema<'d>>);

impl Document {
    /// Takes a schema whose root is an object.
    pub(super) fn new(schema: Value) -> Self {
        Self(schema)
    }

    /// The schema with every `format` taken to mean: any text and any number, for others to judge.
    ///
    /// Editors want `type: string` there, to complete and to warn; the reader of the scalar words it better.
    pub(super) fn with_open_formats(&self) -> Value {
        let mut schema = self.0.clone();
        open_formats(&mut schema);
        schema
    }

    /// The schemas on the way to a keyword, references followed; the path ends with that keyword.
    pub(super) fn way(&self, evaluation_path: &str) -> Way<'_> {
        let mut here = self.root();
        let mut passed = vec![here];
        let mut segments = evaluation_path.split('/').skip(1);
        while let Some(segment) = segments.next() {
            let Some(found) = here.keywords.get(segment) else {
                break;
            };
            let next = match segment {
                "$ref" => found.as_str().and_then(|target| self.target(target)),
                "properties" | "patternProperties" => {
                    segments.next().and_then(|name| found.get(unescaped(name)))
                }
                "oneOf" | "anyOf" => {
                    let branch = segments.next().and_then(|at| at.parse::<usize>().ok());
                    branch.and_then(|at| found.get(at))
                }
                _ => Some(found),
            };
            let Some(keywords) = next.and_then(Value::as_object) else {
                break;
            };
            here = Schema {
                document: self,
                keywords,
            };
            passed.push(here);
        }
        Way(passed)
    }

    /// What the objects that know this key are called, in the schema's order.
    pub(super) fn titles_of_objects_with(&self, key: &str) -> Vec<&str> {
        let mut titles = Vec::new();
        collect_titles(&self.0, key, &mut titles);
        titles
    }

    pub(super) fn root(&self) -> Schema<'_> {
        Schema {
            document: self,
            keywords: self
                .0
                .as_object()
                .expect("embedded schemas are objects: tests/fast/schemas.rs"),
        }
    }

    fn target(&self, reference: &str) -> Option<&Value> {
        self.0.pointer(reference.strip_prefix('#')?)
    }
}

impl<'d> Way<'d> {
    /// The innermost schema that has this keyword.
    pub(super) fn innermost(&self, keyword: &str) -> Schema<'d> {
        let found = self
            .0
            .iter()
            .rev()
            .find(|schema| schema.keywords.contains_key(keyword));
        *found.unwrap_or(&self.0[0])
    }

    /// The innermost schema, which holds the keyword at the end of the way.
    pub(super) fn last(&self) -> Schema<'d> {
        *self.0.last().unwrap_or(&self.0[0])
    }
}

impl<'d> Schema<'d> {
    /// What an object of this schema is called in a message, with its article.
    pub(super) fn title(self) -> &'d str {
        self.text("title").unwrap_or("this place")
    }

    /// What the value is for, in the first clause of its description.
    pub(super) fn purpose(self) -> String {
        let description = self.text("description").unwrap_or_default();
        let end = [". ", ": ", "; "]
            .iter()
            .filter_map(|stop| description.find(stop))
            .min();
        fragment(end.map_or(description, |end| &description[..end]))
    }

    /// What the value is for, in full, as a fragment that begins with a small letter.
    pub(super) fn description(self) -> String {
        fragment(self.text("description").unwrap_or_default())
    }

    /// The values it may have, as the schema shows them.
    pub(super) fn examples(self) -> impl Iterator<Item = &'d Value> {
        let listed = self.keywords.get("examples").and_then(Value::as_array);
        listed.into_iter().flatten()
    }

    /// The keys that are known here by name.
    pub(super) fn keys(self) -> impl Iterator<Item = &'d str> {
        self.properties()
            .into_iter()
            .flat_map(|properties| properties.keys().map(String::as_str))
    }

    /// The schema of a known key.
    pub(super) fn property(self, key: &str) -> Option<Schema<'d>> {
        self.schema(self.properties()?.get(key)?)
    }

    /// The types a value may have; empty where any may be. That it may be empty too is not one of them.
    pub(super) fn types(self) -> Vec<&'d str> {
        let mut types = self.keywords.get("type").map(names_in).unwrap_or_default();
        types.retain(|name| *name != EMPTY);
        types
    }

    /// Whether the value is a scalar with a grammar of its own.
    pub(super) fn has_format(self) -> bool {
        self.keywords.contains_key("format")
    }

    /// The texts a value may be, where they are listed.
    pub(super) fn choices(self) -> Vec<&'d str> {
        if let Some(only) = self.text("const") {
            return vec![only];
        }
        let listed = self.keywords.get("enum").and_then(Value::as_array);
        listed
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .collect()
    }

    /// The schemas of a choice, references followed.
    pub(super) fn branches(self, keyword: &str) -> Vec<Schema<'d>> {
        let listed = self.keywords.get(keyword).and_then(Value::as_array);
        listed
            .into_iter()
            .flatten()
            .filter_map(|branch| self.schema(branch))
            .collect()
    }

    /// The key that has a constant here, which tells this branch of a choice from the others.
    pub(super) fn constant_key(self) -> Option<&'d str> {
        let is_constant = |key: &&str| {
            let field = self.property(key);
            field.is_some_and(|field| field.keywords.contains_key("const"))
        };
        self.keys().find(is_constant)
    }

    /// The keys that must be there.
    pub(super) fn required(self) -> Vec<&'d str> {
        let listed = self.keywords.get("required").and_then(Value::as_array);
        listed
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .collect()
    }

    fn properties(self) -> Option<&'d Map<String, Value>> {
        self.keywords.get("properties")?.as_object()
    }

    fn schema(self, value: &'d Value) -> Option<Schema<'d>> {
        let keywords = value.as_object()?;
        match keywords.get("$ref").and_then(Value::as_str) {
            Some(reference) => self.schema(self.document.target(reference)?),
            None => Some(Schema { keywords, ..self }),
        }
    }

    fn text(self, keyword: &str) -> Option<&'d str> {
        self.keywords.get(keyword)?.as_str()
    }
}

/// A sentence as a part of another one.
fn fragment(sentence: &str) -> String {
    let mut letters = sentence.trim_end_matches('.').chars();
    let first = letters.next().map(char::to_lowercase);
    first.into_iter().flatten().chain(letters).collect()
}

fn collect_titles<'d>(value: &'d Value, key: &str, titles: &mut Vec<&'d str>) {
    match value {
        Value::Object(members) => {
            let properties = members.get("properties");
            if properties.is_some_and(|properties| properties.get(key).is_some())
                && let Some(title) = members.get("title").and_then(Value::as_str)
                && !titles.contains(&title)
            {
                titles.push(title);
            }
            members
                .values()
                .for_each(|member| collect_titles(member, key, titles));
        }
        Value::Array(items) => items
            .iter()
            .for_each(|item| collect_titles(item, key, titles)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

fn open_formats(schema: &mut Value) {
    match schema {
        Value::Object(members) => {
            if members.get("format").is_some_and(Value::is_string)
                && let Some(types) = members.get_mut("type")
            {
                let is_kept = |name: &&str| ["array", EMPTY].contains(name);
                let kept = names_in(types).into_iter().filter(is_kept);
                *types = ["string", "number"].into_iter().chain(kept).collect();
            }
            members.values_mut().for_each(open_formats);
        }
        Value::Array(items) => items.iter_mut().for_each(open_formats),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// One name, or a list of them.
fn names_in(value: &Value) -> Vec<&str> {
    let several = value.as_array().into_iter().flatten();
    value
        .as_str()
        .into_iter()
        .chain(several.filter_map(Value::as_str))
        .collect()
}

/// A reference token of RFC 6901 with `~1` and `~0` undone, in this order.
pub(super) fn unescaped(token: &str) -> String {
    token.replace("~1", "/").replace("~0", "~")
}
