//! How far a visit found the rate off, as what is sprayed after it stands on it.

use crate::fleet::Moment;
use crate::source::Place;

/// How far the rate was found off the setup's by a visit.
#[derive(Debug, Clone, Copy)]
pub struct CalibratedRate {
    /// When.
    pub moment: Moment,
    /// The setup it holds for; none for all.
    pub setup: Option<u16>,
    /// How far; none where the visit tested a part of what makes the rate, so that what was found
    /// before holds no longer and nothing new is known of the whole.
    pub off: Option<RateOff>,
}

/// How far off, relative.
#[derive(Debug, Clone, Copy)]
pub struct RateOff {
    /// How far.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// Where it was read.
    pub place: Place,
}
