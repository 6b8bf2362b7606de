//! What the flow of a nozzle makes on the ground it covers, and what rate and speed take of it.
//!
//! Sources: Missouri Extension G1270A; SD State Extension, mixing and calibration equations. In US units
//! gal/acre = 5940 x gal/min / (mph x in); here all is in SI units, where the constant is 1.

use crate::figure::number::Number;

/// The rate that a flow makes at a speed: flow / (speed x spacing).
pub(crate) fn rate_on_ground<N: Number>(flow: &N, speed: &N, spacing: &N) -> N {
    flow.over(&speed.times(spacing))
}

/// The flow that a rate takes at a speed: rate x speed x spacing.
pub(crate) fn flow_for_rate<N: Number>(rate: &N, speed: &N, spacing: &N) -> N {
    rate.times(&speed.times(spacing))
}

/// The speed at which a flow makes a rate: flow / (rate x spacing).
pub(crate) fn speed_for_rate<N: Number>(flow: &N, rate: &N, spacing: &N) -> N {
    flow.over(&rate.times(spacing))
}
