//! How far the density factor of a setup is off the one its mix asks for.

use super::Member;
use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::standing::{Mix, Standing};
use crate::outcome::{Key, Part};
use crate::words;

/// The case of a factor multiplied where it should divide.
const UPSIDE_DOWN: &str = "upside-down";
/// The case of a mix whose setup has no factor.
const NOT_ALLOWED_FOR: &str = "not-allowed-for";

/// The figure.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "density-factor-off",
        title: "how far the density factor of a setup, 1 where it has none, is off the one its mix asks for",
        formula: "factor / sqrt(density / density of water) - 1; water 8.34 lb/gal",
        source: "Nebraska CropWatch 2016, table 1; ASTM E549, 4.2",
        shown_as: ShownAs::Percent,
        family: Family::Setup,
        step: None,
        cases: &[UPSIDE_DOWN, NOT_ALLOWED_FOR],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |standing, key| {
            let mix = at(standing, key)?;
            Some(mix.factor.map_or_else(
                || mix.density.quantity.to_string(),
                |factor| factor.quantity.decimal.to_string(),
            ))
        },
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("computed-factor", |standing, key| {
                Some(words::numbers::number(
                    computed::<f64>(standing, at(standing, key)?),
                    2,
                ))
            }),
            ("entered-factor", |standing, key| {
                Some(at(standing, key)?.factor?.quantity.decimal.to_string())
            }),
            ("density", |standing, key| {
                Some(at(standing, key)?.density.quantity.to_string())
            }),
        ],
    },
};

/// By what the flow of water is divided: the root of the mix's specific gravity.
fn computed<N: Number>(standing: &Standing<'_>, mix: &Mix) -> N {
    let density = N::input(&standing.primitives, mix.density.id);
    density
        .over(&N::input(&standing.primitives, mix.water))
        .root()
}

fn entered<N: Number>(standing: &Standing<'_>, mix: &Mix) -> N {
    mix.factor.map_or_else(
        || N::whole(1),
        |factor| N::input(&standing.primitives, factor.id),
    )
}

fn case(standing: &Standing<'_>, mix: &Mix) -> Option<&'static str> {
    let computed = computed::<f64>(standing, mix);
    let Some(factor) = mix.factor else {
        return Some(NOT_ALLOWED_FOR);
    };
    let inverse = (factor.quantity.si() * computed - 1.0).abs() < 0.01;
    (inverse && (computed - 1.0).abs() > 0.01).then_some(UPSIDE_DOWN)
}

fn members<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    standing
        .mixes
        .iter()
        .map(|mix| {
            let key = Key {
                setup: Some(mix.setup),
                part: Part::Whole,
                ..Key::of_machine(standing.subject.index)
            };
            let off = entered::<N>(standing, mix).off(&computed(standing, mix));
            let subject = mix.factor.map_or(mix.density.place, |factor| factor.place);
            Member::new(key, off, subject).in_case(case(standing, mix))
        })
        .collect()
}

fn at<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s Mix> {
    standing
        .mixes
        .iter()
        .find(|mix| key.setup == Some(mix.setup))
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let mix = at(standing, key)?;
    let computed = computed::<f64>(standing, mix);
    let entered = entered::<f64>(standing, mix);
    Some(format!(
        "sqrt({} / 8.34 lb/gal) = {}; {} / {} - 1 = {}",
        mix.density.quantity,
        words::numbers::number(computed, 4),
        words::numbers::number(entered, 4),
        words::numbers::number(computed, 4),
        percent(entered / computed - 1.0),
    ))
}
