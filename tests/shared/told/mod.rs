//! All that a report tells, as lines that can be compared whatever its insides are.

use swathlint::Report;
use swathlint::diagnostic::{Diagnostic, Label};
use swathlint::report::RowPlace;

/// The path, line and column of a label.
pub(crate) fn place(report: &Report, label: &Label) -> RowPlace {
    let source = report.sources.get(label.place.file);
    let (line, column) = source
        .expect("a labeled text is kept")
        .position(label.place.span.start);
    RowPlace {
        path: report.path(label.place.file).to_owned(),
        line: line.0,
        column: column.0,
    }
}

/// A place as people write it.
pub(crate) fn in_words(place: &RowPlace) -> String {
    format!("{}:{}:{}", place.path, place.line, place.column)
}

/// Everything that one finding says, on one line.
pub(crate) fn finding(report: &Report, finding: &Diagnostic) -> String {
    let label = |label: &Label| format!("{} {:?}", in_words(&place(report, label)), label.text);
    let related: Vec<String> = finding.related().iter().map(label).collect();
    let held = finding.held().iter();
    let held: Vec<String> = held
        .map(|held| format!("{} {}", held.rule, held.severity.word()))
        .collect();
    format!(
        "{} [{} {}] {} {:?} worked out {:?}, help {:?}, of {:?}, holds {held:?}",
        label(finding.primary()),
        finding.severity().word(),
        finding.rule(),
        finding.message(),
        related,
        finding.derivation(),
        finding.help_text(),
        finding.machine(),
    )
}

/// Every finding, in the order of the report.
pub(crate) fn findings(report: &Report) -> Vec<String> {
    let findings = report.findings.iter();
    findings.map(|one| finding(report, one)).collect()
}

/// Holds two reports to each other in all that they tell, in the same order.
pub(crate) fn assert_same_report(one: &Report, other: &Report) {
    assert_eq!(one.today, other.today);
    assert_eq!(findings(one), findings(other));
    assert_eq!(one.counts, other.counts);
    assert_eq!(one.failures, other.failures);
    assert_eq!(one.compared, other.compared);
}
