//! The files of a fleet: which are records, whose each is, which of two counts, and what stands in each by itself.

pub mod files;
pub mod listing;
mod misplaced;
pub mod naming;
pub mod reader;
mod refused;
mod spot;

pub use files::{MachineFiles, Tree};
pub use listing::{
    FilePlace, Listing, is_record, may_be_misplaced, may_hide_records, may_hold_records, place_of,
};
pub use misplaced::{Misplaced, SMALL, misplaced};
pub use reader::{Failure, HeldFile, Read, ReadFile, Reader, Record, Store};
pub use refused::refused;
pub use spot::spots;
