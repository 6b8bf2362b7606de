//! How far the hour meter has gone back.

use super::hour_readings::hour_readings;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::hours::at_least_none;
use crate::figure::standing::{HoursUsed, Standing, StateStratum};

/// The figure.
pub(crate) struct HoursBack;

static ABOUT: About = About {
    id: "hours-back",
    title: "how far the hour meter reads below an earlier visit",
    formula: "hours of the last record with hours - hours, counted on where the hour meter was changed, or none where that is past",
    source: "counting",
    shown_as: ShownAs::Hours,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for HoursBack {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v HoursUsed;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("hours", |_, used| Some(Fact::Written(used.now.quantity))),
        ("earlier-hours", |_, used| {
            Some(Fact::Written(used.then.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// The records of one machine are put in order by date; hours that fall tell of a date or a number wrong.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v HoursUsed>> {
        let readings = hour_readings(standing).into_iter();
        readings
            .map(|member| member.map(|earlier| &earlier.used))
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, used: &&'v HoursUsed) -> Option<N> {
        let used = used.value::<N>(&standing.primitives);
        Some(at_least_none(N::whole(0).minus(&used)))
    }

    fn held_against(&self) -> &'static str {
        "read before"
    }
}
