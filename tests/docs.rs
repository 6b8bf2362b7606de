//! What the README shows is so: its records are written and checked, its commands run, its tables made.
//!
//! `UPDATE_DOCS=1 cargo test --test docs` writes outputs and generated parts anew.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the documents, writes the records they show, and runs the program"
)]

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use swathlint::report::RuleDescription;
use swathlint::schema::{self, Kind};
use swathlint::source::FileId;
use swathlint::yaml;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn is_updating() -> bool {
    std::env::var_os("UPDATE_DOCS").is_some()
}

fn compare(path: &Path, now: &str) {
    if is_updating() {
        fs::write(path, now).unwrap();
        return;
    }
    let committed = fs::read_to_string(path).unwrap_or_default();
    assert!(
        committed == now,
        "{} is out of date; write it anew with UPDATE_DOCS=1 cargo test --test docs\n{now}",
        path.display(),
    );
}

/// Runs a command line as a reader would type it and gives what it prints.
fn output(command: &str, folder: &Path) -> String {
    let mut words = command.split(' ');
    assert_eq!(words.next(), Some("swathlint"), "{command}");
    let output = Command::new(env!("CARGO_BIN_EXE_swathlint"))
        .args(words)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("CLICOLOR_FORCE")
        .output()
        .unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert_eq!(errors, "", "{command}");
    String::from_utf8(output.stdout).unwrap()
}

/// The README with its outputs as they are now.
fn readme_now(text: &str) -> String {
    let scratch = tempfile::tempdir().unwrap();
    let mut now = String::new();
    let mut comment: Option<(String, String)> = None;
    let mut lines = text.lines();
    let mut commands = 0;
    while let Some(line) = lines.next() {
        writeln!(now, "{line}").unwrap();
        if let Some(said) = line
            .strip_prefix("<!-- ")
            .and_then(|l| l.strip_suffix(" -->"))
        {
            if said == "options" {
                now.push('\n');
                now.push_str(&options());
                for skipped in lines.by_ref() {
                    if skipped == "<!-- end of options -->" {
                        break;
                    }
                }
                now.push_str("\n<!-- end of options -->\n");
                continue;
            }
            if let Some((key, value)) = said.split_once(": ") {
                comment = Some((key.to_owned(), value.to_owned()));
            }
            continue;
        }
        let Some(language) = line.strip_prefix("```").filter(|rest| !rest.is_empty()) else {
            continue;
        };
        let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        match (language, comment.take()) {
            ("yaml", Some((key, path))) if key == "file" => {
                let file = scratch.path().join(path);
                fs::create_dir_all(file.parent().unwrap()).unwrap();
                fs::write(file, block.join("\n") + "\n").unwrap();
                writeln!(now, "{}\n```", block.join("\n")).unwrap();
            }
            ("console", Some((key, folder))) if key == "in" => {
                let folder = if folder == "." {
                    root()
                } else {
                    scratch.path().join(folder)
                };
                let command = block[0].strip_prefix("$ ").unwrap();
                let printed = output(command, &folder);
                writeln!(now, "$ {command}\n{}\n```", printed.trim_end()).unwrap();
                commands += 1;
            }
            ("yaml" | "console", other) => {
                assert!(
                    language == "yaml" && block[0] == "permissions: {}",
                    "a block is not run: {other:?} {block:?}",
                );
                writeln!(now, "{}\n```", block.join("\n")).unwrap();
            }
            (_, _) => writeln!(now, "{}\n```", block.join("\n")).unwrap(),
        }
    }
    assert!(commands >= 4, "the README runs too little");
    now
}

/// The options of every command, from the help the program prints.
fn options() -> String {
    let mut table = String::from("| command | what it does |\n|---|---|\n");
    let help = output("swathlint --help", &root());
    let commands = help.split("Commands:\n").nth(1).unwrap();
    let commands = commands.split("\n\n").next().unwrap();
    let mut names = Vec::new();
    for line in commands.lines() {
        if let Some((name, what)) = line.trim().split_once("  ") {
            writeln!(table, "| `swathlint {name}` | {} |", what.trim()).unwrap();
            names.push(name.to_owned());
        }
    }
    table.push_str("\n| command | option | what it does |\n|---|---|---|\n");
    for name in names {
        let help = output(&format!("swathlint {name} -h"), &root());
        let mut row: Option<String> = None;
        let mut flush = |row: &mut Option<String>| {
            if let Some(row) = row.take() {
                let (option, what) = row.split_once("  ").unwrap_or((&row, ""));
                let what = what
                    .split_whitespace()
                    .collect::<Vec<_>>()
                    .join(" ")
                    .replace('|', "\\|");
                writeln!(table, "| `{name}` | `{}` | {what} |", option.trim()).unwrap();
            }
        };
        let options = help.split("Options:\n").nth(1).unwrap_or_default();
        for line in options.lines().take_while(|line| !line.is_empty()) {
            let text = line.trim();
            if text.starts_with('-') && line.starts_with("  ") && !line.starts_with("          ") {
                flush(&mut row);
                let text = text.trim_start_matches("-h, ").trim_start_matches("-V, ");
                row = Some(text.to_owned());
            } else if let Some(row) = &mut row {
                row.push_str("  ");
                row.push_str(text);
            }
        }
        flush(&mut row);
    }
    table
        .lines()
        .filter(|line| !line.contains("`--help`"))
        .collect::<Vec<_>>()
        .join("\n")
        + "\n"
}

#[test]
fn the_readme_is_so() {
    let path = root().join("README.md");
    let text = fs::read_to_string(&path).unwrap();
    compare(&path, &readme_now(&text));
}

/// The page of all rules, from what the program says of them.
#[test]
fn the_page_of_rules_is_so() {
    let read = |_: &str| Err("nothing is read".to_owned());
    let rules = swathlint::describe_rules(None, &read, "2026-06-01".parse().unwrap());
    let mut page = String::from(
        "# The rules\n\nGenerated from the rule files beside this page; `UPDATE_DOCS=1 cargo test --test docs` writes it anew.\n\
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
    compare(&root().join("rules/README.md"), &page);
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

/// Text of a rule in Markdown: what could be taken for markup is not.
fn plain(text: &str) -> String {
    text.replace('<', "&lt;")
        .replace('*', "\\*")
        .replace('_', "\\_")
}

/// The schema of each kind takes the README's record of it.
#[test]
fn the_complete_records_have_the_shape_of_their_schema() {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let mut seen = 0;
    for block in text.split("```yaml\n").skip(1) {
        let record = block.split("```").next().unwrap();
        let parsed = yaml::parse(FileId(0), record);
        let Some(kind) = parsed
            .tree
            .root()
            .and_then(|root| schema::kind_of(FileId(0), root).ok())
        else {
            continue;
        };
        let faults = schema::check(kind, FileId(0), parsed.tree.root().unwrap());
        assert!(faults.is_empty(), "{faults:#?}");
        seen += usize::from(matches!(
            kind,
            Kind::Fleet | Kind::Machine | Kind::Calibration
        ));
    }
    assert!(seen >= 5);
}
