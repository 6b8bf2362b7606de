//! How many days a record's date lies ahead of the day of the check.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::{Member, Standing};
use crate::outcome::Key;
use crate::words;

/// The figure.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "days-ahead",
        title: "how many days a record's date lies ahead of the day of the check",
        formula: "date - today, or none where that is past",
        source: "counting",
        shown_as: ShownAs::Days,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("date", date),
            ("today", |standing, _| {
                Some(words::dates::date(standing.today))
            }),
        ],
    },
};

/// Days are counted in seconds, the SI unit of limits in days.
pub(super) fn days<N: Number>(days: u32) -> N {
    N::whole(days).times(&N::whole(86_400))
}

fn members<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let records = standing.records.iter();
    records
        .map(|record| {
            let ahead = record.date.value.since(standing.today);
            let ahead = u32::try_from(ahead.map_or(0, |span| span.get_days())).unwrap_or(0);
            let place = record.place(record.date.span);
            Member::new(standing.key_of(record), days(ahead), place)
        })
        .collect()
}

fn date(standing: &Standing<'_>, key: &Key) -> Option<String> {
    Some(words::dates::date(standing.day_of(key.record?)?))
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    Some(format!(
        "{} against {} today",
        date(standing, key)?,
        words::dates::date(standing.today)
    ))
}
