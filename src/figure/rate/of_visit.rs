//! What a visit found the rate to be, for all that is sprayed after it.

use super::calibrated_rate::{CalibratedRate, RateOff};
use super::rate_by_catch_off::RateByCatchOff;
use super::true_rate_off::TrueRateOff;
use crate::figure::form::{AnyFigure, standard_uncertainty};
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Stage;
use crate::record::machine::Control;

/// How far the rate as left was found off the setup's; none where the visit tested nothing of it.
///
/// A console that holds the rate is believed as far as its meter, its speed and its widths are true;
/// elsewhere the rate is what was caught.
pub fn calibrated_rate(visit: &Visit<'_>) -> Option<CalibratedRate> {
    let by_console = visit
        .subject
        .machine
        .control
        .is_some_and(|control| control.value == Control::Flow);
    let calibration = visit.calibration;
    let (off, setup) = if by_console {
        if calibration.meter_tests.is_empty() && calibration.speed_tests.is_empty() {
            return None;
        }
        (as_left(&TrueRateOff, visit), None)
    } else {
        if calibration.catch_tests.is_empty() {
            return None;
        }
        let setup = visit.setup.map(|(index, _)| index)?;
        (as_left(&RateByCatchOff, visit), Some(setup))
    };
    Some(CalibratedRate {
        moment: visit.moment()?,
        setup,
        off,
    })
}

/// A figure of the rate as left, where it has a value.
fn as_left(figure: &'static dyn AnyFigure<ReadingsStratum>, visit: &Visit<'_>) -> Option<RateOff> {
    let computed = figure.compute(visit);
    let mut members = computed.members().iter();
    let at = members.position(|member| member.key.stage == Some(Stage::AsLeft))?;
    let member = &computed.members()[at];
    Some(RateOff {
        value: *member.value.as_ref().ok()?,
        uncertainty: standard_uncertainty(&*computed, at, visit),
        place: member.subject,
    })
}
