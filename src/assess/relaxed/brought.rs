//! What a change declares anew: setups and machines that its own records are judged by; and instruments and people,
//! whether a record of the change uses them or a later one will.

use crate::figure::is_worse_than_assumed;
use crate::record::instrument::Instrument;
use crate::record::{Calibration, Fleet, Machine};
use crate::source::{FileId, Place, Span, Spanned};
use crate::tree::{MachineFiles, Reader};
use crate::words;
use std::collections::BTreeSet;
use std::sync::Arc;

/// One thing that is declared anew.
pub(super) struct Brought {
    pub(super) place: Place,
    /// What it is: `setup greens`.
    pub(super) what: String,
    /// Which record uses it, and how; or that none of the change does.
    pub(super) used: String,
    pub(super) machine: Option<String>,
    /// Whether it is no more than worth a word.
    pub(super) is_note: bool,
}

/// Both sides, and the fleet files that count.
pub(super) struct Sides<'s> {
    pub(super) now: &'s Reader<'s>,
    pub(super) before: &'s Reader<'s>,
    pub(super) changed: &'s BTreeSet<String>,
    pub(super) fleets: (Option<FileId>, Option<FileId>),
}

/// A visit of the change, with its path.
struct Visit<'s> {
    path: &'s str,
    record: Arc<Calibration>,
}

/// All that the change brings.
pub(super) fn brought(sides: &Sides<'_>) -> Vec<Brought> {
    let mut all = Vec::new();
    let mut every = Vec::new();
    for files in &sides.now.tree.machines {
        let visits = visits(sides, files);
        if !visits.is_empty() {
            all.extend(of_machine(sides, files, &visits));
        }
        every.extend(visits);
    }
    let fleet =
        |reader: &Reader<'_>, file: Option<FileId>| reader.record::<Fleet>(file?).record.clone();
    if let Some(now) = fleet(sides.now, sides.fleets.0) {
        let before = fleet(sides.before, sides.fleets.1);
        all.extend(of_fleet(&now, before.as_deref(), &every));
    }
    all
}

fn visits<'s>(sides: &Sides<'s>, files: &MachineFiles) -> Vec<Visit<'s>> {
    let tree = sides.now.tree;
    let changed = files.calibrations.iter().filter(|file| {
        let path = tree.path(**file);
        sides.changed.contains(path) && !tree.is_refused(**file)
    });
    let visits = changed.filter_map(|file| {
        let record = sides.now.record::<Calibration>(*file).record.clone()?;
        let path = tree.path(*file);
        Some(Visit { path, record })
    });
    visits.collect()
}

fn of_machine(sides: &Sides<'_>, files: &MachineFiles, visits: &[Visit<'_>]) -> Vec<Brought> {
    let machine_file = |reader: &Reader<'_>, files: &MachineFiles| {
        let file = files
            .machine_files
            .iter()
            .find(|file| !reader.tree.is_refused(**file))?;
        reader.record::<Machine>(*file).record.clone()
    };
    let Some(now) = machine_file(sides.now, files) else {
        return Vec::new();
    };
    let before = sides.before.tree.machine(&files.id);
    let new = |span: Span, what: String, visit: &Visit<'_>| Brought {
        place: Place {
            file: now.file,
            span,
        },
        what,
        used: format!("{} is judged by it", visit.path),
        machine: Some(files.id.clone()),
        is_note: true,
    };
    let Some(before) = before.and_then(|own| machine_file(sides.before, own)) else {
        let span = now.id.as_ref().map_or(now.span, |id| id.span);
        let what = format!("machine file of {}", words::phrases::name(&files.id));
        let first = visits.first().map(|visit| new(span, what, visit));
        return first.into_iter().collect();
    };
    let is_new = |name: &str| before.setups.iter().all(|setup| setup.name.value != name);
    let setups = now.setups.iter().filter(|setup| is_new(&setup.name.value));
    let used = setups.filter_map(|setup| {
        let index = now.setup_index(Some(&setup.name));
        let uses = |visit: &&Visit<'_>| now.setup_index(visit.record.setup.as_ref()) == index;
        let visit = visits.iter().find(uses)?;
        let what = format!("setup {}", words::phrases::name(&setup.name.value));
        Some(new(setup.name.span, what, visit))
    });
    used.collect()
}

fn of_fleet(now: &Fleet, before: Option<&Fleet>, visits: &[Visit<'_>]) -> Vec<Brought> {
    let mut all = Vec::new();
    let new = |span: Span, what: String, used: String, is_note: bool| Brought {
        place: Place {
            file: now.file,
            span,
        },
        what,
        used,
        machine: None,
        is_note,
    };
    for (name, instrument) in &now.instruments {
        let was = before.is_some_and(|before| before.instruments.contains_key(name));
        if was || !is_worse_than_assumed(instrument) {
            continue;
        }
        let is_usual = now.usual.values().any(|usual| usual.value == *name);
        let uses = |visit: &&Visit<'_>| {
            is_usual
                || visit
                    .record
                    .instruments()
                    .any(|(_, one)| one.value == *name)
        };
        let used = told(visits.iter().find(uses), "is judged with it");
        all.push(new(
            instrument.span,
            described(name, instrument),
            used,
            false,
        ));
    }
    let asked_before = before.is_some_and(|before| !before.people.is_empty());
    for (name, person) in &now.people {
        let was = before.is_some_and(|before| before.people.contains_key(name));
        if was || !person.may_sign {
            continue;
        }
        let signs = |visit: &&Visit<'_>| {
            let record = &visit.record;
            let is_it = |one: Option<&Spanned<String>>| one.is_some_and(|one| one.value == *name);
            is_it(record.by.as_ref()) || is_it(record.checked_by.as_ref())
        };
        let signed = visits.iter().find(signs);
        if signed.is_none() && !asked_before {
            continue; // Where nobody was declared anybody could sign: to declare the first asks for more.
        }
        let what = format!("{}, who may sign,", words::phrases::name(name));
        let used = told(signed, "is signed so");
        all.push(new(person.span, what, used, true));
    }
    all
}

/// Which visit of the change uses what is new, and how; a later change that uses it shows nothing of it.
fn told(visit: Option<&Visit<'_>>, how: &str) -> String {
    match visit {
        Some(visit) => format!("{} {how}", visit.path),
        None => "no visit of this change uses it".to_owned(),
    }
}

/// An instrument with what makes it less exact than one that nothing is known of: `gauge g-9 (class 25)`.
fn described(name: &str, instrument: &Instrument) -> String {
    let kind = instrument.kind;
    let kind = kind.map_or("instrument", |kind| kind.value.words());
    let of = |key: &str, value: Option<String>| value.map(|value| format!("{key} {value}"));
    let quantity = |one: &Option<Spanned<crate::quantity::Quantity>>| {
        one.as_ref().map(|one| one.value.to_string())
    };
    let class = instrument.class.as_ref();
    let told: Vec<String> = [
        of("class", class.map(|class| class.value.to_string())),
        of("span", quantity(&instrument.span_of_scale)),
        of("tolerance", quantity(&instrument.tolerance)),
        of("graduation", quantity(&instrument.graduation)),
        of("timing", quantity(&instrument.timing)),
    ]
    .into_iter()
    .flatten()
    .collect();
    format!(
        "{kind} {} ({})",
        words::phrases::name(name),
        told.join(", ")
    )
}
