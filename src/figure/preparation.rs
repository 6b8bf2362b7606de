//! How much of what makes a visit safe its record says was not done.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part};
use crate::record::calibration::Preparation;
use crate::source::Span;
use crate::words;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "preparation-lacking",
        title: "how much of what makes a visit safe its record says was not done",
        formula: "counting: not rinsed, not neutralised, no protective gear, or a liquid other than water",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Visit,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("lacking", |visit, _| {
            let lacking = lacking(visit.calibration.preparation.as_ref()?);
            let names: Vec<&str> = lacking.iter().map(|(name, _)| *name).collect();
            Some(words::phrases::list(&names, "and"))
        })],
    },
};

fn lacking(preparation: &Preparation) -> Vec<(&'static str, Span)> {
    let Preparation {
        span,
        rinsed,
        neutralised,
        liquid,
        protective_gear,
    } = preparation;
    let mut lacking = Vec::new();
    if let Some(rinsed) = rinsed.filter(|rinsed| !rinsed.value) {
        lacking.push(("rinsing", rinsed.span));
    }
    if let Some(neutralised) = neutralised.filter(|neutralised| !neutralised.value) {
        lacking.push(("neutralising", neutralised.span));
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

/// What is not on record is not said to be lacking.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(preparation) = &visit.calibration.preparation else {
        return Vec::new();
    };
    let lacking = lacking(preparation);
    let place = lacking.first().map_or(preparation.span, |(_, span)| *span);
    let count = N::whole(u32::try_from(lacking.len()).unwrap_or(u32::MAX));
    let key = Key {
        record: Some(visit.calibration.file),
        part: Part::Whole,
        ..Key::of_machine(visit.subject.index)
    };
    vec![Member::new(key, count, visit.place(place))]
}
