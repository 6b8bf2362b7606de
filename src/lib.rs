//! swathlint recomputes the calibration of boom sprayers from the raw readings in their records and says what does not hold.

pub mod source;
pub mod quantity;
pub mod words;
pub mod diagnostic;
pub mod yaml;
pub mod schema;
pub mod report;
pub mod render;
pub mod cli;

use diagnostic::{Diagnostic, Label, Severity};
use report::{Failure, Report, RuleDescription};
use source::{FileId, Place, SourceFile, Sources, Span};
use std::sync::Arc;

/// The files of a tree of records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listing {
    /// Sorted paths relative to its root, `/` between parts.
    pub paths: Vec<String>,
    /// YAML files outside the known places.
    pub ignored: usize,
}

/// Reads a file of a listing; an error is a reason as a fragment.
pub type ReadFile<'a> = dyn Fn(&str) -> Result<Vec<u8>, String> + Sync + 'a;

/// What a check is made with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// The day the check is made for.
    pub today: jiff::civil::Date,
    /// Path prefixes relative to the root; empty: all.
    pub selected: Vec<String>,
}

/// Stands in for the check: an error where brackets do not pair.
pub fn check(listing: &Listing, read: &ReadFile<'_>, settings: &Settings) -> Report {
    use rayon::prelude::*;
    let texts: Vec<_> = listing.paths.par_iter().map(|path| read(path)).collect();
    let mut report = Report {
        today: settings.today,
        findings: Vec::new(),
        sources: Sources::default(),
        paths: listing.paths.clone(),
        counts: report::Counts { ignored: listing.ignored, ..report::Counts::default() },
        failures: Vec::new(),
    };
    for (at, (path, text)) in listing.paths.iter().zip(texts).enumerate() {
        let id = FileId(u32::try_from(at).unwrap_or(u32::MAX));
        let text = match text {
            Ok(text) => String::from_utf8_lossy(&text).into_owned(),
            Err(reason) => {
                report.failures.push(Failure { path: path.clone(), reason });
                continue;
            }
        };
        report.counts.records += 1;
        let is_selected = settings.selected.is_empty() || settings.selected.iter().any(|prefix| path.starts_with(prefix));
        if is_selected && text.matches('[').count() != text.matches(']').count() {
            let span = Span::new(0, u32::from(!text.is_empty()));
            report.sources.keep(id, Arc::new(SourceFile::new(path.as_str(), text)));
            let label = Label::new(Place { file: id, span }, "in this file");
            report.findings.push(Diagnostic::new("unpaired", Severity::Error, "brackets do not pair", label));
        }
    }
    report
}

/// Stands in for the rules.
pub fn describe_rules(_: Option<&Listing>, _: &ReadFile<'_>, _: &Settings) -> Vec<RuleDescription> {
    let words = |text: &str| text.to_owned();
    vec![RuleDescription {
        id: words("nozzle-off-mean"),
        title: words("A nozzle passes unlike the rest of the boom"),
        status: words("settled"),
        figure: words("nozzle-off-mean"),
        figure_title: words("one nozzle against the mean"),
        formula: words("flow / mean - 1"),
        family: words("each nozzle"),
        limits: vec![],
        decision: words("simple"),
        applies: vec![],
        follows: vec![],
        remedies: vec![],
        why: words("turf"),
        sources: vec![],
    }]
}

/// Stands in for the schemas.
pub fn schema_text(kind: &str) -> Option<&'static str> {
    (kind == "machine").then_some("{}\n")
}

/// Stands in for their kinds.
pub fn schema_kinds() -> Vec<&'static str> {
    vec!["machine"]
}
