//! The files of a tree by machine, and what each is for.

use super::listing::{FilePlace, Listing, may_be_misplaced, place_of, stem};
use super::naming::{self, Refusal};
use crate::source::FileId;
use std::collections::{BTreeMap, BTreeSet};

/// The files of a tree, sorted, by what they are for.
#[derive(Debug, Default)]
pub struct Tree {
    /// Every path; a file's number is its place here.
    pub paths: Vec<String>,
    /// Fleet files; one of them counts at most.
    pub fleets: Vec<FileId>,
    /// Files of waivers; one of them counts at most.
    pub waivers: Vec<FileId>,
    /// Rules of the group's own.
    pub house_rules: Vec<FileId>,
    /// Causes of the group's own.
    pub house_causes: Vec<FileId>,
    /// By name.
    pub machines: Vec<MachineFiles>,
    /// Files in other places that may be records all the same.
    pub others: Vec<FileId>,
    /// How many other YAML files stand outside the known folders.
    pub ignored: usize,
    /// Machines that are left out because a comparison has nothing to tell of them.
    pub passed_over: BTreeSet<String>,
    /// Why files do not count, though they are in a known place.
    pub refusals: Vec<Refusal>,
    /// The files that do not count.
    refused: BTreeSet<FileId>,
}

/// The files of one machine.
#[derive(Debug, Default)]
pub struct MachineFiles {
    /// Its name, as its folders have it.
    pub id: String,
    /// Its place among the group's machines.
    pub index: u32,
    /// Where it is described.
    pub machine_files: Vec<FileId>,
    /// Its visits.
    pub calibrations: Vec<FileId>,
    /// Work on it.
    pub services: Vec<FileId>,
    /// What it sprayed.
    pub applications: Vec<FileId>,
}

impl MachineFiles {
    /// Every file of the machine.
    pub fn all(&self) -> impl Iterator<Item = FileId> {
        let lists = [
            &self.machine_files,
            &self.calibrations,
            &self.services,
            &self.applications,
        ];
        lists.into_iter().flatten().copied()
    }
}

impl Tree {
    /// The files of a listing, numbered in the order of their paths.
    pub fn of(listing: &Listing) -> Self {
        let mut paths = listing.paths.clone();
        paths.extend_from_slice(&listing.others);
        paths.sort();
        paths.dedup();
        let all: Vec<FileId> = (0_u32..).zip(&paths).map(|(at, _)| FileId(at)).collect();
        Self::numbered(paths, &all, listing.ignored)
    }

    /// The files with these numbers, in the order of their paths; `paths` has the path of every number.
    pub fn numbered(paths: Vec<String>, files: &[FileId], ignored: usize) -> Self {
        let named = |file: &FileId| (*file, paths[file.0 as usize].as_str());
        let (refusals, refused) = naming::refusals(files.iter().map(named));
        let mut tree = Self {
            ignored,
            refusals,
            refused,
            ..Self::default()
        };
        let mut machines: BTreeMap<String, MachineFiles> = BTreeMap::new();
        for (id, path) in files.iter().map(named) {
            let of = |machine: &str| machine.to_owned();
            let files = match place_of(path) {
                Some(FilePlace::Fleet) => &mut tree.fleets,
                Some(FilePlace::Waivers) => &mut tree.waivers,
                Some(FilePlace::HouseRule) => &mut tree.house_rules,
                Some(FilePlace::HouseCause) => &mut tree.house_causes,
                Some(FilePlace::MachineFile { machine }) => {
                    &mut machines.entry(of(machine)).or_default().machine_files
                }
                Some(FilePlace::Calibration { machine }) => {
                    &mut machines.entry(of(machine)).or_default().calibrations
                }
                Some(FilePlace::Service { machine }) => {
                    &mut machines.entry(of(machine)).or_default().services
                }
                Some(FilePlace::Application { machine }) => {
                    &mut machines.entry(of(machine)).or_default().applications
                }
                None if may_be_misplaced(path) => &mut tree.others,
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

    /// The files that concern every machine: the fleet file, the waivers, the group's own rules and causes.
    pub fn of_the_group(&self) -> impl Iterator<Item = FileId> {
        let own = self.house_rules.iter().chain(&self.house_causes).copied();
        let declared = self.fleets.iter().chain(&self.waivers).copied();
        own.chain(declared)
    }

    /// The files of a machine.
    pub fn machine(&self, id: &str) -> Option<&MachineFiles> {
        let at = self
            .machines
            .binary_search_by(|machine| machine.id.as_str().cmp(id));
        at.ok().map(|at| &self.machines[at])
    }

    /// The path of a file.
    pub fn path(&self, file: FileId) -> &str {
        &self.paths[file.0 as usize]
    }

    /// Whether a file in a known place does not count.
    pub fn is_refused(&self, file: FileId) -> bool {
        self.refused.contains(&file)
    }

    /// The machine a file is of, by its path.
    pub fn machine_of(&self, file: FileId) -> Option<&str> {
        match place_of(self.path(file))? {
            FilePlace::Fleet
            | FilePlace::Waivers
            | FilePlace::HouseRule
            | FilePlace::HouseCause => None,
            FilePlace::MachineFile { machine }
            | FilePlace::Calibration { machine }
            | FilePlace::Service { machine }
            | FilePlace::Application { machine } => Some(machine),
        }
    }

    /// The file's name without its ending.
    pub fn stem(&self, file: FileId) -> &str {
        let path = self.path(file);
        stem(path.rsplit('/').next().unwrap_or(path))
    }
}
