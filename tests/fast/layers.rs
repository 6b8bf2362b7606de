//! Who may use whom: the module order of `src/lib.rs`, held by reading the source.

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the project's own source"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use syn::buffer::{Cursor, TokenBuffer};
use syn::visit::{self, Visit};

/// Each module with those it may use. A new arrow is a line here, seen in review.
const MAY_USE: &[(&str, &[&str])] = &[
    ("source", &[]),
    ("quantity", &[]),
    ("statistics", &[]),
    ("words", &["quantity"]),
    ("diagnostic", &["source", "words"]),
    ("yaml", &["source", "diagnostic"]),
    ("schema", &["yaml", "diagnostic", "source", "words"]),
    (
        "record",
        &["yaml", "quantity", "words", "diagnostic", "source"],
    ),
    (
        "fleet",
        &["record", "quantity", "words", "diagnostic", "source"],
    ),
    ("outcome", &["source"]),
    (
        "history",
        &["fleet", "record", "outcome", "quantity", "source"],
    ),
    ("wear", &["statistics", "words", "source"]),
    (
        "figure",
        &[
            "wear",
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
            "wear",
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
            "figure",
            "schema",
            "quantity",
            "words",
            "diagnostic",
            "source",
        ],
    ),
];

/// Every library of `Cargo.toml`, and every way to the world outside, with the modules that name it.
const NAMED_BY: &[(&str, &[&str])] = &[
    ("clap", &["cli"]),
    ("clap_complete", &["cli"]),
    ("clap_mangen", &["cli"]),
    ("granit_parser", &["yaml"]),
    (
        "jiff",
        &[
            "quantity", "words", "record", "fleet", "history", "wear", "figure", "rule", "report",
            "check", "render", "cli",
        ],
    ),
    ("jsonschema", &["schema"]),
    ("libm", &["statistics"]),
    ("miette", &["render"]),
    ("num_bigint", &["quantity", "figure"]),
    ("num_rational", &["quantity"]),
    (
        "num_traits",
        &["quantity", "history", "figure", "rule", "check"],
    ),
    ("rayon", &["check", "cli"]),
    ("rustix", &["cli"]),
    ("serde", &["render"]),
    ("serde_json", &["schema", "render"]),
    ("strsim", &["quantity"]),
    ("sha1_smol", &["render", "cli"]),
    ("terminal_size", &["cli"]),
    ("thiserror", &["cli"]),
    ("unicode_width", &["render"]),
    ("walkdir", &["cli"]),
    // The date of the check is an input: only cli reads the clock, files, environment and terminal.
    ("jiff::Timestamp", &["cli"]),
    ("jiff::Zoned", &[]),
    ("std::env", &["cli"]),
    ("std::fs", &["cli"]),
    ("std::io", &["cli"]),
    ("std::net", &[]),
    ("std::panic", &["cli"]),
    ("std::process", &["cli"]),
    ("std::thread", &[]),
    ("std::time", &[]),
];

/// What `crate::` names that is no module: re-exports of `lib.rs`, for whoever stands above.
const EXPORTED: [&str; 10] = [
    "Listing",
    "ReadFile",
    "Settings",
    "Report",
    "Before",
    "check",
    "check_compared",
    "describe_rules",
    "due",
    "figures",
];

/// One file of a module, with the path of the module it is.
struct Source {
    module: String,
    file: PathBuf,
    within: Vec<String>,
}

fn sources() -> Vec<Source> {
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
        .filter_map(|file| {
            let below = file.strip_prefix(&root).unwrap().with_extension("");
            let parts = below.iter().map(|part| part.to_str().unwrap().to_owned());
            let within: Vec<String> = parts.filter(|part| part != "mod").collect();
            let module = within[0].clone();
            (module != "lib" && module != "main").then_some(Source {
                module,
                file,
                within,
            })
        })
        .collect()
}

/// Every path a file names, written with `::` between its parts and from `crate` where it is ours.
struct Paths {
    within: Vec<String>,
    named: BTreeSet<String>,
    /// Paths that climb out of their module to the crate's root.
    climbing: BTreeSet<String>,
}

impl Paths {
    fn of(source: &Source) -> Self {
        let text = fs::read_to_string(&source.file).unwrap();
        let mut paths = Self {
            within: source.within.clone(),
            named: BTreeSet::new(),
            climbing: BTreeSet::new(),
        };
        paths.visit_file(&syn::parse_file(&text).unwrap());
        paths
    }

    /// Paths from `crate`, without that word.
    fn of_ours(&self) -> impl Iterator<Item = &str> {
        let named = self.named.iter();
        named.filter_map(|path| path.strip_prefix("crate::"))
    }

    fn add(&mut self, parts: &[String]) {
        let own = parts
            .iter()
            .take_while(|part| matches!(part.as_str(), "super" | "self"))
            .count();
        if own == 0 {
            self.named.insert(parts.join("::"));
            return;
        }
        let up = parts[..own].iter().filter(|part| *part == "super").count();
        if self.within.len() <= up {
            self.climbing.insert(parts.join("::"));
            return;
        }
        let mut from_root = vec!["crate".to_owned()];
        from_root.extend_from_slice(&self.within[..self.within.len() - up]);
        from_root.extend_from_slice(&parts[own..]);
        self.named.insert(from_root.join("::"));
    }

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
        self.add(&parts);
    }

    /// Paths among the words of a macro, which nobody parses for us.
    fn tokens(&mut self, mut cursor: Cursor<'_>) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        while !cursor.eof() {
            if let Some((word, next)) = cursor.ident() {
                if colons != 2 {
                    self.end(&mut path);
                }
                path.push(word.to_string());
                (colons, cursor) = (0, next);
            } else if let Some((':', next)) = cursor.punct().map(|(p, next)| (p.as_char(), next)) {
                (colons, cursor) = (colons + 1, next);
            } else {
                self.end(&mut path);
                if let Some((inside, _, _, next)) = cursor.any_group() {
                    self.tokens(inside);
                    cursor = next;
                } else {
                    cursor = cursor.token_tree().expect("not at the end").1;
                }
                colons = 0;
            }
        }
        self.end(&mut path);
    }

    fn end(&mut self, path: &mut Vec<String>) {
        if path.len() > 1 {
            self.add(path);
        }
        path.clear();
    }
}

impl<'ast> Visit<'ast> for Paths {
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.tree(&item.tree, &mut Vec::new());
    }

    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        self.within.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.within.pop();
    }

    fn visit_visibility(&mut self, _: &'ast syn::Visibility) {
        // `pub(super)` says who may see, not what is used.
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let parts = path.segments.iter().map(|part| part.ident.to_string());
        self.add(&parts.collect::<Vec<_>>());
        visit::visit_path(self, path);
    }

    fn visit_meta_list(&mut self, list: &'ast syn::MetaList) {
        self.tokens(TokenBuffer::new2(list.tokens.clone()).begin());
        visit::visit_meta_list(self, list);
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        self.tokens(TokenBuffer::new2(item.tokens.clone()).begin());
        visit::visit_macro(self, item);
    }
}

#[test]
fn each_module_uses_only_what_stands_before_it() {
    let may_use: BTreeMap<&str, &[&str]> = MAY_USE.iter().copied().collect();
    let mut wrong = Vec::new();
    let mut arrows: BTreeSet<(String, String)> = BTreeSet::new();
    for source in sources() {
        let (module, file) = (&source.module, source.file.display());
        let Some(allowed) = may_use.get(module.as_str()) else {
            panic!("{module} is not in the table of modules");
        };
        let paths = Paths::of(&source);
        for path in &paths.climbing {
            wrong.push(format!("{path} climbs out of {module} in {file}"));
        }
        for path in paths.of_ours() {
            let used = path.split("::").next().unwrap();
            let exported = EXPORTED.contains(&used) && !may_use.contains_key(used);
            if used == module || exported {
                continue;
            }
            arrows.insert((module.clone(), used.to_owned()));
            if !allowed.contains(&used) {
                wrong.push(format!("{module} uses crate::{path} in {file}"));
            }
        }
    }
    for (module, allowed) in MAY_USE {
        for used in *allowed {
            if !arrows.contains(&((*module).to_owned(), (*used).to_owned())) {
                wrong.push(format!("{module} may use {used} and does not: out with it"));
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
fn a_library_is_named_only_where_the_table_says() {
    let mut wrong = Vec::new();
    let mut seen: BTreeSet<(&str, &str)> = BTreeSet::new();
    for source in sources() {
        for path in &Paths::of(&source).named {
            for (named, by) in NAMED_BY {
                let under = path.strip_prefix(named);
                if !under.is_some_and(|rest| rest.is_empty() || rest.starts_with("::")) {
                    continue;
                }
                match by.iter().find(|module| **module == source.module) {
                    Some(module) => {
                        seen.insert((named, module));
                    }
                    None => wrong.push(format!("{path} is named in {}", source.file.display())),
                }
            }
        }
    }
    for (named, by) in NAMED_BY {
        for module in by.iter().filter(|module| !seen.contains(&(named, module))) {
            wrong.push(format!(
                "{module} may name {named} and does not: out with it"
            ));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_library_is_in_the_table() {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml");
    let text = fs::read_to_string(manifest).unwrap();
    // Those of every system, and those of some: `[target.….dependencies]`.
    let sections = text.split("\n[").filter(|section| {
        let name = section.lines().next().unwrap_or_default();
        name == "dependencies]" || name.ends_with(".dependencies]")
    });
    let libraries: BTreeSet<String> = sections
        .flat_map(str::lines)
        .filter_map(|line| Some(line.split_once(" = ")?.0.replace('-', "_")))
        .collect();
    let table = NAMED_BY.iter().map(|(named, _)| (*named).to_owned());
    let table: BTreeSet<String> = table.filter(|named| !named.contains("::")).collect();
    assert_eq!(libraries, table);
}

/// Readings come first, then state: no figure of readings sees how a machine stands.
#[test]
fn figures_of_readings_do_not_see_state() {
    for source in sources() {
        if source.module != "figure" {
            continue;
        }
        let file = &source.file;
        let text = fs::read_to_string(file).unwrap();
        let name = file.file_name().unwrap().to_str().unwrap();
        let of_both = ["mod.rs", "catalogue.rs", "describe.rs"].contains(&name);
        let of_both = of_both || source.within.get(1).is_some_and(|part| part == "standing");
        let of_state = text.contains("Compute::State(");
        let sees_state = Paths::of(&source)
            .of_ours()
            .any(|path| path.starts_with("history::") || path.contains("standing"));
        assert!(!sees_state || of_state || of_both, "{}", file.display());
        assert!(
            !(of_state && text.contains("Compute::Readings(")) || of_both,
            "{} has figures of both strata",
            file.display(),
        );
    }
}
