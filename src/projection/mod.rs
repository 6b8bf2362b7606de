//! What is told of the assessments of a fleet: the report, what differs from before, what is due, the figures, the rules.
//!
//! Decides nothing about a machine; sorts, selects, and puts the words to it. Sharded by machine, and the same with any
//! number of threads.

mod causes;
mod check;
mod compared;
mod due;
mod figures;
mod in_order;
mod places;
mod rules;
mod standing;
mod tank;
mod under_before;

pub use check::{Settings, check, report};
pub use compared::{Before, check_compared};
pub use due::{due, due_list};
pub use figures::{each_figure, figures, rows as figure_rows};
pub(crate) use places::Places;
pub use rules::describe_rules;
pub use tank::tank;
