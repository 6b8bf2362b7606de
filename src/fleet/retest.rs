//! Which catches of one visit go together: the one the others are laid onto, and whether a pressure keeps one out.

use super::layout::Laid;
use crate::quantity::{Exact, Quantity};
use crate::record::calibration::CatchTest;

/// A retest counts within this part of the pressure of the catch it belongs to, in percent (our choice).
///
/// The square-root law that brings its flows to the catch's pressure holds for a fixed orifice; the further the pressures
/// lie apart, the more a tip's own exponent and the gauge's error count.
pub const FARTHEST_PERCENT: u32 = 20;

/// How the pressure of a catch goes with that of the catch it belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AtPressure {
    /// It is the same, or not on record for one of them.
    Same,
    /// It is another, near enough to bring the flows to the other's.
    Near,
    /// It is too far off.
    Apart,
}

/// The place of the catch that the others of its visit belong to: the last that says something of every nozzle.
pub fn base<'l, 'r: 'l>(
    laid: impl DoubleEndedIterator<Item = &'l Laid<'r>> + ExactSizeIterator,
) -> usize {
    let mut laid = laid;
    laid.rposition(Laid::is_complete).unwrap_or(0)
}

/// How the pressure of a catch goes with that of the catch it belongs to.
pub fn at_pressure(of: &CatchTest, base: &CatchTest) -> AtPressure {
    let (Some(own), Some(base)) = (&of.pressure, &base.pressure) else {
        return AtPressure::Same;
    };
    if own.value.has_value_of(&base.value) {
        AtPressure::Same
    } else if is_near(&own.value, &base.value) {
        AtPressure::Near
    } else {
        AtPressure::Apart
    }
}

/// Whether a pressure is so near another that flows can be brought from one to the other.
pub fn is_near(own: &Quantity, base: &Quantity) -> bool {
    let base = base.exact();
    let farthest = base.clone() * Exact::new(FARTHEST_PERCENT.into(), 100.into());
    let off = own.exact() - base;
    -farthest.clone() <= off && off <= farthest
}
