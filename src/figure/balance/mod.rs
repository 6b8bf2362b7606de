//! Figures of section balances: how the rate changes with sections off, under which conditions, and what the test leaves out.

pub(super) mod all_on_off_setup;
pub(super) mod automatic_control;
pub(super) mod entered_speed_off_setup;
pub(super) mod section_off_change;
pub(super) mod sections_not_tested;
