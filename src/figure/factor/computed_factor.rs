//! The factor a test asks for: flow factor and speed factor.

use super::console_factor::ConsoleFactor;
use super::factor_correction::FactorCorrection;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Step;
use crate::quantity::unit::Unit;

/// The figure of one of the factors.
pub(crate) struct ComputedFactor {
    factor: ConsoleFactor,
    about: &'static About,
}

/// The flow factor.
pub(crate) static COMPUTED_FLOW_FACTOR: ComputedFactor = ComputedFactor {
    factor: ConsoleFactor::Flow,
    about: &About {
        id: "computed-flow-factor",
        title: "the flow factor a meter test gives",
        formula: "before x shown / known as pulses per volume, before x known / shown as volume per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Flow),
        cases: &[],
    },
};

/// The speed factor.
pub(crate) static COMPUTED_SPEED_FACTOR: ComputedFactor = ComputedFactor {
    factor: ConsoleFactor::Speed,
    about: &About {
        id: "computed-speed-factor",
        title: "the speed factor a speed test gives",
        formula: "before x mean(shown) / course as pulses per length, before x course / mean(shown) as length per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Measured,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[],
    },
};

impl Figure for ComputedFactor {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = FactorCorrection<'v>;

    fn about(&self) -> &About {
        self.about
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<FactorCorrection<'v>>> {
        FactorCorrection::members(self.factor, visit)
    }

    fn value<'v, N: Number>(
        &self,
        visit: &'v Visit<'v>,
        correction: &FactorCorrection<'v>,
    ) -> Option<N> {
        Some(correction.computed(visit))
    }

    /// Factors are shown as the console has them, whatever their unit.
    fn units<'v>(&self, _: &'v Visit<'v>, _: &FactorCorrection<'v>) -> Units {
        (Some(Unit::ONE), None)
    }
}
