//! Whether a setup has a density and no factor for it.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::standing::{MixDensity, Standing, StateStratum};
use crate::outcome::Key;

/// The figure.
pub(crate) struct DensityFactorLacking;

static ABOUT: About = About {
    id: "density-factor-lacking",
    title: "whether a setup has a density unlike that of water and no density factor",
    formula: "1 where density differs from 8.34 lb/gal and there is no density-factor",
    source: "counting; water as Nebraska CropWatch 2016, table 1",
    shown_as: ShownAs::Count,
    family: Family::Setup,
    step: None,
    cases: &[CHECK_FIRST],
};

impl Figure for DensityFactorLacking {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v MixDensity;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("density", |_, mix| {
            Some(Fact::Written(mix.density.quantity))
        }),
        ("computed-factor", |standing, mix| {
            Some(Fact::number(mix.computed(&standing.primitives), 3))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v MixDensity>> {
        let mixes = standing.mixes.iter();
        let members = mixes.map(|(setup, mix)| {
            let key = Key {
                setup: Some(*setup),
                ..Key::of_machine(standing.subject.index)
            };
            Member::new(key, mix, mix.density.place).in_case(mix.case(&standing.primitives))
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<N> {
        let is_water = mix.is_water::<N>(&standing.primitives);
        Some(N::whole(u32::from(!is_water && mix.factor.is_none())))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<Fact> {
        Some(Fact::Written(mix.density.quantity))
    }
}
