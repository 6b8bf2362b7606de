//! SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), complete for code scanning.
//!
//! Results are findings; what else a run has to say is a notification of its invocation. Waived findings are no results:
//! services show them as open whatever is said of them.

mod descriptor;
mod invocation;
mod message;
mod place;
mod result;
mod values;

use crate::diagnostic::Severity;
use crate::finding::Judged;
use crate::render::Harmless;
use crate::render::beside::{self, Kind};
use crate::render::format::{Format, nothing};
use crate::render::found::{fingerprints, worst_first};
use crate::render::identity::Identified;
use crate::report::Report;
use crate::words::dates;
use descriptor::{NotificationDescriptor, RuleDescriptor, Rules};
use invocation::Invocation;
use message::Text;
use result::ResultFields;
use serde::Serialize;

/// Results of a run that code scanning takes at most.
const MOST_RESULTS: usize = 25_000;

/// The schema that a file says it has; an identifier, which nothing here opens.
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The format.
pub(super) static FORMAT: Format<Report> = Format {
    name: "sarif",
    about: "SARIF 2.1.0, for code scanning: findings with stable fingerprints, rules with full help",
    write: |made, _| sarif(made),
    leaves_out: nothing,
};

#[derive(Serialize)]
struct Log<'a> {
    #[serde(rename = "$schema")]
    schema: &'static str,
    version: &'static str,
    runs: [Run<'a>; 1],
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Run<'a> {
    tool: Tool,
    invocations: [Invocation<'a>; 1],
    language: &'static str,
    column_kind: &'static str,
    original_uri_base_ids: UriBases,
    results: Vec<ResultFields<'a>>,
    properties: RunProperties,
}

#[derive(Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Driver {
    name: &'static str,
    version: &'static str,
    semantic_version: &'static str,
    rules: Vec<RuleDescriptor>,
    notifications: Vec<NotificationDescriptor>,
}

#[derive(Serialize)]
struct UriBases {
    #[serde(rename = "%SRCROOT%")]
    top: UriBase,
}

#[derive(Serialize)]
struct UriBase {
    description: Text,
}

/// The counts of the report, which hold whatever was cut.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RunProperties {
    today: String,
    findings: usize,
    errors: usize,
    warnings: usize,
    notes: usize,
    more_results: usize,
    records: usize,
    held_back: usize,
    waived: usize,
}

fn sarif(report: &Report) -> Harmless {
    let beside = beside::all(report);
    let found = worst_first(report);
    let too_close = beside.iter().filter(|one| one.kind == Kind::TooClose);
    let too_close = too_close.filter_map(|one| Some((one.judged?, &*one.text)));
    let too_close: Vec<(&Judged, &str)> = too_close.collect();
    let names = found.iter().map(|found| found.told.rule());
    let names = names.chain(beside.iter().filter_map(|one| one.rule));
    let rules = Rules::new(report, names);
    let things = too_close
        .iter()
        .map(|(judged, _)| Identified::from(*judged));
    let things: Vec<Identified<'_>> = things.collect();
    let fingerprints = fingerprints(report, Kind::TooClose.id(), &things);
    let open = too_close.iter().copied().zip(fingerprints);
    let results = found
        .into_iter()
        .map(|found| ResultFields::of_finding(report, &rules, found));
    let open = open.map(|(one, fingerprint)| ResultFields::open(report, &rules, one, fingerprint));
    let all = results.chain(open);
    let n_all = report.findings.len() + too_close.len();
    let more_results = n_all.saturating_sub(MOST_RESULTS);
    let results: Vec<ResultFields<'_>> = all.take(MOST_RESULTS).collect();
    let log = Log {
        schema: SCHEMA,
        version: "2.1.0",
        runs: [Run {
            invocations: [Invocation::new(report, &rules, &beside, more_results)],
            tool: Tool {
                driver: Driver {
                    name: "swathlint",
                    version: env!("CARGO_PKG_VERSION"),
                    semantic_version: env!("CARGO_PKG_VERSION"),
                    notifications: NotificationDescriptor::all(),
                    rules: rules.descriptors,
                },
            },
            language: "en-US",
            column_kind: "unicodeCodePoints",
            original_uri_base_ids: UriBases {
                top: UriBase {
                    description: Text::of("The top of the repository that holds the records."),
                },
            },
            results,
            properties: RunProperties {
                today: dates::date(report.today),
                findings: report.findings.len(),
                errors: report.count(Severity::Error),
                warnings: report.count(Severity::Warning),
                notes: report.count(Severity::Note),
                more_results,
                records: report.counts.records,
                held_back: report.counts.held,
                waived: report.counts.waived,
            },
        }],
    };
    let mut out = serde_json::to_string(&log).expect("these structs hold only texts and numbers");
    out.push('\n');
    Harmless::json(&out)
}
