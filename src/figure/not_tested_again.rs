//! Whether a step was corrected and not tested again.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "not-tested-again",
        title: "whether a factor was changed by a step's last test, so that nobody knows how it was left",
        formula: "1 where the last test changed the factor",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("changed here".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("test", |_, key| {
            key.step.map(|step| Step::test(step).to_owned())
        })],
    },
};

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let corrected = visit.not_tested_again.iter();
    corrected
        .map(|&(step, place)| Member::new(visit.key(step, None, Part::Whole), N::whole(1), place))
        .collect()
}
