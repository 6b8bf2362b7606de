//! swathlint recomputes the calibration of boom sprayers from the raw readings in their records and
//! says what does not hold.
//!
//! texts -> spanned trees, typed records -> assessment of each machine -> projections -> words -> rendered text. The modules
//! stand in reading order; each knows only what stands before it, as the layers test holds.

pub mod source;

pub mod quantity;

pub mod statistics;

pub mod words;

pub mod diagnostic;

pub mod yaml;

pub mod schema;

pub mod record;

pub mod tree;

pub mod fleet;

pub mod procedure;

pub mod outcome;

pub mod fact;

pub mod working;

pub mod history;

pub mod wear;

pub mod figure;

pub mod rule;

pub mod finding;

pub mod report;

pub mod assess;

pub mod wording;

pub mod projection;

pub mod workspace;

pub mod render;

#[cfg(feature = "cli")]
pub mod cli;

pub use projection::{
    Before, Settings, check, check_compared, describe_rules, due, each_figure, figures,
};
pub use report::Report;
pub use tree::{Listing, ReadFile};
pub use workspace::Workspace;
