//! How far the density of a mix shifts the flow from what the setup allows for.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::MixDensity;
use super::standing::StateStratum;
use super::{Member, Standing};
use crate::outcome::{Key, Part};
use crate::quantity::Quantity;
use crate::words;

/// The figure.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "mix-density-off",
        title: "how far the density of a mix shifts the flow from what its setup allows for",
        formula: "factor of the setup / root of (density of the mix / density of water) - 1",
        source: "Nebraska CropWatch 2016: factor = root of (lb/gal / 8.34); flow of the liquid = flow of water / factor",
        shown_as: ShownAs::Percent,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |standing, key| Some(density(standing, key)?.to_string()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("density", |standing, key| {
                Some(density(standing, key)?.to_string())
            }),
            ("factor", |standing, key| {
                Some(words::numbers::number(factor(density(standing, key)?)?, 3))
            }),
        ],
    },
};

fn members<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let input = |id| N::input(&standing.primitives, id);
    let mut members = Vec::new();
    for spraying in &standing.sprayings {
        for (index, density) in &spraying.densities {
            let key = Key {
                record: Some(spraying.application.file),
                setup: spraying.setup.map(|(index, _)| index),
                part: Part::Test(*index),
                ..Key::of_machine(standing.subject.index)
            };
            let factor = input(density.mix.id).over(&input(density.water)).root();
            let allowed = density.allowed.map_or_else(|| N::whole(1), |a| input(a.id));
            members.push(Member::new(key, allowed.off(&factor), density.mix.place));
        }
    }
    members
}

fn mix<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s MixDensity> {
    let Part::Test(index) = key.part else {
        return None;
    };
    let spraying = standing.spraying(key.record?)?;
    let mut densities = spraying.densities.iter();
    let (_, found) = densities.find(|(own, _)| *own == index)?;
    Some(found)
}

fn density(standing: &Standing<'_>, key: &Key) -> Option<Quantity> {
    Some(mix(standing, key)?.mix.quantity)
}

fn factor(density: Quantity) -> Option<f64> {
    let water = super::standing::water()?;
    Some((density.si() / water.si()).sqrt())
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let mix = mix(standing, key)?;
    let density = mix.mix.quantity;
    let factor = factor(density)?;
    let water = super::standing::water()?;
    let (allowed, by_what) = match mix.allowed {
        Some(allowed) => (allowed.quantity.to_string(), "by the factor of the setup"),
        None => ("1".to_owned(), "where the setup allows for water"),
    };
    let allowed_for = mix.allowed.map_or(1.0, |allowed| allowed.quantity.si());
    Some(format!(
        "root of ({density} / {water}) = {}; {allowed} / {} - 1 = {} {by_what}",
        words::numbers::number(factor, 3),
        words::numbers::number(factor, 3),
        percent(allowed_for / factor - 1.0),
    ))
}
