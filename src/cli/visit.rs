//! The records that a visit of one machine is judged by, and the form of the visit, for every command that begins one.

use crate::Workspace;
use crate::cli::failure::CannotCheck;
use crate::cli::given::Given;
use crate::cli::root::Scope;
use crate::draft::{self, Form, RecordPlace, Wanted};
use crate::report::{Failure, Unusable};
use crate::tree::{FilePlace, place_of};
use jiff::civil::Date;

/// A machine's records and the group's, in memory.
#[derive(Debug)]
pub(crate) struct Visited {
    /// The records' root.
    pub(crate) scope: Scope,
    /// The records, as on the day.
    pub(crate) fleet: Workspace,
    /// What of them could not be read.
    pub(crate) failures: Vec<Failure>,
}

/// The records of the folder one is in that a visit of a machine is judged by.
pub(crate) fn visited(machine: &str, day: Date) -> Result<Visited, CannotCheck> {
    let scope = Scope::find(&[])?;
    let given = Given::folder(&scope);
    let mut fleet = Workspace::new(day);
    let mut failures = given.failures().to_vec();
    let paths = given.listing().paths.iter();
    for path in paths.filter(|path| is_of_visit(path, machine)) {
        match given.read(path) {
            Ok(text) => fleet.set(path, text),
            Err(reason) => failures.push(Failure {
                path: path.clone(),
                reason,
            }),
        }
    }
    Ok(Visited {
        scope,
        fleet,
        failures,
    })
}

/// Whether a file is the machine's own, or one of the group's. The other machine files tell which names there are.
fn is_of_visit(path: &str, machine: &str) -> bool {
    match place_of(path) {
        Some(
            FilePlace::Fleet
            | FilePlace::Waivers
            | FilePlace::HouseRule
            | FilePlace::HouseCause
            | FilePlace::MachineFile { .. },
        ) => true,
        Some(
            FilePlace::Calibration { machine: of }
            | FilePlace::Service { machine: of }
            | FilePlace::Application { machine: of },
        ) => of == machine,
        None => false,
    }
}

/// The form of a visit.
pub(crate) fn form(visited: &mut Visited, wanted: &Wanted<'_>) -> Result<Form, CannotCheck> {
    let made = draft::form(&mut visited.fleet, wanted);
    made.map_err(CannotCheck::from)
}

/// The setups that a visit may be of: the one that is named, or all of the machine where none is.
pub(crate) fn setups(
    visited: &mut Visited,
    wanted: &Wanted<'_>,
) -> Result<Vec<String>, CannotCheck> {
    match draft::form(&mut visited.fleet, wanted) {
        Ok(form) => Ok(vec![form.setup.name]),
        Err(Unusable::WhichSetup { known, .. }) => Ok(known),
        Err(cannot) => Err(cannot.into()),
    }
}

/// The file of a visit's record.
pub(crate) fn place(visited: &Visited, form: &Form) -> Result<RecordPlace, CannotCheck> {
    let place = draft::record_place(&visited.fleet, form);
    place.map_err(|refused| CannotCheck::Asked {
        message: refused.message,
        help: refused.help,
    })
}
