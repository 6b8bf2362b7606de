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
    formula: "counting: not rinsed, not neutralized, no protective gear, or a liquid other than water",
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

    /// What is not on record is not said to be lacking.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Lacking>> {
        let Some(preparation) = &visit.calibration.preparation else {
            return Vec::new();
        };
        let lacking = lacking(preparation);
        let place = lacking.first().map_or(preparation.span, |(_, span)| *span);
        let key = Key {
            record: Some(visit.calibration.file),
            ..Key::of_machine(visit.subject.index)
        };
        vec![Member::new(key, lacking, visit.place(place))]
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, lacking: &Lacking) -> Option<N> {
        Some(N::whole(u32::try_from(lacking.len()).unwrap_or(u32::MAX)))
    }
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
        Some(liquid) if !liquid.value.contains("water") => {
            lacking.push(("clean water", liquid.span));
            if protective_gear.is_empty() {
                lacking.push(("protective gear", *span));
            }
        }
        Some(_) | None => {}
    }
    lacking
}
