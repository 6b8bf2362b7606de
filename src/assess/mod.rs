//! One assessment of each machine: everything that is true of it on a day, decided once, as plain data.
//!
//! What is reported, what is due, which figures there are and what a comparison tells are projections of it.

mod bring;
mod cause;
mod confirmed;
mod context;
mod declared;
mod explain;
mod failing;
mod family;
mod figures;
mod history;
mod house;
mod house_causes;
mod house_rules;
mod instruments;
mod judge;
mod machine;
mod merged;
mod relaxed;
mod renamed;
mod steps;
mod tally;
mod texts;
mod waive;
mod weak;
mod worn;

pub use bring::{Bring, CatchTarget, Target};
pub use context::{COVERAGE_FACTOR, Context, Group};
pub use explain::{CAUSE, CROSS_CHECK, Compared, Line};
pub use figures::{Contribution, FigureValue, contributions};
pub use history::MOST_A_DAY;
pub use judge::{judged_each, of_grade};
pub use machine::{Asked, Assessment, BrokenMachineFile, assess, assess_and_look};
pub use merged::{Merged, changes as merged_changes, without_machine_file};
pub use relaxed::{Relaxed, grade_before, limits_before, relaxed};
pub use renamed::Renamed;
pub use steps::{
    HeldAgainst, NotCountedTest, State, StepStanding, UndoneBy, Unsure, Used, WaivedOfStep,
    WhyUnread,
};
pub use tally::{Tallies, Tally};
pub use texts::Texts;
pub use waive::spent_waivers;
