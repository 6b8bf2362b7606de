//! What differs between the records as they were and as they are: both are checked, what is found in both is held back.
//!
//! Asks no version control: which files changed, and what was in them, is given. Checks only machines that changed; all
//! of them where the fleet file, the waivers or a rule of the group's own did.

use super::check::{self, Found, Settings, is_selected};
use super::under_before::{Checked, gone_by_records, no_longer_found};
use crate::assess::{
    Context, Merged, Renamed, grade_before, limits_before, merged_changes, of_grade, relaxed,
};
use crate::diagnostic::{Diagnostic, NOT_FILLED_IN, Severity};
use crate::report::{Compared, Report, Told};
use crate::source::FileId;
use crate::tree::{Listing, MachineFiles, ReadFile, Reader, Store, Tree};
use crate::wording::facts::fact;
use crate::wording::relaxed::relaxed as in_words;
use std::collections::{BTreeMap, BTreeSet};

/// The records as they were at the revision compared with.
pub struct Before<'a> {
    /// The revision, as the user names it.
    pub revision: &'a str,
    /// The commit the records stood at, in full.
    pub commit: &'a str,
    /// The files there were.
    pub listing: &'a Listing,
    /// Reads one of them.
    pub read: &'a ReadFile<'a>,
    /// Paths whose contents may differ, on either side.
    pub changed: &'a BTreeSet<String>,
}

/// Checks a tree of records and tells what was not found in it as it was before.
///
/// A finding is the same where rule, severity, path and message are, and it holds back nothing more; the line it stands on
/// may have moved.
///
/// Where a machine was renamed, its records as they were are taken under the new name.
pub fn check_compared(
    listing: &Listing,
    read: &ReadFile<'_>,
    before: &Before<'_>,
    settings: &Settings,
) -> Report {
    let (tree, tree_before) = (Tree::of(listing), Tree::of(before.listing));
    let (reader, reader_before) = (
        Reader::new(Store::Passing(read), &tree),
        Reader::new(Store::Passing(before.read), &tree_before),
    );
    let renamed = Renamed::find(&reader, &reader_before);
    if renamed.is_empty() {
        return checked(listing, read, before, settings, Vec::new());
    }
    let before = Before {
        listing: &renamed.listing(before.listing),
        read: &|path: &str| renamed.read(path, before.read),
        changed: &renamed.changed(before.changed),
        ..*before
    };
    checked(listing, read, &before, settings, renamed.told(&reader))
}

/// What is told beside what is found `already`.
fn checked(
    listing: &Listing,
    read: &ReadFile<'_>,
    before: &Before<'_>,
    settings: &Settings,
    already: Vec<Diagnostic>,
) -> Report {
    let (mut tree, mut tree_before) = (Tree::of(listing), Tree::of(before.listing));
    let n_machines = tree.machines.len();
    let wanted = Wanted::of(&tree, &tree_before, before.changed);
    wanted.leave_in(&mut tree);
    wanted.leave_in(&mut tree_before);
    let passed_over = n_machines - tree.machines.len();
    let (reader, reader_before) = (
        Reader::new(Store::Passing(read), &tree),
        Reader::new(Store::Passing(before.read), &tree_before),
    );
    let (merged, untold) = merged_changes(&reader, &reader_before, before.changed);
    let mut context = Context::read(&reader, settings.today, merged);
    let context_before = Context::read(&reader_before, settings.today, Merged::new());
    context.guards_before = limits_before(&context_before);
    let mut found = check::found(&context, &reader, settings);
    let found_before = check::found(&context_before, &reader_before, settings);
    let checked = Checked {
        context: &context,
        tree: &tree,
        found: &found,
        read,
        tree_before: &tree_before,
        read_before: before.read,
        changed: before.changed,
    };
    // Where nothing was merged, nothing was asked.
    let grade = grade_before(&context_before).filter(|_| !before.listing.paths.is_empty());
    let asked_less = match grade {
        Some(grade) => {
            let severity = of_grade(grade);
            let rules = &context_before.group.rules;
            let all = relaxed(
                &reader,
                &reader_before,
                rules,
                before.changed,
                settings.today,
            );
            let mut told: Vec<Diagnostic> = all.iter().map(|one| in_words(one, severity)).collect();
            told.extend(no_longer_found(&checked, settings, severity));
            let by_records = gone_by_records(&checked, &found_before, settings, severity);
            told.extend(by_records);
            told
        }
        None => Vec::new(),
    };
    let mut same = counted(&found_before, &tree_before, settings);
    let n_before: usize = same.values().map(Vec::len).sum();
    let mut unchanged = 0;
    found.findings.retain(|finding| {
        // A record that was merged before it was filled in is told of until it is.
        if finding.rule() == NOT_FILLED_IN {
            return true;
        }
        let Some(left) = same.get_mut(&Same::of(finding, &tree)) else {
            return true;
        };
        let held = held_by(finding, &tree);
        // What holds back more than before hides something new.
        let Some(at) = left.iter().position(|before| held.is_subset(before)) else {
            return true;
        };
        left.swap_remove(at);
        unchanged += 1;
        false
    });
    let faults = already.into_iter().chain(asked_less);
    found.findings.extend(faults.map(Told::fault));
    let failures = found_before.failures.into_iter().map(|mut failure| {
        failure.reason = format!("as it was at {}: {}", before.revision, failure.reason);
        failure
    });
    found.failures.extend(failures.chain(untold));
    let compared = Compared {
        revision: before.revision.to_owned(),
        base: before.commit.to_owned(),
        unchanged,
        gone: n_before - unchanged,
        passed_over,
    };
    found.finish(&context, &reader, settings, Some(compared))
}

/// What makes two findings the same.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Same {
    rule: String,
    severity: Severity,
    path: String,
    message: String,
}

impl Same {
    fn of(finding: &Told, tree: &Tree) -> Self {
        Self {
            rule: finding.rule().to_owned(),
            severity: finding.severity(),
            path: tree.path(finding.primary().place.file).to_owned(),
            message: finding.message().to_owned(),
        }
    }
}

/// What a finding holds back: rule, severity, path and part of each.
type HeldBack = BTreeSet<(String, Severity, String, String)>;

fn held_by(finding: &Told, tree: &Tree) -> HeldBack {
    let held = finding.held_judged().iter();
    let held = held.map(|held| {
        let path = tree.path(held.subject.file).to_owned();
        (held.name.clone(), held.severity, path, fact(&held.at.part))
    });
    held.collect()
}

/// What each finding held back, of those asked for.
fn counted(before: &Found, tree: &Tree, settings: &Settings) -> BTreeMap<Same, Vec<HeldBack>> {
    let mut found: BTreeMap<Same, Vec<HeldBack>> = BTreeMap::new();
    for finding in &before.findings {
        let same = Same::of(finding, tree);
        let is_counted = same.rule != NOT_FILLED_IN;
        if is_counted && is_selected(&same.path, &settings.selected) {
            found.entry(same).or_default().push(held_by(finding, tree));
        }
    }
    found
}

/// The machines to be checked.
#[derive(Debug)]
enum Wanted {
    All,
    Some(BTreeSet<String>),
}

impl Wanted {
    fn of(tree: &Tree, before: &Tree, changed: &BTreeSet<String>) -> Self {
        let mut machines = BTreeSet::new();
        for tree in [tree, before] {
            let has_changed = |file: FileId| changed.contains(tree.path(file));
            if tree.of_the_group().any(has_changed) {
                return Self::All;
            }
            let of_changed = tree
                .machines
                .iter()
                .filter(|machine| machine.all().any(has_changed));
            machines.extend(of_changed.map(|machine| machine.id.clone()));
        }
        Self::Some(machines)
    }

    /// Takes the other machines out of a tree.
    fn leave_in(&self, tree: &mut Tree) {
        let Self::Some(wanted) = self else { return };
        let machines = std::mem::take(&mut tree.machines);
        let (checked, others): (Vec<MachineFiles>, Vec<_>) = machines
            .into_iter()
            .partition(|machine| wanted.contains(&machine.id));
        tree.machines = checked;
        tree.passed_over = others.into_iter().map(|machine| machine.id).collect();
    }
}
