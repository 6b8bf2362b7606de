//! Readings as written: decimals with their resolution, units with exact factors, dimensions.
//!
//! Refuses what could be read in two ways and says how to write it. Does no arithmetic between
//! quantities, judges no reading, and knows nothing of records.

pub mod calendar;
pub mod confusion;
pub mod decimal;
pub mod dimension;
mod exact;
pub mod fault;
pub(crate) mod invisible;
pub mod number;
mod parse;
pub mod problem;
mod read_in;
mod reading;
mod slip;
pub mod spelled;
pub(crate) mod spelling;
pub mod step;
pub mod unit;
pub mod usual;

pub use exact::Exact;
pub use reading::Quantity;
