//! What the documents show is so: records are written and checked, commands run, tables and listings made.
//!
//! `UPDATE_DOCS=1 cargo test --test fast docs` writes outputs and generated parts anew. The documents are the pages at
//! the root and every page of `docs/`. In them a comment before a block says what holds the block, and a block without
//! one fails:
//!
//! - `file: PATH` writes the block as a file of a scratch folder, a new one for each document;
//! - `in: FOLDER` runs its command there, or in the project for `.`, and shows what it prints;
//! - `shown: PATH` shows a file of the project in full;
//! - `lines of: PATH` shows lines of it that must be there;
//! - `part of: KIND` shows a part of a record, which has the shape of the schema of its kind;
//! - `install: NAME` is run by `tests/install/NAME` or `tests/install/docs`;
//! - `walk-through` shows commands that `.ci/actions` runs, one block after the other;
//! - `shell`, `layout` and `pipeline` show commands, paths of records and modules, each of which must be there.
//!
//! `files of: PATH` stands alone and writes the files of another document into the scratch folder, or a whole folder of
//! `fixtures/`. A command may be given its answers, as in `< readings.txt`. `commands`,
//! `defaults`, `formats`, `options`, `tests` and `voiding` begin a table that is made, up to `end of ...`.

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the documents, writes the records they show, and runs the program"
)]

use pulldown_cmark::{Event, Parser, Tag, TagEnd};
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use swathlint::cause::{FORMS, SLOTS};
use swathlint::diagnostic::Diagnostic;
use swathlint::figure::DEFAULTS;
use swathlint::history::voiding::{Reach, VOIDING};
use swathlint::procedure::Step;
use swathlint::quantity::unit::Unit;
use swathlint::report::{CauseDescription, RuleDescription};
use swathlint::schema::{self, Kind};
use swathlint::source::FileId;
use swathlint::tree::is_record;
use swathlint::yaml;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap()
}

fn is_updating() -> bool {
    std::env::var_os("UPDATE_DOCS").is_some()
}

fn compare(path: &str, now: &str) {
    let committed = fs::read_to_string(root().join(path)).unwrap_or_default();
    if committed == now {
        return;
    }
    assert!(
        is_updating(),
        "{path} is out of date; write it anew with UPDATE_DOCS=1 cargo test --test fast docs\n{now}",
    );
    fs::write(root().join(path), now).unwrap();
}

/// Runs the program as a reader would and gives what it prints, with the exit code.
fn run<'w>(words: impl Iterator<Item = &'w str>, folder: &Path) -> (String, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_swathlint"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("CLICOLOR_FORCE")
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    let code = output.status.code().unwrap();
    (String::from_utf8(output.stdout).unwrap(), code)
}

/// The words of a command line, as a shell takes them: in quotes a space is a part of one.
fn words(command: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    for (at, part) in command.split('\'').enumerate() {
        let mut pieces = part.split(' ').filter(|_| at % 2 == 0);
        let last = words.last_mut().unwrap();
        if at % 2 == 1 {
            last.push_str(part);
        } else {
            last.push_str(pieces.next().unwrap());
            words.extend(pieces.map(str::to_owned));
        }
    }
    words
}

/// Runs a command line as it is shown: `swathlint ...`, perhaps with `| head -n N` or `| tail -n N` behind.
fn output(command: &str, folder: &Path) -> String {
    if let Some((command, typed)) = command.split_once(" < ") {
        return dialogue(command, &folder.join(typed), folder);
    }
    let (command, shown) = command.split_once(" | ").unwrap_or((command, ""));
    let words = words(command);
    let mut words = words.iter().map(String::as_str);
    assert_eq!(words.next(), Some("swathlint"), "{command}");
    let (printed, code) = run(words, folder);
    assert!(code < 2, "{command}: {printed}");
    let lines: Vec<&str> = printed.lines().collect();
    match shown.split_once(" -n ") {
        None => printed,
        Some(("head", first)) => lines[..lines.len().min(first.parse().unwrap())].join("\n"),
        Some(("tail", last)) => {
            let last: usize = last.parse().unwrap();
            lines[lines.len().saturating_sub(last)..].join("\n")
        }
        Some((other, _)) => panic!("{other} is not known behind a command"),
    }
}

/// Runs a command that asks, with the answers of a file, and gives what is asked and what is printed.
fn dialogue(command: &str, typed: &Path, folder: &Path) -> String {
    let mut words = command.split(' ');
    assert_eq!(words.next(), Some("swathlint"), "{command}");
    let output = Command::new(env!("CARGO_BIN_EXE_swathlint"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .stdin(fs::File::open(typed).unwrap())
        .output()
        .unwrap();
    let [asked, printed] =
        [output.stderr, output.stdout].map(|text| String::from_utf8(text).unwrap());
    assert!(output.status.code().unwrap() < 2, "{command}: {asked}");
    asked + &printed
}

/// Every document, the pages of `docs/` among them.
fn documents() -> Vec<String> {
    let pages = |folder: &str| -> Vec<String> {
        let entries = fs::read_dir(root().join(folder)).unwrap();
        let paths = entries.map(|entry| entry.unwrap().path());
        let pages = paths.filter(|path| path.extension().is_some_and(|ending| ending == "md"));
        pages
            .map(|page| format!("{folder}{}", page.file_name().unwrap().to_str().unwrap()))
            .collect()
    };
    let mut documents = [pages(""), pages("docs/")].concat();
    documents.sort();
    documents
}

/// A part of a document.
enum Part<'t> {
    /// A line of text, or a comment that marks the block behind it.
    Line(&'t str),
    /// The files of another document.
    FilesOf(&'t str),
    /// A table that is made.
    Table(&'t str, fn() -> String),
    Block(Block<'t>),
}

/// A block, and the comment that says what holds it: a word and what stands behind the colon.
struct Block<'t> {
    indent: &'t str,
    language: &'t str,
    mark: Option<(&'t str, &'t str)>,
    text: String,
}

/// A table that is made, by its name.
fn table(name: &str) -> Option<fn() -> String> {
    match name {
        "commands" => Some(commands),
        "defaults" => Some(defaults),
        "fields of check" => Some(crate::check_lines::tables),
        "formats" => Some(formats),
        "options" => Some(options),
        "tests" => Some(tests),
        "voiding" => Some(voiding),
        _ => None,
    }
}

fn parts(text: &str) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    let mut mark = None;
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let begun = line.trim_start();
        let indent = &line[..line.len() - begun.len()];
        let said = begun.strip_prefix("<!-- ");
        if let Some(said) = said.and_then(|said| said.strip_suffix(" -->")) {
            if let Some(table) = table(said) {
                let end = format!("<!-- end of {said} -->");
                assert!(lines.by_ref().any(|line| line == end), "no {end}");
                parts.push(Part::Table(said, table));
            } else if let Some(document) = said.strip_prefix("files of: ") {
                parts.push(Part::FilesOf(document));
            } else {
                assert_eq!(mark, None, "a comment marks no block");
                mark = Some(said.split_once(": ").unwrap_or((said, "")));
                parts.push(Part::Line(line));
            }
        } else if let Some(language) = begun.strip_prefix("```") {
            let block = lines.by_ref().take_while(|line| line.trim_start() != "```");
            let block = block.map(|line| line.strip_prefix(indent).unwrap_or(line));
            parts.push(Part::Block(Block {
                indent,
                language,
                mark: mark.take(),
                text: block.collect::<Vec<_>>().join("\n"),
            }));
        } else {
            parts.push(Part::Line(line));
        }
    }
    assert_eq!(mark, None, "a comment marks no block");
    parts
}

/// The blocks of a document.
fn blocks(text: &str) -> impl Iterator<Item = Block<'_>> {
    parts(text).into_iter().filter_map(|part| match part {
        Part::Block(block) => Some(block),
        Part::Line(_) | Part::FilesOf(_) | Part::Table(_, _) => None,
    })
}

/// Writes a block that is a file.
fn write_file(scratch: &Path, path: &str, text: &str) {
    let file = scratch.join(path);
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(file, format!("{text}\n")).unwrap();
}

/// Writes the files that a document shows, and those of the documents it begins with.
fn write_files_of(document: &str, scratch: &Path) {
    if let Some(name) = document.strip_prefix("fixtures/") {
        crate::versioned::copy(&root().join(document), &scratch.join(name));
        return;
    }
    for part in parts(&read(document)) {
        match part {
            Part::FilesOf(document) => write_files_of(document, scratch),
            Part::Block(block) => {
                if let Some(("file", path)) = block.mark {
                    write_file(scratch, path, &block.text);
                }
            }
            Part::Line(_) | Part::Table(_, _) => {}
        }
    }
}

/// A document with its outputs, listings and tables as they are now.
fn made(text: &str) -> String {
    let scratch = tempfile::tempdir().unwrap();
    let mut now = String::new();
    for part in parts(text) {
        match part {
            Part::Line(line) => writeln!(now, "{line}").unwrap(),
            Part::FilesOf(document) => {
                write_files_of(document, scratch.path());
                writeln!(now, "<!-- files of: {document} -->").unwrap();
            }
            Part::Table(name, table) => {
                let table = table();
                write!(now, "<!-- {name} -->\n\n{table}\n<!-- end of {name} -->\n").unwrap();
            }
            Part::Block(block) => {
                let text = held(&block, scratch.path());
                let indent = block.indent;
                writeln!(now, "{indent}```{}", block.language).unwrap();
                for line in text.lines() {
                    let space = if line.is_empty() { "" } else { indent };
                    writeln!(now, "{space}{line}").unwrap();
                }
                writeln!(now, "{indent}```").unwrap();
            }
        }
    }
    now
}

/// The text of a block as it is now; a block that nothing holds is a fault.
fn held(block: &Block<'_>, scratch: &Path) -> String {
    let text = &block.text;
    match (block.language, block.mark) {
        ("yaml" | "text", Some(("file", path))) => write_file(scratch, path, text),
        ("console", Some(("in", folder))) => {
            let folder = match folder {
                "." => root(),
                folder => scratch.join(folder),
            };
            let command = text.lines().next().unwrap().strip_prefix("$ ").unwrap();
            let printed = output(command, &folder);
            return format!("$ {command}\n{}", printed.trim_end());
        }
        (_, Some(("shown", path))) => return read(path).trim_end().to_owned(),
        (_, Some(("lines of", path))) => {
            let file = read(path);
            for line in text.lines().filter(|line| *line != "…") {
                assert!(file.lines().any(|own| own == line), "{path} has no {line}");
            }
        }
        ("yaml", Some(("part of", kind))) => {
            let record = format!("record: {kind}\n{text}");
            assert_eq!(faults(&record), Some(Vec::new()), "{record}");
        }
        (_, Some(("install", name))) => assert_installs(name),
        ("sh", Some(("walk-through", ""))) => {
            assert!(read(".ci/actions").contains("<!-- walk-through -->"));
        }
        ("sh", Some(("shell", ""))) => text.lines().for_each(assert_command),
        ("text", Some(("layout", ""))) => assert_layout(text),
        ("text", Some(("pipeline", ""))) => assert_modules(text),
        (_, mark) => panic!("a block is held by nothing, {mark:?}:\n{text}"),
    }
    text.clone()
}

/// The faults of a record against the schema of its kind; none where the text is not a record.
fn faults(record: &str) -> Option<Vec<Diagnostic>> {
    let parsed = yaml::parse(FileId(0), record);
    let root = parsed.tree.root()?;
    let kind = schema::kind_of(FileId(0), root).ok()?;
    Some(schema::check(kind, FileId(0), root))
}

/// The program takes a command that is shown; the two commands of cargo are run elsewhere.
fn assert_command(line: &str) {
    let command = line.trim_start_matches("exec ");
    let own = command.trim_start_matches("cargo run --release -- ");
    let words = match own.strip_prefix("swathlint ") {
        Some(words) => words,
        None if own != command => own,
        None => return assert!(["#!/bin/sh", "cargo test"].contains(&line), "{line}"),
    };
    // Within single quotes a space is a part of a word.
    let quoted = |(at, part): (usize, &str)| match at % 2 {
        0 => part.split_whitespace().map(str::to_owned).collect(),
        _ => vec![part.to_owned()],
    };
    let words = words.split('\'').enumerate().flat_map(quoted);
    let words = ["swathlint".to_owned()].into_iter().chain(words);
    let taken = swathlint::cli::command().try_get_matches_from(words);
    assert!(taken.is_ok(), "{line}: {taken:?}");
}

/// A step of the gate runs the block as it is shown.
fn assert_installs(name: &str) {
    let own = root().join("tests/install").join(name);
    let script = fs::read_to_string(own).unwrap_or_else(|_| read("tests/install/docs"));
    assert!(script.contains(&format!("block {name}")), "{name}");
}

/// A layout has a path for each kind of record.
fn assert_layout(layout: &str) {
    let paths = layout.lines().map(|line| line.split(' ').next().unwrap());
    let paths: BTreeSet<&str> = paths.collect();
    let is_record = |path: &&str| is_record(&path.replace('*', "name"));
    assert!(paths.iter().all(is_record), "{paths:?}");
    assert_eq!(paths.len(), Kind::ALL.len(), "{paths:?}");
}

/// What is drawn with a `::` behind it is a module of the library.
fn assert_modules(drawing: &str) {
    let modules = modules();
    for (at, _) in drawing.match_indices("::") {
        let name = drawing[..at]
            .rsplit(|c: char| !c.is_alphanumeric())
            .next()
            .unwrap();
        assert!(modules.iter().any(|module| module == name), "{name}");
    }
}

/// The modules of the library, in their order.
fn modules() -> Vec<String> {
    let lib = read("src/lib.rs");
    lib.lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect()
}

/// The commands with what each does, in their order.
fn commands() -> String {
    let mut table = String::from("| command | what it does |\n|---|---|\n");
    for command in swathlint::cli::command().get_subcommands() {
        let what = command.get_about().unwrap();
        writeln!(table, "| `swathlint {}` | {what} |", command.get_name()).unwrap();
    }
    table
}

/// The options of every command that has more than `--help`, from the help the program prints.
fn options() -> String {
    let mut table = String::from("| command | option | what it does |\n|---|---|---|\n");
    for command in swathlint::cli::command().get_subcommands() {
        let name = command.get_name();
        let help = output(&format!("swathlint {name} -h"), &root());
        let options = help.split("Options:\n").nth(1).unwrap();
        let mut rows: Vec<String> = Vec::new();
        for line in options.lines().take_while(|line| !line.is_empty()) {
            // Words of an option that are continued stand under its words, far to the right.
            if line.starts_with("          ") {
                let row = rows.last_mut().unwrap();
                row.push(' ');
                row.push_str(line.trim());
            } else {
                rows.push(line.trim().to_owned());
            }
        }
        for row in rows.iter().filter(|row| !row.starts_with("-h, ")) {
            let (option, what) = row.split_once("  ").unwrap();
            let what = what.trim().replace('|', "\\|");
            writeln!(table, "| `{name}` | `{}` | {what} |", option.trim()).unwrap();
        }
    }
    table
}

/// Every format of every command that has some.
fn formats() -> String {
    let mut table = String::from("| command | format | is |\n|---|---|---|\n");
    for command in swathlint::cli::command().get_subcommands() {
        let options = command.get_arguments();
        for option in options.filter(|option| option.get_long() == Some("format")) {
            for format in option.get_possible_values() {
                let is = format.get_help().unwrap().to_string().replace('|', "\\|");
                let (command, format) = (command.get_name(), format.get_name());
                writeln!(table, "| `{command}` | `{format}` | {is} |").unwrap();
            }
        }
    }
    table
}

/// What is assumed where nothing is declared, from the program's own table.
fn defaults() -> String {
    let mut table = String::from(
        "| reading | assumed, if nothing is declared | declare | source |\n|---|---|---|---|\n",
    );
    for default in DEFAULTS {
        let (of, declare, source) = (default.of, default.declare, default.source);
        let number = (1000.0 * default.size / default.unit).round() / 1000.0;
        let assumed = default.words.replace("{}", &number.to_string());
        writeln!(table, "| {of} | {assumed} | {declare} | {source} |").unwrap();
    }
    table
}

/// A default that is in no table, or in the table and not taken, would make the page a lie.
#[test]
fn every_uncertainty_of_a_reading_is_a_default_of_the_table() {
    let mut readings = String::new();
    for folder in ["src/figure/visit", "src/figure/standing"] {
        for file in fs::read_dir(root().join(folder)).unwrap() {
            let name = file.unwrap().file_name().into_string().unwrap();
            if name != "assumed.rs" {
                let text = read(&format!("{folder}/{name}"));
                let code = text
                    .lines()
                    .filter(|line| !line.trim_start().starts_with("//"));
                readings.extend(code.map(|line| format!("{line}\n")));
            }
        }
    }
    let taken = readings.split("assumed::").skip(1);
    let taken: BTreeSet<&str> = taken
        .filter_map(|rest| {
            rest.split(|c: char| !c.is_ascii_uppercase() && c != '_')
                .next()
        })
        .filter(|name| !name.is_empty())
        .collect();
    let told: BTreeSet<&str> = DEFAULTS.iter().map(|default| default.name).collect();
    assert_eq!(
        taken, told,
        "taken where readings are made, and told in the table"
    );
    // No uncertainty stands anywhere else: these are what other fractions there are.
    let others = [
        "0.0",
        "2.0",
        "4.0",
        "100.0",
        "3_600.0",
        "1.732_050_807_568_877_2",
        "8.34", // pounds of water in a gallon, in src/figure/standing/density.rs
        // Classes I and III of tapes, which are declared.
        "0.0001",
        "0.0006",
        "0.0004",
    ];
    for word in readings.split(|c: char| !c.is_alphanumeric() && c != '.' && c != '_') {
        let is_fraction = word
            .chars()
            .all(|c| c.is_ascii_digit() || c == '.' || c == '_')
            && word.split('.').count() == 2
            && !word.starts_with('.')
            && !word.ends_with('.');
        assert!(
            !is_fraction || others.contains(&word),
            "{word} is no default of src/figure/visit/assumed.rs"
        );
    }
}

/// Which work undoes which step, from the program's own table.
fn voiding() -> String {
    let mut table = String::from("| work | does what to which step | since |\n|---|---|---|\n");
    for row in VOIDING {
        let of = match row.reach {
            Reach::Nozzles => " of the setup, at the nozzles fitted",
            Reach::Setup => " of the setup",
            Reach::Machine if matches!(row.step, Step::Catch | Step::Balance) => " of every setup",
            Reach::Machine => "",
        };
        let when = row.when.words();
        let space = if when.is_empty() { "" } else { " " };
        writeln!(
            table,
            "| `{}`{space}{when} | {} the {}{of} | {} |",
            row.work,
            row.effect.words(),
            row.step.test(),
            row.because,
        )
        .unwrap();
    }
    table
}

/// The files of tests, each with what it says it holds.
fn tests() -> String {
    let mut table = String::from("| file | holds |\n|---|---|\n");
    for program in ["fast", "slow"] {
        let folder = format!("tests/{program}");
        let entries = fs::read_dir(root().join(&folder)).unwrap();
        let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let modules: BTreeSet<String> = names
            .filter_map(|name| Some(name.strip_suffix(".rs")?.to_owned()))
            .filter(|module| module != "main")
            .collect();
        for module in modules {
            let path = format!("{folder}/{module}.rs");
            let text = read(&path);
            let said: Vec<&str> = text
                .lines()
                .map_while(|line| line.strip_prefix("//! "))
                .collect();
            let said = said.join(" ").trim_end_matches('.').replace('|', "\\|");
            writeln!(table, "| `{path}` | {said} |").unwrap();
        }
    }
    table
}

#[test]
fn every_document_is_so() {
    for document in documents() {
        compare(&document, &made(&read(&document)));
    }
}

/// Every block a reader sees, by an independent reader of Markdown, is one that is held.
#[test]
fn no_block_is_passed_over() {
    let mut seen = 0;
    for document in documents() {
        let text = read(&document);
        let begins = |event: &Event<'_>| matches!(event, Event::Start(Tag::CodeBlock(_)));
        let shown = Parser::new(&text).filter(begins).count();
        assert_eq!(blocks(&text).count(), shown, "{document}");
        seen += shown;
    }
    assert!(seen > 30, "only {seen} blocks were seen");
}

#[test]
#[should_panic(expected = "a block is held by nothing")]
fn a_block_without_a_mark_fails() {
    made("Text.\n\n```sh\nswathlint check\n```\n");
}

#[test]
#[should_panic(expected = "a block is held by nothing")]
fn a_block_without_a_language_fails() {
    made("<!-- shell -->\n```\nswathlint check\n```\n");
}

#[test]
#[should_panic(expected = "a comment marks no block")]
fn a_mark_without_a_block_fails() {
    made("<!-- shell -->\n\nText.\n");
}

/// The README is read in one go, and leads to every page of `docs/`, each of which says whom it is for.
#[test]
fn the_readme_is_short_and_leads_to_every_page() {
    let readme = read("README.md");
    let lines = readme.lines().count();
    assert!(lines <= 160, "{lines} lines");
    for page in documents().iter().filter(|path| path.starts_with("docs/")) {
        assert!(readme.contains(&format!("({page})")), "{page}");
        let first = read(page).lines().nth(2).unwrap().to_owned();
        assert!(first.starts_with("For whoever "), "{page}: {first}");
    }
}

/// The two commands for a fresh machine: the first ends with findings, the second is the gate's.
#[test]
fn the_readme_begins_with_two_commands_that_work() {
    let readme = read("README.md");
    let mut blocks = blocks(&readme).map(|block| block.text);
    let mut next = || blocks.next().unwrap();
    let first = next();
    let check = first.strip_prefix("cargo run --release -- ").unwrap();
    let (printed, code) = run(check.split(' '), &root());
    assert_eq!(code, 1, "{printed}");
    let test = next();
    assert_eq!(test, "cargo test");
    let gate = read(".ci/run");
    assert!(gate.lines().any(|line| line.trim() == test));
}

/// Programs of tests, and files of them, in the commands that documents show.
#[test]
fn commands_of_tests_name_what_is_there() {
    let mut seen = 0;
    for document in [
        "README.md",
        "DEVELOPERS.md",
        "rules/README.md",
        "schemas/README.md",
    ] {
        let text = read(document);
        for command in text.split(" --test ").skip(1) {
            let command = command.split(['`', '\n']).next().unwrap();
            let command = command.split(" -- ").next().unwrap();
            let path = match command.split_once(' ') {
                Some((program, module)) => format!("tests/{program}/{module}.rs"),
                None => format!("tests/{command}/main.rs"),
            };
            assert!(root().join(&path).exists(), "{document}: {path}");
            seen += 1;
        }
    }
    assert!(seen > 5, "only {seen} were seen");
}

/// The modules in the guide are those of the library, in their order.
#[test]
fn the_guide_names_every_module() {
    let guide = read("DEVELOPERS.md");
    let map = guide.split("\n## Code map").nth(1).unwrap();
    let rows = map.lines().skip_while(|line| !line.starts_with("|---"));
    let named: Vec<&str> = rows
        .skip(1)
        .take_while(|line| line.starts_with('|'))
        .map(|row| row.split('`').nth(1).unwrap())
        .collect();
    assert_eq!(named, modules());
}

/// The name of each heading of a page in a link, as hosting services make it.
fn anchors(page: &str) -> BTreeSet<String> {
    let mut anchors = BTreeSet::new();
    let mut heading: Option<String> = None;
    for event in Parser::new(page) {
        if let Event::Start(Tag::Heading { .. }) = event {
            heading = Some(String::new());
        } else if let Event::End(TagEnd::Heading(_)) = event {
            let words = heading.take().unwrap().to_lowercase().replace(' ', "-");
            let is_kept = |c: &char| c.is_alphanumeric() || ['-', '_'].contains(c);
            anchors.insert(words.chars().filter(is_kept).collect());
        } else if let (Some(heading), Event::Text(text) | Event::Code(text)) = (&mut heading, event)
        {
            heading.push_str(&text);
        }
    }
    anchors
}

/// Links lead to a file and a heading that are there, in every page and between all of them.
#[test]
fn links_lead_somewhere() {
    let mut seen = 0;
    let pages = ["rules/README.md", "schemas/README.md", "fixtures/README.md"];
    for page in documents().into_iter().chain(pages.map(str::to_owned)) {
        let text = read(&page);
        for event in Parser::new(&text) {
            let Event::Start(Tag::Link { dest_url: link, .. }) = event else {
                continue;
            };
            let (path, heading) = link.split_once('#').unwrap_or((&link, ""));
            let target = match path {
                "" => root().join(&page),
                path => root().join(&page).parent().unwrap().join(path),
            };
            assert!(target.exists(), "{page}: {link}");
            if !heading.is_empty() {
                let target = fs::read_to_string(target).unwrap();
                assert!(anchors(&target).contains(heading), "{page}: {link}");
            }
            seen += 1;
        }
    }
    assert!(seen > 80, "only {seen} links were seen");
}

/// Paths in backticks lead to something, but for those of a user's own records and of what is yet to be made.
#[test]
fn paths_in_the_documents_lead_somewhere() {
    let mut seen = 0;
    for document in documents() {
        let text = read(&document);
        for code in text.split('`').skip(1).step_by(2) {
            let code = code.split(' ').next().unwrap();
            let ours = [
                "src/",
                "tests/",
                "rules/",
                "schemas/",
                "fixtures/",
                ".ci/",
                "docs/",
            ];
            if ours.iter().any(|ours| code.starts_with(ours)) && !code.contains(['<', '*', '…']) {
                assert!(root().join(code).exists(), "{document}: {code}");
                seen += 1;
            }
        }
    }
    assert!(seen > 10, "only {seen} were seen");
}

/// Calls that reach outside, and the files that may have them.
const REACHES: [(&[&str], &[&str]); 5] = [
    (&["Command::new("], &["src/cli/git/command.rs"]),
    (
        &["File::open", "fs::read(", "fs::read_to_string(", "openat"],
        &["src/cli/beneath.rs", "src/cli/git/repository.rs"],
    ),
    (
        &[
            "fs::write(",
            "fs::copy(",
            "fs::rename(",
            "fs::remove_",
            "fs::create_dir",
            "File::create",
            "OpenOptions",
        ],
        &[
            "src/cli/also_write.rs",
            "src/cli/record_file.rs",
            "src/cli/start/written.rs",
        ],
    ),
    // What is written goes through three files, all of which take nothing but harmless text; `contents.rs` writes to
    // git, `progress.rs` nothing but numbers.
    (
        &["write_all(", "io::copy(", ".print()"],
        &[
            "src/cli/also_write.rs",
            "src/cli/start/written.rs",
            "src/cli/git/contents.rs",
            "src/cli/output.rs",
            "src/cli/progress.rs",
        ],
    ),
    (
        &["env::var", "env::home_dir"],
        &[
            "src/cli/git/command.rs",
            "src/cli/git/repository.rs",
            "src/cli/root.rs",
            "src/cli/screen.rs",
        ],
    ),
];

/// The path of every source file, and its text without its tests.
fn programs() -> Vec<(String, String)> {
    let mut found = Vec::new();
    for entry in walkdir::WalkDir::new(root().join("src")) {
        let entry = entry.unwrap();
        if entry
            .path()
            .extension()
            .is_some_and(|ending| ending == "rs")
        {
            let below = entry.path().strip_prefix(root()).unwrap();
            let path = below.to_str().unwrap().replace('\\', "/");
            let text = read(&path);
            let program = text.split("\n#[cfg(test)]\nmod tests").next().unwrap();
            found.push((path, program.to_owned()));
        }
    }
    found
}

/// What `SECURITY.md` says the program runs, reads, writes and takes from the environment is all there is in its source.
#[test]
fn nothing_but_what_the_policy_names_reaches_outside() {
    let programs = programs();
    for (calls, files) in REACHES {
        let calling = programs
            .iter()
            .filter(|(_, program)| calls.iter().any(|call| program.contains(call)));
        let calling: BTreeSet<&str> = calling.map(|(path, _)| path.as_str()).collect();
        assert_eq!(calling, files.iter().copied().collect(), "{calls:?}");
    }
}

/// The variables of the environment that are read are those that `SECURITY.md` names, and no others.
#[test]
fn the_policy_names_every_variable_that_is_read() {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut take = |rest: &str| {
        taken.insert(rest.split('"').next().unwrap().to_owned());
    };
    for (path, program) in programs() {
        if program.contains("env::home_dir(") {
            take("HOME");
        }
        let calls = ["env::var(", "env::var_os("];
        for rest in calls.iter().flat_map(|call| program.split(call).skip(1)) {
            match rest.strip_prefix('"') {
                Some(name) => take(name),
                None => assert_eq!(path, "src/cli/screen.rs", "which variable? {rest}"),
            }
        }
        if path == "src/cli/screen.rs" {
            program.split("set(\"").skip(1).for_each(&mut take);
        }
    }
    let policy = read("SECURITY.md");
    let row = policy.split("| environment | ").nth(1).unwrap();
    let row = row.lines().next().unwrap();
    let named = row.split('`').skip(1).step_by(2);
    let named: BTreeSet<String> = named
        .filter(|name| name.bytes().all(|b| b.is_ascii_uppercase() || b == b'_'))
        .map(str::to_owned)
        .collect();
    assert_eq!(taken, named);
}

/// Where the workflows are that `swathlint start` writes.
const READY: &str = "src/cli/start/repository/.github/workflows";

/// What a job of a workflow may do beyond nothing: no job but these, and none of these another thing.
const PERMISSIONS: [(&str, &str, &str); 3] = [
    ("due.yml", "due", r#"{"contents":"read","issues":"write"}"#),
    (
        "release.yml",
        "attest",
        r#"{"id-token":"write","attestations":"write"}"#,
    ),
    ("release.yml", "publish", r#"{"contents":"write"}"#),
];

/// The workflows that users get, and ours: each with its name, its text, and whether it is for users.
fn workflows() -> Vec<(String, String, bool)> {
    let mut found = Vec::new();
    for (folder, is_for_users) in [(READY, true), (".github/workflows", false)] {
        for entry in fs::read_dir(root().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            found.push((name, fs::read_to_string(path).unwrap(), is_for_users));
        }
    }
    found
}

/// No workflow gives a change more than it needs: what `SECURITY.md` tells users to do, ours and those for users do.
#[test]
fn workflows_are_as_the_policy_says() {
    let found = workflows();
    assert!(found.len() > 2, "only {} were seen", found.len());
    for (name, text, is_for_users) in found {
        for never in [
            "pull_request_target",
            "continue-on-error",
            "|| true",
            "-latest",
        ] {
            assert!(!text.contains(never), "{name} has {never}");
        }
        let lines: Vec<&str> = text.lines().collect();
        let at = lines.iter().position(|line| *line == "permissions: {}");
        let at = at.unwrap_or_else(|| panic!("{name} says not that it needs no permission"));
        assert!(lines[at - 1].starts_with("# "), "{name} says not why");
        let workflow: Value = serde_yaml::from_str(&text).unwrap();
        assert!(workflow["concurrency"].is_object(), "{name}");
        for (job, parts) in workflow["jobs"].as_object().unwrap() {
            assert!(parts["name"].is_string(), "{name}, {job}: no name");
            assert!(parts["timeout-minutes"].is_u64(), "{name}, {job}: no limit");
            let permissions = parts.get("permissions").map(Value::to_string);
            let allowed = PERMISSIONS
                .iter()
                .find(|(file, of, _)| *file == name && of == job);
            let allowed = allowed.map(|(_, _, permissions)| *permissions);
            assert_eq!(permissions.as_deref(), allowed, "{name}, {job}");
            if name == "release.yml" && allowed.is_some() {
                // Only whoever may push a tag starts it, and nothing of the project runs in it.
                assert_eq!(
                    workflow["on"],
                    serde_json::json!({"push": {"tags": ["v*"]}})
                );
                assert!(!parts.to_string().contains("git fetch"), "{name}, {job}");
            }
            for step in parts["steps"].as_array().unwrap() {
                assert_step(&name, step);
                if is_for_users {
                    let action = step["uses"].as_str().unwrap();
                    assert!(action.starts_with("OWNER/swathlint"), "{name}: {action}");
                    let sum = step["with"]["sha256"].as_str().unwrap();
                    assert_eq!(sum.len(), 64, "{name}: {sum}");
                }
            }
        }
    }
}

/// The page of installing names the version and the oldest toolchain that the package does.
#[test]
fn the_page_of_installing_is_of_this_version() {
    let (page, package) = (read("docs/install.md"), read("Cargo.toml"));
    let field = |name: &str| {
        let line = package.lines().find_map(|line| line.strip_prefix(name));
        line.unwrap().trim_matches([' ', '=', '"']).to_owned()
    };
    let version = field("version");
    for file in page.split("swathlint-").skip(1) {
        if file.starts_with(|c: char| c.is_ascii_digit()) {
            assert!(file.starts_with(&version), "{file}");
        }
    }
    assert!(page.contains(&format!("rev: v{version}\n")));
    assert!(page.contains(&format!("needs Rust {} or later", field("rust-version"))));
    let builder = read("wheel/wheels.py");
    let workflow = read(".github/workflows/release.yml");
    for target in page.split(&format!("`swathlint-{version}-")).skip(1) {
        let target = target.split(['.', '`']).next().unwrap();
        if !target.starts_with("py3-") {
            assert!(builder.contains(&format!("\"{target}\": ")), "{target}");
            assert_eq!(
                workflow.matches(&format!("{{target: {target}, ")).count(),
                2
            );
        }
    }
}

/// A step pastes nothing into its script, and names what it takes over by its full hash.
fn assert_step(name: &str, step: &Value) {
    // What a change can name, such as a branch, would be pasted into the script.
    let script = step["run"].as_str().unwrap_or_default();
    assert!(!script.contains("${{"), "{name}: {script}");
    if let Some(action) = step["uses"].as_str() {
        let pin = action.split_once('@').unwrap().1;
        let is_hash = pin.len() == 40 && pin.bytes().all(|b| b.is_ascii_hexdigit());
        assert!(is_hash, "{name}: {action}");
    }
}

/// The actions install the program before anything of a change is there, use nobody else's, and paste in no input.
#[test]
fn the_actions_install_before_they_check_out() {
    for (path, last) in [("action.yml", "check"), ("nightly/action.yml", "nightly")] {
        let action: Value = serde_yaml::from_str(&read(path)).unwrap();
        let mut scripts = Vec::new();
        for step in action["runs"]["steps"].as_array().unwrap() {
            assert!(step.get("uses").is_none(), "{path}: {step}");
            assert_step(path, step);
            scripts.push(step["run"].as_str().unwrap().rsplit('/').next().unwrap());
        }
        let own = |script: &str| script.trim_end_matches('"').to_owned();
        let scripts: Vec<String> = scripts.into_iter().map(own).collect();
        assert_eq!(scripts, ["install", "checkout", last], "{path}");
    }
}

/// The page names every input of the action.
#[test]
fn the_page_names_every_input_of_the_action() {
    let action: Value = serde_yaml::from_str(&read("action.yml")).unwrap();
    let page = read("docs/ci.md");
    for input in action["inputs"].as_object().unwrap().keys() {
        let row = page.lines().find(|line| {
            line.starts_with('|')
                && line
                    .split('|')
                    .nth(1)
                    .unwrap()
                    .contains(&format!("`{input}`"))
        });
        assert!(row.is_some(), "{input}");
    }
}

/// Every step of the gate is run by our workflow, and the policy names those that prove it.
#[test]
fn the_workflow_runs_every_step_of_the_gate() {
    let gate = read(".ci/run");
    let listed = |text: &str, before: &str, after: &str, by: &str| -> Vec<String> {
        let list = text
            .split(before)
            .nth(1)
            .unwrap()
            .split(after)
            .next()
            .unwrap();
        list.split(by).map(str::to_owned).collect()
    };
    let steps: BTreeSet<String> = listed(&gate, "steps=(", ")", " ").into_iter().collect();
    let workflow = read(".github/workflows/ci.yml");
    let run = listed(&workflow, "step: [", "]", ", ").into_iter();
    assert!(workflow.contains("bash .ci/run tests\n"));
    let run: BTreeSet<String> = run.chain(["tests".to_owned()]).collect();
    assert_eq!(run, steps);
    for step in &steps {
        assert!(gate.contains(&format!("\n{step}() {{\n")), "{step}");
    }
    let toolchain = |text: &str| listed(text, "TOOLCHAIN: \"", "\"", " ");
    assert_eq!(
        toolchain(&workflow),
        toolchain(&read(".github/workflows/release.yml"))
    );
    let policy = read("SECURITY.md");
    for proof in ["`.ci/run attacks`", "`.ci/release --verify`"] {
        assert!(policy.contains(proof), "{proof}");
    }
    assert!(gate.contains("bash .ci/release --verify\n"));
}

/// The page of all rules, from what the program says of them.
#[test]
fn the_page_of_rules_is_so() {
    let read = |_: &str| Err("nothing is read".to_owned());
    let rules = swathlint::describe_rules(None, &read, "2026-06-01".parse().unwrap()).rules;
    let mut page = String::from(
        "# The rules\n\nGenerated from the rule files beside this page; `UPDATE_DOCS=1 cargo test --test fast docs` writes it anew.\n\
         Limits are those built in; a group sets its own in its fleet file, and `swathlint rules` shows those in force.\n\n\
         | rule | what it finds | limits |\n|---|---|---|\n",
    );
    for rule in &rules {
        let limits: Vec<String> = rule
            .limits
            .iter()
            .map(|l| format!("{} {}", l.grade, l.limit))
            .collect();
        writeln!(
            page,
            "| [{0}](#{0}) | {1} | {2} |",
            rule.id,
            rule.title,
            limits.join("; ")
        )
        .unwrap();
    }
    for rule in &rules {
        page.push_str(&section(rule));
    }
    compare("rules/README.md", &page);
}

fn section(rule: &RuleDescription) -> String {
    let list = |lines: &[String]| -> String {
        lines
            .iter()
            .fold(String::new(), |all, line| all + "\n  - " + &plain(line))
    };
    let limits: Vec<String> = rule
        .limits
        .iter()
        .map(|l| format!("{}: {}", l.grade, l.limit))
        .collect();
    let mut section = format!(
        "\n## {}\n\n{}.\n{}\n\n- judges: `{}`, {}\n- formula: {}\n- for: {}\n- limits:{}\n- decision: {}\n",
        rule.id,
        rule.title,
        rule.why,
        rule.figure,
        rule.figure_title,
        plain(&rule.formula),
        rule.family,
        list(&limits),
        rule.decision,
    );
    if !rule.applies.is_empty() {
        writeln!(section, "- applies:{}", list(&rule.applies)).unwrap();
    }
    if !rule.follows.is_empty() {
        writeln!(section, "- explained by:{}", list(&rule.follows)).unwrap();
    }
    writeln!(section, "- what to do:{}", list(&rule.remedies)).unwrap();
    writeln!(section, "- sources:{}", list(&rule.sources)).unwrap();
    section
}

/// The page of all causes, from what the program says of them.
#[test]
fn the_page_of_causes_is_so() {
    let read = |_: &str| Err("nothing is read".to_owned());
    let today = "2026-06-01".parse().unwrap();
    let causes = swathlint::describe_rules(None, &read, today).causes;
    let mut page = String::from(CAUSES_HEAD);
    for cause in &causes {
        let id = &cause.id;
        writeln!(
            page,
            "| [{id}](#{id}) | {} | {} |",
            cause.title, cause.about
        )
        .unwrap();
    }
    page.push_str(OWN_CAUSE);
    page.push_str("\n| kind of mend | what it does | keys | slots |\n|---|---|---|---|\n");
    for form in &FORMS {
        let needs = form.needs.iter().map(|key| format!("**`{key}`**"));
        let may = form.may.iter().map(|key| format!("`{key}`"));
        let keys: Vec<String> = needs.chain(may).collect();
        let slots: Vec<String> = form.slots.iter().map(|slot| format!("`{slot}`")).collect();
        let (keys, slots) = (keys.join(", "), slots.join(", "));
        writeln!(
            page,
            "| `{}` | {} | {keys} | {slots} |",
            form.word, form.does
        )
        .unwrap();
    }
    page.push_str("\n| slot | is filled with |\n|---|---|\n");
    for (slot, what) in SLOTS {
        writeln!(page, "| `{{{slot}}}` | {what} |").unwrap();
    }
    for cause in &causes {
        page.push_str(&cause_section(cause));
    }
    compare("docs/causes.md", &page);
}

const CAUSES_HEAD: &str = "\
# Causes

For whoever wants to know why a visit is off, and what to do next.

Generated from the files in `causes/`; `UPDATE_DOCS=1 cargo test --test fast docs` writes it anew.
A rule says what is over a limit; a cause says why.
A cause names a *mend*: what would be different if one thing were put right, such as the time of a catch.
swathlint tries every mend and compares how likely the readings are with it.
A cause from a share of 0.9 on is reported; from 0.5 on, the two likeliest are named with the reading that tells them apart.
The *prior* is how likely a mend is before any reading; its *effect* is how far off the value usually is, as the standard deviation of the logarithm of a ratio.
`swathlint causes` lists them in the terminal, those of your group among them, and `swathlint causes NAME` shows one.

| cause | what it is | about |
|---|---|---|
";

const OWN_CAUSE: &str = "
## Write your own cause

Put your own causes in `house-causes/`, one file a cause, named `<id>.yaml`.
A cause with the name of a built-in cause replaces it.
Two files with one id are an error, and neither is used; no cause has the name of a rule.
A cause with a fault is a finding in its own file, and is not used.
A cause that is reported hides what it explains, so [`--compared-with`](ci.md#what-weakens-a-check) lists each that is new, changed, or gone.
`told: never` is for what only competes with the other causes.
`gives-way-to` names causes that are more specific: where both make the same record, those are reported.

<!-- file: group/house-causes/clamp-loose.yaml -->
```yaml
record: cause
id: clamp-loose
since: 0.1.0
told: always
mends:
  - {kind: scale-nozzles, part: nozzle, prior: 0.02, effect: 0.08, way: less}
gives-way-to: [tip-plugged]
about: machine
title: A hose clamp is loose
message: \"{place}: output is {off} under the other tips, as from a loose clamp\"
next:
  - look for drips at the clamp
  - stop the engine and release the pressure before you touch the clamp. Wear gloves
  - tighten the clamp
told-apart:
  tip-worn: look for drips at the clamp
why: Decided by the group on 2026-01-10.
sources:
  - {title: group decision of 2026-01-10, mark: our choice}
```

A text may have a slot only if each mend of its cause fills it. Keys in **bold** must be there, and so must `kind` and `prior`.
";

fn cause_section(cause: &CauseDescription) -> String {
    let list = |lines: &[String]| -> String {
        lines
            .iter()
            .fold(String::new(), |all, line| all + "\n  - " + &plain(line))
    };
    let CauseDescription {
        id,
        title,
        is_told: _,
        about,
        message,
        mends,
        gives_way_to,
        remedies,
        told_apart,
        why,
        sources,
    } = cause;
    let mut section = format!("\n## {id}\n\n{title}.\n{why}\n\n- about: {about}\n");
    if !message.is_empty() {
        writeln!(section, "- says: {}", plain(message)).unwrap();
    }
    for (caption, lines) in [
        ("what to do", remedies),
        ("told from", told_apart),
        ("gives way to", gives_way_to),
        ("mends", mends),
        ("sources", sources),
    ] {
        if !lines.is_empty() {
            writeln!(section, "- {caption}:{}", list(lines)).unwrap();
        }
    }
    section
}

/// Text of a rule in Markdown: what could be taken for markup is not.
fn plain(text: &str) -> String {
    text.replace('<', "&lt;")
        .replace('*', "\\*")
        .replace('_', "\\_")
}

/// The page of all fields and units, from the schemas and the table of units.
#[test]
fn the_page_of_fields_is_so() {
    let mut page = String::from(
        "# The fields of every record\n\nGenerated from the schemas beside this page; `UPDATE_DOCS=1 cargo test --test fast docs` writes it anew.\n\
         `NAME` stands for a name of your own, `[]` for each item of a list; **bold** fields must be there.\n\
         A value of a calibration may be left empty until it is read, but not which record it is and what was amended: \
         [docs/records.md](../docs/records.md#begin-a-record-and-fill-it-in-later).\n\
         The lines of `check --format jsonl` are no records; [docs/json-lines.md](../docs/json-lines.md) has their fields.\n",
    );
    for kind in Kind::ALL {
        let schema: Value = serde_json::from_str(schema::text(kind)).unwrap();
        let mut fields = Fields {
            schema: &schema,
            rows: String::new(),
        };
        fields.below(&schema, "");
        let said = schema["description"].as_str().unwrap();
        write!(
            page,
            "\n## {}\n\n{said}\n\n| field | what it is | for example |\n|---|---|---|\n{}",
            kind.word(),
            fields.rows,
        )
        .unwrap();
    }
    page.push_str(
        "\n## Units\n\nUS and metric units are read alike, in small or capital letters where that leaves no doubt, and written out as well: `gallons`, `liters`, `feet`.\n\
         `gal`, `fl oz`, `pt` and `qt` are US; a bare `oz` is refused, since it may be a volume or a weight.\n\
         A flow, a rate, a speed or a factor is one of these per another, or per a number of another: `gal/min`, `gal/1000 ft2`, `pulses/100 ft`; `gpm` and `mph` are words for two of them.\n\n\
         | of | units |\n|---|---|\n",
    );
    let mut of: Vec<(&str, Vec<String>)> = Vec::new();
    for unit in Unit::all() {
        let name = unit.dimension().name();
        match of.iter_mut().find(|(of, _)| *of == name) {
            Some((_, units)) => units.push(format!("`{unit}`")),
            None => of.push((name, vec![format!("`{unit}`")])),
        }
    }
    for (name, units) in of {
        writeln!(page, "| {name} | {} |", units.join(", ")).unwrap();
    }
    compare("schemas/README.md", &page);
}

/// The rows of one schema's fields.
struct Fields<'s> {
    schema: &'s Value,
    rows: String,
}

impl<'s> Fields<'s> {
    fn followed(&self, part: &'s Value) -> &'s Map<String, Value> {
        match part.get("$ref").and_then(Value::as_str) {
            Some(to) => self.followed(self.schema.pointer(&to[1..]).unwrap()),
            None => part.as_object().unwrap(),
        }
    }

    /// What stands below a part: its fields, its items, its entries of a name of the user's own.
    fn below(&mut self, part: &'s Value, path: &str) {
        let part = self.followed(part);
        let needed = |key: &str| {
            let required = part.get("required").and_then(Value::as_array);
            required.is_some_and(|required| required.iter().any(|needed| needed == key))
        };
        let properties = part.get("properties").and_then(Value::as_object);
        for (key, value) in properties.into_iter().flatten() {
            let at = match path {
                "" => key.clone(),
                path => format!("{path}.{key}"),
            };
            let mut inner = Fields {
                schema: self.schema,
                rows: String::new(),
            };
            inner.below(value, &at);
            self.row(&at, value, needed(key), inner.rows.is_empty());
            self.rows.push_str(&inner.rows);
        }
        if let Some(items) = part.get("items") {
            self.below(items, &format!("{path}[]"));
        }
        let by_pattern = part.get("patternProperties").and_then(Value::as_object);
        let others = part.get("additionalProperties");
        for named in by_pattern.into_iter().flat_map(Map::values).chain(others) {
            if named.is_object() {
                self.below(named, &format!("{path}.NAME"));
            }
        }
        for one in part
            .get("oneOf")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            // A choice among whole objects; a choice of keys that are needed says nothing new.
            if one.get("$ref").is_some() {
                let kind = self.followed(one)["title"].as_str().unwrap();
                let kind = kind.trim_start_matches("a ");
                self.below(one, &format!("{path} ({kind})"));
            }
        }
    }

    fn row(&mut self, path: &str, value: &'s Value, is_needed: bool, is_leaf: bool) {
        let value = self.followed(value);
        let said = value["description"].as_str().unwrap().replace('|', "\\|");
        let listed = |values: &[Value]| {
            let values = values.iter().map(|value| format!("`{}`", in_flow(value)));
            values.collect::<Vec<_>>().join(", ")
        };
        // An example of what has rows of its own would say it twice.
        let example = match (value.get("enum"), value.get("examples")) {
            (Some(Value::Array(words)), _) => {
                // That it may be empty is said of all alike.
                let words: Vec<Value> = words.iter().filter(|w| !w.is_null()).cloned().collect();
                format!("one of {}", listed(&words))
            }
            (None, Some(Value::Array(examples))) if is_leaf => listed(examples),
            (_, _) => String::new(),
        };
        let mark = if is_needed { "**" } else { "" };
        writeln!(self.rows, "| {mark}`{path}`{mark} | {said} | {example} |").unwrap();
    }
}

/// A value as it is written in a line of a record.
fn in_flow(value: &Value) -> String {
    match value {
        // In a flow these would begin or end something.
        Value::String(text) if text.contains(['{', '}', '[', ']', ',', '#', '"']) => {
            value.to_string()
        }
        Value::String(text) => text.clone(),
        Value::Null | Value::Bool(_) | Value::Number(_) => value.to_string(),
        Value::Array(items) => {
            let items: Vec<String> = items.iter().map(in_flow).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Object(entries) => {
            let entries = entries.iter();
            let entries: Vec<String> = entries
                .map(|(key, value)| format!("{key}: {}", in_flow(value)))
                .collect();
            format!("{{{}}}", entries.join(", "))
        }
    }
}

/// The schema of each kind takes the records of it that the documents show, and every kind is shown.
#[test]
fn the_records_shown_have_the_shape_of_their_schema() {
    let mut shown = BTreeSet::new();
    for document in documents() {
        for block in blocks(&read(&document)) {
            if let ("yaml", Some(("file", path))) = (block.language, block.mark) {
                let faults = faults(&block.text).unwrap_or_else(|| panic!("{path} is no record"));
                assert!(faults.is_empty(), "{document}, {path}: {faults:#?}");
                shown.insert(block.text.lines().next().unwrap().to_owned());
            }
        }
    }
    let all = Kind::ALL.map(|kind| format!("record: {}", kind.word()));
    assert_eq!(shown, BTreeSet::from(all));
}
