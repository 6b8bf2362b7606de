//! The typed model of records, lowered from the spanned tree; every leaf keeps its span.
//!
//! Judges nothing and puts nothing together. The schema owns the shape: what has the wrong shape is
//! passed over here, since a schema fault tells of it. Scalars are owned here: a bad one is absent
//! and has one finding.

mod amendment;
pub mod application;
pub mod calibration;
mod confirmed;
pub mod fleet;
pub mod instrument;
mod lowering;
pub mod machine;
mod mended;
mod names_instruments;
mod not_filled_in;
pub mod nozzle;
mod repeats;
pub mod service;
pub mod size;
mod units;
mod usual;
pub mod waivers;

pub use amendment::Amendment;
pub use application::Application;
pub use calibration::Calibration;
pub use confirmed::Confirmed;
pub use fleet::Fleet;
pub use lowering::{Lowered, MOST_ENTRIES};
pub use machine::Machine;
pub use mended::{Mended, Mends};
pub use names_instruments::NamedFor;
pub use not_filled_in::{NotFilledIn, Owner, is_begun, may_be_filled_in};
pub use repeats::Repeats;
pub use service::Service;
pub use units::{SetupUnits, length_with};
pub use usual::usual_units;
pub use waivers::Waivers;

use crate::source::FileId;
use crate::yaml::Node;
use lowering::Lowering;

/// Lowers a fleet file.
pub fn lower_fleet(file: FileId, root: Node<'_>) -> Lowered<Fleet> {
    Lowering::run(file, |lowering| fleet::lower(lowering, root))
}

/// Lowers a machine file.
pub fn lower_machine(file: FileId, root: Node<'_>) -> Lowered<Machine> {
    Lowering::run(file, |lowering| machine::lower(lowering, root))
}

/// Lowers a calibration.
pub fn lower_calibration(file: FileId, root: Node<'_>) -> Lowered<Calibration> {
    Lowering::run(file, |lowering| calibration::lower(lowering, root))
}

/// Lowers a service record.
pub fn lower_service(file: FileId, root: Node<'_>) -> Lowered<Service> {
    Lowering::run(file, |lowering| service::lower(lowering, root))
}

/// Lowers an application.
pub fn lower_application(file: FileId, root: Node<'_>) -> Lowered<Application> {
    Lowering::run(file, |lowering| application::lower(lowering, root))
}

/// Lowers the waivers.
pub fn lower_waivers(file: FileId, root: Node<'_>) -> Lowered<Waivers> {
    Lowering::run(file, |lowering| waivers::lower(lowering, root))
}
