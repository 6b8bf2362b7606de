//! Figures of speed tests: what the console showed and how fast the machine went over a measured course.

pub(super) mod course;
pub(super) mod course_length;
pub(super) mod run_spread;
pub(super) mod runs_driven;
pub(super) mod sensor_error;
pub(super) mod speed_off_setup;
pub(super) mod surface_hard;
pub(super) mod tank_not_half;
pub(super) mod true_speed;
