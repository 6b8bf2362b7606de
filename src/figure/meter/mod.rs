//! Figures of meter tests: what the console showed against a volume known by other means.

pub(super) mod known_off_catch;
pub(super) mod known_volume;
pub(super) mod meter_error;
