//! swathlint recomputes the calibration of boom sprayers from the raw readings in their records and
//! says what does not hold.
//!
//! texts -> spanned trees, typed records -> assessment of each machine -> projections -> words -> rendered text. The modules
//! stand in reading order; each knows only what stands before it, as the layers test holds.
//!
//! A program that embeds it holds a fleet in a [`Workspace`], or gives a listing and a way to read to [`check`], [`due`] and
//! [`each_figure`]; what comes back stands in [`report`], [`assess`] and [`finding`]. Modules that are hidden here are public
//! for the tests of this repository alone, and change without notice.

pub mod source;

pub mod quantity;

#[doc(hidden)]
pub mod statistics;

#[doc(hidden)]
pub mod words;

pub mod diagnostic;

#[doc(hidden)]
pub mod yaml;

#[doc(hidden)]
pub mod schema;

#[doc(hidden)]
pub mod record;

#[doc(hidden)]
pub mod tree;

#[doc(hidden)]
pub mod fleet;

pub mod procedure;

pub mod outcome;

pub mod fact;

pub mod working;

#[doc(hidden)]
pub mod history;

#[doc(hidden)]
pub mod wear;

#[doc(hidden)]
pub mod figure;

pub mod rule;

pub mod cause;

pub mod finding;

pub mod report;

pub mod assess;

#[doc(hidden)]
pub mod tank_mix;

#[doc(hidden)]
pub mod wording;

#[doc(hidden)]
pub mod projection;

#[doc(hidden)]
pub mod chart;

pub mod workspace;

#[doc(hidden)]
pub mod draft;

pub mod render;

#[doc(hidden)]
pub mod page;

#[cfg(feature = "cli")]
#[doc(hidden)]
pub mod cli;

pub use projection::{
    Before, Settings, check, check_compared, describe_rules, due, each_figure, figures,
};
pub use report::Report;
pub use tree::{Listing, ReadFile};
pub use workspace::Workspace;
