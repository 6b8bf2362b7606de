//! How many days a record's date lies ahead of the day of the check.

use super::catalogue::{Compute, Entry, Family, Formula, ShownAs};
use super::number::{Measure, Number, Rational};
use super::{Member, Visit};
use crate::outcome::{Key, Part};
use crate::words;

/// The figure.
pub(super) static FIGURE: Entry = Entry {
    id: "days-ahead",
    title: "how many days a record's date lies ahead of the day of the check",
    formula: "date - today, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Visit,
    step: None,
    cases: &[],
    compute: Compute::Readings(Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("date", date),
            ("today", |visit, _| Some(words::dates::date(visit.today))),
        ],
    }),
};

/// Days are counted in seconds, the SI unit of limits in days.
pub(super) fn days<N: Number>(days: u32) -> N {
    N::whole(days).times(&N::whole(86_400))
}

fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(date) = &visit.calibration.date else {
        return Vec::new(); // A date that is missing or unreadable has a finding of its own.
    };
    let ahead = date
        .value
        .since(visit.today)
        .map_or(0, |span| span.get_days());
    let ahead = u32::try_from(ahead).unwrap_or(0);
    let key = Key {
        record: Some(visit.calibration.file),
        part: Part::Whole,
        ..Key::of_machine(visit.subject.index)
    };
    vec![Member::new(key, days(ahead), visit.place(date.span))]
}

fn date(visit: &Visit<'_>, _: &Key) -> Option<String> {
    Some(words::dates::date(visit.calibration.date.as_ref()?.value))
}

fn working(visit: &Visit<'_>, key: &Key) -> Option<String> {
    Some(format!(
        "{} against {} today",
        date(visit, key)?,
        words::dates::date(visit.today)
    ))
}
