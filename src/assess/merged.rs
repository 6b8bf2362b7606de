//! Merged records that were altered or deleted since the revision compared with, and whether a note tells of it.
//!
//! Compares values, leaf by leaf: comments, spacing, the order of keys and the notes themselves do not count. Machine
//! machine files, the fleet file, the waivers and house rules are living documents and are not looked at. A record that could not be
//! read when it was merged, or cannot be read now, has no values to compare; what is wrong with it is told elsewhere.

use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::figure::standing::{ChangeNote, MergedChange, MergedKind, ValueChange};
use crate::record::{is_begun, may_be_filled_in};
use crate::rule;
use crate::source::{FileId, Place, Span};
use crate::tree::{Failure, MachineFiles, Reader};
use crate::words;
use crate::yaml::{Node, Shape};
use std::borrow::Borrow;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// The key under which a record notes what was altered in it.
const AMENDS: &str = "amends";
/// The key under which a visit rules out causes: as notes are, entries are added to, and nothing is taken from them.
const CONFIRMED: &str = "confirmed";

/// What became of merged records, by machine.
pub type Merged = BTreeMap<String, Vec<MergedChange>>;

/// What became of the merged records among the paths that changed, and deleted ones that no file is left to tell of.
pub fn changes(
    now: &Reader<'_>,
    before: &Reader<'_>,
    changed: &BTreeSet<String>,
) -> (Merged, Vec<Failure>) {
    let comparing = Comparing {
        now,
        before,
        changed,
        noted: newly_noted(now, before),
        headings: RefCell::default(),
        untold: RefCell::default(),
    };
    let machines = before.tree.machines.iter();
    let merged = machines
        .map(|machine| (machine.id.clone(), comparing.of_machine(machine)))
        .filter(|(_, changes)| !changes.is_empty())
        .collect();
    let failure = |path| Failure {
        path,
        reason: "it was merged and is deleted, and no file is left that could note it".to_owned(),
    };
    let untold = comparing.untold.into_inner();
    (merged, untold.into_iter().map(failure).collect())
}

/// The notes of deletions, by path.
fn noted_deletions(reader: &Reader<'_>) -> BTreeMap<String, Vec<ChangeNote>> {
    let waivers = reader.tree.waivers.iter();
    let mut counting = waivers.filter(|file| !reader.tree.is_refused(**file));
    let noted = counting.next().and_then(|file| {
        reader.looked_into(*file, |root| {
            let items = root.get("deleted").into_iter().flat_map(Node::items);
            let mut noted: BTreeMap<String, Vec<ChangeNote>> = BTreeMap::new();
            for item in items {
                if let Some(path) = item.get("file").and_then(Node::text) {
                    let notes = noted.entry(path.to_owned()).or_default();
                    notes.push(note(item, "reason"));
                }
            }
            noted
        })
    });
    noted.unwrap_or_default()
}

/// What a note says, with the key of its reason.
fn note(item: Node<'_>, reason: &str) -> ChangeNote {
    let text = |key| item.get(key).and_then(Node::text).map(str::to_owned);
    ChangeNote {
        by: text("by"),
        why: text(reason),
    }
}

/// The paths whose deletion is noted since then: a note that was there before the record went is of another deletion.
fn newly_noted(now: &Reader<'_>, before: &Reader<'_>) -> BTreeMap<String, ChangeNote> {
    let known = noted_deletions(before);
    let noted = noted_deletions(now).into_iter();
    noted
        .filter_map(|(path, mut notes)| {
            let is_new = known
                .get(&path)
                .is_none_or(|known| notes.len() > known.len());
            Some((path, notes.pop().filter(|_| is_new)?))
        })
        .collect()
}

struct Comparing<'r> {
    now: &'r Reader<'r>,
    before: &'r Reader<'r>,
    changed: &'r BTreeSet<String>,
    noted: BTreeMap<String, ChangeNote>,
    /// Where a deletion would be noted, by file.
    headings: RefCell<BTreeMap<FileId, Span>>,
    /// Paths of deleted records that no file is left to tell of.
    untold: RefCell<Vec<String>>,
}

/// The records of a machine that land: all but its machine file.
fn records(machine: &MachineFiles) -> impl Iterator<Item = FileId> {
    let lists = [
        &machine.calibrations,
        &machine.services,
        &machine.applications,
    ];
    lists.into_iter().flatten().copied()
}

impl Comparing<'_> {
    fn of_machine(&self, machine: &MachineFiles) -> Vec<MergedChange> {
        let now = self.now.tree.machine(&machine.id);
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
        // The same values under another name are the same record.
        let mut added: BTreeMap<String, usize> = BTreeMap::new();
        // Other values of one kind and day in a new file are the record as it was altered, whatever its name.
        let mut replacing: BTreeMap<(String, String), Vec<FileId>> = BTreeMap::new();
        let values_before: BTreeSet<String> = gone
            .iter()
            .filter_map(|(_, file)| self.before.looked_into(*file, values_of_record))
            .collect();
        for (path, &file) in files_now.iter().rev() {
            if files_before.contains(path) {
                continue;
            }
            if let Some(values) = self.now.looked_into(file, values_of_record) {
                if !values_before.contains(&values)
                    && let Some(heading) = self.now.looked_into(file, heading)
                {
                    replacing.entry(heading).or_default().push(file);
                }
                *added.entry(values).or_default() += 1;
            }
        }
        for (path, file) in gone {
            let looked = self.before.looked_into(file, |root| {
                let is_renamed = take_one(&mut added, &values_of_record(root));
                (!is_renamed).then(|| Unlike::gone(root))
            });
            if let Some(Some(unlike)) = looked.filter(|unlike| {
                // A blank record may be put off to another day.
                !unlike.as_ref().is_some_and(Unlike::is_blank)
            }) {
                let heading = self.before.looked_into(file, heading);
                let place = heading.and_then(|heading| replacing.get_mut(&heading)?.pop());
                if let Some(altered) = place.and_then(|now| self.altered(path, file, now)) {
                    changes.push(altered);
                    continue;
                }
                match self.noted_in(now) {
                    Some(file) => changes.push(self.deleted(path, unlike, file)),
                    None => self.untold.borrow_mut().push(path.to_owned()),
                }
            }
        }
        changes
    }

    fn altered(&self, path: &str, before: FileId, now: FileId) -> Option<MergedChange> {
        let compared = self.before.looked_into(before, |was| {
            self.now.looked_into(now, |is| {
                let mut unlike = Unlike::between(was, is);
                let notes = Notes::between(was, is, AMENDS);
                unlike.lose(is, AMENDS, notes.lost.len());
                let confirmed = Notes::between(was, is, CONFIRMED);
                unlike.lose(is, CONFIRMED, confirmed.lost.len());
                let note = notes.new.filter(|_| notes.lost.is_empty());
                Some((unlike.first?, unlike, note))
            })
        });
        let (span, unlike, note) = compared???;
        Some(MergedChange {
            path: path.to_owned(),
            kind: MergedKind::Altered,
            place: Place { file: now, span },
            count: unlike.count,
            changes: unlike.changes,
            note,
        })
    }

    /// The file where a deletion would be noted, or the next best to point at; none where there is no file at all.
    fn noted_in(&self, now: Option<&MachineFiles>) -> Option<FileId> {
        let tree = self.now.tree;
        let machine_file = now.and_then(|machine| machine.machine_files.first().copied());
        let any = (!tree.paths.is_empty()).then_some(FileId(0));
        let any = tree.fleets.first().copied().or(any);
        tree.waivers.first().copied().or(machine_file).or(any)
    }

    fn deleted(&self, path: &str, unlike: Unlike, file: FileId) -> MergedChange {
        let mut headings = self.headings.borrow_mut();
        let span = *headings.entry(file).or_insert_with(|| {
            let span = self.now.looked_into(file, |root| {
                let heading = root.key("deleted").or(root.get("record"));
                heading.map_or(Span::new(0, 0), Node::span)
            });
            span.unwrap_or_default()
        });
        MergedChange {
            path: path.to_owned(),
            kind: MergedKind::Deleted,
            place: Place { file, span },
            count: unlike.count,
            changes: unlike.changes,
            note: self.noted.get(path).cloned(),
        }
    }
}

/// The kind and the day of a record.
fn heading(root: Node<'_>) -> (String, String) {
    let of = |key| root.get(key).map_or("", text).to_owned();
    (of("record"), of("date"))
}

/// Takes one of several alike out; whether there was one.
fn take_one<K: Borrow<str> + Ord>(counts: &mut BTreeMap<K, usize>, values: &str) -> bool {
    let left = counts.get_mut(values).filter(|left| **left > 0);
    left.map(|left| *left -= 1).is_some()
}

/// One step from a node to what it holds.
#[derive(Debug, Clone, Copy)]
enum Step<'n> {
    /// To the value of a key.
    Key(&'n str),
    /// To an item of a list, by its place, from 0; and whether the list has more than one, now or before.
    At(usize, bool),
}

/// What a node holds: the values of its keys, or its items; nothing where it is a value itself.
fn children(node: Node<'_>, is_root: bool) -> impl Iterator<Item = (Step<'_>, Node<'_>)> {
    let keyed = node
        .entries()
        .map(|(key, value)| (key.text().unwrap_or_default(), value));
    // The notes of what was altered are not what was recorded, and neither is what was ruled out since.
    let keyed = keyed.filter(move |(key, _)| !is_root || ![AMENDS, CONFIRMED].contains(key));
    let has_several = node.items().len() > 1;
    let listed = node.items().enumerate();
    let listed = listed.map(move |(at, item)| (Step::At(at, has_several), item));
    keyed
        .map(|(key, value)| (Step::Key(key), value))
        .chain(listed)
}

/// Whether a value as it was merged was left empty, to be filled in or taken out later: nothing was recorded there.
fn was_to_be_filled_in(root_now: Node<'_>, way: &[Step<'_>], before: Node<'_>) -> bool {
    match way.first() {
        Some(Step::Key(outermost)) => may_be_filled_in(root_now, outermost, before),
        Some(Step::At(..)) | None => false,
    }
}

fn is_value(node: Node<'_>) -> bool {
    node.entries().len() == 0 && node.items().len() == 0
}

fn text(node: Node<'_>) -> &str {
    node.text().unwrap_or_default()
}

/// All values of a record as one text, whatever the order of its keys; equal where the records are.
fn values_of_record(root: Node<'_>) -> String {
    let mut all = String::new();
    push_values(root, true, &mut all);
    all
}

/// All values of a machine file but its name, as one text.
pub(super) fn values_but_id(root: Node<'_>) -> String {
    let mut all = String::new();
    let mut entries: Vec<(&str, Node<'_>)> = root
        .entries()
        .filter_map(|(key, value)| Some((key.text()?, value)))
        .filter(|(key, _)| *key != "id")
        .collect();
    entries.sort_by_key(|(key, _)| *key);
    for (key, value) in entries {
        all.extend([&key.len().to_string(), "=", key]);
        push_values(value, false, &mut all);
    }
    all
}

fn push_values(node: Node<'_>, is_root: bool, all: &mut String) {
    if is_value(node) && !is_root {
        // Its length stands before a text, so that no text can look like something else.
        let text = text(node);
        all.extend([&text.len().to_string(), ":", text]);
        return;
    }
    let mut children: Vec<(Step<'_>, Node<'_>)> = children(node, is_root).collect();
    children.sort_by_key(|(step, _)| match step {
        Step::Key(key) => *key,
        Step::At(..) => "",
    });
    all.push('{');
    for (step, child) in children {
        if let Step::Key(key) = step {
            all.extend([&key.len().to_string(), "=", key]);
        }
        push_values(child, false, all);
    }
    all.push('}');
}

/// So many changes of a record are kept; the others are counted.
const MOST_KEPT: usize = 60;

/// The keys of a record below which its readings stand.
const OF_READINGS: [&str; 9] = [
    "catch-tests",
    "meter-tests",
    "speed-tests",
    "section-balance",
    "boom-end-pressure",
    "area",
    "volume",
    "tanks",
    "work",
];

/// The values that differ between a record as it was and as it is.
#[derive(Debug, Default)]
struct Unlike {
    changes: Vec<ValueChange>,
    count: usize,
    /// Where the first of them stands now.
    first: Option<Span>,
    /// Whether the record as it was is begun and not filled in: what comes to it fills it in. One that was altered before
    /// is not: somebody may have emptied it.
    is_begun: bool,
}

/// Which of two records is gone through, and which is looked at beside it.
#[derive(Clone, Copy, PartialEq)]
enum Side {
    Now,
    Before,
}

impl Unlike {
    /// As they stand now, then those that are gone.
    fn between(was: Node<'_>, is: Node<'_>) -> Self {
        let mut unlike = Self {
            is_begun: is_begun(was) && was.get(AMENDS).is_none(),
            ..Self::default()
        };
        unlike.walk(Side::Now, is, Some(was), is, &mut Vec::new());
        unlike.walk(Side::Before, was, Some(is), is, &mut Vec::new());
        unlike
    }

    /// Notes under a key that are gone or read otherwise now.
    fn lose(&mut self, is: Node<'_>, key: &str, lost: usize) {
        if lost == 0 {
            return;
        }
        self.count += 1;
        self.changes.push(ValueChange {
            what: key.to_owned(),
            is_reading: false,
            was: Some(words::phrases::plural(lost, "note")),
            is: None,
        });
        let heading = is.key(key).or(is.get("record"));
        self.first = self.first.or(heading.map(Node::span));
    }

    /// All of a record that is gone.
    fn gone(was: Node<'_>) -> Self {
        let mut unlike = Self {
            is_begun: is_begun(was) && was.get(AMENDS).is_none(),
            ..Self::default()
        };
        unlike.walk(Side::Before, was, None, was, &mut Vec::new());
        unlike
    }

    /// Whether it is a record that was begun, and in which nothing was read.
    fn is_blank(&self) -> bool {
        self.is_begun && !self.changes.iter().any(|change| change.is_reading)
    }

    fn walk<'n>(
        &mut self,
        side: Side,
        node: Node<'n>,
        beside: Option<Node<'n>>,
        root_now: Node<'n>,
        way: &mut Vec<Step<'n>>,
    ) {
        let is_root = way.is_empty();
        let before = match side {
            Side::Now => beside,
            Side::Before => Some(node),
        };
        let is_to_be = |before| self.is_begun && was_to_be_filled_in(root_now, way, before);
        if before.is_some_and(is_to_be) {
            return;
        }
        if is_value(node) && !is_root {
            let beside = beside.filter(|beside| is_value(*beside)).map(text);
            match side {
                Side::Now if beside.is_none() && self.is_begun => {}
                Side::Now if beside != Some(text(node)) => {
                    self.add(way, root_now, (beside, Some(text(node))));
                }
                Side::Before if beside.is_none() => {
                    self.add(way, root_now, (Some(text(node)), None));
                }
                Side::Now | Side::Before => {}
            }
            return;
        }
        let by_key: BTreeMap<&str, Node<'n>> = beside
            .into_iter()
            .flat_map(Node::entries)
            .filter_map(|(key, value)| Some((key.text()?, value)))
            .collect();
        let mut items = beside.into_iter().flat_map(Node::items);
        let n_beside = beside.map_or(0, |beside| beside.items().len());
        for (step, child) in children(node, is_root) {
            let (step, beside) = match step {
                Step::Key(key) => (step, by_key.get(key).copied()),
                Step::At(at, several) => (Step::At(at, several || n_beside > 1), items.next()),
            };
            way.push(step);
            self.walk(side, child, beside, root_now, way);
            way.pop();
        }
    }

    fn add(
        &mut self,
        way: &[Step<'_>],
        root_now: Node<'_>,
        (was, is): (Option<&str>, Option<&str>),
    ) {
        self.count += 1;
        if self.first.is_none() {
            self.first = Some(span_of(root_now, way));
        }
        let is_reading = is_reading(way, was.or(is));
        if self.changes.len() == MOST_KEPT {
            // The first stands where it is pointed at; of the others a reading takes the place of what is none.
            let given_up = self.changes.iter().rposition(|kept| !kept.is_reading);
            match given_up.filter(|at| is_reading && *at > 0) {
                Some(at) => self.changes.remove(at),
                None => return,
            };
        }
        self.changes.push(ValueChange {
            what: in_words(way),
            is_reading,
            was: was.map(str::to_owned),
            is: is.map(str::to_owned),
        });
    }
}

/// Whether a number was read for a test or an application.
fn is_reading(way: &[Step<'_>], value: Option<&str>) -> bool {
    let is_of_one = matches!(way.first(), Some(Step::Key(key)) if OF_READINGS.contains(key));
    is_of_one && value.is_some_and(|value| value.starts_with(|one: char| one.is_ascii_digit()))
}

/// What became of the notes under a key: they are added to, and nothing is taken from them.
struct Notes {
    /// The first one now that is unlike all that were there.
    new: Option<ChangeNote>,
    /// Those that are gone or read otherwise now.
    lost: Vec<String>,
}

impl Notes {
    fn between(was: Node<'_>, is: Node<'_>, key: &str) -> Self {
        let (were, are) = (notes(was, key), notes(is, key));
        let mut left: BTreeMap<&str, usize> = BTreeMap::new();
        for (_, text) in &are {
            *left.entry(text).or_default() += 1;
        }
        let known: BTreeSet<&String> = were.iter().map(|(_, text)| text).collect();
        let new = are.iter().find(|(_, text)| !known.contains(text));
        let lost = were
            .iter()
            .map(|(_, text)| text)
            .filter(|text| !take_one(&mut left, text.as_str()))
            .cloned()
            .collect();
        Self {
            new: new.map(|(item, _)| note(*item, "why")),
            lost,
        }
    }
}

/// The notes of a record, each with all of its values as one text.
fn notes<'n>(root: Node<'n>, key: &str) -> Vec<(Node<'n>, String)> {
    let notes = root.get(key).into_iter().flat_map(Node::items);
    let texts = notes.map(|note| {
        let mut all = String::new();
        push_values(note, false, &mut all);
        (note, all)
    });
    texts.collect()
}

/// Keys and places: `caught right 3rd`; the place in a list of one needs no words.
fn in_words(way: &[Step<'_>]) -> String {
    let parts = way.iter().filter_map(|step| match step {
        Step::Key(key) => Some(words::phrases::name(key)),
        Step::At(index, true) => Some(words::phrases::ordinal(index + 1).into()),
        Step::At(_, false) => None,
    });
    parts.collect::<Vec<_>>().join(" ")
}

/// Where a value stands; of one that is gone, the last key on the way to it that is still there.
fn span_of(root: Node<'_>, way: &[Step<'_>]) -> Span {
    let mut node = root;
    let mut span = root.get("record").map_or(Span::new(0, 0), Node::span);
    for step in way {
        let next = match step {
            Step::Key(name) => {
                span = root_key(node, name).unwrap_or(span);
                node.get(name)
            }
            Step::At(index, _) => node.items().nth(*index),
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

/// What no rule can judge, because the machine has no machine file that can be read, or nothing at all.
pub fn without_machine_file(machine: &str, changes: &[MergedChange]) -> Option<Diagnostic> {
    let open: Vec<&MergedChange> = changes.iter().filter(|change| !change.is_noted()).collect();
    let first = open.first()?;
    let (verb, number) = (
        if open.len() == 1 { "was" } else { "were" },
        words::phrases::plural(open.len(), "merged record"),
    );
    let message = format!(
        "{number} of {machine} {verb} altered or deleted without a note, and its machine file is missing: {}",
        first.path,
    );
    Some(
        Diagnostic::new(
            rule::WITHOUT_MACHINE_FILE,
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
