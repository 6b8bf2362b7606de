//! Everything that bends in a text: numbers, plurals, lists, dates, near misses, hostile characters.
//!
//! Decides nothing and knows no record; the same input gives the same words on every machine.

pub mod clean;
pub mod dates;
pub mod numbers;
pub mod phrases;
pub mod shell;
pub mod slots;
pub mod spelling;
