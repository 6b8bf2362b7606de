//! What a report has beside its findings, item by item: what is held back, waived, too close to call, a weak point, not
//! calculated, or not read.
//!
//! Finds nothing: puts what the report has into one list, for formats that are no lines.

use crate::diagnostic::Diagnostic;
use crate::finding::{Judged, NotComputed};
use crate::outcome::Verdict;
use crate::report::{Failure, Report, Told, ToldWaived};
use crate::source::{FileId, Place};
use crate::wording::{facts, findings};
use crate::words::dates;
use std::collections::{BTreeMap, BTreeSet};

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    /// A file that could not be read, or a record that nothing can be made of.
    NotRead,
    /// A finding that a waiver lets pass.
    Waived,
    /// A figure that a rule asked for and that cannot be calculated.
    NotCalculated,
    /// A figure within its limit by less than its uncertainty.
    TooClose,
    /// What makes a test prove less than it could.
    Weakens,
    /// What follows from a finding.
    HeldBack,
}

impl Kind {
    /// Every kind, in the order of [`all`].
    pub(crate) const ALL: [Self; 6] = [
        Self::NotRead,
        Self::Waived,
        Self::NotCalculated,
        Self::TooClose,
        Self::Weakens,
        Self::HeldBack,
    ];

    /// The word for programs.
    pub(crate) const fn id(self) -> &'static str {
        match self {
            Self::NotRead => "not-read",
            Self::Waived => "waived",
            Self::NotCalculated => "not-calculated",
            Self::TooClose => "undecided",
            Self::Weakens => "weakens",
            Self::HeldBack => "held-back",
        }
    }

    /// The words for people.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::NotRead => "not read",
            Self::Waived => "waived",
            Self::NotCalculated => "not calculated",
            Self::TooClose => "too close to call",
            Self::Weakens => "weak point",
            Self::HeldBack => "related finding not shown",
        }
    }

    /// What it is, in one sentence.
    pub(crate) const fn about(self) -> &'static str {
        match self {
            Self::NotRead => {
                "A file that could not be read, or a record that makes no sense as a whole."
            }
            Self::Waived => "A finding that a waiver lets pass.",
            Self::NotCalculated => "A figure that a rule needs and that cannot be calculated.",
            Self::TooClose => "A figure within its limit by less than its uncertainty.",
            Self::Weakens => {
                "A weak point of a test: the test is valid, and would tell more without it."
            }
            Self::HeldBack => "Something that follows from a finding and is not told by itself.",
        }
    }
}

/// One item beside the findings; record text in it is not yet cleaned.
#[derive(Debug)]
pub(crate) struct Beside<'a> {
    /// What it is.
    pub(crate) kind: Kind,
    /// The rule, where it is of one.
    pub(crate) rule: Option<&'a str>,
    /// The machine, where it concerns one.
    pub(crate) machine: Option<&'a str>,
    /// The file, relative to the records' root.
    pub(crate) path: &'a str,
    /// Where it stands; none of a file that could not be read.
    pub(crate) place: Option<Place>,
    /// What there is to say, in one line.
    pub(crate) text: String,
    /// What a rule made of a figure.
    pub(crate) judged: Option<&'a Judged>,
}

/// Everything beside the findings: kind by kind, and within that in the order of the report.
pub(crate) fn all(report: &Report) -> Vec<Beside<'_>> {
    let mut all: Vec<Beside<'_>> = not_read(report);
    all.extend(report.waived.iter().map(|waived| of_waived(report, waived)));
    let not_computed = report.not_computed.iter();
    all.extend(not_computed.map(|one| of_not_computed(report, one)));
    let waived = report.waived.iter().map(|waived| &waived.told);
    for told in report.findings.iter().chain(waived) {
        let held = told.held_judged().iter();
        all.extend(held.map(|held| of_judged(report, Kind::HeldBack, held)));
        let weak = told.weak().into_iter();
        all.extend(weak.map(|weak| of_judged(report, kind_of_weak(weak), weak)));
    }
    // Stable: within a kind in the order of the findings.
    all.sort_by_key(|one| one.kind);
    all
}

const fn kind_of_weak(weak: &Judged) -> Kind {
    match weak.verdict {
        Verdict::Undecided(_, _) => Kind::TooClose,
        Verdict::Fail(_) | Verdict::Pass => Kind::Weakens,
    }
}

/// What was found of a figure and its limit: `nozzle 3 of 13 (left, 3rd): 9.5 ± 1.1 %; at most 10 %`.
fn of_judged<'a>(report: &'a Report, kind: Kind, judged: &'a Judged) -> Beside<'a> {
    let part = facts::fact(&judged.at.part);
    let limit = limit(judged).map_or_else(String::new, |limit| format!("; {limit}"));
    Beside {
        kind,
        rule: Some(&judged.name),
        machine: Some(&judged.at.machine),
        path: report.path(judged.subject.file),
        place: Some(judged.subject),
        text: format!("{part}: {}{limit}", findings::amount(judged)),
        judged: Some(judged),
    }
}

/// The limit that something was held against, with its direction; none where there is none.
pub(crate) fn limit(judged: &Judged) -> Option<String> {
    let (_, limit) = judged.limit.as_ref()?;
    Some(limit.bound.in_full())
}

fn of_waived<'a>(report: &'a Report, waived: &'a ToldWaived) -> Beside<'a> {
    let ToldWaived {
        told,
        waiver: _,
        until,
        because,
    } = waived;
    let until = until.map(|day| format!("; waived until {}", dates::date(day)));
    let because = because.as_ref().map(|why| format!(": {why}"));
    let text = [
        told.message(),
        until.as_deref().unwrap_or_default(),
        because.as_deref().unwrap_or_default(),
    ];
    let place = told.primary().place;
    Beside {
        kind: Kind::Waived,
        rule: Some(told.rule()),
        machine: told.machine(),
        path: report.path(place.file),
        place: Some(place),
        text: text.concat(),
        judged: told.judged(),
    }
}

fn of_not_computed<'a>(report: &'a Report, one: &'a NotComputed) -> Beside<'a> {
    Beside {
        kind: Kind::NotCalculated,
        rule: Some(&one.rule),
        machine: Some(&one.at.machine),
        path: report.path(one.place.file),
        place: Some(one.place),
        text: one.because.clone(),
        judged: None,
    }
}

/// Each file that could not be read, then each record that nothing can be made of.
fn not_read(report: &Report) -> Vec<Beside<'_>> {
    let failed: BTreeSet<&str> = report.failures.iter().map(|one| &*one.path).collect();
    let mut first: BTreeMap<FileId, &Told> = BTreeMap::new();
    for finding in &report.findings {
        let words: &Diagnostic = finding;
        for label in std::iter::once(words.primary()).chain(words.related()) {
            first.entry(label.place.file).or_insert(finding);
        }
    }
    let of_record = |place: &Place| {
        let finding = first.get(&place.file);
        let why = finding.map_or("", |finding| finding.message());
        let mark = if why.is_empty() { "" } else { ": " };
        Beside {
            kind: Kind::NotRead,
            rule: finding.map(|finding| finding.rule()),
            machine: finding.and_then(|finding| finding.machine()),
            path: report.path(place.file),
            place: Some(*place),
            text: format!("nothing can be made of it{mark}{why}"),
            judged: None,
        }
    };
    let records = report.not_read.iter();
    let records = records.filter(|place| !failed.contains(report.path(place.file)));
    let failures = report.failures.iter().map(of_failure);
    failures.chain(records.map(of_record)).collect()
}

fn of_failure(failure: &Failure) -> Beside<'_> {
    Beside {
        kind: Kind::NotRead,
        rule: None,
        machine: None,
        path: &failure.path,
        place: None,
        text: format!("could not read: {}", failure.reason),
        judged: None,
    }
}
