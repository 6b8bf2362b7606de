//! The typed model of records, lowered from the spanned tree; every leaf keeps its span.
//!
//! Judges nothing and puts nothing together. The schema owns the shape: what has the wrong shape is
//! passed over here, since a schema fault tells of it. Scalars are owned here: a bad one is absent
//! and has one finding.

pub mod calibration;
pub mod fleet;
mod lowering;
pub mod machine;
mod repeats;

pub use calibration::Calibration;
pub use fleet::Fleet;
pub use machine::Machine;
pub use repeats::Repeats;

use crate::diagnostic::Diagnostic;
use crate::source::FileId;
use crate::yaml::Node;
use lowering::Lowering;

/// What could be made of a record, and what was wrong with its scalars.
#[derive(Debug)]
pub struct Lowered<T> {
    /// The record; what could not be read is absent.
    pub record: T,
    /// One finding for each scalar that could not be read.
    pub problems: Vec<Diagnostic>,
}

/// Lowers a fleet file.
pub fn lower_fleet(file: FileId, root: Node<'_>) -> Lowered<Fleet> {
    Lowering::run(file, |lowering| fleet::lower(lowering, root))
}

/// Lowers a machine sheet.
pub fn lower_machine(file: FileId, root: Node<'_>) -> Lowered<Machine> {
    Lowering::run(file, |lowering| machine::lower(lowering, root))
}

/// Lowers a calibration.
pub fn lower_calibration(file: FileId, root: Node<'_>) -> Lowered<Calibration> {
    Lowering::run(file, |lowering| calibration::lower(lowering, root))
}
