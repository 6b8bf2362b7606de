//! How far the density of a mix shifts the flow from what the setup allows for.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::standing::{Standing, StateStratum};
use crate::figure::visit::density::MixDensity;
use crate::outcome::{Key, Part};
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct MixDensityOff;

static ABOUT: About = About {
    id: "mix-density-off",
    title: "how far the density of a mix shifts the flow from what its setup allows for",
    formula: "factor of the setup / root of (density of the mix / density of water) - 1",
    source: "Nebraska CropWatch 2016: factor = root of (lb/gal / 8.34); flow of the liquid = flow of water / factor",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[CHECK_FIRST],
};

impl Figure for MixDensityOff {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v MixDensity;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("density", |_, mix| {
            Some(Fact::Written(mix.density.quantity))
        }),
        ("factor", |standing, mix| {
            Some(Fact::number(mix.computed(&standing.primitives), 3))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v MixDensity>> {
        let mut members = Vec::new();
        for spraying in &standing.sprayings {
            for (tank, mix) in &spraying.densities {
                let key = Key {
                    record: Some(spraying.application.file),
                    setup: spraying.setup.map(|(index, _)| index),
                    part: Part::Test(*tank),
                    ..Key::of_machine(standing.subject.index)
                };
                members.push(
                    Member::new(key, mix, mix.density.place)
                        .in_case(mix.case(&standing.primitives)),
                );
            }
        }
        members
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<N> {
        Some(mix.factor_off(&standing.primitives))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<Working> {
        let computed = mix.computed(&standing.primitives);
        let shown = Fact::number(computed, 4);
        let root = mix.worked_out()?;
        let (allowed, result) = match mix.factor {
            Some(factor) => (factor.as_written(), "{} by the factor of the setup"),
            None => (Expression::whole(1), "{} where the setup allows for water"),
        };
        let off = allowed.off(Expression::number(computed, shown.clone()));
        let result = Fact::phrase(result, [Fact::deviation(off.evaluate())]);
        Some(Working::of(root, shown).then(off, result))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, mix: &&'v MixDensity) -> Option<Fact> {
        Some(Fact::Written(mix.density.quantity))
    }
}
