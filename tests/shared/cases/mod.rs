//! The cases of rules under `fixtures/`: each laid over the small clean repository, with its marks.

use crate::fixture::{Files, folder, listing, reading, settings, tree};
use std::path::Path;
use swathlint::{Before, Report, Settings, check, check_compared};

/// The day of the check where a case names none.
const TODAY: &str = "2026-06-01";

/// One case: its files laid over the base, and what it says must be found.
#[derive(Debug, Clone)]
pub(crate) struct Case {
    /// Where it stands: `nozzle-off-mean/fails.yaml`.
    pub(crate) name: String,
    /// All files of the repository it makes.
    pub(crate) files: Files,
    /// The files as they were, where the case compares.
    pub(crate) before: Option<Files>,
    /// The day of the check.
    pub(crate) today: String,
    /// What must be found, as `path:line rule severity`, sorted.
    pub(crate) marks: Vec<String>,
    /// What some message or help must hold, word for word.
    pub(crate) says: Vec<String>,
}

impl Case {
    /// What a check of it gives, or a comparison with how it was.
    pub(crate) fn checked(&self) -> Report {
        self.checked_with(&Settings {
            rule_by_rule: true,
            ..settings(&self.today)
        })
    }

    /// The same, asked for in another way.
    pub(crate) fn checked_with(&self, settings: &Settings) -> Report {
        match &self.before {
            None => check(&listing(&self.files), &reading(&self.files), settings),
            Some(before) => compared(&self.files, before, settings),
        }
    }

    /// The first of the texts it wants that no message or help has.
    pub(crate) fn unsaid(&self, report: &Report) -> Option<&String> {
        let is_said = |text: &&String| {
            report.findings.iter().any(|one| {
                let texts = [Some(one.message()), one.help_text()];
                let mut texts = texts.into_iter().flatten();
                texts.any(|own| own.contains(text.as_str()))
            })
        };
        self.says.iter().find(|text| !is_said(text))
    }
}

/// Compares a repository held in memory with how it was.
fn compared(files: &Files, before: &Files, settings: &Settings) -> Report {
    let (read, read_before) = (reading(files), reading(before));
    let all = files.keys().chain(before.keys());
    let changed = all.filter(|path| files.get(*path) != before.get(*path));
    let changed = changed.cloned().collect();
    let listing_before = listing(before);
    let before = Before {
        revision: "main",
        commit: "0000000000000000000000000000000000000000",
        listing: &listing_before,
        read: &read_before,
        changed: &changed,
    };
    check_compared(&listing(files), &read, &before, settings)
}

/// Folders of cases of findings that are no rule's.
const OF_NO_RULE: [&str; 6] = [
    "duplicate-files",
    "guards",
    "house-causes",
    "house-rules",
    "unknown-names",
    "waivers",
];

/// The cases of every rule, and those of findings that are no rule's, by folder and name.
pub(crate) fn cases() -> Vec<Case> {
    let base = tree(&folder().join("base"));
    let mut cases = Vec::new();
    let rules = swathlint::rule::RuleSet::built_in_texts().iter();
    let rules = rules.map(|(rule, _)| rule.trim_end_matches(".yaml"));
    for of in rules.chain(OF_NO_RULE) {
        let of_folder = tree(&folder().join(of));
        for (file, text) in of_folder
            .iter()
            .filter(|(file, _)| Path::new(file).extension().is_some_and(|end| end == "yaml"))
        {
            cases.push(case(&format!("{of}/{file}"), text, &base));
        }
    }
    cases
}

/// Reads a case: `# file: PATH` begins a file, `# without: PATH` takes one away, `# before: PATH` begins
/// a file as it was when it was merged, which makes the case a comparison, or as none where nothing follows,
/// `# today: DATE` sets the day, `# says: TEXT` what some message or help must hold; `# mended:` is for
/// `tests/slow/causes.rs`; comments `# fires: RULE SEVERITY` mark the line a finding must stand on.
pub(crate) fn case(name: &str, text: &str, base: &Files) -> Case {
    let mut files = base.clone();
    let mut today = TODAY.to_owned();
    let mut current: Option<String> = None;
    let mut own = Files::new();
    let mut merged = Files::new();
    let mut is_before = false;
    let mut says = Vec::new();
    for line in text.lines() {
        if let Some(path) = line.strip_prefix("# file: ") {
            current = Some(path.to_owned());
            is_before = false;
            own.insert(path.to_owned(), String::new());
        } else if let Some(path) = line.strip_prefix("# before: ") {
            current = Some(path.to_owned());
            is_before = true;
            merged.insert(path.to_owned(), String::new());
        } else if let Some(path) = line.strip_prefix("# without: ") {
            assert!(
                files.remove(path).is_some(),
                "{name}: the base has no {path}"
            );
        } else if let Some(day) = line.strip_prefix("# today: ") {
            day.clone_into(&mut today);
        } else if let Some(text) = line.strip_prefix("# says: ") {
            says.push(text.to_owned());
        } else if let Some(path) = &current {
            let begun = if is_before { &mut merged } else { &mut own };
            let file = begun.get_mut(path).unwrap();
            file.push_str(line);
            file.push('\n');
        } else {
            assert!(
                line.is_empty() || line.starts_with('#'),
                "{name}: no file begins before `{line}`"
            );
        }
    }
    files.extend(own);
    let before = (!merged.is_empty()).then(|| {
        let mut before = files.clone();
        before.extend(merged);
        before.retain(|_, text| !text.is_empty());
        before
    });
    let mut marks = marks(&files);
    marks.sort();
    Case {
        name: name.to_owned(),
        files,
        before,
        today,
        marks,
        says,
    }
}

fn marks(files: &Files) -> Vec<String> {
    let mut marks = Vec::new();
    for (path, text) in files {
        for (at, line) in text.lines().enumerate() {
            let Some((_, marked)) = line.split_once("# fires: ") else {
                continue;
            };
            marks.extend(
                marked
                    .split("; ")
                    .map(|mark| format!("{path}:{} {mark}", at + 1)),
            );
        }
    }
    marks
}
