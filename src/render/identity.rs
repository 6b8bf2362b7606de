//! What names a thing found from one run to the next, for services that keep a list of what is open.

use crate::finding::{Explained, Judged};
use crate::report::{Report, Told};
use crate::source::{FileId, Place, Span};
use crate::tree::spots;
use std::collections::BTreeMap;

/// A thing found, as far as its identity goes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Identified<'a> {
    /// The rule, or the name of the fault.
    pub(crate) rule: &'a str,
    /// The machine, where it concerns one.
    pub(crate) machine: Option<&'a str>,
    /// Where it stands.
    pub(crate) place: Place,
    /// What a rule made of a figure, where that is what was found.
    pub(crate) judged: Option<&'a Judged>,
}

impl<'a> From<&'a Told> for Identified<'a> {
    fn from(told: &'a Told) -> Self {
        // Which cause is likeliest may change with any reading; what is over its limit stays.
        if let Some(heaviest) = told.explained().and_then(Explained::heaviest) {
            return Self::from(heaviest);
        }
        Self {
            rule: told.rule(),
            machine: told.machine(),
            place: told.primary().place,
            judged: told.judged(),
        }
    }
}

impl<'a> From<&'a Judged> for Identified<'a> {
    fn from(judged: &'a Judged) -> Self {
        Self {
            rule: &judged.name,
            machine: Some(&judged.at.machine),
            place: judged.subject,
            judged: Some(judged),
        }
    }
}

/// What names each of these things, which is different for each: rule, machine, record, and the path to the value in
/// its file with the items of lists by their own names.
///
/// It stays where lines move, where another reading is edited, and where the value itself is, as long as it is found.
/// Of things that are alike in all of that, the first keeps the name and the others are counted.
pub(crate) fn identities(report: &Report, things: &[Identified<'_>]) -> Vec<String> {
    let spots = spots_of(report, things);
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    let things = things.iter().zip(spots);
    things
        .map(|(thing, spot)| {
            let name = identity(report, thing, &spot);
            let n = known.entry(name.clone()).or_default();
            *n += 1;
            match *n {
                1 => name,
                n => format!("{name}\n#{n}"),
            }
        })
        .collect()
}

fn identity(report: &Report, thing: &Identified<'_>, spot: &str) -> String {
    let Identified {
        rule,
        machine,
        place,
        judged,
    } = thing;
    let own = report.path(place.file);
    // A finding on a test may point at the latest of many applications: its record is the test's.
    let record = judged.and_then(|judged| judged.key.record);
    let record = record.map_or(own, |record| report.path(record));
    let kind = own.split('/').next().unwrap_or_default();
    let mut parts = vec![*rule, machine.unwrap_or_default(), record, kind, spot];
    let part = judged.map(|judged| judged.key.part.id());
    let about = judged.map(Judged::about);
    if let Some((_, step, setup, stage)) = &about {
        parts.extend([
            step.unwrap_or_default(),
            setup.as_deref().unwrap_or_default(),
            stage.unwrap_or_default(),
            part.as_deref().unwrap_or_default(),
        ]);
    }
    parts.join("\n")
}

/// The path to each place in its file; each file is read once.
fn spots_of(report: &Report, things: &[Identified<'_>]) -> Vec<String> {
    let mut by_file: BTreeMap<FileId, Vec<(usize, Span)>> = BTreeMap::new();
    for (at, thing) in things.iter().enumerate() {
        let Place { file, span } = thing.place;
        by_file.entry(file).or_default().push((at, span));
    }
    let mut all = vec![String::new(); things.len()];
    for (file, wanted) in by_file {
        let Some(source) = report.sources.get(file) else {
            continue;
        };
        let spans: Vec<Span> = wanted.iter().map(|(_, span)| *span).collect();
        let found = spots(file, source.text(), &spans);
        for ((at, _), spot) in wanted.into_iter().zip(found) {
            all[at] = spot;
        }
    }
    all
}
