//! Figures of section balances: how the rate changes with sections off, and what the test leaves out.

pub(super) mod automatic_control;
pub(super) mod section_off_change;
pub(super) mod sections_not_tested;
