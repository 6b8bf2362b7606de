//! The known volume of a meter test, and the test wholly on record: shared by the figures of meter, factor and rate.

use crate::fact::Fact;
use crate::figure::catch::flows::Flows;
use crate::figure::catch::repeat_chance::TIP_SCATTER;
use crate::figure::number::{Measure, Number};
use crate::figure::visit::{KnownVolume, Meter, Shown, Visit};
use crate::outcome::Stage;
use crate::quantity::dimension::Dimension;
use crate::record::calibration::KnownBy;
use crate::statistics::root_sum_square;
use crate::working::Expression;

/// A meter test with both its volumes on record.
#[derive(Clone, Copy)]
pub(crate) struct MeterRead {
    /// The one known by other means.
    pub(crate) known: KnownVolume,
    /// What the console showed.
    pub(crate) shown: Shown,
    /// How long it took.
    duration: Option<Shown>,
}

impl MeterRead {
    /// Whether the console counted nothing: its meter is dead, and no factor makes up for it.
    pub(crate) fn is_dead(&self) -> bool {
        self.shown.quantity.decimal.is_zero()
    }

    /// None where one of them is not on record.
    pub(crate) fn of(meter: &Meter) -> Option<Self> {
        Some(Self {
            known: meter.known?,
            shown: meter.shown?,
            duration: meter.duration,
        })
    }

    /// Whether the catch of the visit agrees with the console and not with the known volume: of the three the known one is
    /// then the least likely, and no factor is worked out from it.
    ///
    /// They agree within their uncertainty, doubled, and the scatter of good tips.
    pub(crate) fn is_known_doubted(&self, visit: &Visit<'_>) -> bool {
        self.doubted(visit).unwrap_or(false)
    }

    fn doubted(&self, visit: &Visit<'_>) -> Option<bool> {
        if self.known.known_by? == KnownBy::Catch {
            return None;
        }
        let flows = Flows::<Measure>::of(visit, visit.catch.at(Stage::AsLeft)?);
        let time = Measure::input(&visit.primitives, self.duration?.id);
        let caught = Measure::sum(flows.of_boom()?).times(&time);
        let (shown, known) = self.shown_and_known::<Measure>(visit);
        let agrees = |volume: &Measure| {
            let off = volume.off(&caught);
            let uncertainty = off.standard_uncertainty(&visit.primitives);
            off.value().abs() <= 2.0 * root_sum_square(uncertainty, TIP_SCATTER)
        };
        Some(agrees(&shown) && !agrees(&known))
    }

    /// The volumes shown and known.
    pub(crate) fn shown_and_known<N: Number>(&self, visit: &Visit<'_>) -> (N, N) {
        let shown = N::input(&visit.primitives, self.shown.id);
        (shown, self.known.volume(visit))
    }
}

impl KnownVolume {
    /// The volume.
    ///
    /// By catch it stands on the same readings as the boom's flow, so it carries that flow's relative
    /// error; where no catch is on record, that of the jug's marks, which no catch is without.
    pub(crate) fn volume<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        let reading = input(self.reading);
        if let Some(mean) = self.caught_mean::<N>(visit) {
            return reading.times(&mean.relative());
        }
        let volume = reading.times(&input(self.scale));
        match self.density {
            Some(density) if self.quantity.dimension() == Dimension::MASS => {
                volume.over(&input(density))
            }
            // The record has the volume that somebody made of the weight.
            Some(density) => volume.over(&input(density).relative()),
            None => volume,
        }
    }

    /// The mean flow that a volume known by catch stands on.
    fn caught_mean<N: Number>(&self, visit: &Visit<'_>) -> Option<N> {
        if self.known_by != Some(KnownBy::Catch) {
            return None;
        }
        Flows::<N>::of(visit, visit.catch.at(Stage::AsLeft)?).mean()
    }

    /// The volume, shown as it is written.
    pub(crate) fn as_written(&self, visit: &Visit<'_>) -> Expression {
        Expression::number(self.volume(visit), Fact::Written(self.quantity))
    }
}
