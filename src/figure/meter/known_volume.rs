//! The known volume of a meter test, and the test wholly on record: shared by the figures of meter, factor and rate.

use crate::fact::Fact;
use crate::figure::catch::flows::Flows;
use crate::figure::number::Number;
use crate::figure::visit::{KnownVolume, Meter, Shown, Visit};
use crate::outcome::Stage;
use crate::record::calibration::KnownBy;
use crate::working::Expression;

/// A meter test with both its volumes on record.
#[derive(Clone, Copy)]
pub(crate) struct MeterRead {
    /// The one known by other means.
    pub(crate) known: KnownVolume,
    /// What the console showed.
    pub(crate) shown: Shown,
}

impl MeterRead {
    /// None where one of them is not on record.
    pub(crate) fn of(meter: &Meter) -> Option<Self> {
        Some(Self {
            known: meter.known?,
            shown: meter.shown?,
        })
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
    /// error; where the catch is not on record it is taken as written.
    pub(crate) fn volume<N: Number>(&self, visit: &Visit<'_>) -> N {
        let input = |id| N::input(&visit.primitives, id);
        let mut volume = input(self.reading);
        if let Some(scale) = self.scale {
            volume = volume.times(&input(scale));
        }
        if let Some(density) = self.density {
            volume = volume.over(&input(density));
        }
        if self.known_by == Some(KnownBy::Catch)
            && let Some(catch) = visit.catch.at(Stage::AsLeft)
            && let Some(mean) = Flows::<N>::of(visit, catch).mean()
        {
            volume = volume.times(&mean.over(&mean.steady()));
        }
        volume
    }

    /// The volume, shown as it is written.
    pub(crate) fn as_written(&self, visit: &Visit<'_>) -> Expression {
        Expression::number(self.volume(visit), Fact::Written(self.quantity))
    }
}
