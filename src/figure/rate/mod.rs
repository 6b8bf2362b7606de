//! Figures of the rate on the ground, and what a visit found it to be.

pub(super) mod by_catch;
pub(super) mod found;
pub(super) mod of_visit;
pub(super) mod on_ground;
pub(super) mod rate_by_catch;
pub(super) mod rate_by_catch_off;
pub(super) mod true_rate_off;
pub(super) mod widths;
