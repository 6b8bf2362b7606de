//! Records that are hostile throughout, under every command, option and format there is: nothing drives the log or the terminal
#![expect(
    clippy::disallowed_methods,
    reason = "a test of the program makes and reads files as its user does"
)]

use crate::harmless::{FORMULA, HOSTILE, assert_harmless, line_end};
use crate::versioned::{PROGRAM, git_in};
use clap::{Arg, ArgAction, Command};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::Output;
use std::time::Duration;
use tempfile::TempDir;
use walkdir::WalkDir;

const TODAY: &str = "2027-06-01";

/// Where the program writes files of its own.
const WRITTEN: &str = "written";

/// What every format of the records must show of the hostile text: less, and the records did not reach it.
const SHOWN: &str = "vso";

/// An option, or a name, that takes any text: what is right for it.
const RIGHT: &[(&str, &str)] = &[
    // Of `start`, which writes nothing where one of several is missing.
    ("folder", "started"),
    ("date", "2026-06-01"),
    ("group", "Our group"),
    ("by", "rm"),
    ("machine", "sprayer-1"),
    ("sections", "3"),
    ("nozzles", "4,3,4"),
    ("spacing", "20 in"),
    ("setup", "fairways"),
    ("nozzle", "06"),
    ("pressure", "36 psi"),
    ("speed", "4.2 mph"),
    ("rate", "40 gal/acre"),
    // Of `tank`, which shows the setup and the course of a machine.
    ("of_machine", HOSTILE[3]),
    ("of_setup", HOSTILE[3]),
    ("area", "3.2 acres"),
    ("products", "wetting agent"),
    ("label_max", "wetting agent"),
    ("label_min", "wetting agent"),
    ("tank", "120 gal"),
    ("paths", "."),
    ("today", TODAY),
    ("compared_with", "HEAD"),
    ("threads", "2"),
    ("sequence", "412"),
    ("width", "40"),
    ("within", "1 month"),
    ("figures", "nozzle-off-mean"),
    ("name", "house-3"),
    // Of `sheet`: a machine that is there, whose setup is the only one.
    ("visited", "##vso[task.setvariable]x ##teamcity[x] ##Vso[y]"),
];

#[test]
fn no_record_and_no_argument_drives_a_log() {
    let records = hostile_records();
    let program = swathlint::cli::command();
    let mut n_runs = 0;
    for command in program.get_subcommands() {
        for run in runs(command) {
            run.check(&records);
            n_runs += 1;
        }
    }
    for hostile in HOSTILE {
        for arguments in [vec![hostile.to_owned()], vec![format!("--{hostile}")]] {
            Run::of(arguments).check(&records);
        }
    }
    assert!(n_runs > 200, "{n_runs}");
}

/// One run of the program, and what must be so of it.
#[derive(Clone, Debug, Default)]
struct Run {
    arguments: Vec<String>,
    /// The format of the standard output.
    format: String,
    /// Whether it shows the records.
    shows_records: bool,
    /// Whether it shows nothing but words of ours, which are to stay as they are.
    is_ours: bool,
    /// Formats of the files it writes.
    writes: Vec<String>,
}

/// What an output is called: a format whose lines have beginnings of their own by its name.
fn named<'a>(format: &'a str, what: &'a str) -> &'a str {
    if format == "annotations" {
        format
    } else {
        what
    }
}

impl Run {
    fn of(arguments: Vec<String>) -> Self {
        Self {
            arguments,
            ..Self::default()
        }
    }

    fn with(&self, more: &[String]) -> Self {
        let arguments = [&self.arguments[..], more].concat();
        Self {
            arguments,
            ..self.clone()
        }
    }

    fn check(&self, records: &TempDir) {
        let folder = records.path();
        let before = files(folder);
        let what = format!("{:?}", self.arguments);
        let Output {
            status,
            stdout,
            stderr,
        } = assert_cmd::Command::new(PROGRAM)
            .current_dir(folder)
            .timeout(Duration::from_mins(1))
            .args(&self.arguments)
            .output()
            .unwrap();
        let (said, errors) = (
            String::from_utf8(stdout).unwrap(),
            String::from_utf8(stderr).unwrap(),
        );
        assert!(status.code().is_some(), "{what}: {errors}");
        assert!(
            !errors.contains("src/"),
            "no fault of the program: {errors}"
        );
        assert_harmless(named(&self.format, &what), &said, line_end(&self.format));
        assert_harmless(&what, &errors, "\n");
        if self.format == "csv" {
            assert_no_formula(&what, &said);
        }
        if self.is_ours {
            assert!(
                !said.contains('\u{fffd}'),
                "{what} has words of ours marked:\n{said}"
            );
        }
        if self.shows_records {
            assert!(
                said.contains(SHOWN),
                "{what} shows no record:\n{said}{errors}"
            );
        }
        let mut written = BTreeSet::new();
        for file in files(folder).difference(&before) {
            let text = fs::read_to_string(folder.join(file)).unwrap();
            let format = file.rsplit('.').next().unwrap();
            let told = format!("{what}: {file}");
            assert_harmless(named(format, &told), &text, line_end(format));
            assert!(text.contains(SHOWN), "{what}: {file} shows no record");
            fs::remove_file(folder.join(file)).unwrap();
            written.insert(format.to_owned());
        }
        assert_eq!(
            written,
            self.writes.iter().cloned().collect(),
            "{what}:\n{errors}"
        );
    }
}

/// Asserts that every cell is a number or no formula.
fn assert_no_formula(what: &str, text: &str) {
    for row in csv::Reader::from_reader(text.as_bytes()).records() {
        for cell in &row.unwrap() {
            let is_number = cell.parse::<f64>().is_ok();
            assert!(
                is_number || !cell.trim_start().starts_with(FORMULA),
                "{what}: {cell}"
            );
        }
    }
}

/// A command with each value of each of its arguments, and with hostile text in place of each that takes any.
fn runs(command: &Command) -> Vec<Run> {
    let arguments: Vec<&Arg> = command.get_arguments().collect();
    let has = |id: &str| arguments.iter().any(|argument| argument.get_id() == id);
    // Whatever can be colored and has a width is made of the records, but for the list of causes. `settings` and `enter`
    // take one machine by its name, and `tests/fast/settings.rs` tries hostile ones.
    let shows_records =
        has("color") && !["causes", "enter", "settings"].contains(&command.get_name());
    let bare = Run::of(vec![command.get_name().to_owned()]);
    let required_but = |but: Option<&str>| {
        let required = arguments.iter().filter(|argument| {
            argument.is_required_set() && Some(argument.get_id().as_str()) != but
        });
        required.fold(bare.clone(), |run, argument| {
            run.with(&given(argument, &right_values(argument)[0]))
        })
    };
    let base = required_but(None);
    let today = if has("today") {
        vec![format!("--today={TODAY}")]
    } else {
        Vec::new()
    };
    let mut runs = vec![Run {
        shows_records,
        is_ours: !shows_records,
        ..base.with(&today)
    }];
    for argument in &arguments {
        if argument.get_id() == "also_write" {
            runs.extend(writing(&base.with(&today), &arguments));
        } else if !argument.get_action().takes_values() {
            let long = format!("--{}", argument.get_long().expect("a switch has a name"));
            let is_ours = argument.get_id() == "help";
            runs.push(Run {
                is_ours,
                ..base.with(&[long])
            });
        } else {
            for value in right_values(argument) {
                let own = required_but(Some(argument.get_id().as_str()));
                let given = given(argument, &value);
                // An option may be given once.
                let others = if argument.get_id() == "today" {
                    &[][..]
                } else {
                    &today
                };
                let run = Run {
                    shows_records,
                    is_ours: !shows_records,
                    format: if argument.get_id() == "format" {
                        value
                    } else {
                        String::new()
                    },
                    ..own.with(others).with(&given)
                };
                if has("color") && !["color", "width"].contains(&argument.get_id().as_str()) {
                    let look = ["--color=always", "--width=40"].map(str::to_owned);
                    let arguments = [&run.arguments[..1], &look, &run.arguments[1..]].concat();
                    runs.push(Run {
                        arguments,
                        ..run.clone()
                    });
                }
                runs.push(run);
            }
        }
        if argument.get_action().takes_values() {
            for hostile in HOSTILE {
                runs.push(base.with(&given(argument, hostile)));
            }
        }
    }
    for hostile in HOSTILE {
        runs.push(base.with(&[format!("--{hostile}")]));
    }
    runs
}

/// All formats of a command in files, and hostile names of files and of a format.
fn writing(base: &Run, arguments: &[&Arg]) -> Vec<Run> {
    let format = arguments
        .iter()
        .find(|argument| argument.get_id() == "format");
    let formats = right_values(format.expect("what writes files has formats"));
    let also = |format: &str, name: &str| format!("--also-write={format}={WRITTEN}/{name}");
    let all: Vec<String> = formats
        .iter()
        .map(|format| also(format, &format!("x.{format}")))
        .collect();
    let mut runs = vec![Run {
        writes: formats.clone(),
        ..base.with(&all)
    }];
    for hostile in HOSTILE {
        runs.push(base.with(&[also(&formats[0], &format!("no/{hostile}"))]));
        runs.push(base.with(&[also(&formats[0], &format!("{hostile}.yaml"))]));
        runs.push(base.with(&[also(hostile, "x")]));
    }
    runs
}

/// Every value an argument names, or a right one.
fn right_values(argument: &Arg) -> Vec<String> {
    let named: Vec<String> = argument
        .get_possible_values()
        .iter()
        .map(|value| value.get_name().to_owned())
        .collect();
    let id = argument.get_id();
    match RIGHT.iter().find(|(known, _)| id == known) {
        Some((_, right)) => vec![(*right).to_owned()],
        None if !named.is_empty() => named,
        None => panic!("what is a right value of {id}? It is to be tried"),
    }
}

/// Whether an option takes a name and a rate.
fn takes_two(argument: &Arg) -> bool {
    argument
        .get_num_args()
        .is_some_and(|count| count.min_values() == 2)
}

/// An argument as it is written.
fn given(argument: &Arg, value: &str) -> Vec<String> {
    assert!(!matches!(argument.get_action(), ArgAction::Count));
    match argument.get_long() {
        Some(long) if takes_two(argument) => {
            // A label is one of a product.
            let options = ["product", long]
                .into_iter()
                .skip(usize::from(long == "product"));
            let words = options.map(|option| {
                [
                    format!("--{option}"),
                    value.to_owned(),
                    "3 lb/acre".to_owned(),
                ]
            });
            words.flatten().collect()
        }
        Some(long) => vec![format!("--{long}={value}")],
        None if value.starts_with('-') => vec!["--".to_owned(), value.to_owned()],
        None => vec![value.to_owned()],
    }
}

/// Records under version control whose every name, text and file name is hostile.
fn hostile_records() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |path: &str, text: &str| {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text)
    };
    write(&format!("{WRITTEN}/.keep"), "").unwrap();
    git(folder.path(), &["init", "--quiet"]);
    write("fleet.yaml", &fleet()).unwrap();
    git(folder.path(), &["add", "--all"]);
    git(folder.path(), &["commit", "--quiet", "--message", "merged"]);

    let base = fixture("base");
    let application = &fixture("saltmere")["applications/avocet/2026-03-16.yaml"];
    let mut waivers = String::from("record: waivers\nwaivers:\n");
    for (n, hostile) in HOSTILE.into_iter().enumerate() {
        // A machine is called as its file is; not every system takes such names.
        let machine = if cfg!(unix) {
            hostile.replace('/', "-")
        } else {
            format!("machine-{n}")
        };
        let quoted = quoted(hostile);
        let replaced = |text: &str| {
            let text = text.replace("fairways 10 to 18", &quoted);
            let names = ["fairways", "left", "rm", "iron", "saltmere"];
            let text = names
                .iter()
                .fold(text, |text, name| replaced_word(&text, name, &quoted));
            ["heron", "avocet"].iter().fold(text, |text, name| {
                replaced_word(&text, name, &self::quoted(&machine))
            })
        };
        for (path, text) in base.iter().filter(|(path, _)| *path != "fleet.yaml") {
            write(&path.replace("heron", &machine), &replaced(text)).unwrap();
        }
        write(
            &format!("applications/{machine}/2026-03-16.yaml"),
            &replaced(application),
        )
        .unwrap();
        write(
            &format!("house-rules/house-{n}.yaml"),
            &house_rule(n, &quoted),
        )
        .unwrap();
        writeln!(
            waivers,
            "  - {{rule: {quoted}, machine: {quoted}, reason: {quoted}, by: {quoted}, from: 2026-04-01, until: 2026-05-01}}"
        )
        .unwrap();
        // As it is: in comments, and in a text that is no record.
        let raw = format!("record: machine # {hostile}\nid: {hostile}\n{hostile}: [{hostile}\n");
        write(&format!("machines/raw-{n}.yaml"), &raw).unwrap();
    }
    write("waivers.yaml", &waivers).unwrap();
    folder
}

/// A fleet whose names are hostile, and whose limit is set because of a hostile text.
fn fleet() -> String {
    let all = |value: &dyn Fn(&str) -> String| {
        let all: Vec<String> = HOSTILE
            .iter()
            .map(|hostile| value(&quoted(hostile)))
            .collect();
        all.join(", ")
    };
    let text = fixture("base")["fleet.yaml"].clone();
    let text = text.replace("Saltmere Links Group", &quoted(&HOSTILE.concat()));
    let text = text.replace(
        "saltmere: Saltmere Links",
        &all(&|hostile| format!("{hostile}: {hostile}")),
    );
    let text = text.replace(
        "people: {",
        &format!("people: {{{}, ", all(&|hostile| format!("{hostile}: {{}}"))),
    );
    format!(
        "{text}limits: {{pressure-off-setup: {{error: 8%, because: {}}}}}\n",
        quoted(&HOSTILE.join(" "))
    )
}

/// A rule of the group that is ours but for its name and its texts.
fn house_rule(n: usize, quoted: &str) -> String {
    let rule = Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/mean-off-rated.yaml");
    let mut text = String::new();
    for line in fs::read_to_string(rule).unwrap().lines() {
        match line.split_once(':').map_or("", |(key, _)| key) {
            "id" => writeln!(text, "id: house-{n}").unwrap(),
            key @ ("title" | "why") => writeln!(text, "{key}: {quoted}").unwrap(),
            _ => writeln!(text, "{line}").unwrap(),
        }
    }
    text
}

/// The text with a word replaced where it stands alone.
fn replaced_word(text: &str, word: &str, by: &str) -> String {
    let is_of_word = |letter: char| letter.is_alphanumeric() || "-\"".contains(letter);
    let mut out = String::new();
    for (n, part) in text.split(word).enumerate() {
        if n > 0 {
            let stands_alone = !out.ends_with(is_of_word) && !part.starts_with(is_of_word);
            out.push_str(if stands_alone { by } else { word });
        }
        out.push_str(part);
    }
    out
}

/// A text as YAML in double quotes.
fn quoted(text: &str) -> String {
    let letters = text.chars().map(|letter| match letter {
        '"' | '\\' => format!("\\{letter}"),
        ' '..='~' => letter.to_string(),
        _ => format!("\\U{:08x}", u32::from(letter)),
    });
    format!("\"{}\"", letters.collect::<String>())
}

fn fixture(name: &str) -> BTreeMap<String, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures")
        .join(name);
    let text = |path: &String| (path.clone(), fs::read_to_string(root.join(path)).unwrap());
    files(&root).iter().map(text).collect()
}

/// The paths of all files below a folder but git's, with `/` between their parts.
fn files(folder: &Path) -> BTreeSet<String> {
    WalkDir::new(folder)
        .into_iter()
        .filter_entry(|entry| entry.file_name() != ".git")
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let below = entry.path().strip_prefix(folder).unwrap();
            below.to_str().unwrap().replace('\\', "/")
        })
        .collect()
}

fn git(folder: &Path, arguments: &[&str]) {
    let done = git_in(folder, arguments);
    assert!(done.status.success(), "git {arguments:?}: {done:?}");
}
