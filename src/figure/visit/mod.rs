//! The readings of one visit made ready for formulas: each with its primitives, as found and as left.
//!
//! Computes no figure. Instruments and their uncertainties enter here and nowhere else.

pub(super) mod assumed;
mod bounds;
mod catch;
mod continuity;
mod correction;
pub(in crate::figure) mod density;
mod flow;
mod ground;
pub(super) mod instrument;
mod planned;
mod readings;
mod records;
mod sections_off;
mod shown;
mod speed;
mod stages;
mod subject;

pub(in crate::figure) use bounds::of_tank;
pub use bounds::{Bounded, Bounds};
pub(crate) use catch::is_weighed;
pub use catch::{Catch, CaughtNozzle, FlowReading, GaugeSpan, Pressure, RatedFlow, Retest, Scaled};
pub use continuity::Continued;
pub use flow::{KnownVolume, Meter, MeterFactor};
pub use ground::Ground;
pub use planned::{NextCatch, Sources};
pub use readings::{ReadingsStratum, Visit};
pub use records::Records;
pub use sections_off::{Balance, SectionsOff};
pub use shown::Shown;
pub use speed::{Course, CourseRun, Elapsed, Length, SpeedFactor};
pub use stages::Stages;
pub use subject::Subject;
