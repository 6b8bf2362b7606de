//! How far the rate changes while sections are shut.

use super::about::{About, Family, ShownAs};
use super::describe::percent;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::visit::ReadingsStratum;
use super::visit::{Shown, Shut};
use super::{Member, Visit};
use crate::outcome::{Key, Part, Step};
use crate::quantity::dimension::Dimension;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "section-off-change",
        title: "how far the rate changes with sections shut, from the rate or the pressure shown",
        formula: "shut / all on - 1 by rate; sqrt(shut / all on) - 1 by pressure",
        source: "square-root law of a fixed orifice",
        shown_as: ShownAs::Percent,
        family: Family::Shut,
        step: Some(Step::Balance),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |visit, key| Some(shown(visit, key)?.1.quantity.to_string()),
        held_against: "all on",
        units: |_, _| (None, None),
        slots: &[
            ("reading", |visit, key| {
                Some(shown(visit, key)?.1.quantity.to_string())
            }),
            ("all-on", |visit, key| {
                Some(shown(visit, key)?.0.all_on?.quantity.to_string())
            }),
        ],
    },
};

fn change<N: Number>(visit: &Visit<'_>, shut: Shown, all_on: Shown) -> N {
    let input = |shown: Shown| N::input(&visit.primitives, shown.id);
    let ratio = input(shut).over(&input(all_on));
    let by_pressure = shut.quantity.dimension() == Dimension::PRESSURE;
    let ratio = if by_pressure { ratio.root() } else { ratio };
    ratio.minus(&N::whole(1))
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let mut members = Vec::new();
    for shut in &visit.shut {
        for (stage, &reading) in shut.readings.each() {
            let key = visit.key(Step::Balance, Some(stage), Part::Shut(shut.index));
            members.push(match shut.all_on {
                None => {
                    let because = "the section balance gives no reading with all sections on";
                    Member::unavailable(key, because, None, reading.place)
                }
                Some(all_on) if all_on.quantity.dimension() != reading.quantity.dimension() => {
                    let because = "one reading is a rate and the other a pressure";
                    Member::unavailable(key, because, Some(all_on.place), reading.place)
                }
                Some(all_on) => Member::new(key, change(visit, reading, all_on), reading.place)
                    .against(all_on.place),
            });
        }
    }
    members
}

fn shown<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<(&'v Shut, Shown)> {
    let mut readings = visit.shut.iter();
    let shut = readings.find(|shut| key.part == Part::Shut(shut.index))?;
    Some((shut, *shut.readings.at(key.stage?)?))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    let (shut, reading) = shown(visit, key)?;
    let all_on = shut.all_on?;
    let value = change::<f64>(visit, reading, all_on);
    let ratio = format!("{} / {}", reading.quantity, all_on.quantity);
    let ratio = if reading.quantity.dimension() == Dimension::PRESSURE {
        format!("sqrt({ratio})")
    } else {
        ratio
    };
    Some(format!("{ratio} - 1 = {}", percent(value)))
}
