//! Whether the course ran over something harder than turf: then the test proves less.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};

/// What is harder than turf.
const HARD: [&str; 7] = [
    "path", "road", "paved", "pavement", "asphalt", "concrete", "gravel",
];

/// The figure.
pub(crate) struct SurfaceHard;

static ABOUT: About = About {
    id: "hard-surface",
    title: "whether the course ran over something harder than turf",
    formula: "1 where the record names a path, road or pavement",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Test,
    step: Some(Step::Speed),
    cases: &[],
};

impl Figure for SurfaceHard {
    type Stratum = ReadingsStratum;
    /// What the course ran over.
    type Evidence<'v> = &'v str;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("surface", |_, surface| {
        Some(Fact::Name((*surface).to_owned()))
    })];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// What the record does not state has no member.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v str>> {
        let courses = visit.speed.each();
        courses
            .filter_map(|(stage, course)| {
                let (surface, place) = course.surface.as_ref()?;
                let key = visit.key(Step::Speed, Some(stage), Part::Whole);
                Some(Member::new(key, surface.as_str(), *place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, surface: &&'v str) -> Option<N> {
        let surface = surface.to_lowercase();
        let is_hard = HARD.iter().any(|hard| surface.contains(hard));
        Some(N::whole(u32::from(is_hard)))
    }
}
