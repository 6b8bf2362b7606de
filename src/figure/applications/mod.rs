//! Figures of applications: what was put down, of what, and how the machine stood then.

pub(super) mod age_when_sprayed;
mod episodes;
mod measured;
pub(super) mod mix_density;
pub(super) mod product_not_judged;
pub(super) mod product_of_label;
pub(super) mod rate_applied;
pub(super) mod rate_applied_off;
pub(super) mod sprayed_while_failing;
pub(super) mod sprayed_while_laid_up;
pub(super) mod sprayed_while_void;
