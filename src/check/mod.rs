//! Applies the rules to the figures in two strata and builds the report.
//!
//! Holds no rule of its own: as found and as left, causes, and the one note a test are the same for
//! every rule. Reads no file itself; sharded by machine, so that memory follows the largest history.

mod cause;
mod compared;
mod describe;
mod due;
mod failing;
mod family;
mod figures;
mod gather;
mod house;
mod landed;
mod listing;
mod naming;
mod outcomes;
mod places;
mod reading;
mod shard;
mod tally;
mod tell;
mod waive;
mod worn;

use crate::diagnostic::Diagnostic;
use crate::report::{Compared, Counts, Failure, Report};
use crate::rule;
use crate::source::{FileId, Sources};
use jiff::civil::Date;
use landed::Landed;
use rayon::prelude::*;
use reading::{Reader, Tree};
use shard::Context;
use std::collections::BTreeSet;

pub use compared::{Before, check_compared};
pub use describe::describe_rules;
pub use due::due;
pub use figures::figures;
pub use gather::WEAK_TEST;
pub use listing::{Listing, is_record, may_hold_records};
pub use reading::ReadFile;

/// What a run is asked for.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The day the check is made for.
    pub today: Date,
    /// Paths relative to the records' root whose findings are told; empty for all.
    pub selected: Vec<String>,
}

/// What a shard, or the fleet's own files, gave.
#[derive(Debug, Default)]
struct Part {
    findings: Vec<Diagnostic>,
    sources: Sources,
    counts: Counts,
    failures: Vec<Failure>,
}

impl Part {
    fn add(&mut self, other: Self) {
        let Self {
            findings,
            sources,
            counts,
            failures,
        } = other;
        self.findings.extend(findings);
        self.sources.merge(sources);
        self.failures.extend(failures);
        self.counts.add(&counts);
    }
}

/// Checks a tree of records.
///
/// Every file is read through `read`; what cannot be read is a failure of the report, never a panic.
/// The report does not depend on the number of threads.
pub fn check(listing: &Listing, read: &ReadFile<'_>, settings: &Settings) -> Report {
    let tree = Tree::of(listing);
    let reader = Reader::new(read, &tree);
    let whole = judged(&reader, settings, Landed::new());
    finish(whole, &reader, settings, None)
}

/// All that is found in the machines of a tree and in what is declared for them.
fn judged(reader: &Reader<'_>, settings: &Settings, landed: Landed) -> Part {
    let tree = reader.tree;
    let mut whole = Part::default();
    whole.counts.ignored = tree.ignored;
    let context = Context {
        landed,
        ..Context::read(reader, settings, &mut whole)
    };
    let parts: Vec<Part> = tree
        .machines
        .par_iter()
        .map(|machine| shard::check(reader, machine, &context))
        .collect();
    for part in parts {
        whole.add(part);
    }
    let is_gone = |id: &String| tree.machine(id).is_none();
    let of_gone = context
        .landed
        .iter()
        .filter(|(machine, _)| is_gone(machine));
    let of_gone = of_gone.filter_map(|(machine, changes)| landed::without_sheet(machine, changes));
    whole.findings.extend(of_gone);
    waive::apply(&mut whole, &context.group, tree, settings.today);
    whole
}

/// The coverage factor k where a group sets none: about 95 % (JCGM 100:2008, 6.3.3).
pub const COVERAGE_FACTOR: f64 = 2.0;

/// Sorts, selects, and keeps the text of every file a label of the report points into.
fn finish(
    whole: Part,
    reader: &Reader<'_>,
    settings: &Settings,
    compared: Option<Compared>,
) -> Report {
    let tree = reader.tree;
    let Part {
        mut findings,
        mut sources,
        counts,
        mut failures,
    } = whole;
    // What guards merged records is told whatever is asked for: a part of them is no place to hide the rest.
    findings.retain(|finding| {
        let path = tree.path(finding.primary().place.file);
        is_selected(path, &settings.selected) || rule::is_of_guard(finding.rule())
    });
    findings.sort_by(|one, other| {
        let order = |finding: &Diagnostic| (finding.primary().place, finding.rule().to_owned());
        order(one)
            .cmp(&order(other))
            .then_with(|| one.message().cmp(other.message()))
    });
    let labelled: BTreeSet<FileId> = findings
        .iter()
        .flat_map(|finding| std::iter::once(finding.primary()).chain(finding.related()))
        .map(|label| label.place.file)
        .collect();
    for file in labelled {
        if sources.get(file).is_none() {
            match reader.text(file) {
                Ok(source) => sources.keep(file, source),
                Err(failure) => failures.push(failure),
            }
        }
    }
    failures.sort();
    failures.dedup();
    Report {
        today: settings.today,
        findings,
        sources,
        paths: tree.paths.clone(),
        counts,
        failures,
        compared,
    }
}

/// Whether a path is one of those chosen, or lies in one; nothing chosen is everything.
fn is_selected(path: &str, selected: &[String]) -> bool {
    let within = |chosen: &str| {
        path.strip_prefix(chosen)
            .is_some_and(|rest| chosen.is_empty() || rest.is_empty() || rest.starts_with('/'))
    };
    selected.is_empty() || selected.iter().any(|chosen| within(chosen))
}
