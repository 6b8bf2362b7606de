//! Landed records that were altered or deleted since the revision compared with, and whether a note tells of it.
//!
//! Compares values, leaf by leaf: comments, spacing, the order of keys and the notes themselves do not count. Machine
//! sheets, the fleet file, the waivers and house rules are living documents and are not looked at. A record that could not be
//! read when it landed, or cannot be read now, has no values to compare; what is wrong with it is told elsewhere.

use super::reading::{MachineFiles, Reader};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::standing::{LandedChange, LandedKind, ValueChange};
use crate::source::{FileId, Place, Span};
use crate::words;
use crate::yaml::{Node, Shape};
use std::collections::{BTreeMap, BTreeSet};

/// The key under which a record notes what was altered in it.
const AMENDS: &str = "amends";

/// What became of landed records, by machine.
pub(super) type Landed = BTreeMap<String, Vec<LandedChange>>;

/// What became of the landed records among the paths that changed.
pub(super) fn changes(now: &Reader<'_>, before: &Reader<'_>, changed: &BTreeSet<String>) -> Landed {
    let comparing = Comparing {
        now,
        before,
        changed,
        noted: noted_deletions(now),
    };
    let machines = before.tree.machines.iter();
    machines
        .map(|machine| (machine.id.clone(), comparing.of_machine(machine)))
        .filter(|(_, changes)| !changes.is_empty())
        .collect()
}

/// The paths of records whose deletion is noted.
fn noted_deletions(now: &Reader<'_>) -> BTreeSet<String> {
    let waivers = now.tree.waivers.iter();
    let mut counting = waivers.filter(|file| !now.tree.is_refused(**file));
    let noted = counting.next().and_then(|file| {
        now.looked_into(*file, |root| {
            let items = root.get("deleted").into_iter().flat_map(Node::items);
            let paths = items.filter_map(|item| Some(item.get("file")?.text()?.to_owned()));
            paths.collect()
        })
    });
    noted.unwrap_or_default()
}

struct Comparing<'r> {
    now: &'r Reader<'r>,
    before: &'r Reader<'r>,
    changed: &'r BTreeSet<String>,
    noted: BTreeSet<String>,
}

/// The records of a machine that land: all but its sheet.
fn records(machine: &MachineFiles) -> impl Iterator<Item = FileId> {
    let lists = [
        &machine.calibrations,
        &machine.services,
        &machine.applications,
    ];
    lists.into_iter().flatten().copied()
}

impl Comparing<'_> {
    fn of_machine(&self, machine: &MachineFiles) -> Vec<LandedChange> {
        let mut machines = self.now.tree.machines.iter();
        let now = machines.find(|now| now.id == machine.id);
        let files_now: BTreeMap<&str, FileId> = now
            .into_iter()
            .flat_map(records)
            .map(|file| (self.now.tree.path(file), file))
            .collect();
        let mut changes = Vec::new();
        let mut gone = Vec::new();
        for file in records(machine) {
            let path = self.before.tree.path(file);
            if !self.changed.contains(path) {
                continue;
            }
            match files_now.get(path) {
                Some(&file_now) => changes.extend(self.altered(path, file, file_now)),
                None => gone.push((path, file)),
            }
        }
        if gone.is_empty() {
            return changes;
        }
        let files_before: BTreeSet<&str> = records(machine)
            .map(|file| self.before.tree.path(file))
            .collect();
        let mut added: Vec<Values> = files_now
            .iter()
            .filter(|(path, _)| !files_before.contains(*path))
            .filter_map(|(_, &file)| self.now.looked_into(file, Values::of))
            .collect();
        for (path, file) in gone {
            let Some(values) = self.before.looked_into(file, Values::of) else {
                continue;
            };
            // The same values under another name are the same record.
            match added.iter().position(|added| added.are(&values)) {
                Some(at) => {
                    added.swap_remove(at);
                }
                None => changes.push(self.deleted(path, &values, now)),
            }
        }
        changes
    }

    fn altered(&self, path: &str, before: FileId, now: FileId) -> Option<LandedChange> {
        let was = self.before.looked_into(before, Values::of)?;
        let (is, place) = self.now.looked_into(now, |root| {
            let is = Values::of(root);
            let place = was.first_unlike(&is).map(|leaf| place_of(root, &leaf));
            (is, place)
        })?;
        let span = place?;
        Some(LandedChange {
            path: path.to_owned(),
            kind: LandedKind::Altered,
            place: Place { file: now, span },
            changes: was.changes(&is),
            is_noted: is.has_a_note_more(&was),
        })
    }

    fn deleted(&self, path: &str, values: &Values, now: Option<&MachineFiles>) -> LandedChange {
        let tree = self.now.tree;
        let sheet = now.and_then(|machine| machine.sheets.first().copied());
        let any = (!tree.paths.is_empty()).then_some(FileId(0));
        let any = tree.fleets.first().copied().or(any);
        let file = tree.waivers.first().copied().or(sheet).or(any);
        let file = file.expect("a check of no file at all is refused before");
        let span = self.now.looked_into(file, |root| {
            let heading = root.key("deleted").or(root.get("record"));
            heading.map_or(Span::new(0, 0), Node::span)
        });
        LandedChange {
            path: path.to_owned(),
            kind: LandedKind::Deleted,
            place: Place {
                file,
                span: span.unwrap_or_default(),
            },
            changes: values.changes(&Values::default()),
            is_noted: self.noted.contains(path),
        }
    }
}

/// One step from a node to what it holds.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    /// To the value of a key.
    Key(String),
    /// To an item of a list, by its place, from 0.
    At(usize),
}

/// The way from the root to a value.
type Way = Vec<Step>;

/// The values of a record.
#[derive(Debug, Default)]
struct Values {
    leaves: BTreeMap<Way, String>,
    /// The ways in the order of the record.
    order: Vec<Way>,
    /// The notes of what was altered, each with its own values.
    notes: Vec<BTreeMap<Way, String>>,
}

impl Values {
    fn of(root: Node<'_>) -> Self {
        let mut values = Self::default();
        for (key, value) in root.entries() {
            let key = key.text().unwrap_or_default();
            if key == AMENDS {
                values.notes = value.items().map(leaves_of).collect();
            } else {
                values.add(vec![Step::Key(key.to_owned())], value);
            }
        }
        values
    }

    fn add(&mut self, way: Way, node: Node<'_>) {
        let mut is_empty = true;
        let beyond = |step: Step| {
            let mut beyond = way.clone();
            beyond.push(step);
            beyond
        };
        for (key, value) in node.entries() {
            let key = key.text().unwrap_or_default().to_owned();
            self.add(beyond(Step::Key(key)), value);
            is_empty = false;
        }
        for (index, item) in node.items().enumerate() {
            self.add(beyond(Step::At(index)), item);
            is_empty = false;
        }
        if is_empty {
            let text = node.text().unwrap_or_default().to_owned();
            self.order.push(way.clone());
            self.leaves.insert(way, text);
        }
    }

    fn are(&self, others: &Self) -> bool {
        self.leaves == others.leaves
    }

    /// The ways to values that differ: as they stand now, then those that are gone.
    fn unlike<'v>(&'v self, now: &'v Self) -> impl Iterator<Item = &'v Way> {
        let differs = |way: &&Way| self.leaves.get(*way) != now.leaves.get(*way);
        let gone = |way: &&Way| !now.leaves.contains_key(*way);
        now.order
            .iter()
            .filter(differs)
            .chain(self.order.iter().filter(gone))
    }

    fn first_unlike(&self, now: &Self) -> Option<Way> {
        self.unlike(now).next().cloned()
    }

    fn changes(&self, now: &Self) -> Vec<ValueChange> {
        self.unlike(now)
            .map(|way| ValueChange {
                what: in_words(way, &[self, now]),
                was: self.leaves.get(way).cloned(),
                is: now.leaves.get(way).cloned(),
            })
            .collect()
    }

    /// Whether there is a note now that was not there before.
    fn has_a_note_more(&self, before: &Self) -> bool {
        let mut known: Vec<_> = before.notes.iter().collect();
        self.notes
            .iter()
            .any(|note| match known.iter().position(|known| *known == note) {
                Some(at) => {
                    known.swap_remove(at);
                    false
                }
                None => !note.is_empty(),
            })
    }

    /// Whether a list has more than the one item a way leads to.
    fn has_several(&self, way: &[Step]) -> bool {
        let mut second = way.to_vec();
        if let Some(last) = second.last_mut() {
            *last = Step::At(1);
        }
        let mut from_second = self.leaves.range(second.clone()..);
        from_second
            .next()
            .is_some_and(|(way, _)| way.starts_with(&second[..second.len() - 1]))
    }
}

fn leaves_of(node: Node<'_>) -> BTreeMap<Way, String> {
    let mut values = Values::default();
    values.add(Vec::new(), node);
    values.leaves
}

/// Keys and places: `caught right 3rd`; the place in a list of one needs no words.
fn in_words(way: &Way, sides: &[&Values]) -> String {
    let parts = way.iter().enumerate().filter_map(|(at, step)| match step {
        Step::Key(key) => Some(key.clone()),
        Step::At(index) => sides
            .iter()
            .any(|side| side.has_several(&way[..=at]))
            .then(|| words::phrases::ordinal(index + 1)),
    });
    parts.collect::<Vec<_>>().join(" ")
}

/// Where a value stands; of one that is gone, the last key on the way to it that is still there.
fn place_of(root: Node<'_>, way: &Way) -> Span {
    let mut node = root;
    let mut span = root.get("record").map_or(Span::new(0, 0), Node::span);
    for step in way {
        let next = match step {
            Step::Key(name) => {
                span = root_key(node, name).unwrap_or(span);
                node.get(name)
            }
            Step::At(index) => node.items().nth(*index),
        };
        match next {
            Some(next) => node = next,
            None => return span,
        }
    }
    // An empty value has no character to point at.
    if node.shape() == Shape::Scalar && !node.span().is_empty() {
        node.span()
    } else {
        span
    }
}

fn root_key(node: Node<'_>, name: &str) -> Option<Span> {
    node.key(name).map(Node::span)
}

/// What no rule can judge, because the machine has no sheet that can be read, or nothing at all.
pub(super) fn without_sheet(machine: &str, changes: &[LandedChange]) -> Option<Diagnostic> {
    let open: Vec<&LandedChange> = changes.iter().filter(|change| !change.is_noted).collect();
    let first = open.first()?;
    let (verb, number) = (
        if open.len() == 1 { "was" } else { "were" },
        words::phrases::plural(open.len(), "landed record"),
    );
    let message = format!(
        "{number} of {machine} {verb} altered or deleted without a note, and it has no sheet by which to judge them: \
         {}",
        first.path,
    );
    Some(
        Diagnostic::new(
            "landed-without-sheet",
            Severity::Error,
            message,
            Label::new(first.place, ""),
        )
        .help(format!(
            "bring back what is gone, machines/{machine}.yaml first; or note it: under amends in a record, under deleted \
             in waivers.yaml"
        ))
        .of_machine(machine),
    )
}
