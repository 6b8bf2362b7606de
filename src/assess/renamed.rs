//! Machines that were renamed: their file, their folders and their name in every record, all at once.
//!
//! The records as they were are seen under the new names, so that a rename is one change and what is altered beside it is
//! found as ever. Nothing else of the machine file may differ: a machine that is another one is not the same renamed.

use super::merged::values_but_id;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::rule::RENAMED;
use crate::source::{FileId, Place, Span};
use crate::tree::listing::{FilePlace, place_of};
use crate::tree::{Listing, MachineFiles, ReadFile, Reader};
use crate::words;
use crate::yaml::{self, Node};
use std::collections::{BTreeMap, BTreeSet};

/// The names that machines had and have.
#[derive(Debug, Default)]
pub struct Renamed {
    /// The new name by the old one.
    names: BTreeMap<String, String>,
    /// The old name by the new one.
    back: BTreeMap<String, String>,
}

impl Renamed {
    /// The machines that have another name now, where nothing else of their files differs.
    pub fn find(now: &Reader<'_>, before: &Reader<'_>) -> Self {
        let mut gone = by_values(before, now);
        if gone.is_empty() {
            return Self::default();
        }
        let names = by_values(now, before)
            .into_iter()
            .filter_map(|(values, is)| {
                // Of two machines alike nobody can tell which is which.
                match (&gone.remove(&values)?[..], &is[..]) {
                    ([was], [is]) => Some((was.clone(), is.clone())),
                    _ => None,
                }
            });
        let names: BTreeMap<String, String> = names.collect();
        let back = names.iter().map(|(was, is)| (is.clone(), was.clone()));
        Self {
            back: back.collect(),
            names,
        }
    }

    /// Whether none was.
    pub fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// A listing of before under the new names.
    pub fn listing(&self, before: &Listing) -> Listing {
        let paths = before.paths.iter();
        Listing {
            paths: paths.map(|path| moved(path, &self.names)).collect(),
            ..before.clone()
        }
    }

    /// The paths that changed, also under the new names.
    pub fn changed(&self, changed: &BTreeSet<String>) -> BTreeSet<String> {
        let moved = changed.iter().map(|path| moved(path, &self.names));
        moved.chain(changed.iter().cloned()).collect()
    }

    /// What a file of before reads as under the new names; `path` has the new one.
    ///
    /// # Errors
    /// Where the file of before cannot be read.
    pub fn read(&self, path: &str, before: &ReadFile<'_>) -> Result<Vec<u8>, String> {
        let bytes = before(&moved(path, &self.back))?;
        Ok(match place_of(path) {
            Some(_) => self.rewritten(path, bytes),
            None => bytes,
        })
    }

    /// The text with the new names in the place of the old ones; as it is where it cannot be read.
    fn rewritten(&self, path: &str, bytes: Vec<u8>) -> Vec<u8> {
        let file = FileId(0);
        let decoded = yaml::decode(file, bytes.clone());
        let parsed = yaml::parse(file, &decoded.text);
        let Some(root) = parsed.tree.root() else {
            return bytes;
        };
        let mut spans = Vec::new();
        let is_machine_file = matches!(place_of(path), Some(FilePlace::MachineFile { .. }));
        if let Some(id) = root.get("id").filter(|_| is_machine_file) {
            self.name(id, &mut spans);
        }
        self.names_below(root, &mut spans);
        spans.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
        let mut text = decoded.text.clone();
        for (span, name) in spans {
            text.replace_range(span.range(), &format!("{name:?}"));
        }
        text.into_bytes()
    }

    fn names_below(&self, node: Node<'_>, spans: &mut Vec<(Span, String)>) {
        for (key, value) in node.entries() {
            match key.text() {
                Some("machine") => self.name(value, spans),
                Some("at-machine") => value.entries().for_each(|(key, _)| self.name(key, spans)),
                Some("record" | "file") => {
                    let path = value.text().unwrap_or_default();
                    let is = moved(path, &self.names);
                    if is != path {
                        spans.push((value.span(), is));
                    }
                }
                _ => {}
            }
            self.names_below(value, spans);
        }
        node.items().for_each(|item| self.names_below(item, spans));
    }

    fn name(&self, node: Node<'_>, spans: &mut Vec<(Span, String)>) {
        if let Some(name) = node.text().and_then(|was| self.names.get(was)) {
            spans.push((node.span(), name.clone()));
        }
    }

    /// One note a machine.
    pub fn told(&self, now: &Reader<'_>) -> Vec<Diagnostic> {
        let notes = self.names.iter().filter_map(|(was, is)| {
            let machine = now.tree.machine(is)?;
            let machine_file = *machine.machine_files.first()?;
            let span = now.looked_into(machine_file, |root| root.get("id").map(Node::span));
            let place = Place {
                file: machine_file,
                span: span.flatten().unwrap_or_default(),
            };
            let records = words::phrases::plural(machine.all().count() - 1, "record");
            let message = format!(
                "{} is renamed to {}, with its machine file and {records}",
                words::phrases::name(was),
                words::phrases::name(is),
            );
            let label = Label::new(place, format!("was {}", words::phrases::name(was)));
            let note = Diagnostic::new(RENAMED, Severity::Note, message, label);
            Some(note.of_machine(is.clone()))
        });
        notes.collect()
    }
}

/// The machines that only one of two trees has, by all that their files say but the name, which is as the file's.
fn by_values(here: &Reader<'_>, there: &Reader<'_>) -> BTreeMap<String, Vec<String>> {
    let mut by_values: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let only_here = here.tree.machines.iter();
    let only_here = only_here.filter(|machine| there.tree.machine(&machine.id).is_none());
    for machine in only_here {
        if let Some(values) = values(here, machine) {
            by_values
                .entry(values)
                .or_default()
                .push(machine.id.clone());
        }
    }
    by_values
}

fn values(reader: &Reader<'_>, machine: &MachineFiles) -> Option<String> {
    let [machine_file] = machine.machine_files[..] else {
        return None;
    };
    let values = reader.looked_into(machine_file, |root| {
        let id = root.get("id").and_then(Node::text);
        (id == Some(&machine.id)).then(|| values_but_id(root))
    });
    values.flatten()
}

/// The path under another name of its machine, where that has one.
fn moved(path: &str, names: &BTreeMap<String, String>) -> String {
    let machine = match place_of(path) {
        Some(
            FilePlace::MachineFile { machine }
            | FilePlace::Calibration { machine }
            | FilePlace::Service { machine }
            | FilePlace::Application { machine },
        ) => machine,
        Some(
            FilePlace::Fleet | FilePlace::Waivers | FilePlace::HouseRule | FilePlace::HouseCause,
        )
        | None => {
            return path.to_owned();
        }
    };
    let (Some(name), Some((folder, rest))) = (names.get(machine), path.split_once('/')) else {
        return path.to_owned();
    };
    format!("{folder}/{name}{}", &rest[machine.len()..])
}
