//! Findings as services want them: worst first, each with a fingerprint that is its own and stays.
//!
//! Orders and hashes; what names a finding is known to `identity`.

use crate::render::identity::{Identified, identities};
use crate::report::{Report, Told};
use crate::rule::is_guard;
use sha1_smol::Sha1;
use std::cmp::Reverse;

/// A finding with its fingerprint.
#[derive(Debug)]
pub(crate) struct Found<'a> {
    /// The finding.
    pub(crate) told: &'a Told,
    /// What names it from one run to the next, as 40 hexadecimal digits.
    pub(crate) fingerprint: String,
}

/// The findings, worst first by the heaviest that each is or holds back, and within that in canonical order.
pub(crate) fn worst_first(report: &Report) -> Vec<Found<'_>> {
    let things: Vec<Identified<'_>> = report.findings.iter().map(Identified::from).collect();
    // Named in canonical order: what each is called does not depend on how much it weighs.
    let fingerprints = fingerprints(report, "finding", &things);
    let findings = report.findings.iter().zip(fingerprints);
    let mut found: Vec<Found<'_>> = findings
        .map(|(told, fingerprint)| Found { told, fingerprint })
        .collect();
    // What a guard found is never cut away by whatever else a change brings.
    found.sort_by_key(|found| {
        let told = found.told;
        (Reverse(told.heaviest()), !is_guard(told.rule()))
    });
    found
}

/// The fingerprint of each of some things of a kind, different for each.
pub(crate) fn fingerprints(report: &Report, kind: &str, things: &[Identified<'_>]) -> Vec<String> {
    let identities = identities(report, things).into_iter();
    identities
        .map(|identity| hash(&format!("{kind}\n{identity}")))
        .collect()
}

/// 40 hexadecimal digits that stand for a text.
pub(crate) fn hash(text: &str) -> String {
    Sha1::from(text).digest().to_string()
}
