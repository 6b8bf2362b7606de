//! The JSON Schemas as data: complete, valid, and no more than what the program can speak of.
#![expect(
    clippy::disallowed_methods,
    reason = "tests read the schemas as files, as editors do"
)]

use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use swathlint::quantity::Quantity;
use swathlint::quantity::dimension::Dimension;
use swathlint::quantity::unit::Unit;
use swathlint::schema::{self, Kind};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/schemas");

/// The schemas as they stand in the folder, by file name.
fn schemas() -> BTreeMap<String, Value> {
    let entries = std::fs::read_dir(FOLDER).unwrap();
    entries
        .map(|entry| entry.unwrap().path())
        // The page of fields beside them is made from them.
        .filter(|path| path.file_name().unwrap() != "README.md")
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (
                name,
                serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap(),
            )
        })
        .collect()
}

/// A schema within a schema, with the pointer it stands at and the keyword that holds it.
struct Part<'s> {
    pointer: String,
    held_by: &'static str,
    schema: &'s Map<String, Value>,
}

/// Every schema within a schema, itself the first.
fn parts(root: &Value) -> Vec<Part<'_>> {
    let mut found = Vec::new();
    collect_parts(root, "#", "", &mut found);
    found
}

fn collect_parts<'s>(
    value: &'s Value,
    pointer: &str,
    held_by: &'static str,
    found: &mut Vec<Part<'s>>,
) {
    let Value::Object(schema) = value else {
        return;
    };
    found.push(Part {
        pointer: pointer.to_owned(),
        held_by,
        schema,
    });
    for keyword in ["properties", "patternProperties", "$defs"] {
        let named = schema.get(keyword).and_then(Value::as_object);
        for (key, value) in named.into_iter().flatten() {
            let key = key.replace('~', "~0").replace('/', "~1");
            collect_parts(value, &format!("{pointer}/{keyword}/{key}"), keyword, found);
        }
    }
    for keyword in ["oneOf", "anyOf"] {
        let branches = schema.get(keyword).and_then(Value::as_array);
        for (index, value) in branches.into_iter().flatten().enumerate() {
            collect_parts(
                value,
                &format!("{pointer}/{keyword}/{index}"),
                keyword,
                found,
            );
        }
    }
    for keyword in [
        "items",
        "additionalProperties",
        "propertyNames",
        "if",
        "then",
        "not",
    ] {
        if let Some(value) = schema.get(keyword) {
            collect_parts(value, &format!("{pointer}/{keyword}"), keyword, found);
        }
    }
}

/// Whether a part constrains a value of its own, rather than being a condition on one.
fn is_field(part: &Part<'_>) -> bool {
    !matches!(part.held_by, "if" | "then" | "not" | "oneOf" | "anyOf")
        && !part.pointer.contains("/if/")
}

/// The part a reference leads to, or the part itself.
fn followed<'s>(root: &'s Value, schema: &'s Map<String, Value>) -> &'s Map<String, Value> {
    match schema.get("$ref").and_then(Value::as_str) {
        Some(reference) => root.pointer(&reference[1..]).unwrap().as_object().unwrap(),
        None => schema,
    }
}

fn examples(schema: &Map<String, Value>) -> &[Value] {
    schema
        .get("examples")
        .and_then(Value::as_array)
        .map_or(&[], Vec::as_slice)
}

/// Runs a check on every part of every schema that describes one kind of record.
fn for_each_part(check: impl Fn(&Value, &Part<'_>, &str)) {
    for kind in Kind::ALL {
        let root: Value = serde_json::from_str(schema::text(kind)).unwrap();
        for part in parts(&root) {
            let place = format!("schemas/{}.json{}", kind.word(), part.pointer);
            check(&root, &part, &place);
        }
    }
}

#[test]
fn the_folder_holds_a_schema_for_every_kind_and_one_for_editors() {
    let mut names: Vec<String> = Kind::ALL
        .iter()
        .map(|kind| format!("{}.json", kind.word()))
        .collect();
    names.extend(["record.json", "check-lines.json"].map(str::to_owned));
    names.sort();
    let schemas = schemas();
    assert_eq!(
        schemas.keys().collect::<Vec<_>>(),
        names.iter().collect::<Vec<_>>()
    );
    for kind in Kind::ALL {
        let embedded: Value = serde_json::from_str(schema::text(kind)).unwrap();
        assert_eq!(embedded, schemas[&format!("{}.json", kind.word())]);
        assert_eq!(Kind::from_record_value(kind.word()), Some(kind));
    }
    assert_eq!(Kind::from_record_value("Fleet"), None);
}

#[test]
fn every_schema_is_valid_json_schema_of_draft_2020_12() {
    for (name, schema) in schemas() {
        assert_eq!(
            schema["$schema"], "https://json-schema.org/draft/2020-12/schema",
            "{name}"
        );
        if let Err(error) = jsonschema::draft202012::meta::validate(&schema) {
            panic!("schemas/{name}: {error} at {}", error.instance_path());
        }
    }
}

#[test]
fn the_kind_comes_first_and_is_a_constant() {
    for kind in Kind::ALL {
        let root: Value = serde_json::from_str(schema::text(kind)).unwrap();
        let (first, field) = root["properties"]
            .as_object()
            .unwrap()
            .iter()
            .next()
            .unwrap();
        assert_eq!(
            (first.as_str(), &field["const"]),
            ("record", &json!(kind.word()))
        );
        assert_eq!(root["required"][0], "record");
    }
}

#[test]
fn every_reference_leads_to_a_part() {
    for_each_part(|root, part, place| {
        if let Some(reference) = part.schema.get("$ref") {
            let target = reference
                .as_str()
                .and_then(|reference| reference.strip_prefix('#'));
            assert!(
                target.is_some_and(|target| root.pointer(target).is_some()),
                "{place}: {reference}"
            );
            assert_eq!(
                part.schema.len(),
                1,
                "{place}: what stands beside a reference is not looked at"
            );
        }
    });
    let schemas = schemas();
    for branch in schemas["record.json"]["oneOf"].as_array().unwrap() {
        assert!(
            schemas.contains_key(branch["$ref"].as_str().unwrap()),
            "{branch}"
        );
    }
    assert_eq!(
        schemas["record.json"]["oneOf"].as_array().unwrap().len(),
        Kind::ALL.len()
    );
}

#[test]
fn every_field_is_described_with_an_example() {
    for_each_part(|root, part, place| {
        if !is_field(part) {
            return;
        }
        let schema = followed(root, part.schema);
        let description = schema
            .get("description")
            .and_then(Value::as_str)
            .unwrap_or_default();
        assert!(
            description.starts_with(char::is_uppercase),
            "{place}: no description, or it begins small"
        );
        assert!(description.ends_with('.'), "{place}: no full stop");
        let clause = description.split([':', ';', '.']).next().unwrap();
        assert!(
            (3..=80).contains(&clause.len()),
            "{place}: its first clause goes into messages: {clause}"
        );
        assert!(!examples(schema).is_empty(), "{place}: no example");
    });
}

#[test]
fn every_example_is_valid_where_it_stands() {
    for kind in Kind::ALL {
        let root: Value = serde_json::from_str(schema::text(kind)).unwrap();
        let validators = jsonschema::options().offline().build_map(&root).unwrap();
        let mut seen = 0;
        for part in parts(&root) {
            for example in examples(part.schema) {
                let validator = validators.get(&part.pointer).unwrap();
                let place = format!("schemas/{}.json{}", kind.word(), part.pointer);
                assert!(validator.is_valid(example), "{place}: {example}");
                seen += 1;
            }
        }
        assert!(seen > 15, "{seen} examples were looked at");
    }
}

#[test]
fn every_object_says_what_it_is_called_and_refuses_other_keys() {
    for_each_part(|_, part, place| {
        let types = &part
            .schema
            .get("type")
            .map(Value::to_string)
            .unwrap_or_default();
        if !types.contains("object") || !is_field(part) {
            return;
        }
        let others = part.schema.get("additionalProperties");
        let has_keys = part.schema.contains_key("properties");
        match others {
            Some(Value::Bool(false)) => assert!(has_keys, "{place}: no key is known"),
            Some(Value::Object(_)) => {
                assert!(!has_keys, "{place}: a misspelt key would pass as a name");
            }
            _ => panic!("{place}: unknown keys are let pass"),
        }
        let title = part
            .schema
            .get("title")
            .and_then(Value::as_str)
            .unwrap_or_default();
        assert!(!title.is_empty(), "{place}: no title to call it by");
    });
}

/// The keywords that findings have words for, and those that constrain nothing.
#[test]
fn no_schema_uses_a_keyword_that_findings_have_no_words_for() {
    const KEYWORDS: [&str; 27] = [
        "$defs",
        "$ref",
        "$schema",
        "additionalProperties",
        "anyOf",
        "const",
        "description",
        "enum",
        "examples",
        "format",
        "if",
        "items",
        "maxItems",
        "maxProperties",
        "minItems",
        "minLength",
        "minProperties",
        "not",
        "oneOf",
        "pattern",
        "patternProperties",
        "properties",
        "propertyNames",
        "required",
        "then",
        "title",
        "type",
    ];
    for_each_part(|root, part, place| {
        for (keyword, value) in part.schema {
            assert!(KEYWORDS.contains(&keyword.as_str()), "{place}: {keyword}");
            if keyword == "const" || keyword == "enum" {
                let words = value
                    .as_array()
                    .cloned()
                    .unwrap_or_else(|| vec![value.clone()]);
                assert!(
                    words.iter().all(|word| word.is_string() || word.is_null()),
                    "{place}: compared with something else than a text or nothing"
                );
            }
            if keyword == "oneOf" || keyword == "anyOf" {
                assert!(
                    is_choice_with_words(root, value),
                    "{place}: a choice of another make"
                );
            }
        }
    });
}

/// Whether all branches are told apart by one constant, or only say which keys must be there.
fn is_choice_with_words(root: &Value, branches: &Value) -> bool {
    let branches: Vec<&Map<String, Value>> = branches
        .as_array()
        .unwrap()
        .iter()
        .map(|branch| followed(root, branch.as_object().unwrap()))
        .collect();
    let only_required = |branch: &&Map<String, Value>| branch.keys().eq(["required"]);
    let constant = |branch: &&Map<String, Value>| {
        let fields = branch.get("properties")?.as_object()?;
        let constants: Vec<&String> = fields
            .iter()
            .filter(|(_, field)| field.get("const").is_some())
            .map(|(key, _)| key)
            .collect();
        let is_required = branch
            .get("required")?
            .as_array()?
            .iter()
            .any(|key| key == constants[0]);
        (constants.len() == 1 && is_required).then(|| constants[0].clone())
    };
    let keys: Option<Vec<String>> = branches.iter().map(constant).collect();
    branches.iter().all(only_required)
        || keys.is_some_and(|keys| keys.iter().all(|key| *key == keys[0]))
}

/// The dimensions that a format of quantities takes.
fn dimensions(names: &str) -> Vec<Dimension> {
    let named = |name| match name {
        "area" => Dimension::AREA,
        "flow" => Dimension::FLOW,
        "length" => Dimension::LENGTH,
        "percentage" => Dimension::RATIO,
        "pressure" => Dimension::PRESSURE,
        "rate" => Dimension::RATE,
        "density" => Dimension::DENSITY,
        "speed" => Dimension::SPEED,
        "time" => Dimension::TIME,
        "volume" => Dimension::VOLUME,
        "weight" => Dimension::MASS,
        "weighed-rate" => Dimension::WEIGHED_RATE,
        other => panic!("no such dimension: {other}"),
    };
    names.split('|').map(named).collect()
}

#[test]
fn the_example_of_a_format_is_read_as_that_format() {
    for_each_part(|_, part, place| {
        let Some(format) = part.schema.get("format") else {
            return;
        };
        // Where several may stand, they stand in a list.
        let single = |example: &Value| {
            example
                .as_array()
                .cloned()
                .unwrap_or_else(|| vec![example.clone()])
        };
        for example in examples(part.schema).iter().flat_map(single) {
            let text = example
                .as_str()
                .map_or_else(|| example.to_string(), str::to_owned);
            let is_quantity = |wanted: &[Dimension]| {
                if let Err(fault) = Quantity::parse(&text, wanted) {
                    panic!("{place}: {text}: {}", fault.message());
                }
            };
            let is_unit = |wanted: &[Dimension]| {
                if let Err(fault) = Unit::parse(&text, wanted) {
                    panic!("{place}: {text}: {}", fault.message());
                }
            };
            match format
                .as_str()
                .unwrap()
                .split_once(':')
                .unwrap_or((format.as_str().unwrap(), ""))
            {
                ("quantity", names) => is_quantity(&dimensions(names)),
                ("unit", "reading") => {
                    is_unit(&[
                        Dimension::VOLUME,
                        Dimension::MASS,
                        Dimension::FLOW,
                        Dimension::WEIGHED_FLOW,
                    ]);
                }
                ("unit", "flow-factor") => {
                    is_unit(&[Dimension::PULSES_PER_VOLUME, Dimension::VOLUME_PER_PULSE]);
                }
                ("unit", "speed-factor") => {
                    is_unit(&[Dimension::PULSES_PER_LENGTH, Dimension::LENGTH_PER_PULSE]);
                }
                ("interval", "") => match text.strip_suffix(" applications") {
                    Some(count) => assert!(count.parse::<u32>().is_ok(), "{place}: {text}"),
                    None => is_quantity(&[Dimension::CALENDAR, Dimension::TIME]),
                },
                ("number" | "count" | "gauge-class" | "nozzle-size", "") => {
                    assert!(text.parse::<f64>().is_ok(), "{place}: {text}");
                }
                ("date", "") => {
                    assert!(text.parse::<jiff::civil::Date>().is_ok(), "{place}: {text}");
                }
                // A reading may also be a word or a list, a limit or a version is read by what reads rules.
                ("reading" | "limit" | "version", "") => {}
                (other, _) => panic!("{place}: no such format: {other}"),
            }
        }
    });
}

#[test]
fn the_schema_for_editors_picks_the_kind_by_its_constant() {
    let schemas = schemas();
    let mut registry = jsonschema::Registry::new();
    for (name, schema) in &schemas {
        registry = registry
            .add(format!("file:///schemas/{name}"), schema.clone())
            .unwrap();
    }
    let registry = registry.prepare().unwrap();
    let validator = jsonschema::options()
        .offline()
        .with_registry(&registry)
        .with_base_uri("file:///schemas/record.json")
        .build(&schemas["record.json"])
        .unwrap();
    for kind in Kind::ALL {
        let root: Value = serde_json::from_str(schema::text(kind)).unwrap();
        for example in root["examples"].as_array().unwrap() {
            assert!(validator.is_valid(example), "{example}");
        }
    }
    assert!(!validator.is_valid(&json!({"record": "diary"})));
}
