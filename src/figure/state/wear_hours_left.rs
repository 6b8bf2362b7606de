//! How many hours of use are left until a setup's nozzles are worn to the limit, by their trend.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::primitive::PrimitiveId;
use crate::figure::standing::{Standing, StateStratum, WornSet};
use crate::fleet::LayUps;
use crate::outcome::{Key, Step};
use crate::wear::{Reason, WearForecast};
use crate::working::{Expression, Working};
use num_traits::ToPrimitive;

/// The figure.
pub(crate) struct WearHoursLeft;

static ABOUT: About = About {
    id: "wear-hours-left",
    title: "how many hours of use are left until a set of nozzles is worn to the limit, by its trend",
    formula: "crossing of the limit by the least-squares line of mean off rated against hours since fitting - hours now",
    source: "NBS Handbook 91, 5-4.1: least squares; the crossing's interval is Fieller's",
    shown_as: ShownAs::Hours,
    family: Family::Setup,
    step: Some(Step::Catch),
    cases: &[],
};

/// A set of nozzles whose trend crosses the limit.
pub(crate) struct Crossing<'v> {
    set: &'v WornSet,
    left: PrimitiveId,
    at_hours: f64,
    low: f64,
    high: f64,
    per_100_hours: f64,
}

impl Crossing<'_> {
    fn growth(&self) -> Fact {
        Fact::percent(self.per_100_hours, 1)
    }

    fn limit(&self) -> Fact {
        Fact::percent(self.set.limit, 0)
    }

    /// `30 to 90 h`.
    fn interval(&self) -> Fact {
        let left = |until: f64| Fact::number((until - self.set.hours_now).max(0.0), 0);
        Fact::phrase("{} to {} h", [left(self.low), left(self.high)])
    }

    /// The day by the machine's own use; words where that is not known.
    fn day(&self, lay_ups: &LayUps) -> Option<Fact> {
        let Some(a_day) = self.set.hours_a_day else {
            return Some(Fact::Words("date not known from its hours of use"));
        };
        let days = (self.at_hours - self.set.hours_now) / a_day;
        let days = days.floor().max(0.0).to_u32()?;
        let day = lay_ups.last_day(self.set.read_on, days)?;
        Some(Fact::phrase("about {}", [Fact::Date(day)]))
    }
}

impl Figure for WearHoursLeft {
    type Stratum = StateStratum;
    type Evidence<'v> = Crossing<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("what", |standing, crossing| {
            standing.nozzles_of_setup(crossing.set.setup)
        }),
        ("wear-limit", |_, crossing| Some(crossing.limit())),
        ("growth", |_, crossing| Some(crossing.growth())),
        ("interval", |_, crossing| Some(crossing.interval())),
        ("date", |standing, crossing| crossing.day(&standing.lay_ups)),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A set with too few catches for a trend has no member.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Crossing<'v>>> {
        if standing.subject.machine.out_of_service.is_some() {
            return Vec::new();
        }
        let sets = standing.worn.iter();
        sets.filter_map(|(set, left)| member(standing, set, *left))
            .collect()
    }

    fn value<'v, N: Number>(
        &self,
        standing: &'v Standing<'v>,
        crossing: &Crossing<'v>,
    ) -> Option<N> {
        Some(N::input(&standing.primitives, crossing.left))
    }

    fn working<'v>(&self, standing: &'v Standing<'v>, crossing: &Crossing<'v>) -> Option<Working> {
        let set = crossing.set;
        let catches = Fact::Count {
            count: set.catches,
            noun: "catch",
        };
        let trend = Fact::phrase("{} in 100 h by {}", [crossing.growth(), catches]);
        let reached = [
            crossing.limit(),
            Fact::number(crossing.at_hours, 0),
            Fact::number(set.hours_now, 0),
        ];
        let reached = Fact::phrase("at {} by {} h, {} h now", reached);
        let left = self.value(standing, crossing)?;
        let trend = Working::shown(Expression::number(crossing.per_100_hours, trend));
        Some(trend.then_shown(Expression::number(left, reached)))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &Crossing<'v>) -> Option<Fact> {
        Some(Fact::Words("the last catch of the trend"))
    }
}

fn member<'v>(
    standing: &'v Standing<'v>,
    set: &'v WornSet,
    left: Option<PrimitiveId>,
) -> Option<Member<Crossing<'v>>> {
    let key = Key {
        setup: Some(set.setup),
        step: Some(Step::Catch),
        ..Key::of_machine(standing.subject.index)
    };
    Some(match (set.forecast, left) {
        (WearForecast::None(Reason::TooFewCatches { .. }), _) => return None,
        (WearForecast::None(reason), _) => {
            Member::unavailable(key, reason.words(), None, set.place)
        }
        (WearForecast::Crosses { .. }, None) => {
            Member::unavailable(key, "the hour meter was not read", None, set.place)
        }
        (
            WearForecast::Crosses {
                at_hours,
                low,
                high,
                per_100_hours,
            },
            Some(left),
        ) => {
            let crossing = Crossing {
                set,
                left,
                at_hours,
                low,
                high,
                per_100_hours,
            };
            Member::new(key, crossing, set.place)
        }
    })
}
