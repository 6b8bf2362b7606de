//! The files of a tree by machine, and what each is: read, decoded, parsed, validated, lowered.

use super::Part;
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::record::{self, Fleet, Lowered, Waivers};
use crate::report::Failure;
use crate::rule::{self, RuleSet};
use crate::schema::{self, Kind};
use crate::source::{FileId, LARGEST_TEXT, Place, SourceFile, Span, too_large};
use crate::yaml::{self, Node};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The files of a tree of records.
#[derive(Debug, Clone, Default)]
pub struct Listing {
    /// Paths relative to the records' root, `/` between parts, in any order.
    pub paths: Vec<String>,
    /// How many YAML files stand outside the known places.
    pub ignored: usize,
}

/// Reads one file by its path relative to the records' root; an error is a fragment that says why not.
pub type ReadFile<'a> = dyn Fn(&str) -> Result<Vec<u8>, String> + Sync + 'a;

/// The files of a tree, sorted, by what they are for.
#[derive(Debug)]
pub(super) struct Tree {
    /// Every path, sorted; a file's id is its place here.
    pub(super) paths: Vec<String>,
    pub(super) fleet: Option<FileId>,
    pub(super) waivers: Option<FileId>,
    pub(super) house_rules: Vec<FileId>,
    /// By name.
    pub(super) machines: Vec<MachineFiles>,
    pub(super) ignored: usize,
    /// Machines that are left out because a comparison has nothing to tell of them.
    pub(super) passed_over: BTreeSet<String>,
}

/// Keys of ours that readers of YAML 1.1 take for true: the day of an amendment, or of a deletion.
const KEYS_READ_DIFFERENTLY: &[&str] = &["on"];

/// The files of one machine.
#[derive(Debug, Default)]
pub(super) struct MachineFiles {
    pub(super) id: String,
    pub(super) index: u32,
    pub(super) sheets: Vec<FileId>,
    pub(super) calibrations: Vec<FileId>,
    pub(super) services: Vec<FileId>,
    pub(super) applications: Vec<FileId>,
}

impl MachineFiles {
    /// Every file of the machine.
    pub(super) fn all(&self) -> impl Iterator<Item = FileId> {
        let lists = [
            &self.sheets,
            &self.calibrations,
            &self.services,
            &self.applications,
        ];
        lists.into_iter().flatten().copied()
    }
}

impl Tree {
    pub(super) fn of(listing: &Listing) -> Self {
        let mut paths = listing.paths.clone();
        paths.sort();
        paths.dedup();
        let mut tree = Self {
            fleet: None,
            waivers: None,
            house_rules: Vec::new(),
            machines: Vec::new(),
            ignored: listing.ignored,
            paths: Vec::new(),
            passed_over: BTreeSet::new(),
        };
        let mut machines: BTreeMap<String, MachineFiles> = BTreeMap::new();
        for (index, path) in (0_u32..).zip(&paths) {
            let id = FileId(index);
            let parts: Vec<&str> = path.split('/').collect();
            match parts.as_slice() {
                [name] if stem(name) == "fleet" => tree.fleet = tree.fleet.or(Some(id)),
                [name] if stem(name) == "waivers" => tree.waivers = tree.waivers.or(Some(id)),
                ["house-rules", _] => tree.house_rules.push(id),
                ["machines", name] => files_of(&mut machines, stem(name)).sheets.push(id),
                ["calibrations", machine, _] => {
                    files_of(&mut machines, machine).calibrations.push(id);
                }
                ["service", machine, _] => files_of(&mut machines, machine).services.push(id),
                ["applications", machine, _] => {
                    files_of(&mut machines, machine).applications.push(id);
                }
                _ => tree.ignored += 1,
            }
        }
        tree.machines = (0_u32..)
            .zip(machines)
            .map(|(index, (id, files))| MachineFiles { id, index, ..files })
            .collect();
        tree.paths = paths;
        tree
    }

    /// The files that concern every machine: the fleet file, the waivers, the group's own rules.
    pub(super) fn of_the_group(&self) -> impl Iterator<Item = FileId> {
        let own_rules = self.house_rules.iter().copied();
        own_rules.chain(self.fleet).chain(self.waivers)
    }

    /// The files of a machine.
    pub(super) fn machine(&self, id: &str) -> Option<&MachineFiles> {
        let at = self
            .machines
            .binary_search_by(|machine| machine.id.as_str().cmp(id));
        at.ok().map(|at| &self.machines[at])
    }

    pub(super) fn path(&self, file: FileId) -> &str {
        &self.paths[file.0 as usize]
    }

    /// The file's name without its ending.
    pub(super) fn stem(&self, file: FileId) -> &str {
        let path = self.path(file);
        stem(path.rsplit('/').next().unwrap_or(path))
    }
}

fn files_of<'m>(
    machines: &'m mut BTreeMap<String, MachineFiles>,
    machine: &str,
) -> &'m mut MachineFiles {
    machines.entry(machine.to_owned()).or_default()
}

fn stem(name: &str) -> &str {
    name.strip_suffix(".yaml")
        .or_else(|| name.strip_suffix(".yml"))
        .unwrap_or(name)
}

/// Reads files of a tree.
pub(super) struct Reader<'a> {
    read: &'a ReadFile<'a>,
    pub(super) tree: &'a Tree,
}

impl<'a> Reader<'a> {
    pub(super) fn new(read: &'a ReadFile<'a>, tree: &'a Tree) -> Self {
        Self { read, tree }
    }

    fn decoded(&self, file: FileId) -> Result<yaml::Decoded, Failure> {
        let path = self.tree.path(file);
        let bytes = (self.read)(path).map_err(|reason| Failure {
            path: path.to_owned(),
            reason,
        })?;
        if bytes.len() > LARGEST_TEXT {
            return Err(Failure {
                path: path.to_owned(),
                reason: too_large(),
            });
        }
        Ok(yaml::decode(file, bytes))
    }

    /// What can be seen in a file whose text and YAML have no fault; whether they have is told where it is judged.
    pub(super) fn looked_into<T>(
        &self,
        file: FileId,
        look: impl FnOnce(Node<'_>) -> T,
    ) -> Option<T> {
        let decoded = self.decoded(file).ok()?;
        let parsed = yaml::parse(file, &decoded.text);
        let is_fault = |problem: &Diagnostic| problem.severity() == Severity::Error;
        if parsed.problems.iter().any(is_fault) || !decoded.problems.is_empty() {
            return None;
        }
        parsed.tree.root().map(look)
    }

    /// The text of a file, for labels.
    pub(super) fn text(&self, file: FileId) -> Result<Arc<SourceFile>, Failure> {
        let decoded = self.decoded(file)?;
        Ok(Arc::new(SourceFile::new(
            self.tree.path(file),
            decoded.text,
        )))
    }

    /// Reads a record of the wanted kind and lowers it.
    ///
    /// None where nothing can be made of it; then a finding or a failure tells why, and the text is
    /// counted as unreadable. A schema fault leaves the record, less what is wrong.
    pub(super) fn record<T>(
        &self,
        file: FileId,
        wanted: Kind,
        lower: impl FnOnce(FileId, Node<'_>) -> Lowered<T>,
        part: &mut Part,
    ) -> Option<T> {
        part.counts.records += 1;
        let earlier = part.findings.len();
        let decoded = match self.decoded(file) {
            Ok(decoded) => decoded,
            Err(failure) => {
                part.failures.push(failure);
                part.counts.unreadable += 1;
                return None;
            }
        };
        let is_text = decoded.problems.is_empty();
        part.findings.extend(decoded.problems);
        let parsed = yaml::parse(file, &decoded.text);
        let is_yaml = !parsed
            .problems
            .iter()
            .any(|problem| problem.severity() == Severity::Error);
        part.findings.extend(parsed.problems);
        let root = parsed.tree.root().filter(|_| is_text && is_yaml);
        let lowered = root.and_then(|root| match schema::kind_of(file, root) {
            Ok(kind) if kind == wanted => {
                part.findings.extend(schema::check(kind, file, root));
                Some(lower(file, root))
            }
            Ok(kind) => {
                part.findings
                    .push(Self::unlike_folder(file, root, kind, wanted));
                None
            }
            Err(finding) => {
                part.findings.push(finding);
                None
            }
        });
        let Some(lowered) = lowered else {
            if is_text && is_yaml && root.is_none() {
                part.findings.push(Self::empty(file, wanted));
            }
            part.counts.unreadable += 1;
            return None;
        };
        part.findings.extend(lowered.problems);
        let told = &part.findings[earlier..];
        let is_news = |finding: &Diagnostic| {
            let place = finding.primary().place;
            // What is wrong for us too is told once.
            told.iter().all(|told| told.primary().place != place)
        };
        let differently =
            root.map(|root| yaml::read_differently(file, root, KEYS_READ_DIFFERENTLY));
        let news = differently.into_iter().flatten().filter(is_news);
        part.findings.extend(news.collect::<Vec<_>>());
        Some(lowered.record)
    }

    fn unlike_folder(file: FileId, root: Node<'_>, kind: Kind, wanted: Kind) -> Diagnostic {
        let span = root.get("record").map_or(root.span(), Node::span);
        let place = Place { file, span };
        let message = format!(
            "a record of kind {} in the place of a {}",
            kind.word(),
            wanted.word(),
        );
        Diagnostic::new(
            "unlike-folder",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help("move the file to the folder of its kind, or correct its kind")
    }

    fn empty(file: FileId, wanted: Kind) -> Diagnostic {
        let place = Place {
            file,
            span: Span::new(0, 0),
        };
        let message = format!("the file is empty; a {} is wanted here", wanted.word());
        Diagnostic::new(
            "not-a-record",
            Severity::Error,
            message,
            Label::new(place, ""),
        )
        .help(format!(
            "begin it with record: {}, or delete it",
            wanted.word()
        ))
    }
}

/// What the group declares: the fleet file and the rules.
#[derive(Debug)]
pub(super) struct Group {
    pub(super) fleet: Option<Fleet>,
    pub(super) waivers: Option<Waivers>,
    pub(super) rules: RuleSet,
}

/// So many rules of its own a group has at most: every one of them is run on every record.
const MOST_HOUSE_RULES: usize = 200;

fn too_many_rules(first_left_out: FileId) -> Diagnostic {
    let place = Place {
        file: first_left_out,
        span: Span::new(0, 0),
    };
    let message = format!(
        "there are more than {MOST_HOUSE_RULES} house rules; this one and those after it are not run"
    );
    let label = Label::new(place, "");
    Diagnostic::new("too-many-rules", Severity::Error, message, label)
        .help("delete rules that are no longer used")
}

pub(super) fn group(reader: &Reader<'_>, tree: &Tree, part: &mut Part) -> Group {
    let fleet = tree
        .fleet
        .and_then(|file| reader.record(file, Kind::Fleet, record::lower_fleet, part));
    let waivers = tree
        .waivers
        .and_then(|file| reader.record(file, Kind::Waivers, record::lower_waivers, part));
    let mut own = Vec::new();
    if let Some(&file) = tree.house_rules.get(MOST_HOUSE_RULES) {
        part.findings.push(too_many_rules(file));
        part.counts.rules_not_run += tree.house_rules.len() - MOST_HOUSE_RULES;
    }
    for &file in tree.house_rules.iter().take(MOST_HOUSE_RULES) {
        part.counts.records += 1;
        let decoded = match reader.decoded(file) {
            Ok(decoded) => decoded,
            Err(failure) => {
                part.failures.push(failure);
                part.counts.unreadable += 1;
                continue;
            }
        };
        let loaded = rule::load(file, &decoded.text);
        let is_text = decoded.problems.is_empty();
        part.findings.extend(decoded.problems);
        part.findings.extend(loaded.problems);
        match loaded.rule.filter(|_| is_text) {
            Some(rule) => own.push(rule),
            None => part.counts.rules_not_run += 1,
        }
    }
    Group {
        fleet,
        waivers,
        rules: RuleSet::built_in().with(own),
    }
}
