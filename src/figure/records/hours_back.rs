//! How far the hour-meter has gone back.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::figure::visit::Shown;
use crate::outcome::{Key, Part};

/// The figure.
pub(crate) struct HoursBack;

static ABOUT: About = About {
    id: "hours-back",
    title: "how far the hour-meter reads below an earlier visit",
    formula: "hours of the last visit with hours - hours, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Hours,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// A reading of the hour-meter beside the last one before it.
pub(crate) struct Readings {
    now: Shown,
    earlier: Shown,
}

impl Figure for HoursBack {
    type Stratum = StateStratum;
    type Evidence<'v> = Readings;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("hours", |_, read| Some(Fact::Written(read.now.quantity))),
        ("earlier-hours", |_, read| {
            Some(Fact::Written(read.earlier.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// The records of one machine are put in order by date; hours that fall tell of a date or a number wrong.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Readings>> {
        let records = standing.records.iter();
        let readings = records.flat_map(|record| {
            let numbered = (0_u16..).zip(&record.hours);
            numbered.map(move |(index, reading)| (record, index, reading))
        });
        readings
            .filter_map(|(record, index, reading)| {
                let now = reading.now;
                let key = Key {
                    part: Part::Test(index),
                    ..standing.key_of(record)
                };
                Some(match *reading.earlier.as_ref()? {
                    Err(because) => Member::unavailable(key, because, None, now.place),
                    Ok(earlier) => Member::new(key, Readings { now, earlier }, now.place)
                        .against(earlier.place),
                })
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, read: &Readings) -> Option<N> {
        let input = |shown: &Shown| N::input(&standing.primitives, shown.id);
        let back = input(&read.earlier).minus(&input(&read.now));
        let nothing = N::whole(0);
        Some(if back.compare(&nothing).is_lt() {
            nothing
        } else {
            back
        })
    }

    fn held_against(&self) -> &'static str {
        "read before"
    }
}
