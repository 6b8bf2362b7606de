//! The files of a tree by machine, and what each is: read, decoded, parsed, validated, lowered.

use super::listing::{FilePlace, Listing, place_of, stem};
use super::naming::{self, Refusal};
use super::{Part, house};
use crate::diagnostic::{Diagnostic, Label, Severity};
use crate::record::{self, Fleet, Lowered, Waivers};
use crate::report::Failure;
use crate::rule::RuleSet;
use crate::schema::{self, Kind};
use crate::source::{FileId, LARGEST_TEXT, Place, SourceFile, Span, too_large};
use crate::yaml::{self, Node};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Reads one file by its path relative to the records' root; an error is a fragment that says why not.
pub type ReadFile<'a> = dyn Fn(&str) -> Result<Vec<u8>, String> + Sync + 'a;

/// The files of a tree, sorted, by what they are for.
#[derive(Debug)]
pub(super) struct Tree {
    /// Every path, sorted; a file's id is its place here.
    pub(super) paths: Vec<String>,
    /// Fleet files; one of them counts at most.
    pub(super) fleets: Vec<FileId>,
    /// Files of waivers; one of them counts at most.
    pub(super) waivers: Vec<FileId>,
    pub(super) house_rules: Vec<FileId>,
    /// By name.
    pub(super) machines: Vec<MachineFiles>,
    pub(super) ignored: usize,
    /// Machines that are left out because a comparison has nothing to tell of them.
    pub(super) passed_over: BTreeSet<String>,
    /// Why files do not count, though they are in a known place.
    pub(super) refusals: Vec<Refusal>,
    /// The files that do not count.
    refused: BTreeSet<FileId>,
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
            fleets: Vec::new(),
            waivers: Vec::new(),
            house_rules: Vec::new(),
            machines: Vec::new(),
            ignored: listing.ignored,
            paths: Vec::new(),
            passed_over: BTreeSet::new(),
            refusals: Vec::new(),
            refused: BTreeSet::new(),
        };
        (tree.refusals, tree.refused) = naming::refusals(&paths);
        let mut machines: BTreeMap<String, MachineFiles> = BTreeMap::new();
        for (index, path) in (0_u32..).zip(&paths) {
            let id = FileId(index);
            let files = match place_of(path) {
                Some(FilePlace::Fleet) => &mut tree.fleets,
                Some(FilePlace::Waivers) => &mut tree.waivers,
                Some(FilePlace::HouseRule) => &mut tree.house_rules,
                Some(FilePlace::Sheet { machine }) => &mut files_of(&mut machines, machine).sheets,
                Some(FilePlace::Calibration { machine }) => {
                    &mut files_of(&mut machines, machine).calibrations
                }
                Some(FilePlace::Service { machine }) => {
                    &mut files_of(&mut machines, machine).services
                }
                Some(FilePlace::Application { machine }) => {
                    &mut files_of(&mut machines, machine).applications
                }
                None => {
                    tree.ignored += 1;
                    continue;
                }
            };
            files.push(id);
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
        let declared = self.fleets.iter().chain(&self.waivers).copied();
        own_rules.chain(declared)
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

    /// Whether a file in a known place does not count.
    pub(super) fn is_refused(&self, file: FileId) -> bool {
        self.refused.contains(&file)
    }

    /// The machine a file is of, by its path.
    pub(super) fn machine_of(&self, file: FileId) -> Option<&str> {
        match place_of(self.path(file))? {
            FilePlace::Fleet | FilePlace::Waivers | FilePlace::HouseRule => None,
            FilePlace::Sheet { machine }
            | FilePlace::Calibration { machine }
            | FilePlace::Service { machine }
            | FilePlace::Application { machine } => Some(machine),
        }
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

/// Reads files of a tree.
pub(super) struct Reader<'a> {
    read: &'a ReadFile<'a>,
    pub(super) tree: &'a Tree,
}

impl<'a> Reader<'a> {
    pub(super) fn new(read: &'a ReadFile<'a>, tree: &'a Tree) -> Self {
        Self { read, tree }
    }

    pub(super) fn decoded(&self, file: FileId) -> Result<yaml::Decoded, Failure> {
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
        if self.tree.is_refused(file) {
            part.counts.unreadable += 1;
            return None; // Its finding is one with those of the files it cannot be told from.
        }
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

pub(super) fn group(reader: &Reader<'_>, tree: &Tree, part: &mut Part) -> Group {
    part.findings.extend(naming::findings(reader));
    // Where there are several, none of them is used and each is counted: at most one is read.
    let mut fleet = None;
    for file in &tree.fleets {
        let read = reader.record(*file, Kind::Fleet, record::lower_fleet, part);
        fleet = fleet.or(read);
    }
    let mut waivers = None;
    for file in &tree.waivers {
        let read = reader.record(*file, Kind::Waivers, record::lower_waivers, part);
        waivers = waivers.or(read);
    }
    let own = house::rules(reader, part);
    Group {
        fleet,
        waivers,
        rules: RuleSet::built_in().with(own),
    }
}
