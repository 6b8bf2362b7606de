//! What a record's date and hours do not agree with: its file's name, the machine, the visit before.

use super::about::{About, Family, ShownAs};
use super::days_ahead::days;
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::HourReading;
use super::standing::StateStratum;
use super::{Member, Standing};
use crate::outcome::{Key, Part};
use crate::source::Place;
use crate::words;

/// Whether the date is another than the file's name has.
pub(super) static NAME_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "date-unlike-name",
        title: "whether a record's date is another than its file's name begins with",
        formula: "1 where they differ",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: unlike_name::<f64>,
        measure: unlike_name::<Measure>,
        exact: unlike_name::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("date", date),
            ("file-name", |standing, key| {
                Some(standing.record(key.record?)?.file_stem.to_owned())
            }),
        ],
    },
};

/// How long before the machine's first day in service.
pub(super) static SERVICE_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "days-before-service",
        title: "how many days a record lies before its machine was put in service",
        formula: "in service - date, or none where that is past",
        source: "counting",
        shown_as: ShownAs::Days,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: before_service::<f64>,
        measure: before_service::<Measure>,
        exact: before_service::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "in service",
        units: |_, _| (None, None),
        slots: &[
            ("date", date),
            ("in-service", |standing, _| {
                Some(words::dates::date(
                    standing.subject.machine.in_service?.value,
                ))
            }),
        ],
    },
};

/// How far the hour-meter has gone back.
pub(super) static HOURS_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "hours-back",
        title: "how far the hour-meter reads below an earlier visit",
        formula: "hours of the last visit with hours - hours, or none where that is past",
        source: "counting",
        shown_as: ShownAs::Hours,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: hours_back::<f64>,
        measure: hours_back::<Measure>,
        exact: hours_back::<Rational>,
        working: |_, _| None,
        read: |_, _| None,
        held_against: "read before",
        units: |_, _| (None, None),
        slots: &[
            ("hours", |standing, key| {
                Some(reading(standing, key)?.now.quantity.to_string())
            }),
            ("earlier-hours", |standing, key| {
                let earlier = reading(standing, key)?.earlier.as_ref()?;
                Some(earlier.as_ref().ok()?.quantity.to_string())
            }),
        ],
    },
};

fn date(standing: &Standing<'_>, key: &Key) -> Option<String> {
    Some(words::dates::date(standing.day_of(key.record?)?))
}

fn reading<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s HourReading> {
    let Part::Test(index) = key.part else {
        return None;
    };
    let record = standing.record(key.record?)?;
    record.hours.get(usize::from(index))
}

/// A second visit of a day has `-2` behind the date.
fn unlike_name<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let records = standing.records.iter();
    records
        .map(|record| {
            let name = words::dates::date(record.date.value);
            let behind = record.file_stem.strip_prefix(name.as_str());
            let number =
                |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
            let alike = behind.is_some_and(|behind| {
                behind.is_empty() || behind.strip_prefix('-').is_some_and(number)
            });
            let place = record.place(record.date.span);
            let unlike = N::whole(u32::from(!alike));
            Member::new(standing.key_of(record), unlike, place)
        })
        .collect()
}

fn before_service<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let machine = standing.subject.machine;
    let Some(service) = machine.in_service else {
        return Vec::new();
    };
    let sheet = Place {
        file: machine.file,
        span: service.span,
    };
    let records = standing.records.iter();
    records
        .map(|record| {
            let before = service.value.since(record.date.value);
            let before = u32::try_from(before.map_or(0, |span| span.get_days())).unwrap_or(0);
            let place = record.place(record.date.span);
            Member::new(standing.key_of(record), days(before), place).against(sheet)
        })
        .collect()
}

/// The records of one machine are put in order by date; hours that fall tell of a date or a number
/// wrong.
fn hours_back<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let input = |id| N::input(&standing.primitives, id);
    let records = standing.records.iter();
    let readings = records.flat_map(|record| {
        let numbered = (0_u16..).zip(&record.hours);
        numbered.map(move |(index, reading)| {
            let key = Key {
                part: Part::Test(index),
                ..standing.key_of(record)
            };
            (key, reading)
        })
    });
    readings
        .filter_map(|(key, reading)| {
            let place = reading.now.place;
            match reading.earlier.as_ref()? {
                Err(because) => Some(Member::unavailable(key, *because, None, place)),
                Ok(earlier) => {
                    let back = input(earlier.id).minus(&input(reading.now.id));
                    let back = if back.compare(&N::whole(0)).is_lt() {
                        N::whole(0)
                    } else {
                        back
                    };
                    Some(Member::new(key, back, place).against(earlier.place))
                }
            }
        })
        .collect()
}
