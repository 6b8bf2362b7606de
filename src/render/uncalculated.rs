//! What records lack for the figures that could not be calculated, and where: the first few, one line each.
//!
//! Finds nothing: says what the report has.

use crate::render::location::ToldPath;
use crate::render::{clean, location};
use crate::report::Report;
use crate::source::Place;
use crate::words::phrases::{list_some, plural};
use std::collections::BTreeMap;

/// So much of what is missing is told; the JSON lines tell all.
const MOST_TOLD: usize = 5;

/// What is missing at one place, with the figures that need it.
#[derive(Debug)]
pub(crate) struct Missing {
    /// The place, as `path:line:column`.
    pub(crate) place: String,
    /// What is missing there, and which rules need it.
    pub(crate) text: String,
}

/// What is missing, in the order of its places, and how much more there is.
#[derive(Debug, Default)]
pub(crate) struct AllMissing {
    /// The first few.
    pub(crate) told: Vec<Missing>,
    /// What is not told, and who tells it; none where all is told.
    pub(crate) more: Option<String>,
}

/// What is missing for the figures of a report.
pub(crate) fn of(report: &Report, told_path: &ToldPath<'_>) -> AllMissing {
    let mut rules: BTreeMap<(Place, &str), Vec<&str>> = BTreeMap::new();
    let mut order: Vec<(Place, &str)> = Vec::new();
    // What a record lacks can be written down; the rest only time can tell, or `due`.
    let lacking = report.not_computed.iter().filter(|one| one.is_lacking);
    for one in lacking {
        let key = (one.place, one.because.as_str());
        let of_key = rules.entry(key).or_insert_with(|| {
            order.push(key);
            Vec::new()
        });
        if of_key.last() != Some(&one.rule.as_str()) {
            of_key.push(&one.rule);
        }
    }
    let more = order.len().saturating_sub(MOST_TOLD);
    let told = order.into_iter().take(MOST_TOLD).map(|key| {
        let (place, because) = key;
        let at = location::of(report, place);
        let path = told_path(report.path(place.file));
        let path = clean::text(&path);
        let rules = list_some(&rules[&key], "and");
        Missing {
            place: format!("{path}:{}:{}", at.line.0, at.column.0),
            text: clean::text(&format!("{because} [{rules}]")).into_owned(),
        }
    });
    AllMissing {
        told: told.collect(),
        more: (more > 0).then(|| format!("{} in `--format jsonl`", plural(more, "more line"))),
    }
}
