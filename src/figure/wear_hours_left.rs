//! How many hours of use are left until a setup's nozzles are worn to the limit, by their trend.

use super::about::{About, Family, ShownAs};
use super::legacy::{Formula, Legacy};
use super::number::{Measure, Number, Rational};
use super::standing::StateStratum;
use super::standing::WornSet;
use super::{Member, Standing};
use crate::outcome::{Key, Step};
use crate::quantity::calendar::Period;
use crate::wear::{Reason, WearForecast};
use crate::words;
use num_traits::ToPrimitive;

/// The figure.
pub(super) static FIGURE: Legacy<StateStratum> = Legacy {
    about: About {
        id: "wear-hours-left",
        title: "how many hours of use are left until a set of nozzles is worn to the limit, by its trend",
        formula: "crossing of the limit by the least-squares line of mean off rated against hours since fitting - hours now",
        source: "NBS Handbook 91, 5-4.1: least squares; the crossing's interval is Fieller's",
        shown_as: ShownAs::Hours,
        family: Family::Setup,
        step: Some(Step::Catch),
        cases: &[],
    },
    formula: Formula {
        value: members::<f64>,
        measure: members::<Measure>,
        exact: members::<Rational>,
        working,
        read: |_, _| Some("the last catch of the trend".to_owned()),
        held_against: "",
        units: |_, _| (None, None),
        slots: &[
            ("what", |standing, key| standing.setup_in_words(key.setup?)),
            ("wear-limit", |standing, key| {
                Some(words::numbers::percent(of(standing, key)?.limit, 0))
            }),
            ("growth", |standing, key| {
                let WearForecast::Crosses { per_100_hours, .. } = of(standing, key)?.forecast
                else {
                    return None;
                };
                Some(words::numbers::percent(per_100_hours, 1))
            }),
            ("interval", |standing, key| {
                let set = of(standing, key)?;
                let WearForecast::Crosses { low, high, .. } = set.forecast else {
                    return None;
                };
                let whole = |hours: f64| words::numbers::number(hours, 0);
                let low = (low - set.hours_now).max(0.0);
                Some(format!(
                    "{} to {} h",
                    whole(low),
                    whole((high - set.hours_now).max(0.0))
                ))
            }),
            ("date", |standing, key| day(of(standing, key)?)),
        ],
    },
};

fn of<'s>(standing: &'s Standing<'_>, key: &Key) -> Option<&'s WornSet> {
    let mut sets = standing.worn.iter().map(|(set, _)| set);
    sets.find(|set| Some(set.setup) == key.setup)
}

/// The day by the machine's own use; words where that is not known.
fn day(set: &WornSet) -> Option<String> {
    let WearForecast::Crosses { at_hours, .. } = set.forecast else {
        return None;
    };
    let Some(a_day) = set.hours_a_day else {
        return Some("on a day its use does not tell".to_owned());
    };
    let days = ((at_hours - set.hours_now) / a_day)
        .floor()
        .max(0.0)
        .to_u32();
    let day = Period::Days(days?).after(set.read_on)?;
    Some(format!("about {}", words::dates::date(day)))
}

/// A set with too few catches for a trend has no member.
fn members<N: Number>(standing: &Standing<'_>) -> Vec<Member<N>> {
    let is_too_few = |set: &WornSet| {
        matches!(
            set.forecast,
            WearForecast::None(Reason::TooFewCatches { .. })
        )
    };
    let is_in_use = standing.subject.machine.out_of_service.is_none();
    let sets = standing.worn.iter();
    let sets = sets.filter(|(set, _)| is_in_use && !is_too_few(set));
    sets.map(|(set, left)| {
        let key = Key {
            setup: Some(set.setup),
            step: Some(Step::Catch),
            ..Key::of_machine(standing.subject.index)
        };
        match (set.forecast, left) {
            (WearForecast::Crosses { .. }, Some(left)) => {
                Member::new(key, N::input(&standing.primitives, *left), set.place)
            }
            (WearForecast::None(reason), _) => {
                Member::unavailable(key, reason.words(), None, set.place)
            }
            (WearForecast::Crosses { .. }, None) => {
                Member::unavailable(key, "the hour-meter was not read", None, set.place)
            }
        }
    })
    .collect()
}

fn working(standing: &Standing<'_>, key: &Key) -> Option<String> {
    let set = of(standing, key)?;
    let WearForecast::Crosses {
        at_hours,
        per_100_hours,
        ..
    } = set.forecast
    else {
        return None;
    };
    Some(format!(
        "{} in 100 h by {}; at {} by {} h, {} h now",
        words::numbers::percent(per_100_hours, 1),
        words::phrases::plural(set.catches, "catch"),
        words::numbers::percent(set.limit, 0),
        words::numbers::number(at_hours, 0),
        words::numbers::number(set.hours_now, 0),
    ))
}
