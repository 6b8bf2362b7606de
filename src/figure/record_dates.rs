//! What a record's date and hours do not agree with: its file's name, the machine, the visit before.

use super::catalogue::{Compute, Entry, Family, Formula, ShownAs};
use super::days_ahead::days;
use super::number::{Measure, Number, Rational};
use super::{Member, Visit};
use crate::outcome::{Key, Part};
use crate::words;

/// Whether the date is another than the file's name has.
pub(super) static NAME_FIGURE: Entry = Entry {
    id: "date-unlike-name",
    title: "whether a record's date is another than its file's name begins with",
    formula: "1 where they differ",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: None,
    cases: &[],
    compute: Compute::Readings(Formula {
        value: unlike_name::<f64>,
        measure: unlike_name::<Measure>,
        exact: unlike_name::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("date", |visit, _| {
                Some(words::dates::date(visit.calibration.date?.value))
            }),
            ("file-name", |visit, _| {
                Some(visit.records.file_stem.to_owned())
            }),
        ],
    }),
};

/// How long before the machine's first day in service.
pub(super) static SERVICE_FIGURE: Entry = Entry {
    id: "days-before-service",
    title: "how many days a record lies before its machine was put in service",
    formula: "in service - date, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Visit,
    step: None,
    cases: &[],
    compute: Compute::Readings(Formula {
        value: before_service::<f64>,
        measure: before_service::<Measure>,
        exact: before_service::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "in service",
        units: |_, _| (None, None),
        slots: &[
            ("date", |visit, _| {
                Some(words::dates::date(visit.calibration.date?.value))
            }),
            ("in-service", |visit, _| {
                Some(words::dates::date(visit.subject.machine.in_service?.value))
            }),
        ],
    }),
};

/// How far the hour-meter has gone back.
pub(super) static HOURS_FIGURE: Entry = Entry {
    id: "hours-back",
    title: "how far the hour-meter reads below an earlier visit",
    formula: "hours of the last visit with hours - hours, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Hours,
    family: Family::Visit,
    step: None,
    cases: &[],
    compute: Compute::Readings(Formula {
        value: hours_back::<f64>,
        measure: hours_back::<Measure>,
        exact: hours_back::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "read before",
        units: |_, _| (None, None),
        slots: &[
            ("hours", |visit, _| {
                Some(visit.hours.as_ref()?.now.quantity.to_string())
            }),
            ("earlier-hours", |visit, _| {
                let earlier = visit.hours.as_ref()?.earlier.as_ref()?;
                Some(earlier.as_ref().ok()?.quantity.to_string())
            }),
        ],
    }),
};

fn key(visit: &Visit<'_>) -> Key {
    Key {
        record: Some(visit.calibration.file),
        part: Part::Whole,
        ..Key::of_machine(visit.subject.index)
    }
}

/// A second visit of a day has `-2` behind the date.
fn unlike_name<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(date) = visit.calibration.date else {
        return Vec::new(); // A date that is missing or unreadable has a finding of its own.
    };
    let name = words::dates::date(date.value);
    let behind = visit.records.file_stem.strip_prefix(name.as_str());
    let number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let alike = behind
        .is_some_and(|behind| behind.is_empty() || behind.strip_prefix('-').is_some_and(number));
    let place = visit.place(date.span);
    vec![Member::new(key(visit), N::whole(u32::from(!alike)), place)]
}

fn before_service<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let (Some(date), Some(service)) = (visit.calibration.date, visit.subject.machine.in_service)
    else {
        return Vec::new();
    };
    let before = service
        .value
        .since(date.value)
        .map_or(0, |span| span.get_days());
    let before = u32::try_from(before).unwrap_or(0);
    let member = Member::new(key(visit), days(before), visit.place(date.span));
    vec![member.against(visit.sheet_place(service.span))]
}

/// Visits of one machine are put in order by date; hours that fall tell of a date or a number wrong.
fn hours_back<N: Number>(visit: &Visit<'_>) -> Vec<Member<N>> {
    let Some(hours) = &visit.hours else {
        return Vec::new();
    };
    let place = hours.now.place;
    let input = |id| N::input(&visit.primitives, id);
    match &hours.earlier {
        None => Vec::new(),
        Some(Err(because)) => vec![Member::unavailable(key(visit), *because, None, place)],
        Some(Ok(earlier)) => {
            let back = input(earlier.id).minus(&input(hours.now.id));
            let back = if back.compare(&N::whole(0)).is_lt() {
                N::whole(0)
            } else {
                back
            };
            vec![Member::new(key(visit), back, place).against(earlier.place)]
        }
    }
}
