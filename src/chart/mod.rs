//! What fits a machine: the pressure that tips need for a rate and a speed, and the catch, the rate and the speed at a pressure.
//!
//! Plain data, decided once; the machine as it is today, by its records. Computes by the formulas of the figures and writes no
//! formula of its own; puts no words to it but those of the rule on a setup's sum.

mod around;
mod asking;
mod made;
mod seen;
mod told;

pub use made::chart;
pub use told::{
    Asked, Average, Chart, FittedTips, Kind, Mark, NoAverage, Row, SetupChart, Share, Sum, Wanted,
};
