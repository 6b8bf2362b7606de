//! Figures of catches: what each nozzle and the boom pass, and what the catch itself is worth.

pub(super) mod as_caught;
pub(super) mod boom_end_drop;
pub(super) mod boom_flow;
pub(super) mod catch_duration;
pub(super) mod catch_spread;
pub(super) mod flows;
mod known_agrees;
pub(super) mod mean_flow;
pub mod mean_off_rated;
pub(super) mod nozzle_flow;
pub(super) mod nozzle_not_retested;
pub(super) mod nozzle_off_mean;
pub(super) mod nozzle_off_rated;
pub(super) mod nozzles_not_caught;
pub(super) mod of_nozzle;
pub(super) mod pressure;
pub(super) mod pressure_off_setup;
pub(crate) mod rated;
pub(super) mod rated_flow;
pub(super) mod readings_repeated;
pub(crate) mod repeat_chance;
pub(super) mod repeat_spread;
pub(super) mod retests;
pub(super) mod section_mean_off;
pub(super) mod target;
