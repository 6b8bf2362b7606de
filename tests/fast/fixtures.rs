//! Every case under `fixtures/`: what is marked in it is found, and nothing else.

#![expect(
    clippy::disallowed_methods,
    reason = "a test reads the fixtures and one variable that says whether to accept"
)]

use crate::cases::{Case, cases};
use crate::fixture::{self, checked, found};
use rayon::prelude::*;
use std::fmt::Write;
use std::fs;
use std::sync::LazyLock;
use swathlint::Report;
use swathlint::diagnostic::Diagnostic;
use swathlint::quantity::calendar::Period;
use swathlint::render::{Look, due_text, terminal};

/// Every case with what a check of it gives.
static CHECKED: LazyLock<Vec<(Case, Report)>> = LazyLock::new(|| {
    let of = |case: Case| {
        let report = case.checked();
        (case, report)
    };
    cases().into_par_iter().map(of).collect()
});

/// Every case that does not agree is told, by its name.
#[test]
fn what_is_marked_is_found_and_nothing_else() {
    assert!(CHECKED.len() > 300, "only {} were seen", CHECKED.len());
    let wrong: Vec<String> = CHECKED
        .iter()
        .filter_map(|(case, report)| {
            let wrong = agrees(case, report).err()?;
            Some(format!("{}: {wrong}", case.name))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn the_clean_records_give_nothing() {
    assert_nothing_in("records");
}

#[test]
fn the_base_of_the_cases_gives_nothing() {
    assert_nothing_in("base");
}

/// The demo fleet's findings, one line each.
#[test]
fn the_demo_fleet_gives_what_it_gave() {
    let files = fixture::tree(&fixture::folder().join("saltmere"));
    let report = checked(&files, "2026-06-01");
    agrees_with("saltmere.txt", &swathlint::render::plain(&report)).unwrap();
}

/// What of the demo fleet is due, as it is written in 80 columns.
#[test]
fn the_demo_fleet_is_due_as_it_was() {
    let files = fixture::tree(&fixture::folder().join("saltmere"));
    let (listing, read) = (fixture::listing(&files), fixture::reading(&files));
    let settings = fixture::settings("2026-06-01");
    let list = swathlint::due(&listing, &read, &settings, Period::Days(14));
    agrees_with("saltmere-due.txt", &due_text(&list, &LOOK)).unwrap();
}

/// Every rule on every case: where it says something, one line each, so that a surprise shows in the diff.
#[test]
fn every_rule_speaks_in_the_cases_it_spoke_in() {
    let mut rows: Vec<String> = Vec::new();
    for (case, report) in CHECKED.iter() {
        for finding in &report.findings {
            let severity = finding.severity().word();
            let is_as_found = finding.message().starts_with("as found, ");
            let stage = if is_as_found { " as found" } else { "" };
            rows.push(format!(
                "{} {} {} {severity}{stage}",
                finding.rule(),
                case.name,
                at(report, finding)
            ));
        }
    }
    for (rule, _) in swathlint::rule::RuleSet::built_in_texts() {
        let rule = rule.trim_end_matches(".yaml");
        let is_of_rule = |row: &String| row.split(' ').next() == Some(rule);
        if !rows.iter().any(is_of_rule) {
            rows.push(format!("{rule} in no case"));
        }
    }
    // Stable: the findings of a case stay in their order.
    rows.sort_by(|one, other| one.split(' ').next().cmp(&other.split(' ').next()));
    let mut table = String::new();
    for row in rows {
        writeln!(table, "{row}").unwrap();
    }
    agrees_with("matrix.txt", &table).unwrap();
}

/// Marks and findings agree exactly; the full text of `fails.yaml` is as committed.
fn agrees(case: &Case, report: &Report) -> Result<(), String> {
    let found = found(report);
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
            in_full(report),
        ));
    }
    if let Some(unsaid) = case.unsaid(report) {
        return Err(format!("nothing says `{unsaid}`\n{}", in_full(report)));
    }
    match case.name.strip_suffix("/fails.yaml") {
        Some(rule) => agrees_with(&format!("{rule}/fails.txt"), &in_full(report)),
        None => Ok(()),
    }
}

fn assert_nothing_in(folder: &str) {
    let files = fixture::tree(&fixture::folder().join(folder));
    let report = checked(&files, "2026-06-01");
    let is_clean = report.findings.is_empty() && report.failures.is_empty();
    assert!(
        is_clean && report.counts.records > 0,
        "{}",
        in_full(&report)
    );
}

/// The first character of a finding: `path:line:column`.
fn at(report: &Report, finding: &Diagnostic) -> String {
    let (path, line) = fixture::place(report, finding);
    let place = finding.primary().place;
    let source = report
        .sources
        .get(place.file)
        .expect("a labeled text is kept");
    let (_, column) = source.position(place.span.start);
    format!("{path}:{line}:{}", column.0)
}

/// The full text a user sees, at 80 columns without color.
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

/// Compares a text with the committed one of this name, or writes it anew.
fn agrees_with(name: &str, text: &str) -> Result<(), String> {
    let path = fixture::folder().join(name);
    if is_updating() {
        fs::write(path, text).unwrap();
        return Ok(());
    }
    let committed = fs::read_to_string(path).unwrap_or_default();
    if committed == text {
        return Ok(());
    }
    Err(format!(
        "fixtures/{name} is not what is found now; accept with UPDATE_FIXTURES=1 cargo test --test fast fixtures\n\
         --- committed\n{committed}\n--- now\n{text}"
    ))
}
