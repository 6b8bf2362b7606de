//! The record of a visit, begun: all that is known beforehand filled in, each reading empty, and its target beside it.
//!
//! Decides nothing: which steps a machine has, and what a reading aims at, is the assessment's. An empty reading is not
//! filled in, so that a begun record is no fault and does no step.

mod text;

use crate::assess::{Asked, Context, Merged, StepStanding, assess_and_look};
use crate::diagnostic::{Diagnostic, Severity};
use crate::figure::AnyView;
use crate::tree::{Listing, ReadFile, Reader, Store, Tree};
use crate::words;
use std::fmt;
use text::Begun;

pub use text::{Wanted, scalar};

/// Why a record cannot be begun.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CannotDraft {
    /// No machine has that name.
    NoSuchMachine,
    /// The file of the machine has an error: its first one, in words.
    BrokenMachine(String),
    /// The machine has several setups, or none, or not the one that is named: those it has.
    WhichSetup(Vec<String>),
}

impl fmt::Display for CannotDraft {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchMachine => {
                out.write_str("no machine file has that name, or the machine is out of service")
            }
            Self::BrokenMachine(error) => write!(out, "the machine file has an error: {error}"),
            Self::WhichSetup(names) if names.is_empty() => {
                out.write_str("the machine has no setup")
            }
            Self::WhichSetup(names) => {
                let names = words::phrases::list_some(names, "or");
                write!(out, "the setup must be one of the machine's: {names}")
            }
        }
    }
}

/// The text of a record of a visit that is begun, for a tree of records.
///
/// # Errors
/// Where nobody can say which machine or which setup is meant, or what the machine is like.
pub fn visit(
    listing: &Listing,
    read: &ReadFile<'_>,
    wanted: &Wanted<'_>,
) -> Result<String, CannotDraft> {
    let tree = Tree::of(listing);
    let reader = Reader::new(Store::Passing(read), &tree);
    let context = Context::read(&reader, wanted.day, Merged::new());
    let files = tree.machine(wanted.machine);
    let files = files.filter(|files| !files.machine_files.is_empty());
    let files = files.ok_or(CannotDraft::NoSuchMachine)?;
    let mut machine = None;
    let mut look = |view: AnyView<'_>| {
        if let AnyView::State(standing) = view {
            machine = Some(standing.subject.machine.clone());
        }
    };
    let assessment = assess_and_look(&context, &reader, files, Asked::default(), &mut look);
    let is_of_machine_file =
        |fault: &&Diagnostic| files.machine_files.contains(&fault.primary().place.file);
    let mut faults = assessment.texts.findings.iter().filter(is_of_machine_file);
    let error = faults.find(|fault| fault.severity() == Severity::Error);
    if let Some(error) = error {
        return Err(CannotDraft::BrokenMachine(error.message().to_owned()));
    }
    let machine = machine.ok_or(CannotDraft::NoSuchMachine)?;
    let names = || machine.setups.iter().map(|setup| &setup.name.value);
    let setup = match wanted.setup {
        Some(name) => names().position(|known| known == name),
        None => (machine.setups.len() == 1).then_some(0),
    };
    let setup = setup.ok_or_else(|| CannotDraft::WhichSetup(names().cloned().collect()))?;
    let own = &machine.setups[setup].name.value;
    let is_wanted = |step: &StepStanding| step.setup.as_ref().is_none_or(|of| of == own);
    let steps = assessment.steps.into_iter().filter(is_wanted).collect();
    let begun = Begun {
        wanted,
        machine,
        setup,
        steps,
    };
    Ok(begun.text())
}
