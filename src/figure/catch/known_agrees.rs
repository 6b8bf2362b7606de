//! Whether a volume known otherwise says that the boom is at its rated flow, whatever its catch says.

use super::flows::Flows;
use super::rated::Rated;
use super::repeat_chance::TIP_SCATTER;
use crate::fact::Fact;
use crate::figure::number::{Measure, Number};
use crate::figure::visit::{Meter, Visit};
use crate::outcome::Stage;
use crate::record::calibration::KnownBy;
use crate::statistics::root_sum_square;

/// The known volume of a meter test that agrees with rated flow and not with the catch.
///
/// It agrees where it lies within its uncertainty, doubled, and the scatter of good tips; a volume known from the catch
/// says nothing of it. Spraying out is done with the boom as left, so of an earlier catch it tells nothing.
pub(super) fn known_agrees(visit: &Visit<'_>, stage: Stage, rated: &Rated<'_>) -> Option<Fact> {
    if stage != Stage::AsLeft {
        return None;
    }
    let tests = visit.flow.each();
    let mut agreeing = tests.filter_map(|(_, meter)| agreeing(visit, meter, rated));
    agreeing.next()
}

fn agreeing(visit: &Visit<'_>, meter: &Meter, rated: &Rated<'_>) -> Option<Fact> {
    let (known, duration) = (meter.known?, meter.duration?);
    if known.known_by? == KnownBy::Catch {
        return None;
    }
    let nozzles = u32::try_from(rated.catch.nozzles.len()).ok()?;
    let time = Measure::input(&visit.primitives, duration.id);
    let at_rated = rated.flow::<Measure>(visit).times(&time);
    let at_rated = at_rated.times(&Measure::whole(nozzles));
    let volume = known.volume::<Measure>(visit);
    let off_rated = volume.off(&at_rated);
    let uncertainty = off_rated.standard_uncertainty(&visit.primitives);
    let within = 2.0 * root_sum_square(uncertainty, TIP_SCATTER);
    let mean = Flows::<f64>::of(visit, rated.catch).mean()?;
    let caught = mean * time.value() * f64::from(nozzles);
    let off_catch = volume.value() / caught - 1.0;
    let off_rated = off_rated.value().abs();
    let agrees = off_rated <= within && off_rated < off_catch.abs();
    agrees.then_some(Fact::Written(known.quantity))
}
