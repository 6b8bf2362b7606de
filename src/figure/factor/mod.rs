//! Figures of the console's factors: what a test makes of them, and how they were left.

pub(super) mod asked_for;
pub(super) mod computed_factor;
pub(super) mod console_factor;
pub(super) mod correction;
pub(super) mod factor_correction;
pub(super) mod factor_jump;
pub(super) mod factor_off;
pub(super) mod not_tested_again;
