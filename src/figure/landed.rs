//! How many values of landed records were altered or taken away without a note.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::standing::{LandedChange, LandedKind, ValueChange};
use super::{Member, Standing};
use crate::outcome::{Key, Part};
use crate::words;

/// So many changes of a record are told one by one.
const MOST_TOLD: usize = 3;

/// More than so many characters of changes are no sentence any more; the first is told in any case.
const LONGEST: usize = 64;

/// So many are listed below a finding.
const MOST_LISTED: usize = 12;

/// So many characters of a value are shown: a note may be as long as a letter.
const LONGEST_VALUE: usize = 24;

/// Altered records.
pub(super) static ALTERED_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "landed-altered",
        title: "how many values of a record were altered after it landed, without a note",
        formula: "the count of values that are not what they were at the merge base, or none where amends has an entry more",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: altered::<f64>,
        measure: altered::<Measure>,
        exact: altered::<Rational>,
        working: |standing, key| {
            let landed = of(standing, key)?;
            let first = landed.changes.iter().take(MOST_LISTED);
            let listed: Vec<String> = first.map(change).collect();
            let more = landed.count - listed.len();
            let more = (more > 0).then(|| format!("; and {more} more"));
            Some(format!("{}{}", listed.join("; "), more.unwrap_or_default()))
        },
        read: |standing, key| {
            let first = of(standing, key)?.changes.first()?;
            Some(match &first.was {
                Some(was) => format!("landed as {}", shown(was)),
                None => "not there when it landed".to_owned(),
            })
        },
        held_against: "",
        units: |_, _| (None, None),
        slots: &[("changes", |standing, key| {
            let landed = of(standing, key)?;
            Some(in_words(&landed.changes, landed.count))
        })],
    },
};

/// Deleted records.
pub(super) static DELETED_FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "landed-deleted",
        title: "how many values went with a record that was deleted after it landed, without a note",
        formula: "the count of values it had at the merge base, or none where the waivers file notes its deletion",
        source: "counting",
        shown_as: ShownAs::Count,
        family: Family::Record,
        step: None,
        cases: &[],
    },
    formula: Formula {
        value: deleted::<f64>,
        measure: deleted::<Measure>,
        exact: deleted::<Rational>,
        working: |_, _| None,
        read: |_, _| Some("not noted here".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("record", |standing, key| {
                Some(of(standing, key)?.path.clone())
            }),
            ("values", |standing, key| {
                Some(words::phrases::plural(of(standing, key)?.count, "value"))
            }),
        ],
    },
};

fn of<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s LandedChange> {
    let Part::Test(index) = key.part else {
        return None;
    };
    standing.landed.get(usize::from(index))
}

fn altered<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, LandedKind::Altered)
}

fn deleted<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    members(standing, LandedKind::Deleted)
}

/// Keyed by no record: what was altered today is of today, however old the record.
fn members<N: Number>(standing: &Standing<'_>, kind: LandedKind) -> Vec<Member<N>> {
    let numbered = (0_u16..).zip(standing.landed);
    numbered
        .filter(|(_, change)| change.kind == kind)
        .map(|(index, change)| {
            let key = Key {
                part: Part::Test(index),
                ..Key::of_machine(standing.subject.index)
            };
            let count = if change.is_noted {
                0
            } else {
                u32::try_from(change.count).unwrap_or(u32::MAX)
            };
            Member::new(key, N::whole(count), change.place)
        })
        .collect()
}

/// The first few changes of so many, and how many more there are.
fn in_words(changes: &[ValueChange], count: usize) -> String {
    let mut told: Vec<String> = changes.iter().take(MOST_TOLD).map(change).collect();
    while told.len() > 1 && told.join(", ").chars().count() > LONGEST {
        told.pop();
    }
    words::phrases::list_and_more(&told, count - told.len(), "and")
}

fn change(change: &ValueChange) -> String {
    let what = &change.what;
    match (&change.was, &change.is) {
        (Some(was), Some(is)) => format!("{what}: {} became {}", shown(was), shown(is)),
        (None, Some(is)) => format!("{what}: {} was added", shown(is)),
        (Some(was), None) => format!("{what}: {} was taken out", shown(was)),
        (None, None) => what.clone(),
    }
}

/// A value in a sentence: not too long, and something to see where it is empty.
fn shown(value: &str) -> String {
    let mut shown: String = value.chars().take(LONGEST_VALUE).collect();
    if shown.len() < value.len() {
        shown.push('…');
    }
    if shown.is_empty() {
        "nothing".to_owned()
    } else {
        shown
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(what: &str, was: Option<&str>, is: Option<&str>) -> ValueChange {
        ValueChange {
            what: what.to_owned(),
            was: was.map(str::to_owned),
            is: is.map(str::to_owned),
        }
    }

    #[test]
    fn the_first_changes_that_fit_are_told_and_the_others_counted() {
        let all = [
            value("caught right 3rd", Some("41.0"), Some("36.5")),
            value("hours", None, Some("412 h")),
            value("checked-by", Some("ko"), None),
            value(
                "occasion",
                Some(""),
                Some("a very long tale of what went on that day"),
            ),
            value("by", Some("rm"), Some("tg")),
        ];
        for (n, text) in [
            (1, "caught right 3rd: 41.0 became 36.5"),
            (
                2,
                "caught right 3rd: 41.0 became 36.5 and hours: 412 h was added",
            ),
            (
                5,
                "caught right 3rd: 41.0 became 36.5, hours: 412 h was added and 3 more",
            ),
        ] {
            assert_eq!(in_words(&all[..n], n), text);
        }
        assert_eq!(
            change(&all[3]),
            "occasion: nothing became a very long tale of what…"
        );
    }
}
