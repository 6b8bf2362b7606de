//! What explains a visit, as other programs want it.

use super::fact::{FactFields, number};
use super::place::PlaceFields;
use crate::finding::{CrossChecked, Explained, Suspected};
use crate::report::Report;
use crate::wording::facts;
use serde::Serialize;
use std::collections::BTreeMap;

/// A cause that may explain what a finding holds back.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct CauseFields<'a> {
    cause: &'a str,
    share: Option<f64>,
    about: &'static str,
    place: PlaceFields<'a>,
    implied: Option<String>,
    facts: BTreeMap<&'static str, FactFields<'a>>,
    agrees: Vec<CrossCheckFields>,
    denies: Vec<CrossCheckFields>,
}

/// A cross-check as written and with the cause mended, as ratios less one.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
struct CrossCheckFields {
    what: String,
    as_written: Option<f64>,
    mended: Option<f64>,
    expanded_uncertainty: Option<f64>,
}

/// The causes of an explanation, likeliest first.
pub(super) fn causes<'a>(report: &'a Report, explained: &'a Explained) -> Vec<CauseFields<'a>> {
    let causes = explained.causes();
    causes
        .map(|cause| CauseFields::new(report, cause))
        .collect()
}

impl<'a> CauseFields<'a> {
    fn new(report: &'a Report, suspected: &'a Suspected) -> Self {
        let facts = suspected.facts.iter();
        let checks = |all: &[CrossChecked]| all.iter().map(CrossCheckFields::new).collect();
        Self {
            cause: &suspected.id,
            share: number(suspected.share),
            about: suspected.about.word(),
            place: PlaceFields::new(report, suspected.subject),
            implied: suspected.implied.as_ref().map(facts::fact),
            facts: facts
                .map(|(slot, fact)| (*slot, FactFields::new(fact)))
                .collect(),
            agrees: checks(&suspected.agrees),
            denies: checks(&suspected.denies),
        }
    }
}

impl CrossCheckFields {
    fn new(check: &CrossChecked) -> Self {
        Self {
            what: facts::fact(&check.what),
            as_written: number(check.before),
            mended: number(check.after),
            expanded_uncertainty: number(check.expanded),
        }
    }
}
