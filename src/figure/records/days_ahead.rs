//! How many days a record's date lies ahead of the day of the check.

use crate::fact::Fact;
use crate::figure::about::{About, DAYS_AHEAD, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Number, days_between};
use crate::figure::standing::{Standing, StateStratum};
use crate::working::{Expression, Working};
use jiff::civil::Date;

/// The figure.
pub(crate) struct DaysAhead;

static ABOUT: About = About {
    id: DAYS_AHEAD,
    title: "how many days a record's date lies ahead of the day of the check",
    formula: "date - today, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for DaysAhead {
    type Stratum = StateStratum;
    type Evidence<'v> = Date;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("date", |_, date| Some(Fact::Date(*date))),
        ("today", |standing, _| Some(Fact::Date(standing.today))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Date>> {
        let records = standing.records.iter();
        records
            .map(|record| {
                let key = standing.key_of(record);
                Member::new(key, record.date.value, record.dated())
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, date: &Date) -> Option<N> {
        Some(days_between(standing.today, *date))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, date: &Date) -> Option<Working> {
        Some(Working::shown(Expression::Days {
            from: standing.today,
            to: *date,
        }))
    }
}
