//! How many days ago each step of each setup was last done.

use super::Member;
use super::catalogue::{Compute, Entry, Family, Formula, STEP_AGE, ShownAs};
use super::days_ahead::days;
use super::number::{Measure, Number, Rational};
use super::standing::Standing;
use crate::history::{Done, Last};
use crate::outcome::Key;
use crate::source::Place;
use crate::words;
use jiff::civil::Date;

/// The figure.
pub(super) static FIGURE: Entry = Entry {
    id: STEP_AGE,
    title: "how long ago each step of each setup was last done",
    formula: "today - date of the last visit that did the step",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Step,
    step: None,
    cases: &[],
    compute: Compute::State(Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("last done".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("last-done", last_done),
            ("what", |standing, key| standing.step_in_words(key)),
        ],
    }),
};

fn members<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let sheet = Place {
        file: standing.subject.machine.file,
        span: standing
            .subject
            .machine
            .id
            .as_ref()
            .map_or(standing.subject.machine.span, |id| id.span),
    };
    standing
        .steps_in_use()
        .iter()
        .map(|state| {
            let key = standing.step_key(state);
            match state.last {
                Last::On(Done { day: date, place }) => {
                    let age = standing.today.since(date).map_or(0, |span| span.get_days());
                    let age = u32::try_from(age).unwrap_or(0);
                    Member::new(key, days(age), place).counted_from(date)
                }
                Last::Never => {
                    Member::unavailable(key, "no record shows that the step was done", None, sheet)
                }
                Last::Unreadable(record) => {
                    let because = "a visit that cannot be read may be the latest";
                    Member::unavailable(key, because, Some(record.place()), sheet)
                }
            }
        })
        .collect()
}

fn done(standing: &Standing<'_>, key: &Key) -> Option<Date> {
    Some(standing.state(key.step?, key.setup)?.done()?.day)
}

fn last_done(standing: &Standing<'_>, key: &Key) -> Option<String> {
    Some(words::dates::date(done(standing, key)?))
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    Some(format!(
        "{} to {}",
        words::dates::date(done(standing, key)?),
        words::dates::date(standing.today)
    ))
}
