//! Lists `rules/`, `causes/`, `schemas/` and the files of a started repository, and writes each as a table of file name and text.
//! The module of the page is embedded where `page/build` has made it, and what it must be made of is counted up.
//!
//! A new rule, schema, or file needs no line anywhere else. Nothing is read here but the names: the compiler
//! embeds the texts, and the tests judge them.
#![expect(
    clippy::disallowed_methods,
    reason = "a build script lists folders and writes the tables"
)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let package = PathBuf::from(variable("CARGO_MANIFEST_DIR"));
    let out = PathBuf::from(variable("OUT_DIR"));
    println!("cargo::rerun-if-changed=build.rs");
    for (folder, extension) in [("rules", "yaml"), ("causes", "yaml"), ("schemas", "json")] {
        println!("cargo::rerun-if-changed={folder}");
        let files = files_in(&package.join(folder), extension)?;
        fs::write(out.join(format!("{folder}.rs")), table(&files))?;
    }
    let repository = package.join("src/cli/start/repository");
    println!("cargo::rerun-if-changed=src/cli/start/repository");
    let mut begun = Vec::new();
    files_below(&repository, "", &mut begun)?;
    begun.sort();
    fs::write(out.join("repository.rs"), table_by_name(&begun))?;
    println!("cargo::rerun-if-changed=fixtures");
    let examples = examples(&package)?;
    fs::write(out.join("examples.rs"), table_by_name(&examples))?;
    println!(
        "cargo::rustc-env=SWATHLINT_SOURCES={}",
        sources(&package, &examples)?
    );
    if env::var_os("CARGO_FEATURE_CLI").is_some() {
        fs::write(out.join("module.rs"), module(&package)?)?;
    }
    Ok(())
}

/// What the module of the page, and what unpacks it, are made of; a change there asks for new ones.
const OF_MODULE: [&str; 9] = [
    "Cargo.lock",
    "Cargo.toml",
    "build.rs",
    "causes",
    "page/module",
    "page/unpacker",
    "rules",
    "schemas",
    "src",
];

/// What of it is in the program alone.
const OF_PROGRAM: [&str; 3] = ["src/cli/", "src/main.rs", "src/render/page/"];

/// A hash over the paths and bytes of what the module is made of. The program and the module each have it, and go together
/// where it is the same.
fn sources(package: &Path, examples: &[(String, PathBuf)]) -> io::Result<String> {
    let mut files = Vec::new();
    for name in OF_MODULE {
        let path = package.join(name);
        if path.is_dir() {
            files_below(&path, &format!("{name}/"), &mut files)?;
        } else if path.exists() {
            files.push((name.to_owned(), path.clone()));
        }
        // Cargo takes what is not there for changed, every time.
        if path.exists() {
            println!("cargo::rerun-if-changed={name}");
        }
    }
    files.retain(|(name, _)| {
        !OF_PROGRAM
            .iter()
            .any(|of_program| name.starts_with(of_program))
    });
    files.extend_from_slice(examples);
    files.sort();
    let mut hash = sha1_smol::Sha1::new();
    for (name, path) in &files {
        let bytes = fs::read(path)?;
        hash.update(format!("{name}\n{}\n", bytes.len()).as_bytes());
        hash.update(&bytes);
    }
    Ok(hash.digest().to_string())
}

/// An `Option` of what the module was made of, and of a `Module`, as `page/build` has left them.
fn module(package: &Path) -> io::Result<String> {
    let built = package.join("page/built");
    if built.exists() {
        println!("cargo::rerun-if-changed=page/built");
    }
    let parts = ["unpacker.wasm", "module.wasm.lzma", "sources.txt"].map(|name| built.join(name));
    if !parts.iter().all(|part| part.is_file()) {
        return Ok("None".to_owned());
    }
    let [unpacker, packed, made_of] = parts;
    Ok(format!(
        "Some(({:?}, Module {{ unpacker: include_bytes!({}), packed: include_bytes!({}) }}))",
        fs::read_to_string(made_of)?.trim(),
        literal(&unpacker),
        literal(&packed)
    ))
}

/// What each rule's smallest faulty record gives, by rule: `fixtures/<rule>/fails.txt`, where there is one.
fn examples(package: &Path) -> io::Result<Vec<(String, PathBuf)>> {
    let rules = files_in(&package.join("rules"), "yaml")?;
    let names = rules.iter().filter_map(|rule| rule.file_stem()?.to_str());
    Ok(names
        .map(|name| {
            let example = package.join("fixtures").join(name).join("fails.txt");
            (name.to_owned(), example)
        })
        .filter(|(_, example)| example.is_file())
        .collect())
}

/// The files of a folder with this extension, sorted by name; none where there is no folder.
fn files_in(folder: &Path, extension: &str) -> io::Result<Vec<PathBuf>> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<io::Result<_>>()?;
    files.retain(|path| path.extension().is_some_and(|found| found == extension));
    files.sort();
    Ok(files)
}

/// Every file below a folder, with its path from there; parts are joined by `/`.
fn files_below(folder: &Path, below: &str, found: &mut Vec<(String, PathBuf)>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if path.is_dir() {
            files_below(&path, &format!("{below}{name}/"), found)?;
        } else {
            found.push((format!("{below}{name}"), path));
        }
    }
    Ok(())
}

/// An array expression of file name and text, to be included as the value of a `&[(&str, &str)]`.
fn table(files: &[PathBuf]) -> String {
    let name = |file: &PathBuf| {
        let name = file.file_name().unwrap_or_default();
        (name.to_string_lossy().into_owned(), file.clone())
    };
    table_by_name(&files.iter().map(name).collect::<Vec<_>>())
}

/// The same, under names of its own.
fn table_by_name(files: &[(String, PathBuf)]) -> String {
    let mut rows = String::from("&[\n");
    for (name, file) in files {
        let name = literal(Path::new(name));
        writeln!(rows, "    ({name}, include_str!({})),", literal(file))
            .expect("writing to a string does not fail");
    }
    rows.push_str("]\n");
    rows
}

fn literal(path: &Path) -> String {
    let text = path
        .to_str()
        .expect("the package stands at a path that is text");
    format!("\"{}\"", text.escape_default())
}

fn variable(name: &str) -> String {
    env::var(name).expect("cargo sets it for build scripts")
}
