//! How far the width a console has for a section is off spacing times nozzles.

use super::Member;
use super::about::{About, Family, ShownAs};
use super::describe::{in_unit, percent};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::standing::{SheetSection, Standing};
use crate::outcome::{Key, Part};

/// The figure.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "entered-width-off",
        title: "how far the width the console has for a section is off its nozzles times the spacing",
        formula: "entered width / (spacing x nozzles) - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Section,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |standing, key| Some(at(standing, key)?.entered.quantity.to_string()),
        held_against: "spacing",
        units: |_, _| (None, None),
        slots: &[("width", |standing, key| {
            let section = at(standing, key)?;
            let width = swath::<f64>(standing, section);
            Some(in_unit(width, section.entered.quantity.unit))
        })],
    },
};

fn swath<N: Number>(standing: &Standing<'_>, section: &SheetSection) -> N {
    N::input(&standing.primitives, section.spacing.id).times(&N::whole(section.nozzles))
}

fn members<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    standing
        .sections
        .iter()
        .map(|section| {
            let key = Key {
                part: Part::Section(section.index),
                ..Key::of_machine(standing.subject.index)
            };
            let entered = N::input(&standing.primitives, section.entered.id);
            let off = entered.off(&swath(standing, section));
            Member::new(key, off, section.entered.place).against(section.spacing.place)
        })
        .collect()
}

fn at<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s SheetSection> {
    let mut sections = standing.sections.iter();
    sections.find(|section| key.part == Part::Section(section.index))
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let section = at(standing, key)?;
    let off = section.entered.quantity.si() / swath::<f64>(standing, section) - 1.0;
    Some(format!(
        "{} / ({} x {}) - 1 = {}",
        section.entered.quantity,
        section.spacing.quantity,
        section.nozzles,
        percent(off),
    ))
}
