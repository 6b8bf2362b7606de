//! How dense a mix is, and by what factor of its setup that is allowed for.

use super::shown::Shown;
use crate::fact::Fact;
use crate::figure::number::Number;
use crate::figure::plausible::{CHECK_FIRST, may_be_entered};
use crate::figure::primitive::{PrimitiveId, Primitives};
use crate::quantity::Quantity;
use crate::quantity::decimal::Decimal;
use crate::quantity::dimension::Dimension;
use crate::quantity::unit::Unit;
use crate::working::Expression;

/// The density of a mix beside what its setup allows for.
#[derive(Debug, Clone, Copy)]
pub struct MixDensity {
    /// The density.
    pub density: Shown,
    /// The density of water.
    pub water: PrimitiveId,
    /// The factor the setup has; none allows for water.
    pub factor: Option<Shown>,
}

impl MixDensity {
    /// By what the flow of water is divided: the root of the mix's specific gravity.
    pub(in crate::figure) fn computed<N: Number>(&self, primitives: &Primitives) -> N {
        let density = N::input(primitives, self.density.id);
        density.over(&N::input(primitives, self.water)).root()
    }

    /// The case of a density that no mix has: the factor it would need is not advised.
    pub(in crate::figure) fn case(&self, primitives: &Primitives) -> Option<&'static str> {
        let factor = self.computed::<f64>(primitives);
        (!may_be_entered(factor)).then_some(CHECK_FIRST)
    }

    /// Whether it is as dense as water.
    pub(in crate::figure) fn is_water<N: Number>(&self, primitives: &Primitives) -> bool {
        let density = N::input(primitives, self.density.id);
        density.compare(&N::input(primitives, self.water)).is_eq()
    }

    /// The factor the setup has; 1 where it has none.
    pub(in crate::figure) fn entered<N: Number>(&self, primitives: &Primitives) -> N {
        self.factor
            .map_or_else(|| N::whole(1), |factor| N::input(primitives, factor.id))
    }

    /// How far the factor of the setup is off the one that the mix asks for.
    pub(in crate::figure) fn factor_off<N: Number>(&self, primitives: &Primitives) -> N {
        self.entered::<N>(primitives)
            .off(&self.computed(primitives))
    }

    /// How the factor is worked out, with water in the unit of the mix.
    pub(in crate::figure) fn worked_out(&self) -> Option<Expression> {
        let (mix, water) = (self.density.quantity, water()?.si());
        let water = Expression::number(water, Fact::computed(water, mix.unit));
        Some(self.density.as_written().over(water).root())
    }
}

/// Water as the trade takes it: 8.34 lb to the US gallon (Nebraska `CropWatch` 2016, table 1).
pub(in crate::figure) fn water() -> Option<Quantity> {
    Some(Quantity {
        decimal: Decimal::parse("8.34").ok()?,
        unit: Unit::parse("lb/gal", &[Dimension::DENSITY]).ok()?,
    })
}
