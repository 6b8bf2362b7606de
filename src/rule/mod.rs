//! Rules: what a rule file says, and how a figure is held against its limits.
//!
//! A rule compares and computes nothing: all arithmetic is in figures. Knows which figures exist and
//! never sees a record.

mod applies;
mod content;
mod deciding;
mod file;
mod guard;
mod limit;
mod set;
mod settings;
mod template;
mod verdict;

pub use applies::{Applies, Attribute};
pub use content::{Rule, Status};
pub use deciding::{Deciding, deciding};
pub use file::{Loaded, load};
pub use guard::{
    Guard, RENAMED, REQUIREMENT_RELAXED, WITHOUT_MACHINE_FILE, guard, guard_overruled, is_guard,
    is_of_guard,
};
pub use limit::{Bound, Limit, LimitFault, SetAt};
pub use set::{RuleSet, example, unknown_rule};
pub use settings::{LimitsInForce, Whose};
pub use template::{BySign, Slot, Text, TextFault, Texts};
pub use verdict::{Decision, Judgment, judge};
