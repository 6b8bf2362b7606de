//! How far the density factor of a setup is off the one its mix needs.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::standing::{Standing, StateStratum};
use crate::figure::visit::density::MixDensity;
use crate::outcome::Key;
use crate::working::{Expression, Working};

/// The case of a factor multiplied where it should divide.
const UPSIDE_DOWN: &str = "upside-down";
/// The case of a mix whose setup has no factor.
const NOT_ALLOWED_FOR: &str = "not-allowed-for";

/// The figure.
pub(crate) struct DensityFactorOff;

static ABOUT: About = About {
    id: "density-factor-off",
    title: "how far the density factor of a setup, 1 where it has none, is off the one its mix needs",
    formula: "factor / sqrt(density / density of water) - 1; water 8.34 lb/gal",
    source: "Nebraska CropWatch 2016, table 1; ASTM E549, 4.2",
    shown_as: ShownAs::Percent,
    family: Family::Setup,
    step: None,
    cases: &[UPSIDE_DOWN, NOT_ALLOWED_FOR, CHECK_FIRST],
};

impl Figure for DensityFactorOff {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v MixDensity;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("computed-factor", |standing, mix| {
            Some(Fact::number(mix.computed(&standing.primitives), 2))
        }),
        ("entered-factor", |_, mix| {
            Some(Fact::Decimal(mix.factor?.quantity.decimal))
        }),
        ("density", |_, mix| {
            Some(Fact::Written(mix.density.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v MixDensity>> {
        let mixes = standing.mixes.iter();
        mixes
            .map(|(setup, mix)| {
                let key = Key {
                    setup: Some(*setup),
                    ..Key::of_machine(standing.subject.index)
                };
                let subject = mix.factor.map_or(mix.density.place, |factor| factor.place);
                Member::new(key, mix, subject).in_case(case(standing, mix))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<N> {
        Some(mix.factor_off(&standing.primitives))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<Working> {
        let four_decimals = |value| Expression::number(value, Fact::number(value, 4));
        let computed = mix.computed(&standing.primitives);
        let root = Working::of(mix.worked_out()?, Fact::number(computed, 4));
        let entered = mix.entered(&standing.primitives);
        let off = four_decimals(entered).off(four_decimals(computed));
        let deviation = Fact::deviation(off.evaluate());
        Some(root.then(off, deviation))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<Fact> {
        Some(match mix.factor {
            Some(factor) => Fact::Decimal(factor.quantity.decimal),
            None => Fact::Written(mix.density.quantity),
        })
    }
}

fn case(standing: &Standing<'_>, mix: &MixDensity) -> Option<&'static str> {
    let check_first = mix.case(&standing.primitives);
    if check_first.is_some() {
        return check_first;
    }
    let computed: f64 = mix.computed(&standing.primitives);
    let Some(factor) = mix.factor else {
        return Some(NOT_ALLOWED_FOR);
    };
    let inverse = (factor.quantity.si() * computed - 1.0).abs() < 0.01;
    (inverse && (computed - 1.0).abs() > 0.01).then_some(UPSIDE_DOWN)
}
