//! How far a factor before a test is off the one the last visit left.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Continued, Shown};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "factor-jump",
        title: "how far the factor a visit begins with is off the one the last visit left",
        formula: "before / after of the last visit - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: before,
        held_against: "left so",
        units: |_, _| (None, None),
        slots: &[
            ("factor", |_, key| Some(name(key.step?).to_owned())),
            ("before", before),
            ("left", left),
        ],
    },
};

const fn name(step: Step) -> &'static str {
    match step {
        Step::Flow => "flow factor",
        Step::Speed => "speed factor",
        Step::Catch | Step::Balance => "factor",
    }
}

fn of<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<&'v Continued> {
    let mut continued = visit.continued.iter();
    continued.find(|continued| Some(continued.step) == key.step)
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let input = |shown: &Shown| N::input(&visit.primitives, shown.id);
    visit
        .continued
        .iter()
        .map(|continued| {
            let key = visit.key(continued.step, None, Part::Whole);
            let before = &continued.before;
            match &continued.left {
                Ok(left) => Member::new(key, input(before).off(&input(left)), before.place)
                    .against(left.place),
                Err(because) => Member::unavailable(key, *because, None, before.place),
            }
        })
        .collect()
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let continued = of(visit, key)?;
    let (before, left) = (
        continued.before.quantity,
        continued.left.as_ref().ok()?.quantity,
    );
    let off = before.si() / left.si() - 1.0;
    Some(format!(
        "{} / {} - 1 = {}",
        before.decimal,
        left.decimal,
        percent(off)
    ))
}

fn before(visit: &Visit<'_>, key: &Key) -> Option<String> {
    Some(of(visit, key)?.before.quantity.decimal.to_string())
}

fn left(visit: &Visit<'_>, key: &Key) -> Option<String> {
    Some(
        of(visit, key)?
            .left
            .as_ref()
            .ok()?
            .quantity
            .decimal
            .to_string(),
    )
}
