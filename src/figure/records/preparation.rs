//! How much of what makes a visit safe its record says was not done.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Key;
use crate::record::calibration::Preparation;
use crate::source::Span;

/// The figure.
pub(crate) struct PreparationLacking;

static ABOUT: About = About {
    id: "preparation-lacking",
    title: "how much of what makes a visit safe its record says was not done",
    formula: "counting: not rinsed, not neutralized, no protective gear, or a liquid other than clean water",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: None,
    cases: &[],
};

/// What was not done, each with where the record says so.
type Lacking = Vec<(&'static str, Span)>;

impl Figure for PreparationLacking {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Lacking;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("lacking", |_, lacking| {
        let names = lacking.iter().map(|(name, _)| Fact::Words(name));
        Some(Fact::list(names))
    })];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Lacking>> {
        members(visit, lacking)
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, lacking: &Lacking) -> Option<N> {
        Some(counted(lacking))
    }
}

/// The figure of what hurts where it was not done.
pub(crate) struct UnsafePreparation;

static UNSAFE: About = About {
    id: "unsafe-preparation",
    title: "how much of what keeps people safe from residues the record of a visit says was not done",
    formula: "counting: not rinsed, or no gloves with a liquid other than clean water",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: None,
    cases: &[],
};

impl Figure for UnsafePreparation {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Lacking;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("hazards", |_, hazards| {
        Some(Fact::list(
            hazards.iter().map(|(what, _)| Fact::Words(what)),
        ))
    })];

    fn about(&self) -> &About {
        &UNSAFE
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Lacking>> {
        members(visit, hazards)
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, hazards: &Lacking) -> Option<N> {
        Some(counted(hazards))
    }
}

/// One member a visit that tells of its preparation: what is not on record is not said to be lacking.
fn members(visit: &Visit<'_>, of: fn(&Preparation) -> Lacking) -> Vec<Member<Lacking>> {
    let Some(preparation) = &visit.calibration.preparation else {
        return Vec::new();
    };
    let lacking = of(preparation);
    let place = lacking.first().map_or(preparation.span, |(_, span)| *span);
    let key = Key {
        record: Some(visit.calibration.file),
        ..Key::of_machine(visit.subject.index)
    };
    vec![Member::new(key, lacking, visit.place(place))]
}

fn counted<N: Number>(lacking: &Lacking) -> N {
    N::whole(u32::try_from(lacking.len()).unwrap_or(u32::MAX))
}

/// What leaves residues in the tank, or on hands.
fn hazards(preparation: &Preparation) -> Lacking {
    let rinsed = preparation.rinsed.filter(|rinsed| !rinsed.value);
    let unrinsed = rinsed.map(|rinsed| ("the tank was not rinsed", rinsed.span));
    let gear = &preparation.protective_gear;
    let has_gloves = gear
        .iter()
        .any(|gear| gear.value.to_lowercase().contains("glove"));
    let mix = preparation.liquid.as_ref();
    let mix = mix.filter(|liquid| !has_gloves && !is_clean_water(&liquid.value));
    let bare = mix.map(|liquid| ("no gloves were worn with a mix", liquid.span));
    unrinsed.into_iter().chain(bare).collect()
}

/// Words that may stand before `water` where it is clean.
const CLEAN: [&str; 9] = [
    "clean", "clear", "fresh", "plain", "tap", "well", "city", "potable", "drinking",
];

/// Whether a liquid is said to be water and nothing else.
pub(in crate::figure) fn is_clean_water(liquid: &str) -> bool {
    let liquid = liquid.to_lowercase();
    let mut words = liquid.split_whitespace().rev();
    words.next() == Some("water") && words.all(|word| CLEAN.contains(&word))
}

fn lacking(preparation: &Preparation) -> Lacking {
    let Preparation {
        span,
        rinsed,
        neutralized,
        liquid,
        protective_gear,
    } = preparation;
    let mut lacking = Vec::new();
    if let Some(rinsed) = rinsed.filter(|rinsed| !rinsed.value) {
        lacking.push(("rinsing", rinsed.span));
    }
    if let Some(neutralized) = neutralized.filter(|neutralized| !neutralized.value) {
        lacking.push(("neutralizing", neutralized.span));
    }
    match liquid {
        Some(liquid) if !is_clean_water(&liquid.value) => {
            lacking.push(("clean water", liquid.span));
            if protective_gear.is_empty() {
                lacking.push(("protective gear", *span));
            }
        }
        Some(_) | None => {}
    }
    lacking
}

#[cfg(test)]
mod tests {
    use super::is_clean_water;

    #[test]
    fn water_with_anything_else_is_a_mix() {
        for liquid in [
            "water",
            "clean water",
            "Fresh tap water",
            "clear  well water",
        ] {
            assert!(is_clean_water(liquid), "{liquid}");
        }
        for liquid in [
            "",
            "mix",
            "rinse water",
            "dirty water",
            "water and dye",
            "water with fungicide",
            "waterborne paint",
        ] {
            assert!(!is_clean_water(liquid), "{liquid}");
        }
    }
}
