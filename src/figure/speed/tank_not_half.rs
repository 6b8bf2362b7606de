//! Whether the tank was other than half full on the course: then the test proves less.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// The figure.
pub(crate) struct TankNotHalf;

static ABOUT: About = About {
    id: "tank-not-half",
    title: "whether the tank was other than half full on the course",
    formula: "1 where the record says so",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

impl Figure for TankNotHalf {
    type Stratum = ReadingsStratum;
    /// How full the tank was.
    type Evidence<'v> = &'v str;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] =
        &[("tank", |_, tank| Some(Fact::Name((*tank).to_owned())))];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// What the record does not state has no member.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v str>> {
        let courses = visit.speed.each();
        courses
            .filter_map(|(stage, course)| {
                let (tank, place) = course.tank.as_ref()?;
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                Some(Member::new(key, tank.as_str(), *place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, tank: &&'v str) -> Option<N> {
        Some(N::whole(u32::from(*tank != "half")))
    }
}
