//! Why a machine, or a setup of it, that is asked for cannot be used.

use super::row_place::RowPlace;
use crate::tree::{MachineFiles, Tree};

/// Why a machine, or a setup of it, that is asked for cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unusable {
    /// No machine has that name.
    NoSuchMachine {
        /// The name.
        name: String,
        /// The machines that have a machine file.
        known: Vec<String>,
    },
    /// There are records of it, and no machine file.
    NoMachineFile {
        /// The machine.
        machine: String,
    },
    /// Its file has errors, so that what is read of it may not be what is meant.
    BrokenMachine {
        /// The machine.
        machine: String,
        /// How many errors it has.
        count: usize,
        /// Where the first stands; none where the file could not be read at all.
        first: Option<RowPlace>,
    },
    /// It works no longer.
    OutOfService {
        /// The machine.
        machine: String,
    },
    /// It has no setup.
    NoSetup {
        /// The machine.
        machine: String,
    },
    /// It has no setup of this name.
    NoSuchSetup {
        /// The machine.
        machine: String,
        /// The name.
        name: String,
        /// The setups it has, at least one.
        known: Vec<String>,
    },
    /// It has several setups, and none is named.
    WhichSetup {
        /// The machine.
        machine: String,
        /// The setups it has.
        known: Vec<String>,
    },
}

impl Unusable {
    /// A machine's file has errors here, in any order.
    pub fn broken(machine: &str, mut errors: Vec<RowPlace>) -> Self {
        errors.sort();
        Self::BrokenMachine {
            machine: machine.to_owned(),
            count: errors.len(),
            first: errors.into_iter().next(),
        }
    }
}

/// The files of a machine, with a machine file among them.
///
/// # Errors
/// Where there is no file of it, or records without a machine file.
pub fn machine_asked_for<'t>(tree: &'t Tree, name: &str) -> Result<&'t MachineFiles, Unusable> {
    let has_file = |machine: &&MachineFiles| !machine.machine_files.is_empty();
    match tree.machine(name) {
        Some(machine) if has_file(&machine) => Ok(machine),
        Some(_) => Err(Unusable::NoMachineFile {
            machine: name.to_owned(),
        }),
        None => {
            let known = tree.machines.iter().filter(has_file);
            Err(Unusable::NoSuchMachine {
                name: name.to_owned(),
                known: known.map(|machine| machine.id.clone()).collect(),
            })
        }
    }
}

/// The place of a setup among those of a machine: of the one that is named, else of the only one.
///
/// # Errors
/// Where there is none, none of that name, or several and none is named.
pub fn setup_asked_for(
    machine: &str,
    name: Option<&str>,
    known: Vec<String>,
) -> Result<u16, Unusable> {
    let machine = machine.to_owned();
    match name {
        _ if known.is_empty() => Err(Unusable::NoSetup { machine }),
        Some(name) => {
            let mut all = (0..).zip(&known);
            match all.find(|(_, one)| *one == name) {
                Some((index, _)) => Ok(index),
                None => Err(Unusable::NoSuchSetup {
                    machine,
                    name: name.to_owned(),
                    known,
                }),
            }
        }
        None if known.len() == 1 => Ok(0),
        None => Err(Unusable::WhichSetup { machine, known }),
    }
}
