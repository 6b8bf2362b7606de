//! What a visit found the rate to be, for all that is sprayed after it.

use super::number::Measure;
use super::{Member, Visit, rate_by_catch_off, true_rate_off};
use crate::fleet::Moment;
use crate::outcome::Stage;
use crate::record::machine::Control;
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
    let (members, setup): (Vec<Member<Measure>>, _) = if by_console {
        if calibration.meter_tests.is_empty() && calibration.speed_tests.is_empty() {
            return None;
        }
        (true_rate_off::members(visit), None)
    } else {
        if calibration.catch_tests.is_empty() {
            return None;
        }
        let setup = visit.setup.map(|(index, _)| index)?;
        (rate_by_catch_off::members(visit), Some(setup))
    };
    let left = |member: &&Member<Measure>| member.key.stage == Some(Stage::AsLeft);
    let off = members.iter().find(left).and_then(|member| {
        let off = member.value.as_ref().ok()?;
        Some(RateOff {
            value: off.value(),
            uncertainty: off.standard_uncertainty(&visit.primitives),
            place: member.subject,
        })
    });
    Some(CalibratedRate {
        moment: visit.moment()?,
        setup,
        off,
    })
}
