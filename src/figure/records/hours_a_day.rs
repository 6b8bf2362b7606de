//! How far the hour meter rose a day.

use super::hour_readings::hour_readings;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::hours::at_least_none;
use crate::figure::standing::{EarlierReading, Standing, StateStratum};
use crate::outcome::Key;
use jiff::civil::Date;

/// The figure.
pub(crate) struct HoursADay;

static ABOUT: About = About {
    id: "hours-a-day",
    title: "how far the hour meter rose a day since an earlier record, the days of both included",
    formula: "(hours - hours of the last record with hours, counted on where the hour meter was changed) / (days between + 1), or none where it fell",
    source: "counting",
    shown_as: ShownAs::Hours,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// A reading of the hour meter beside the one before it, with the days they may have had, first and last included.
pub(crate) struct Rise<'v> {
    earlier: &'v EarlierReading,
    days: u32,
}

impl Figure for HoursADay {
    type Stratum = StateStratum;
    type Evidence<'v> = Rise<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("hours", |_, rise| {
            Some(Fact::Written(rise.earlier.used.now.quantity))
        }),
        ("earlier-hours", |_, rise| {
            Some(Fact::Written(rise.earlier.used.then.quantity))
        }),
        ("earlier-date", |_, rise| Some(Fact::Date(rise.earlier.day))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Rise<'v>>> {
        let readings = hour_readings(standing).into_iter();
        let members = readings.filter_map(|member| {
            let Key { record, .. } = member.key;
            let day = standing.day_of(record?)?;
            Some(member.map(|earlier| Rise {
                earlier,
                days: days_of_both(earlier.day, day),
            }))
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, rise: &Rise<'v>) -> Option<N> {
        let used = rise.earlier.used.value::<N>(&standing.primitives);
        Some(at_least_none(used).over(&N::whole(rise.days)))
    }

    fn held_against(&self) -> &'static str {
        "read before"
    }
}

/// How many days there are from one to another, both counted.
fn days_of_both(from: Date, to: Date) -> u32 {
    let days = to.since(from).map_or(0, |span| span.get_days());
    u32::try_from(days).unwrap_or(0) + 1
}
