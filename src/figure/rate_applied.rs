//! The rate that was put down: volume over area, of one application and of the last five together.

use super::about::{About, Family, ShownAs};
use super::describe::{in_unit, percent};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::standing::{Amount, Spraying};
use super::visit::Shown;
use super::{Member, Standing};
use crate::outcome::Key;
use crate::quantity::Quantity;
use crate::record::application::VolumeBy;
use crate::words;

/// So many applications are judged together (our choice: one alone says more of its map than of the
/// machine).
const TOGETHER: usize = 5;

/// The rate of each application.
pub(super) static RATE_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "rate-applied",
        title: "the rate an application put down",
        formula: "volume / area",
        source: "by definition",
        shown_as: ShownAs::Measured,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: each::<f64>,
        measure: each::<Measure>,
        exact: each::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |standing, key| {
            let spraying = of_record(standing, key);
            let rate = spraying.and_then(|spraying| spraying.rate);
            (rate.map(|rate| rate.quantity.unit), None)
        },
        slots: &[],
    },
};

/// How far the last applications together were off.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "rate-applied-off",
        title: "how far the rate of a setup's last five applications together is off the setup's",
        formula: "sum of volumes / sum of (area x rate of the setup) - 1",
        source: "by definition",
        shown_as: ShownAs::Percent,
        family: Family::Setup,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: off::<f64>,
        measure: off::<Measure>,
        exact: off::<Rational>,
        working,
        read: |_, _| Some("the last of them".to_owned()),
        held_against: "meant to be",
        units: |_, _| (None, None),
        slots: &[
            ("setup-rate", |standing, key| {
                let last = *together(standing, key.setup?).last()?;
                Some(last.rate.quantity.to_string())
            }),
            ("applications", |standing, key| {
                let count = together(standing, key.setup?).len();
                Some(match count {
                    1 => "the only application".to_owned(),
                    count => format!("the last {count} applications"),
                })
            }),
            ("rate", |standing, key| {
                let together = together(standing, key.setup?);
                let unit = together.last()?.rate.quantity.unit;
                let (volume, area) = sums(&together);
                Some(in_unit(volume / area, unit))
            }),
        ],
    },
};

/// An application with all that its rate needs.
#[derive(Clone, Copy)]
struct Measured<'s, 'a> {
    spraying: &'s Spraying<'a>,
    area: Amount,
    volume: Amount,
    rate: Shown,
}

impl<'s, 'a> Measured<'s, 'a> {
    fn of(spraying: &'s Spraying<'a>) -> Option<Self> {
        Some(Self {
            spraying,
            area: spraying.area?,
            volume: spraying.volume?,
            rate: spraying.rate?,
        })
    }

    fn volume<N: Number>(&self, standing: &Standing<'_>) -> N {
        amount(standing, self.volume)
    }

    fn area<N: Number>(&self, standing: &Standing<'_>) -> N {
        amount(standing, self.area)
    }
}

fn amount<N: Number>(standing: &Standing<'_>, amount: Amount) -> N {
    let input = |id| N::input(&standing.primitives, id);
    input(amount.reading.id).times(&input(amount.scale))
}

/// Whether the volume is the console's own, which is what it aims at and proves nothing of it.
fn is_by_console(spraying: &Spraying<'_>) -> bool {
    let by = spraying.application.volume_by.map(|by| by.value);
    by == Some(VolumeBy::Console)
}

/// The last applications with a setup that tell area and volume, earliest first; not those whose volume
/// the console counted.
fn together<'s, 'a>(standing: &'s Standing<'a>, setup: u16) -> Vec<Measured<'s, 'a>> {
    let latest_first = standing.sprayings.iter().rev();
    let with_setup = latest_first.filter(|spraying| {
        let own = spraying.setup.map(|(index, _)| index);
        own == Some(setup) && !is_by_console(spraying)
    });
    let mut rate = None;
    let mut last: Vec<Measured<'_, '_>> = with_setup
        .filter_map(Measured::of)
        // Another rate of the setup begins anew.
        .take_while(|one| *rate.get_or_insert(one.rate.place) == one.rate.place)
        .take(TOGETHER)
        .collect();
    last.reverse();
    last
}

fn of_record<'s, 'a>(standing: &'s Standing<'a>, key: &Key) -> Option<&'s Spraying<'a>> {
    standing.spraying(key.record?)
}

fn each<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let measured = standing.sprayings.iter().filter_map(Measured::of);
    measured
        .map(|one| {
            let key = Key {
                record: Some(one.spraying.application.file),
                setup: one.spraying.setup.map(|(index, _)| index),
                ..Key::of_machine(standing.subject.index)
            };
            let rate = one.volume::<N>(standing).over(&one.area(standing));
            Member::new(key, rate, one.volume.reading.place)
        })
        .collect()
}

/// A setup that nobody sprayed with, or of which no record tells area and volume, has no member.
fn off<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let setups = (0_u16..).zip(&standing.subject.machine.setups);
    setups
        .filter_map(|(setup, _)| {
            let together = together(standing, setup);
            let last = together.last()?;
            let volumes: Vec<N> = together.iter().map(|one| one.volume(standing)).collect();
            let meant: Vec<N> = together
                .iter()
                .map(|one| {
                    let rate = N::input(&standing.primitives, one.rate.id);
                    one.area::<N>(standing).times(&rate)
                })
                .collect();
            let key = Key {
                record: Some(last.spraying.application.file),
                setup: Some(setup),
                ..Key::of_machine(standing.subject.index)
            };
            let off = N::sum(&volumes).off(&N::sum(&meant));
            let member = Member::new(key, off, last.volume.reading.place);
            Some(member.against(last.rate.place))
        })
        .collect()
}

/// The volume and the area of several applications.
fn sums(together: &[Measured<'_, '_>]) -> (f64, f64) {
    let volume = together.iter().map(|one| one.volume.reading.quantity.si());
    let area = together.iter().map(|one| one.area.reading.quantity.si());
    (volume.sum(), area.sum())
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let together = together(standing, key.setup?);
    let last = together.last()?;
    let (volume, area) = sums(&together);
    let in_its_unit = |value: f64, of: &Quantity| in_unit(value, of.unit);
    let meant: f64 = together
        .iter()
        .map(|one| one.area.reading.quantity.si() * one.rate.quantity.si())
        .sum();
    Some(format!(
        "{} over {} in {} = {}; {} / {} - 1 = {}",
        in_its_unit(volume, &last.volume.reading.quantity),
        in_its_unit(area, &last.area.reading.quantity),
        words::phrases::plural(together.len(), "application"),
        in_its_unit(volume / area, &last.rate.quantity),
        in_its_unit(volume / area, &last.rate.quantity),
        last.rate.quantity,
        percent(volume / meant - 1.0),
    ))
}
