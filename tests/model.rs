//! The schemas and the typed model cannot drift: what one names the other reads.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the project's own source and schemas"
)]

use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use syn::visit::{self, Visit};

/// What a schema accepts and nothing reads yet, each with the reason.
const NOT_READ: &[(&str, &str, &str)] = &[
    ("calibration", "occasion", "for people only"),
    ("calibration", "notes", "for people only"),
    (
        "calibration",
        "amends",
        "read once landed records are compared with earlier revisions",
    ),
    ("calibration", "on", "of an amendment"),
    ("calibration", "why", "of an amendment"),
    ("machine", "kind", "there is one kind"),
    ("machine", "tank", "read with applications"),
    ("machine", "material", "for wear, read with service"),
    ("fleet", "capacity", "for people only"),
];

/// What every kind has and the dispatcher reads.
const READ_ELSEWHERE: [&str; 1] = ["record"];

/// The accessors whose last text names a key.
const ACCESSORS: [&str; 19] = [
    "get",
    "key",
    "text",
    "word",
    "items",
    "named",
    "date",
    "decimal",
    "factor",
    "count",
    "quantity",
    "unit",
    "key_span",
    "lower_factor",
    "lower_boom",
    "lower_console",
    "lower_caught",
    "tolerance",
    "positive_factor",
];

#[derive(Default)]
struct Keys(BTreeSet<String>);

impl Keys {
    /// The first text among the arguments of an accessor.
    fn take<'a>(&mut self, name: &str, arguments: impl Iterator<Item = &'a syn::Expr>) {
        if !ACCESSORS.contains(&name) {
            return;
        }
        for argument in arguments {
            if let syn::Expr::Lit(literal) = argument
                && let syn::Lit::Str(key) = &literal.lit
            {
                self.0.insert(key.value());
                return;
            }
        }
    }
}

impl<'ast> Visit<'ast> for Keys {
    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        self.take(&call.method.to_string(), call.args.iter());
        visit::visit_expr_method_call(self, call);
    }

    fn visit_expr_call(&mut self, call: &'ast syn::ExprCall) {
        if let syn::Expr::Path(path) = &*call.func
            && let Some(last) = path.path.segments.last()
        {
            self.take(&last.ident.to_string(), call.args.iter());
        }
        visit::visit_expr_call(self, call);
    }
}

fn folder() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn keys_read(file: &str) -> BTreeSet<String> {
    let text = fs::read_to_string(folder().join("src/record").join(file)).unwrap();
    let mut keys = Keys::default();
    keys.visit_file(&syn::parse_file(&text).unwrap());
    keys.0
}

fn keys_in_schema(kind: &str) -> BTreeSet<String> {
    fn collect(schema: &Value, keys: &mut BTreeSet<String>) {
        match schema {
            Value::Object(members) => {
                if let Some(Value::Object(properties)) = members.get("properties") {
                    keys.extend(properties.keys().cloned());
                }
                for (name, member) in members {
                    if name != "examples" {
                        collect(member, keys);
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| collect(item, keys)),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }
    let text = fs::read_to_string(folder().join(format!("schemas/{kind}.json"))).unwrap();
    let mut keys = BTreeSet::new();
    collect(&serde_json::from_str(&text).unwrap(), &mut keys);
    keys
}

#[test]
fn what_a_schema_names_is_read_and_what_is_read_is_named() {
    // Accessors shared by all kinds read two keys of their own.
    let shared = keys_read("lowering.rs");
    for kind in ["calibration", "machine", "fleet"] {
        let mut read = keys_read(&format!("{kind}.rs"));
        read.extend(READ_ELSEWHERE.map(str::to_owned));
        if kind == "fleet" {
            read.extend(shared.iter().cloned());
            // Read by walking over all entries, not by name.
            for by_entry in [
                "stopwatch",
                "gauge",
                "distance",
                "jug",
                "refill-meter",
                "scale",
                "full",
                "catch",
                "flow",
                "speed",
                "balance",
                "error",
                "warning",
                "note",
                "weakens",
                "at-course",
                "at-machine",
            ] {
                read.insert(by_entry.to_owned());
            }
        }
        let named = keys_in_schema(kind);
        let excused: BTreeSet<String> = NOT_READ
            .iter()
            .filter(|(of, _, _)| *of == kind)
            .map(|(_, key, _)| (*key).to_owned())
            .collect();
        for key in &excused {
            assert!(
                named.contains(key),
                "{kind}: {key} is excused and no longer in the schema"
            );
            assert!(!read.contains(key), "{kind}: {key} is excused and read");
        }
        let unread: Vec<_> = named
            .iter()
            .filter(|key| !read.contains(*key) && !excused.contains(*key))
            .collect();
        assert!(
            unread.is_empty(),
            "{kind}: the schema names what nothing reads: {unread:?}"
        );
        let unnamed: Vec<_> = read.iter().filter(|key| !named.contains(*key)).collect();
        assert!(
            unnamed.is_empty(),
            "{kind}: read and not in the schema: {unnamed:?}"
        );
    }
}
