//! How long ago each instrument of a visit was checked itself.

use super::about::{About, Family, ShownAs};
use super::days_ahead::days;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::unknown_instruments::instruments_in;
use super::visit::ReadingsStratum;
use super::{Member, Visit};
use crate::outcome::{Key, Part};
use crate::record::fleet::Instrument;
use crate::source::{Place, Span};
use crate::words;
use std::collections::BTreeMap;

/// The figure.
pub(super) static FIGURE: Legacy<ReadingsStratum> = Legacy {
    about: About {
        id: "instrument-age",
        title: "how long before the visit an instrument used in it was last checked itself",
        formula: "date of the visit - date of the instrument's check",
        source: "counting",
        shown_as: ShownAs::Days,
        family: Family::Visit,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working: |visit, key| {
            let (_, instrument, _) = at(visit, key)?;
            let date = visit.calibration.date?.value;
            Some(format!(
                "{} to {}",
                words::dates::date(instrument.checked?.value),
                words::dates::date(date),
            ))
        },
        read: |_, _| Some("used here".to_owned()),
        held_against: "last checked",
        units: |_, _| (None, None),
        slots: &[
            ("instrument", |visit, key| {
                Some(at(visit, key)?.0.to_owned())
            }),
            ("checked", |visit, key| {
                Some(words::dates::date(at(visit, key)?.1.checked?.value))
            }),
        ],
    },
};

/// The declared instruments a visit names, by name, each with the first place that names it.
fn used<'v>(visit: &'v Visit<'_>) -> BTreeMap<&'v str, (&'v Instrument, Span)> {
    let mut used = BTreeMap::new();
    let Some(fleet) = visit.subject.fleet else {
        return used;
    };
    for name in instruments_in(visit.calibration) {
        if let Some(instrument) = fleet.instruments.get(&name.value) {
            used.entry(name.value.as_str())
                .or_insert((instrument, name.span));
        }
    }
    used
}

fn at<'v>(visit: &'v Visit<'_>, key: &Key) -> Option<(&'v str, &'v Instrument, Span)> {
    let Part::Test(index) = key.part else {
        return None;
    };
    let (name, (instrument, span)) = used(visit).into_iter().nth(usize::from(index))?;
    Some((name, instrument, span))
}

/// An instrument without a date of its check has no member, and one checked later is of no age.
fn members<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let (Some(date), Some(fleet)) = (visit.calibration.date, visit.subject.fleet) else {
        return Vec::new();
    };
    (0_u16..)
        .zip(used(visit).into_values())
        .filter_map(|(index, (instrument, span))| {
            let checked = instrument.checked?;
            let age = date
                .value
                .since(checked.value)
                .map_or(0, |age| age.get_days());
            let age = u32::try_from(age).unwrap_or(0);
            let key = Key {
                record: Some(visit.calibration.file),
                part: Part::Test(index),
                ..Key::of_machine(visit.subject.index)
            };
            let declared = Place {
                file: fleet.file,
                span: checked.span,
            };
            let member = Member::new(key, days(age), visit.place(span));
            Some(member.against(declared).counted_from(checked.value))
        })
        .collect()
}
