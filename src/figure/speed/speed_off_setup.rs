//! How far the true speed over the course is off the speed of the setup.

use super::course::CourseTimed;
use super::true_speed::TrueSpeed;
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Shown, Visit};
use crate::outcome::Step;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct SpeedOffSetup;

static ABOUT: About = About {
    id: "speed-off-setup",
    title: "how far the mean true speed of the runs is off the speed the setup works at",
    formula: "mean(course / elapsed) / speed of the setup - 1; mph = ft x 60 / (s x 88), km/h = 3.6 x m/s",
    source: "by definition of the units",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

/// A timed course, beside the speed that is meant.
pub(crate) struct TrueAndMeant {
    timed: CourseTimed,
    meant: Shown,
}

impl TrueAndMeant {
    /// The true speed, in the unit of the one that is meant.
    fn true_speed(&self, visit: &Visit<'_>) -> Fact {
        Fact::computed(self.timed.mean_speed(visit), self.meant.quantity.unit)
    }
}

impl Figure for SpeedOffSetup {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = TrueAndMeant;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("true-speed", |visit, compared| {
            Some(compared.true_speed(visit))
        }),
        ("setup-speed", |_, compared| {
            Some(Fact::Written(compared.meant.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where the visit's setup, or its speed, is not known: a course serves the whole machine.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<TrueAndMeant>> {
        let Some(meant) = visit.ground.speed else {
            return Vec::new();
        };
        let courses = TrueSpeed.members(visit).into_iter();
        courses
            .map(|member| {
                member
                    .map(|timed| TrueAndMeant { timed, meant })
                    .against(meant.place)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, compared: &TrueAndMeant) -> Option<N> {
        let meant = N::input(&visit.primitives, compared.meant.id);
        Some(compared.timed.mean_speed::<N>(visit).off(&meant))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, compared: &TrueAndMeant) -> Option<Working> {
        let mean = |shown| Expression::number(compared.timed.mean_speed(visit), shown);
        let length = Fact::Written(compared.timed.length.quantity);
        let (count, noun) = (compared.timed.runs.len(), "run");
        let runs = Fact::Count { count, noun };
        let driven = mean(Fact::phrase("{} in {} on average", [length, runs]));
        let true_speed = compared.true_speed(visit);
        let off = mean(true_speed.clone()).off(compared.meant.as_written());
        let result = Fact::deviation(off.evaluate());
        Some(Working::of(driven, true_speed).then(off, result))
    }

    fn read<'v>(&self, visit: &'v Visit<'v>, compared: &TrueAndMeant) -> Option<Fact> {
        Some(compared.true_speed(visit))
    }

    fn held_against(&self) -> &'static str {
        "the target"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, compared: &TrueAndMeant) -> Units {
        let length = compared.timed.length.quantity.unit;
        (Some(length), Some(compared.meant.quantity.unit))
    }
}
