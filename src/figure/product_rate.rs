//! How much of a product a tank puts on an area at the true rate, beside what its label asks for.

use super::about::{About, Family, ShownAs};
use super::describe::in_unit;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::standing::{Mixed, Spraying};
use super::visit::Shown;
use super::{Member, Standing};
use crate::outcome::{Key, Part};
use crate::quantity::dimension::Dimension;
use crate::words;

/// Beside the label's most.
pub(super) static MAXIMUM_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "product-of-maximum",
        title: "how much of a product is put on an area, in percent of the most its label allows",
        formula: "amount x true rate / tank / most by label",
        source: "area per tank = tank / rate; product per area = amount / area per tank",
        shown_as: ShownAs::Percent,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: maximum::<f64>,
        measure: maximum::<Measure>,
        exact: maximum::<Rational>,
        working: |standing, key| working(standing, key, |mixed| mixed.max),
        read: |standing, key| Some(of(standing, key)?.1.amount.quantity.to_string()),
        held_against: "the most by label",
        units: |_, _| (None, None),
        slots: &[
            ("product", |standing, key| {
                Some(of(standing, key)?.1.name.clone())
            }),
            ("per-area", |standing, key| {
                per_area(standing, key, |mixed| mixed.max)
            }),
            ("label", |standing, key| {
                Some(of(standing, key)?.1.max?.quantity.to_string())
            }),
            ("rate", |standing, key| true_rate(standing, key)),
            ("right-amount", |standing, key| {
                right_amount(standing, key, |mixed| mixed.max)
            }),
        ],
    },
};

/// Beside the label's least.
pub(super) static MINIMUM_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "product-of-minimum",
        title: "how much of a product is put on an area, in percent of the least its label asks for",
        formula: "amount x true rate / tank / least by label",
        source: "area per tank = tank / rate; product per area = amount / area per tank",
        shown_as: ShownAs::Percent,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: minimum::<f64>,
        measure: minimum::<Measure>,
        exact: minimum::<Rational>,
        working: |standing, key| working(standing, key, |mixed| mixed.min),
        read: |standing, key| Some(of(standing, key)?.1.amount.quantity.to_string()),
        held_against: "the least by label",
        units: |_, _| (None, None),
        slots: &[
            ("product", |standing, key| {
                Some(of(standing, key)?.1.name.clone())
            }),
            ("per-area", |standing, key| {
                per_area(standing, key, |mixed| mixed.min)
            }),
            ("label", |standing, key| {
                Some(of(standing, key)?.1.min?.quantity.to_string())
            }),
            ("rate", |standing, key| true_rate(standing, key)),
            ("right-amount", |standing, key| {
                right_amount(standing, key, |mixed| mixed.min)
            }),
        ],
    },
};

/// One side of a label.
type Side = fn(&Mixed) -> Option<Shown>;

fn maximum<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, |mixed| mixed.max)
}

fn minimum<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, |mixed| mixed.min)
}

/// The setup's rate, by as much off as the last calibration before found it.
fn rate<N: Number>(standing: &Standing<'_>, spraying: &Spraying<'_>) -> Option<N> {
    let rate = N::input(&standing.primitives, spraying.rate?.id);
    Some(match spraying.off {
        Some(off) => {
            let true_to = N::whole(1).plus(&N::input(&standing.primitives, off.id));
            rate.times(&true_to)
        }
        None => rate,
    })
}

/// The volume of what is in the tank.
fn tank<N: Number>(standing: &Standing<'_>, mixed: &Mixed) -> N {
    let contents = mixed.tank.iter();
    let contents: Vec<N> = contents
        .map(|content| N::input(&standing.primitives, content.id))
        .collect();
    N::sum(&contents)
}

/// Products are numbered over the tanks of an application; one without a label has no member.
fn members<N: Number>(standing: &Standing<'_>, side: Side) -> Vec<Member<N>> {
    let mut members = Vec::new();
    for spraying in &standing.sprayings {
        for (index, mixed) in (0_u16..).zip(&spraying.products) {
            let Some(label) = side(mixed) else { continue };
            let key = Key {
                record: Some(spraying.application.file),
                setup: spraying.setup.map(|(index, _)| index),
                part: Part::Test(index),
                ..Key::of_machine(standing.subject.index)
            };
            let place = mixed.amount.place;
            let amount = &mixed.amount.quantity;
            // By volume a label wants a volume, by weight a weight: what it weighs nobody tells.
            let wanted = label.quantity.dimension();
            let alike = matches!(wanted, Dimension::Per(of, _) if amount.dimension() == Dimension::Plain(of));
            members.push(match (rate::<N>(standing, spraying), alike) {
                (None, _) => {
                    let because = "the rate it was sprayed at is not known";
                    Member::unavailable(key, because, None, place)
                }
                (_, false) => {
                    let because = "the label counts by weight what the tank counts by volume, or the other way round";
                    Member::unavailable(key, because, Some(label.place), place)
                }
                (Some(rate), true) => {
                    let input = |shown: &Shown| N::input(&standing.primitives, shown.id);
                    let per_area = input(&mixed.amount)
                        .times(&rate)
                        .over(&tank(standing, mixed));
                    Member::new(key, per_area.over(&input(&label)), place)
                        .against(label.place)
                }
            });
        }
    }
    members
}

fn of<'s, 'a>(standing: &'s Standing<'a>, key: &Key) -> Option<(&'s Spraying<'a>, &'s Mixed)> {
    let Part::Test(index) = key.part else {
        return None;
    };
    let spraying = standing.spraying(key.record?)?;
    Some((spraying, spraying.products.get(usize::from(index))?))
}

/// The true rate, in the unit of the setup's.
fn true_rate(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let (spraying, _) = of(standing, key)?;
    let unit = spraying.rate?.quantity.unit;
    Some(in_unit(rate::<f64>(standing, spraying)?, unit))
}

fn on_an_area(standing: &Standing<'_>, key: &Key) -> Option<f64> {
    let (spraying, mixed) = of(standing, key)?;
    let rate = rate::<f64>(standing, spraying)?;
    Some(mixed.amount.quantity.si() * rate / tank::<f64>(standing, mixed))
}

fn per_area(standing: &Standing<'_>, key: &Key, side: Side) -> Option<String> {
    let unit = side(of(standing, key)?.1)?.quantity.unit;
    Some(in_unit(on_an_area(standing, key)?, unit))
}

/// What should have gone into the tank to put down what the label says.
fn right_amount(standing: &Standing<'_>, key: &Key, side: Side) -> Option<String> {
    let (_, mixed) = of(standing, key)?;
    let label = side(mixed)?.quantity.si();
    let amount = mixed.amount.quantity;
    let right = amount.si() * label / on_an_area(standing, key)?;
    Some(in_unit(right, amount.unit))
}

fn working(standing: &Standing<'_>, key: &Key, side: Side) -> Option<String> {
    let (spraying, mixed) = of(standing, key)?;
    let water = mixed.tank.first()?.quantity;
    let tank = in_unit(tank::<f64>(standing, mixed), water.unit);
    let by = match spraying.off {
        Some(_) => "by the last calibration",
        None => "by the setup",
    };
    let label = side(mixed)?.quantity;
    let share = on_an_area(standing, key)? / label.si();
    Some(format!(
        "{} in {tank} at {} {by} = {}; / {label} = {} %",
        mixed.amount.quantity,
        true_rate(standing, key)?,
        per_area(standing, key, side)?,
        words::numbers::number(100.0 * share, 1),
    ))
}
