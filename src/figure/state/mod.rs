//! Figures of how a machine stands: the age of its steps, what undid them, its wear, and its machine file.

pub(super) mod density_factor_lacking;
pub(super) mod density_off;
pub(super) mod entered_width_off;
pub(super) mod fitted_off_setup;
pub(super) mod setup_sum_off;
pub(super) mod step_age;
pub(super) mod step_applications;
pub(super) mod step_hours;
pub(super) mod step_to_recheck;
pub(super) mod step_void;
pub(super) mod tests_not_counted;
mod undone;
pub(super) mod wear_hours_left;
