//! Who may use whom: the module order of `src/lib.rs`, held by reading the source.
//!
//! A name counts for the file that defines it, whatever re-exports it comes through, and no files use each other in a
//! circle.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the project's own source"
)]

#[path = "layers/circles.rs"]
mod circles;
#[path = "layers/names.rs"]
mod names;

use circles::Graph;
use names::{Defined, Naming, namings};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

/// Each module with those it may use. A new arrow is a line here, seen in review.
const MAY_USE: &[(&str, &[&str])] = &[
    ("source", &[]),
    ("quantity", &[]),
    ("statistics", &[]),
    ("words", &["quantity"]),
    ("diagnostic", &["words", "source"]),
    ("yaml", &["diagnostic", "source"]),
    ("schema", &["yaml", "diagnostic", "words", "source"]),
    (
        "record",
        &["yaml", "diagnostic", "words", "quantity", "source"],
    ),
    (
        "tree",
        &["record", "schema", "yaml", "diagnostic", "words", "source"],
    ),
    (
        "fleet",
        &["record", "diagnostic", "words", "quantity", "source"],
    ),
    ("procedure", &["record", "quantity", "source"]),
    ("outcome", &["procedure", "source"]),
    ("fact", &["procedure", "words", "quantity"]),
    ("working", &["fact"]),
    (
        "history",
        &["procedure", "fleet", "record", "quantity", "source"],
    ),
    ("wear", &["words", "statistics", "source"]),
    (
        "figure",
        &[
            "wear",
            "history",
            "working",
            "fact",
            "outcome",
            "procedure",
            "fleet",
            "record",
            "diagnostic",
            "quantity",
            "statistics",
            "source",
        ],
    ),
    (
        "rule",
        &[
            "figure",
            "outcome",
            "procedure",
            "record",
            "schema",
            "yaml",
            "diagnostic",
            "words",
            "quantity",
            "source",
        ],
    ),
    (
        "cause",
        &[
            "schema",
            "yaml",
            "diagnostic",
            "words",
            "quantity",
            "source",
        ],
    ),
    (
        "finding",
        &[
            "cause",
            "rule",
            "figure",
            "record",
            "working",
            "fact",
            "outcome",
            "procedure",
            "diagnostic",
            "quantity",
            "source",
        ],
    ),
    (
        "report",
        &[
            "finding",
            "fact",
            "procedure",
            "tree",
            "diagnostic",
            "source",
        ],
    ),
    (
        "assess",
        &[
            "finding",
            "cause",
            "rule",
            "figure",
            "wear",
            "history",
            "working",
            "fact",
            "outcome",
            "procedure",
            "fleet",
            "tree",
            "record",
            "yaml",
            "diagnostic",
            "words",
            "statistics",
            "quantity",
            "source",
        ],
    ),
    (
        "tank_mix",
        &[
            "diagnostic",
            "report",
            "tree",
            "record",
            "quantity",
            "source",
        ],
    ),
    (
        "wording",
        &[
            "tank_mix",
            "assess",
            "report",
            "finding",
            "cause",
            "rule",
            "figure",
            "working",
            "fact",
            "outcome",
            "procedure",
            "diagnostic",
            "words",
            "quantity",
        ],
    ),
    (
        "projection",
        &[
            "procedure",
            "wording",
            "tank_mix",
            "assess",
            "report",
            "finding",
            "cause",
            "rule",
            "figure",
            "tree",
            "diagnostic",
            "words",
            "quantity",
            "source",
        ],
    ),
    (
        "chart",
        &[
            "projection",
            "wording",
            "assess",
            "report",
            "finding",
            "figure",
            "fact",
            "outcome",
            "procedure",
            "fleet",
            "tree",
            "record",
            "diagnostic",
            "words",
            "quantity",
            "source",
        ],
    ),
    (
        "workspace",
        &[
            "projection",
            "assess",
            "report",
            "figure",
            "tree",
            "quantity",
            "source",
        ],
    ),
    (
        "draft",
        &[
            "workspace",
            "wording",
            "assess",
            "report",
            "finding",
            "figure",
            "fact",
            "outcome",
            "fleet",
            "procedure",
            "tree",
            "record",
            "diagnostic",
            "words",
            "quantity",
            "yaml",
            "source",
        ],
    ),
    (
        "render",
        &[
            "chart",
            "draft",
            "wording",
            "tank_mix",
            "report",
            "finding",
            "rule",
            "fact",
            "outcome",
            "procedure",
            "tree",
            "diagnostic",
            "words",
            "quantity",
            "source",
        ],
    ),
    (
        "page",
        &[
            "render",
            "draft",
            "workspace",
            "wording",
            "report",
            "tree",
            "procedure",
            "words",
        ],
    ),
    (
        "cli",
        &[
            "render",
            "draft",
            "workspace",
            "chart",
            "projection",
            "wording",
            "tank_mix",
            "procedure",
            "report",
            "figure",
            "tree",
            "schema",
            "diagnostic",
            "words",
            "quantity",
            "source",
        ],
    ),
];

/// Every library of `Cargo.toml`, and every way to the world outside, with the modules that name it.
const NAMED_BY: &[(&str, &[&str])] = &[
    ("clap", &["cli"]),
    ("clap_complete", &["cli"]),
    ("clap_mangen", &["cli"]),
    ("fast_qr", &["render"]),
    ("granit_parser", &["yaml"]),
    (
        "jiff",
        &[
            "quantity",
            "words",
            "record",
            "fleet",
            "fact",
            "working",
            "history",
            "wear",
            "figure",
            "rule",
            "finding",
            "report",
            "assess",
            "tank_mix",
            "wording",
            "projection",
            "chart",
            "workspace",
            "draft",
            "render",
            "page",
            "cli",
        ],
    ),
    ("jsonschema", &["schema"]),
    ("libm", &["statistics", "cause"]),
    ("miette", &["render"]),
    ("num_bigint", &["quantity", "figure"]),
    ("num_rational", &["quantity"]),
    (
        "num_traits",
        &["quantity", "history", "figure", "rule", "assess"],
    ),
    ("rayon", &["projection", "cli"]),
    ("rustix", &["cli"]),
    ("base64", &["render"]),
    ("serde", &["render", "page"]),
    ("serde_json", &["schema", "render", "page"]),
    ("serde_yaml", &["draft"]),
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

/// What each file of the library names; `main.rs` is a program of its own, which no file can name.
static NAMINGS: LazyLock<Vec<Naming>> = LazyLock::new(|| namings(&sources()));

/// The text of each file, by its path below `src`.
fn sources() -> BTreeMap<String, String> {
    fn walk(folder: &Path, below: &str, found: &mut BTreeMap<String, String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            let name = format!("{below}{name}");
            if path.is_dir() {
                walk(&path, &format!("{name}/"), found);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                found.insert(name, fs::read_to_string(&path).unwrap());
            }
        }
    }
    let mut found = BTreeMap::new();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    walk(&root, "", &mut found);
    found.remove("main.rs");
    found
}

/// The module of the table that a file is of.
fn module(file: &str) -> &str {
    let (first, _) = file.split_once(['/', '.']).unwrap();
    first
}

#[test]
fn each_module_uses_only_what_stands_before_it() {
    let may_use: BTreeMap<&str, &[&str]> = MAY_USE.iter().copied().collect();
    let mut wrong = Vec::new();
    let mut arrows: BTreeSet<(&str, &str)> = BTreeSet::new();
    for naming in NAMINGS.iter().filter(|naming| naming.from != "lib.rs") {
        let Naming {
            from,
            path,
            defined: Defined::In(file),
        } = naming
        else {
            continue;
        };
        let (user, used) = (module(from), module(file));
        let Some(allowed) = may_use.get(user) else {
            panic!("{user} is not in the table of modules");
        };
        if used == user {
            continue;
        }
        arrows.insert((user, used));
        if !allowed.contains(&used) {
            wrong.push(format!("{user} uses {used}: {path} in {from}"));
        }
    }
    for (module, allowed) in MAY_USE {
        for used in allowed
            .iter()
            .filter(|used| !arrows.contains(&(module, used)))
        {
            wrong.push(format!("{module} may use {used} and does not: out with it"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn no_files_use_each_other_in_a_circle() {
    let graph = Graph::of(&NAMINGS);
    let circles = graph.circles();
    let circles: Vec<_> = circles.iter().map(|circle| graph.arrows(circle)).collect();
    assert!(circles.is_empty(), "{circles:#?}");
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
    for Naming { from, defined, .. } in NAMINGS.iter() {
        let Defined::Elsewhere(path) = defined else {
            continue;
        };
        for (named, by) in NAMED_BY {
            let under = path.strip_prefix(named);
            if !under.is_some_and(|rest| rest.is_empty() || rest.starts_with("::")) {
                continue;
            }
            match by.iter().find(|by| **by == module(from)) {
                Some(module) => {
                    seen.insert((named, module));
                }
                None => wrong.push(format!("{path} is named in {from}")),
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

/// Readings come first, then state: no figure of readings, and nothing that such figures share, sees how a machine stands.
#[test]
fn figures_of_readings_do_not_see_state() {
    let sources = sources();
    let folder = |file: &str| file.rsplit_once('/').map(|(folder, _)| folder.to_owned());
    let of = |stratum: &str| -> BTreeSet<&str> {
        let files = sources.iter().filter(|(file, text)| {
            // What is seen of a visit has its records, which know what happened before it; the list has all figures.
            let is_figure = file.matches('/').count() == 2 && !file.starts_with("figure/visit/");
            file.starts_with("figure/") && is_figure && text.contains(stratum)
        });
        files.map(|(file, _)| file.as_str()).collect()
    };
    let (of_readings, of_state) = (of("ReadingsStratum"), of("StateStratum"));
    assert!(
        of_readings.is_disjoint(&of_state),
        "a file has figures of both strata"
    );
    let folders_of_state: BTreeSet<_> = of_state.iter().map(|file| folder(file)).collect();
    let folders_of_readings: BTreeSet<_> = of_readings
        .iter()
        .map(|file| folder(file))
        .filter(|folder| !folders_of_state.contains(folder))
        .collect();
    assert!(folders_of_readings.len() > 4);
    for Naming {
        from,
        defined,
        path,
    } in NAMINGS.iter()
    {
        let Defined::In(used) = defined else { continue };
        let is_of_readings =
            of_readings.contains(from.as_str()) || folders_of_readings.contains(&folder(from));
        let is_state = used.starts_with("history/") || used.starts_with("figure/standing/");
        assert!(!(is_of_readings && is_state), "{from} sees {path}");
    }
}
