//! How long before its machine's first day in service a record lies.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Number, days_between};
use crate::figure::standing::{Standing, StateStratum};
use crate::source::Place;
use jiff::civil::Date;

/// The figure.
pub(crate) struct DaysBeforeService;

static ABOUT: About = About {
    id: "days-before-service",
    title: "how many days a record lies before its machine was put in service",
    formula: "in service - date, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// The day of a record, and its machine's first in service.
pub(crate) struct Days {
    date: Date,
    in_service: Date,
}

impl Figure for DaysBeforeService {
    type Stratum = StateStratum;
    type Evidence<'v> = Days;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("date", |_, days| Some(Fact::Date(days.date))),
        ("in-service", |_, days| Some(Fact::Date(days.in_service))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Days>> {
        let machine = standing.subject.machine;
        let Some(service) = machine.in_service else {
            return Vec::new();
        };
        let machine_file = Place {
            file: machine.file,
            span: service.span,
        };
        let records = standing.records.iter();
        records
            .map(|record| {
                let days = Days {
                    date: record.date.value,
                    in_service: service.value,
                };
                Member::new(standing.key_of(record), days, record.dated()).against(machine_file)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, days: &Days) -> Option<N> {
        Some(days_between(days.date, days.in_service))
    }

    fn held_against(&self) -> &'static str {
        "in service"
    }
}
