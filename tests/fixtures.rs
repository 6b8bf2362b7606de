//! Every case under `fixtures/`: what is marked in it is found, and nothing else.

#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the fixtures and one variable that says whether to accept"
)]

mod cases;
mod fixture;

use cases::Case;
use fixture::{checked, found};
use libtest_mimic::{Arguments, Failed, Trial};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use swathlint::Report;
use swathlint::diagnostic::Diagnostic;
use swathlint::quantity::calendar::Period;
use swathlint::render::{Look, due_text, terminal};

fn main() {
    let arguments = Arguments::from_args();
    let cases = cases::cases();
    let mut trials: Vec<Trial> = cases
        .iter()
        .map(|case| {
            let case = case.clone();
            Trial::test(case.name.clone(), move || {
                agrees(&case).map_err(Failed::from)
            })
        })
        .collect();
    trials.push(Trial::test("records/ is clean", || {
        clean().map_err(Failed::from)
    }));
    trials.push(Trial::test("base/ is clean", || {
        base_is_clean().map_err(Failed::from)
    }));
    trials.push(Trial::test("saltmere/ gives what it gave", || {
        demo().map_err(Failed::from)
    }));
    trials.push(Trial::test("saltmere/ is due as it was", || {
        demo_due().map_err(Failed::from)
    }));
    trials.push(Trial::test("every rule on every case", move || {
        matrix(&cases).map_err(Failed::from)
    }));
    libtest_mimic::run(&arguments, trials).exit();
}

/// Marks and findings agree exactly; the full text of `fails.yaml` is as committed.
fn agrees(case: &Case) -> Result<(), String> {
    let report = case.checked();
    let found = found(&report);
    if found != case.marks {
        let missing: Vec<_> = case
            .marks
            .iter()
            .filter(|mark| !found.contains(mark))
            .collect();
        let unmarked: Vec<_> = found
            .iter()
            .filter(|one| !case.marks.contains(one))
            .collect();
        return Err(format!(
            "marked and not found: {missing:#?}\nfound and not marked: {unmarked:#?}\n{}",
            in_full(&report),
        ));
    }
    if let Some(unsaid) = case.unsaid(&report) {
        return Err(format!("nothing says `{unsaid}`\n{}", in_full(&report)));
    }
    match case.name.strip_suffix("/fails.yaml") {
        Some(rule) => {
            let path = fixture::folder().join(rule).join("fails.txt");
            compare(&path, &in_full(&report))
        }
        None => Ok(()),
    }
}

fn clean() -> Result<(), String> {
    nothing_in("records")
}

fn base_is_clean() -> Result<(), String> {
    nothing_in("base")
}

fn nothing_in(folder: &str) -> Result<(), String> {
    let files = fixture::tree(&fixture::folder().join(folder));
    let report = checked(&files, "2026-06-01");
    if report.findings.is_empty() && report.failures.is_empty() && report.counts.records > 0 {
        Ok(())
    } else {
        Err(in_full(&report))
    }
}

/// The demo fleet's findings, one line each.
fn demo() -> Result<(), String> {
    let files = fixture::tree(&fixture::folder().join("saltmere"));
    let report = checked(&files, "2026-06-01");
    let path = fixture::folder().join("saltmere.txt");
    compare(&path, &swathlint::render::plain(&report))
}

/// What of the demo fleet is due, as it is written in 80 columns.
fn demo_due() -> Result<(), String> {
    let files = fixture::tree(&fixture::folder().join("saltmere"));
    let (listing, read) = (fixture::listing(&files), fixture::reading(&files));
    let settings = fixture::settings("2026-06-01");
    let list = swathlint::due(&listing, &read, &settings, Period::Days(14));
    let path = fixture::folder().join("saltmere-due.txt");
    compare(&path, &due_text(&list, &LOOK))
}

/// Which case each rule says something in: one text a rule, so that a surprise shows in its diff.
fn matrix(cases: &[Case]) -> Result<(), String> {
    let mut by_rule: BTreeMap<String, String> = BTreeMap::new();
    for (rule, _) in swathlint::rule::RuleSet::built_in_texts() {
        by_rule.insert(rule.trim_end_matches(".yaml").to_owned(), String::new());
    }
    for case in cases {
        let report = case.checked();
        for finding in &report.findings {
            let severity = finding.severity().word();
            let is_as_found = finding.message().starts_with("as found, ");
            let stage = if is_as_found { " as found" } else { "" };
            let line = format!("{} {} {severity}{stage}\n", case.name, at(&report, finding));
            by_rule
                .entry(finding.rule().to_owned())
                .or_default()
                .push_str(&line);
        }
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/snapshots/matrix");
    for (rule, text) in by_rule {
        compare(&folder.join(format!("{rule}.txt")), &text)?;
    }
    Ok(())
}

/// The first character of a finding: `path:line:column`.
fn at(report: &Report, finding: &Diagnostic) -> String {
    let (path, line) = fixture::place(report, finding);
    let place = finding.primary().place;
    let source = report
        .sources
        .get(place.file)
        .expect("a labelled text is kept");
    let (_, column) = source.position(place.span.start);
    format!("{path}:{line}:{}", column.0)
}

/// The full text a user sees, at 80 columns without colour.
fn in_full(report: &Report) -> String {
    terminal(report, &LOOK).to_string()
}

const LOOK: Look = Look {
    color: false,
    width: 80,
};

/// Whether texts and snapshots are to be written anew rather than compared.
fn is_updating() -> bool {
    std::env::var_os("UPDATE_FIXTURES").is_some()
}

/// Compares a text with a committed one, or writes it anew.
fn compare(path: &Path, text: &str) -> Result<(), String> {
    if is_updating() {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
        return Ok(());
    }
    let committed = fs::read_to_string(path).unwrap_or_default();
    if committed == text {
        return Ok(());
    }
    Err(format!(
        "{} is not what is found now; accept with UPDATE_FIXTURES=1 cargo test --test fixtures\n\
         --- committed\n{committed}\n--- now\n{text}",
        path.display(),
    ))
}
