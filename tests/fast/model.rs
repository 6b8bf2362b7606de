//! The schemas and the typed model cannot drift: what one names the other reads.

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the project's own source and schemas"
)]

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use swathlint::procedure::Step;
use swathlint::schema::Kind;
use swathlint::source::FileId;
use swathlint::{record, rule, yaml};
use syn::visit::{self, Visit};

/// What a schema accepts and nothing reads yet, each with the reason.
const NOT_READ: &[(&str, &str, &str)] = &[
    ("calibration", "occasion", "for people only"),
    ("calibration", "notes", "for people only"),
    ("machine", "kind", "there is one kind"),
    (
        "machine",
        "material",
        "for people only: nozzles are judged by what they pass",
    ),
    ("service", "notes", "for people only"),
    ("service", "material", "as on the machine file"),
    (
        "service",
        "what",
        "for people only: work undoes a step in whatever way it was done",
    ),
    ("service", "because", "for people only"),
    ("application", "notes", "for people only"),
];

/// What is read by walking over all entries of a mapping, not by name, and where.
const READ_BY_ENTRY: &[(&str, &str, &[&str])] = &[
    (
        "fleet",
        "usual",
        &[
            "stopwatch",
            "gauge",
            "distance",
            "jug",
            "fill-meter",
            "scale",
            "tank-marks",
        ],
    ),
    (
        "fleet",
        "intervals",
        &["at-course", "at-machine", "at-setup"],
    ),
    (
        "fleet",
        "limits",
        &[
            "at-course",
            "at-machine",
            "error",
            "warning",
            "note",
            "weakens",
        ],
    ),
    // The kinds of work are held to what reads them by a test of their own.
    ("service", "work", &[]),
    ("rule", "limits", &["error", "warning", "note", "weakens"]),
    (
        "rule",
        "applies",
        &[
            "step",
            "stage",
            "control",
            "speed-source",
            "section-valves",
            "balance-by",
            "course",
            "setup",
        ],
    ),
];

/// Closed lists of words that are read as text, and by whom.
const WORDS_READ_AS_TEXT: &[(&str, &str, &str)] = &[
    ("machine", "kind", "not read: there is one kind"),
    (
        "service",
        "what",
        "not read: work undoes a step in whatever way it was done",
    ),
    ("calibration", "timed", "compared with `together` alone"),
    ("calibration", "tank", "judged by the figure tank-not-half"),
];

/// Quantities whose dimension depends on what else the record says.
const DIMENSION_BY_TYPE: [(&str, &str, &str); 4] = [
    (
        "fleet",
        "graduation",
        "what marks measure depends on the instrument's type",
    ),
    ("fleet", "resolution", "likewise"),
    (
        "fleet",
        "tolerance",
        "read in one place for all instruments",
    ),
    ("machine", "speed-tolerance", "likewise"),
];

/// The accessors of the readers of records and rules, whose first text names a key.
const ACCESSORS: [&str; 19] = [
    "count",
    "date",
    "decimal",
    "factor",
    "get",
    "items",
    "key",
    "key_span",
    "lower_factor",
    "named",
    "placed",
    "placed_factor",
    "quantity",
    "quantity_or_0",
    "text",
    "texts",
    "tolerance",
    "unit",
    "word",
];

/// What a file of source reads, or one function of it: keys, the dimensions of quantities, the types of words.
#[derive(Default)]
struct Reads {
    keys: BTreeSet<String>,
    dimensions: BTreeMap<String, BTreeSet<String>>,
    words_of: BTreeMap<String, String>,
    constants: BTreeMap<String, BTreeSet<String>>,
    words: BTreeMap<String, BTreeSet<String>>,
}

impl Reads {
    /// What `record/machine.rs` reads, or of it what `record/machine.rs lower_console` does.
    fn of(place: &str) -> Self {
        let (file, function) = place.split_once(' ').unwrap_or((place, ""));
        let text = fs::read_to_string(folder().join("src").join(file)).unwrap();
        let parsed = syn::parse_file(&text).unwrap();
        let mut reads = Self::default();
        // Lists of dimensions may stand behind the calls that name them.
        Lists(&mut reads.constants).visit_file(&parsed);
        if function.is_empty() {
            reads.visit_file(&parsed);
            return reads;
        }
        let found = parsed.items.iter().find_map(|item| {
            let syn::Item::Fn(found) = item else {
                return None;
            };
            (found.sig.ident == function).then_some(found)
        });
        reads.visit_item_fn(found.unwrap_or_else(|| panic!("no function {place}")));
        reads
    }

    /// The words of every type of a file.
    fn words_in(place: &str) -> BTreeMap<String, BTreeSet<String>> {
        let (file, _) = place.split_once(' ').unwrap_or((place, ""));
        Self::of(file).words
    }

    fn take<'a>(&mut self, accessor: &str, arguments: impl Iterator<Item = &'a syn::Expr>) {
        if !ACCESSORS.contains(&accessor) {
            return;
        }
        let arguments: Vec<&syn::Expr> = arguments.collect();
        let Some((at, key)) = arguments.iter().enumerate().find_map(|(at, argument)| {
            let syn::Expr::Lit(literal) = argument else {
                return None;
            };
            let syn::Lit::Str(key) = &literal.lit else {
                return None;
            };
            Some((at, key.value()))
        }) else {
            return;
        };
        self.keys.insert(key.clone());
        match (accessor, arguments.get(at + 1)) {
            ("quantity" | "quantity_or_0" | "placed" | "unit", Some(wanted)) => {
                let mut names = Names::default();
                names.visit_expr(wanted);
                let listed = names.plain.iter().filter_map(|n| self.constants.get(n));
                let found: BTreeSet<String> =
                    listed.flatten().chain(&names.dimensions).cloned().collect();
                assert!(!found.is_empty(), "no dimension is seen for {key}");
                self.dimensions.entry(key).or_default().extend(found);
            }
            // A plain function, as for yes and no, has no list of words.
            ("word", Some(syn::Expr::Path(meaning))) if meaning.path.segments.len() > 1 => {
                let owner = meaning.path.segments[0].ident.to_string();
                self.words_of.insert(key, owner);
            }
            (_, _) => {}
        }
    }
}

impl<'ast> Visit<'ast> for Reads {
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

    fn visit_item_impl(&mut self, item: &'ast syn::ItemImpl) {
        if let syn::Type::Path(owner) = &*item.self_ty {
            let owner = owner.path.segments.last().unwrap().ident.to_string();
            for item in &item.items {
                if let syn::ImplItem::Fn(function) = item
                    && function.sig.ident.to_string().contains("word")
                {
                    let mut texts = Texts::default();
                    texts.visit_impl_item_fn(function);
                    self.words.entry(owner.clone()).or_default().extend(texts.0);
                }
            }
        }
        visit::visit_item_impl(self, item);
    }

    fn visit_item_mod(&mut self, _: &'ast syn::ItemMod) {
        // Tests read nothing of records.
    }
}

/// Lists of dimensions by the name of the constant, the binding or the function that gives them.
struct Lists<'l>(&'l mut BTreeMap<String, BTreeSet<String>>);

impl Lists<'_> {
    fn add(&mut self, name: String, names: &Names) {
        let through = names.plain.iter().filter_map(|name| self.0.get(name));
        let dimensions: BTreeSet<String> = through
            .flatten()
            .chain(&names.dimensions)
            .cloned()
            .collect();
        if !dimensions.is_empty() {
            self.0.entry(name).or_default().extend(dimensions);
        }
    }
}

impl<'ast> Visit<'ast> for Lists<'_> {
    fn visit_file(&mut self, file: &'ast syn::File) {
        // Functions first: a binding may be what one of them gives.
        for item in &file.items {
            if let syn::Item::Fn(function) = item
                && let syn::ReturnType::Type(_, of) = &function.sig.output
            {
                let mut names = Names::default();
                names.visit_type(of);
                if names.plain.contains("Dimension") {
                    names.visit_block(&function.block);
                    self.add(function.sig.ident.to_string(), &names);
                }
            }
        }
        visit::visit_file(self, file);
    }

    fn visit_item_const(&mut self, item: &'ast syn::ItemConst) {
        let mut names = Names::default();
        names.visit_expr(&item.expr);
        self.add(item.ident.to_string(), &names);
    }

    fn visit_local(&mut self, local: &'ast syn::Local) {
        if let (syn::Pat::Ident(name), Some(init)) = (&local.pat, &local.init) {
            let mut names = Names::default();
            names.visit_expr(&init.expr);
            self.add(name.ident.to_string(), &names);
        }
        visit::visit_local(self, local);
    }
}

/// The dimensions and the other names in an expression.
#[derive(Default)]
struct Names {
    dimensions: BTreeSet<String>,
    plain: BTreeSet<String>,
}

impl<'ast> Visit<'ast> for Names {
    fn visit_path(&mut self, path: &'ast syn::Path) {
        let parts: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        match parts.as_slice() {
            [owner, name] if owner == "Dimension" => self.dimensions.insert(name.clone()),
            _ => self.plain.insert(parts.join("::")),
        };
        visit::visit_path(self, path);
    }
}

/// The texts in a function.
#[derive(Default)]
struct Texts(BTreeSet<String>);

impl<'ast> Visit<'ast> for Texts {
    fn visit_attribute(&mut self, _: &'ast syn::Attribute) {
        // A doc comment is a text too, and none that is read.
    }

    fn visit_lit_str(&mut self, text: &'ast syn::LitStr) {
        self.0.insert(text.value());
    }
}

fn folder() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn schema(kind: &str) -> Value {
    let text = fs::read_to_string(folder().join(format!("schemas/{kind}.json"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// What an interval may be set for: the whole calibration, or a step of it.
fn words_of_intervals() -> BTreeSet<String> {
    let steps = Step::all().map(Step::word);
    ["full"]
        .into_iter()
        .chain(steps)
        .map(str::to_owned)
        .collect()
}

/// Every kind of work in the schema of service records.
fn kinds_of_work() -> BTreeSet<String> {
    let schema = schema("service");
    let kinds = schema["$defs"]["work"]["properties"].as_object().unwrap();
    kinds.keys().cloned().collect()
}

/// Every property of a schema with what is said of it; one name may stand in several places.
fn properties(kind: &str) -> Vec<(String, Value)> {
    fn collect(schema: &Value, found: &mut Vec<(String, Value)>) {
        match schema {
            Value::Object(members) => {
                if let Some(Value::Object(properties)) = members.get("properties") {
                    found.extend(properties.iter().map(|(k, v)| (k.clone(), v.clone())));
                }
                for (name, member) in members {
                    if name != "examples" {
                        collect(member, found);
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| collect(item, found)),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }
    let mut found = Vec::new();
    collect(&schema(kind), &mut found);
    found
}

/// The files that read a kind of record, or the function of a file.
const READERS: [(&str, &[&str]); 8] = [
    (
        "calibration",
        &[
            "record/calibration.rs",
            "record/amendment.rs",
            "record/confirmed.rs",
        ],
    ),
    (
        "service",
        &[
            "record/service.rs",
            "record/amendment.rs",
            "record/machine.rs lower_console",
            "record/nozzle.rs",
        ],
    ),
    (
        "application",
        &["record/application.rs", "record/amendment.rs"],
    ),
    ("waivers", &["record/waivers.rs"]),
    ("machine", &["record/machine.rs", "record/nozzle.rs"]),
    (
        "fleet",
        &[
            "record/fleet.rs",
            "record/instrument.rs",
            "record/lowering.rs",
        ],
    ),
    ("rule", &["rule/file.rs", "schema/declared.rs"]),
    (
        "cause",
        &["cause/file.rs", "cause/mend_file.rs", "schema/declared.rs"],
    ),
];

#[test]
fn what_a_schema_names_is_read_and_what_is_read_is_named() {
    for (kind, files) in READERS {
        // The kind itself is read by whoever dispatches on it.
        let mut read = BTreeSet::from(["record".to_owned()]);
        for file in files {
            read.extend(Reads::of(file).keys);
        }
        for (_, within, keys) in READ_BY_ENTRY.iter().filter(|(of, _, _)| *of == kind) {
            assert!(
                read.contains(*within),
                "{kind}: nothing walks over {within}"
            );
            read.extend(keys.iter().map(|key| (*key).to_owned()));
            read.extend(match *within {
                "intervals" => words_of_intervals(),
                "work" => kinds_of_work(),
                _ => BTreeSet::new(),
            });
        }
        let named: BTreeSet<String> = properties(kind).into_iter().map(|(key, _)| key).collect();
        let excused: BTreeSet<&str> = NOT_READ
            .iter()
            .filter(|(of, _, _)| *of == kind)
            .map(|(_, key, _)| *key)
            .collect();
        for key in &excused {
            assert!(
                named.contains(*key),
                "{kind}: {key} is excused and no longer in the schema"
            );
            assert!(!read.contains(*key), "{kind}: {key} is excused and read");
        }
        let unread: Vec<_> = named
            .iter()
            .filter(|key| !read.contains(*key) && !excused.contains(key.as_str()))
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

/// What the schemas say of how many entries a list or a mapping of names may have, by its key.
fn bounds_in(schema: &Value, key: &str, found: &mut BTreeSet<(String, usize)>) {
    for bound in ["maxItems", "maxProperties"] {
        if let Some(most) = schema
            .get(bound)
            .and_then(Value::as_u64)
            .filter(|most| *most > 1)
        {
            found.insert((key.to_owned(), usize::try_from(most).unwrap()));
        }
    }
    match schema {
        Value::Object(members) => members
            .iter()
            .for_each(|(key, member)| bounds_in(member, key, found)),
        Value::Array(items) => items.iter().for_each(|item| bounds_in(item, key, found)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

#[test]
fn what_a_schema_allows_at_most_is_read_and_no_more() {
    let mut told = BTreeSet::new();
    for kind in Kind::ALL {
        bounds_in(&schema(kind.word()), "", &mut told);
    }
    let read = record::MOST_ENTRIES.map(|(key, most)| (key.to_owned(), most));
    assert_eq!(told, read.into_iter().collect());
}

/// What the format of a schema takes, in the names of the source.
fn dimensions_of(format: &str) -> BTreeSet<String> {
    let named: &[&str] = match format {
        "unit:reading" => &["VOLUME", "MASS", "FLOW", "WEIGHED_FLOW"],
        "unit:flow-factor" => &["PULSES_PER_VOLUME", "VOLUME_PER_PULSE"],
        "unit:speed-factor" => &["PULSES_PER_LENGTH", "LENGTH_PER_PULSE"],
        _ => &[],
    };
    let names = format.strip_prefix("quantity:").into_iter();
    let quantities = names.flat_map(|names| names.split('|')).map(|name| {
        match name {
            "percentage" => "RATIO",
            "weighed-rate" => "WEIGHED_RATE",
            "weight" => "MASS",
            other => return other.to_uppercase(),
        }
        .to_owned()
    });
    let named = named.iter().map(|name| (*name).to_owned());
    named.chain(quantities).collect()
}

#[test]
fn a_quantity_is_read_in_the_dimensions_its_schema_names() {
    let mut compared = 0;
    for (kind, files) in READERS {
        let mut read: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for file in files {
            for (key, dimensions) in Reads::of(file).dimensions {
                read.entry(key).or_default().extend(dimensions);
            }
        }
        let mut named: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (key, schema) in properties(kind) {
            let format = schema.get("format").and_then(Value::as_str);
            let dimensions = dimensions_of(format.unwrap_or_default());
            if !dimensions.is_empty() {
                named.entry(key).or_default().extend(dimensions);
            }
        }
        for (of, key, _) in NOT_READ.iter().chain(&DIMENSION_BY_TYPE) {
            if *of == kind {
                read.remove(*key);
                named.remove(*key);
            }
        }
        compared += named.len();
        assert_eq!(read, named, "{kind}: left is read, right is in the schema");
    }
    assert!(compared > 20, "only {compared} were compared");
}

#[test]
fn the_words_of_a_closed_list_are_those_of_its_schema() {
    let mut compared = 0;
    let of_records = |kind: &str| !["rule", "cause"].contains(&kind);
    for (kind, files) in READERS.iter().filter(|(kind, _)| of_records(kind)) {
        let mut named: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (key, schema) in properties(kind) {
            let words = schema.get("enum").and_then(Value::as_array);
            // One of several shapes has the one word that tells it from the others.
            let word = schema.get("const").filter(|_| key != "record");
            let words = words.into_iter().flatten().chain(word);
            for word in words.filter(|word| !word.is_null()) {
                let word = word.as_str().unwrap().to_owned();
                named.entry(key.clone()).or_default().insert(word);
            }
        }
        for (_, key, _) in WORDS_READ_AS_TEXT.iter().filter(|(of, _, _)| of == kind) {
            assert!(
                named.remove(*key).is_some(),
                "{kind}: {key} is excused and no list"
            );
        }
        let mut read: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        let types: BTreeMap<_, _> = files.iter().flat_map(|f| Reads::words_in(f)).collect();
        for file in *files {
            let reads = Reads::of(file);
            for (key, owner) in reads.words_of {
                let words = types
                    .get(&owner)
                    .unwrap_or_else(|| panic!("{file}: no words of {owner}"));
                read.insert(key, words.clone());
            }
        }
        compared += named.len();
        assert_eq!(read, named, "{kind}: left is read, right is in the schema");
    }
    assert!(compared > 5, "only {compared} were compared");
}

/// No list of steps forgets one, and none has a word that no step has.
#[test]
fn every_list_of_steps_in_a_schema_has_every_step() {
    let words = words_of_intervals();
    let fleet = schema("fleet");
    for place in [
        "/properties/intervals/properties",
        "/$defs/intervals/properties",
        "/$defs/machine-intervals/properties",
    ] {
        let keys = fleet.pointer(place).and_then(Value::as_object).unwrap();
        let keys = keys.keys().filter(|key| !key.starts_with("at-"));
        let keys: BTreeSet<String> = keys.filter(|key| *key != "because").cloned().collect();
        assert_eq!(keys, words, "left is in the schema of fleets at {place}");
    }
    let listed = schema("rule")["properties"]["interval"]["enum"].clone();
    let listed: BTreeSet<String> = serde_json::from_value(listed).unwrap();
    assert_eq!(listed, words, "left is in the schema of rules");
}

/// Every kind of work of the schema is read as that work, and no work is read that the schema does not have.
#[test]
fn every_kind_of_work_is_read_by_its_word() {
    let kinds = kinds_of_work();
    for word in &kinds {
        let text = format!("record: service\nwork: [{{{word}: {{}}}}]\n");
        let parsed = yaml::parse(FileId(0), &text);
        let service = record::lower_service(FileId(0), parsed.tree.root().unwrap()).record;
        let words: Vec<&str> = service.work.iter().map(|work| work.done.word()).collect();
        assert_eq!(words, [word.as_str()]);
    }
    let source = fs::read_to_string(folder().join("src/record/service.rs")).unwrap();
    let parsed = syn::parse_file(&source).unwrap();
    let done = parsed.items.iter().find_map(|item| {
        let syn::Item::Enum(found) = item else {
            return None;
        };
        (found.ident == "WorkDone").then(|| found.variants.len())
    });
    assert_eq!(done, Some(kinds.len()));
}

/// Every word that the schema of rules allows loads.
#[test]
fn a_rule_with_any_word_of_its_schema_loads() {
    let text = |status: &str, interval: &str, decision: &str, mark: &str| {
        format!(
            "record: rule\nid: house-made\nsince: 0.1.0\nstatus: {status}\nfigure: step-age\n\
             limits: {{warning: 12 months}}\ninterval: {interval}\ndecision: {decision}\ntitle: A title\n\
             message: \"{{found}}; at most {{limit}}\"\nhelp: do it\nwhy: Because.\nsources:\n  - {{title: a title, mark: {mark}}}\n"
        )
    };
    let mut seen = 0;
    for (key, schema) in properties("rule") {
        for word in schema
            .get("enum")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            let word = word.as_str().unwrap();
            let text = match key.as_str() {
                "status" => text(word, "full", "simple", "seen"),
                "interval" => text("settled", word, "simple", "seen"),
                "decision" => text("settled", "full", word, "seen"),
                "mark" => text("settled", "full", "simple", word),
                other => panic!("a closed list that is not tried: {other}"),
            };
            let loaded = rule::load(FileId(0), &text);
            assert!(
                loaded.rule.is_some(),
                "{key}: {word}: {:#?}",
                loaded.problems
            );
            seen += 1;
        }
    }
    assert!(seen > 10, "only {seen} were tried");
}
