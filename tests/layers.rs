//! Who may use whom: the module order of `src/lib.rs`, held by reading the source.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the project's own source"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use syn::visit::{self, Visit};

/// Each module with those it may use. A new arrow is a line here, seen in review.
const MAY_USE: &[(&str, &[&str])] = &[
    ("source", &[]),
    ("quantity", &[]),
    ("words", &["quantity"]),
    ("diagnostic", &["source"]),
    ("yaml", &["source", "diagnostic", "words"]),
    (
        "schema",
        &["yaml", "diagnostic", "source", "words", "quantity"],
    ),
    (
        "record",
        &["yaml", "quantity", "words", "diagnostic", "source"],
    ),
    (
        "fleet",
        &["record", "quantity", "words", "diagnostic", "source"],
    ),
    ("outcome", &["source"]),
    ("history", &["fleet", "record", "outcome", "source"]),
    (
        "figure",
        &[
            "history",
            "fleet",
            "record",
            "outcome",
            "quantity",
            "words",
            "diagnostic",
            "source",
        ],
    ),
    (
        "rule",
        &[
            "figure",
            "outcome",
            "record",
            "yaml",
            "schema",
            "quantity",
            "words",
            "diagnostic",
            "source",
        ],
    ),
    ("report", &["diagnostic", "source"]),
    (
        "check",
        &[
            "rule",
            "figure",
            "history",
            "fleet",
            "record",
            "outcome",
            "report",
            "schema",
            "yaml",
            "quantity",
            "words",
            "diagnostic",
            "source",
        ],
    ),
    ("render", &["report", "diagnostic", "words", "source"]),
    (
        "cli",
        &[
            "render",
            "check",
            "report",
            "rule",
            "figure",
            "schema",
            "words",
            "quantity",
            "diagnostic",
            "source",
        ],
    ),
];

/// A crate, or a part of the standard library, and the one module that names it.
const NAMED_BY_ONE: &[(&str, &str)] = &[
    ("granit_parser", "yaml"),
    ("jsonschema", "schema"),
    ("miette", "render"),
    ("clap", "cli"),
    ("clap_complete", "cli"),
    ("clap_mangen", "cli"),
    ("indicatif", "cli"),
    ("walkdir", "cli"),
    ("std::fs", "cli"),
    ("std::env", "cli"),
    ("std::process", "cli"),
    ("std::time", "cli"),
    ("std::io", "cli"),
];

/// What `crate::` names that is no module: re-exports of `lib.rs`, for whoever stands above.
const EXPORTED: [&str; 7] = [
    "Listing",
    "ReadFile",
    "Settings",
    "Report",
    "check",
    "describe_rules",
    "figures",
];

fn sources() -> Vec<(String, PathBuf)> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                found.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    walk(&root, &mut found);
    found.sort();
    found
        .into_iter()
        .filter_map(|path| {
            let below = path.strip_prefix(&root).unwrap();
            let first = below.iter().next().unwrap().to_str().unwrap();
            let module = first.trim_end_matches(".rs").to_owned();
            (module != "lib" && module != "main").then_some((module, path))
        })
        .collect()
}

/// Every path a file names, written with `::` between its parts.
#[derive(Default)]
struct Paths(BTreeSet<String>);

impl<'ast> Visit<'ast> for Paths {
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        let mut prefix = Vec::new();
        self.tree(&item.tree, &mut prefix);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let parts: Vec<String> = path
            .segments
            .iter()
            .map(|part| part.ident.to_string())
            .collect();
        self.0.insert(parts.join("::"));
        visit::visit_path(self, path);
    }
}

impl Paths {
    fn tree(&mut self, tree: &syn::UseTree, prefix: &mut Vec<String>) {
        match tree {
            syn::UseTree::Path(path) => {
                prefix.push(path.ident.to_string());
                self.tree(&path.tree, prefix);
                prefix.pop();
            }
            syn::UseTree::Group(group) => {
                for tree in &group.items {
                    self.tree(tree, prefix);
                }
            }
            syn::UseTree::Name(name) => self.leaf(&name.ident.to_string(), prefix),
            syn::UseTree::Rename(rename) => self.leaf(&rename.ident.to_string(), prefix),
            syn::UseTree::Glob(_) => self.leaf("*", prefix),
        }
    }

    fn leaf(&mut self, name: &str, prefix: &[String]) {
        let mut parts = prefix.to_vec();
        if name != "self" {
            parts.push(name.to_owned());
        }
        self.0.insert(parts.join("::"));
    }
}

fn paths(file: &Path) -> BTreeSet<String> {
    let text = fs::read_to_string(file).unwrap();
    let parsed = syn::parse_file(&text).unwrap();
    let mut paths = Paths::default();
    paths.visit_file(&parsed);
    paths.0
}

#[test]
fn each_module_uses_only_what_stands_before_it() {
    let may_use: BTreeMap<&str, &[&str]> = MAY_USE.iter().copied().collect();
    let mut wrong = Vec::new();
    for (module, file) in sources() {
        let Some(allowed) = may_use.get(module.as_str()) else {
            panic!("{module} is not in the table of modules");
        };
        for path in paths(&file) {
            let Some(used) = path.strip_prefix("crate::") else {
                continue;
            };
            let used = used.split("::").next().unwrap();
            let exported = EXPORTED.contains(&used) && !may_use.contains_key(used);
            if used != module && !exported && !allowed.contains(&used) {
                wrong.push(format!("{module} uses {path} in {}", file.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_table_has_no_way_back() {
    for (at, (module, used)) in MAY_USE.iter().enumerate() {
        for used in *used {
            let stands = MAY_USE.iter().position(|(name, _)| name == used);
            assert!(
                stands.is_some_and(|stands| stands < at),
                "{module} uses {used}"
            );
        }
    }
}

#[test]
fn modules_stand_in_the_order_of_the_table() {
    let lib = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/lib.rs");
    let parsed = syn::parse_file(&fs::read_to_string(lib).unwrap()).unwrap();
    let declared: Vec<String> = parsed
        .items
        .iter()
        .filter_map(|item| {
            let syn::Item::Mod(module) = item else {
                return None;
            };
            Some(module.ident.to_string())
        })
        .collect();
    let table: Vec<&str> = MAY_USE.iter().map(|(module, _)| *module).collect();
    assert_eq!(declared, table);
}

#[test]
fn a_library_is_named_by_one_module_only() {
    let mut wrong = Vec::new();
    for (module, file) in sources() {
        for path in paths(&file) {
            for (named, by) in NAMED_BY_ONE {
                let names = path == *named || path.starts_with(&format!("{named}::"));
                if names && module != *by {
                    wrong.push(format!("{module} names {path} in {}", file.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Readings come first, then state: no figure of readings sees how a machine stands.
#[test]
fn figures_of_readings_do_not_see_state() {
    for (module, file) in sources() {
        if module != "figure" {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let name = file.file_name().unwrap().to_str().unwrap();
        let of_both = ["mod.rs", "catalogue.rs", "describe.rs", "standing.rs"].contains(&name);
        let of_state = text.contains("Compute::State(");
        let sees_state = paths(&file)
            .iter()
            .any(|path| path.starts_with("crate::history") || path.contains("standing"));
        assert!(!sees_state || of_state || of_both, "{}", file.display());
        assert!(
            !(of_state && text.contains("Compute::Readings(")) || of_both,
            "{} has figures of both strata",
            file.display(),
        );
    }
}
