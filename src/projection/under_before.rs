//! What the requirements of before would find in the records as they are, and those of now do not.
//!
//! A change that relaxes a requirement is shown with what it makes go away: both what was found before, and what it
//! brings itself.

use super::check::{Found, Settings, found};
use crate::assess::{Context, Merged};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::finding::{Judged, Of};
use crate::report::Told;
use crate::source::{Place, Span};
use crate::tree::listing::{FilePlace, place_of};
use crate::tree::{Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::facts::fact;
use crate::wording::relaxed::{self, Cause, NoLongerFound};
use std::collections::{BTreeMap, BTreeSet};

/// The check of now and of before.
pub(super) struct Checked<'c> {
    pub(super) context: &'c Context,
    pub(super) tree: &'c Tree,
    pub(super) found: &'c Found,
    pub(super) read: &'c ReadFile<'c>,
    pub(super) tree_before: &'c Tree,
    pub(super) read_before: &'c ReadFile<'c>,
    /// Paths whose contents may differ.
    pub(super) changed: &'c BTreeSet<String>,
}

/// Findings that only requirements of before would give, one a rule.
pub(super) fn no_longer_found(
    checked: &Checked<'_>,
    settings: &Settings,
    severity: Severity,
) -> Vec<Diagnostic> {
    let has_changed = |tree: &Tree, file| checked.changed.contains(tree.path(file));
    let (tree, tree_before) = (checked.tree, checked.tree_before);
    let all = [tree, tree_before];
    let group_changed = all
        .iter()
        .any(|tree| tree.of_the_group().any(|file| has_changed(tree, file)));
    let of_before: BTreeSet<&str> = requirements(tree_before);
    // A machine that is new is under its own file.
    let is_new = |machine: &str| {
        tree_before
            .machine(machine)
            .is_none_or(|own| own.machine_files.is_empty())
    };
    let of_now = tree
        .paths
        .iter()
        .map(String::as_str)
        .filter(|path| match place_of(path) {
            Some(
                FilePlace::Fleet
                | FilePlace::Waivers
                | FilePlace::HouseRule
                | FilePlace::HouseCause,
            )
            | None => false,
            Some(FilePlace::MachineFile { machine }) => is_new(machine),
            Some(_) => true,
        });
    let mixed = Listing {
        paths: of_now
            .chain(of_before.iter().copied())
            .map(str::to_owned)
            .collect(),
        ..Listing::default()
    };
    let read_mixed = |path: &str| {
        if of_before.contains(path) {
            (checked.read_before)(path)
        } else {
            (checked.read)(path)
        }
    };
    let mut mixed = Tree::of(&mixed);
    mixed.machines.retain(|machine| {
        let own = [tree, tree_before].map(|tree| tree.machine(&machine.id).map(|own| (tree, own)));
        let mut machine_files = own
            .into_iter()
            .flatten()
            .flat_map(|(tree, own)| own.machine_files.iter().map(move |file| (tree, *file)));
        group_changed && tree.machine(&machine.id).is_some()
            || machine_files.any(|(tree, file)| has_changed(tree, file))
    });
    if mixed.machines.is_empty() {
        return Vec::new();
    }
    let reader = Reader::new(Store::Passing(&read_mixed), &mixed);
    let mut context = Context::read(&reader, settings.today, Merged::new());
    context.declare_as_in(checked.context);
    let found = found(&context, &reader, &rule_by_rule(settings));
    let would = Would {
        found: &found,
        tree: &mixed,
        is_of_before: &|path| of_before.contains(path),
    };
    told(checked, &would, severity, Cause::Requirements, &|_| true)
}

/// Findings of before that are no more only because of new records of work or of what was sprayed, one a rule.
///
/// What was found before a change is not to be talked away by a record that comes with it, whatever else it is good for.
pub(super) fn gone_by_records(
    checked: &Checked<'_>,
    found_before: &Found,
    settings: &Settings,
    severity: Severity,
) -> Vec<Diagnostic> {
    let is_of_work = |path: &str| {
        let place = place_of(path);
        matches!(
            place,
            Some(FilePlace::Service { .. } | FilePlace::Application { .. })
        )
    };
    let (tree, tree_before) = (checked.tree, checked.tree_before);
    let of = |tree: &Tree| -> BTreeSet<String> {
        let files = tree.machines.iter().flat_map(MachineFiles::all);
        let paths = files.map(|file| tree.path(file).to_owned());
        paths.filter(|path| is_of_work(path)).collect()
    };
    let of_before = of(tree_before);
    let changed = |path: &String| checked.changed.contains(path);
    if !of(tree).iter().any(changed) {
        return Vec::new();
    }
    let of_now = tree.paths.iter().filter(|path| !is_of_work(path));
    let without = Listing {
        paths: of_now.chain(&of_before).cloned().collect(),
        ..Listing::default()
    };
    let read = |path: &str| {
        if of_before.contains(path) {
            (checked.read_before)(path)
        } else {
            (checked.read)(path)
        }
    };
    let mut without = Tree::of(&without);
    without.machines.retain(|machine| {
        let own = tree.machine(&machine.id).into_iter();
        own.flat_map(MachineFiles::all)
            .map(|file| tree.path(file))
            .any(|path| is_of_work(path) && checked.changed.contains(path))
    });
    let reader = Reader::new(Store::Passing(&read), &without);
    let context = Context::read(&reader, settings.today, Merged::new());
    let found = found(&context, &reader, &rule_by_rule(settings));
    let before = by_identity(found_before, tree_before);
    let would = Would {
        found: &found,
        tree: &without,
        is_of_before: &|path| of_before.contains(path) && checked.changed.contains(path),
    };
    // A note is no more than a word; with work that mends what it tells of, it goes.
    let was_found = |one: &Identity| before.get(one) > Some(&Severity::Note);
    told(checked, &would, severity, Cause::Records, &was_found)
}

/// What would be found is looked for by its rules, whatever explains it.
fn rule_by_rule(settings: &Settings) -> Settings {
    Settings {
        rule_by_rule: true,
        ..settings.clone()
    }
}

/// What is found with something left as it was before.
struct Would<'w> {
    found: &'w Found,
    tree: &'w Tree,
    /// Whether the file at a path is read as it was before.
    is_of_before: &'w dyn Fn(&str) -> bool,
}

/// A finding that would be there, with how much what it tells of would weigh, and how much it weighs now.
type Gone<'t> = (&'t Told, Severity, Option<Severity>);

/// What would be found and is not now, one finding a rule.
fn told(
    checked: &Checked<'_>,
    would: &Would<'_>,
    severity: Severity,
    cause: Cause,
    is_wanted: &dyn Fn(&Identity) -> bool,
) -> Vec<Diagnostic> {
    let (tree, mixed) = (checked.tree, would.tree);
    let now = by_identity(checked.found, tree);
    let mut gone: BTreeMap<&str, Vec<Gone<'_>>> = BTreeMap::new();
    for told in &would.found.findings {
        // What is wrong with a text is not relaxed; what a cause explains is found by its rules.
        let explained = told.explained().into_iter();
        let found = explained.flat_map(|explained| &explained.held);
        for judged in told.judged().into_iter().chain(found) {
            let own = identity(judged, mixed);
            let severity_now = now.get(&own).copied();
            if severity_now < Some(judged.severity) && is_wanted(&own) {
                let of_rule = gone.entry(&judged.name).or_default();
                of_rule.push((told, judged.severity, severity_now));
            }
        }
    }
    let told = gone.into_iter().filter_map(|(rule, mut all)| {
        all.sort_by_key(|(told, ..)| {
            let place = told.primary().place;
            (mixed.path(place.file), place.span)
        });
        let (first, weight, now) = *all.first()?;
        let place = place_now(first.primary().place, mixed, would.is_of_before, tree)?;
        Some(relaxed::no_longer_found(
            NoLongerFound {
                rule,
                cause,
                label: Label::new(place, first.message()),
                severity: weight,
                now,
                more: all.len() - 1,
            },
            severity,
        ))
    });
    told.collect()
}

/// The files that say what is asked: of the group, and of each machine.
fn requirements(tree: &Tree) -> BTreeSet<&str> {
    let machine_files = tree
        .machines
        .iter()
        .flat_map(|machine| machine.machine_files.iter().copied());
    tree.of_the_group()
        .chain(machine_files)
        .map(|file| tree.path(file))
        .collect()
}

/// Where a finding under the requirements of before stands now: a file of those has only its beginning.
fn place_now(
    place: Place,
    mixed: &Tree,
    is_of_before: &dyn Fn(&str) -> bool,
    tree: &Tree,
) -> Option<Place> {
    let path = mixed.path(place.file);
    let there = tree
        .paths
        .binary_search_by(|own| own.as_str().cmp(path))
        .ok();
    let any = (!tree.paths.is_empty()).then_some(0);
    let file = u32::try_from(there.or(any)?).ok()?;
    let is_same = there.is_some() && !is_of_before(path);
    Some(Place {
        file: crate::source::FileId(file),
        span: if is_same { place.span } else { Span::default() },
    })
}

/// What makes two findings tell of the same thing, whatever it is held against: what it is of, path and part.
type Identity = (Of, String, String);

fn identity(judged: &Judged, tree: &Tree) -> Identity {
    let path = tree.path(judged.subject.file).to_owned();
    (judged.about(), path, fact(&judged.at.part))
}

/// How much each thing weighs that is found, held back, or waived by name.
fn by_identity(found: &Found, tree: &Tree) -> BTreeMap<Identity, Severity> {
    let mut all: BTreeMap<Identity, Severity> = BTreeMap::new();
    let waived = found.waived.iter().map(|(told, _)| told);
    let judged = found
        .findings
        .iter()
        .chain(waived)
        .flat_map(|told| told.all_judged().chain(told.weak()));
    for judged in judged {
        let severity = all.entry(identity(judged, tree)).or_insert(judged.severity);
        *severity = (*severity).max(judged.severity);
    }
    all
}
