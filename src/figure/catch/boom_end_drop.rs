//! How far the pressure drops from the gauge to the end of the boom.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Pressure, ReadingsStratum, Visit};
use crate::outcome::{Part, Stage, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct BoomEndDrop;

static ABOUT: About = About {
    id: "boom-end-drop",
    title: "how far the pressure at the end of the boom is off the working pressure",
    formula: "pressure at the end / working pressure - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Visit,
    step: Some(Step::Catch),
    cases: &[],
};

/// The pressures at both ends.
pub(crate) struct Ends {
    end: Pressure,
    at_gauge: Pressure,
}

impl Ends {
    fn of(visit: &Visit<'_>) -> Option<Self> {
        Some(Self {
            end: visit.boom_end?,
            at_gauge: visit.catch.at(Stage::AsLeft)?.pressure?,
        })
    }
}

impl Figure for BoomEndDrop {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Ends;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where the boom's end was not read or no catch gives the working pressure.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Ends>> {
        let ends = Ends::of(visit).into_iter();
        ends.map(|ends| {
            let key = visit.key(Step::Catch, None, Part::Whole);
            let (end, at_gauge) = (ends.end.place, ends.at_gauge.place);
            Member::new(key, ends, end).against(at_gauge)
        })
        .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, ends: &Ends) -> Option<N> {
        let at_gauge: N = ends.at_gauge.value(visit);
        Some(ends.end.value::<N>(visit).off(&at_gauge))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, Ends { end, at_gauge }: &Ends) -> Option<Working> {
        Some(Working::deviation(
            end.as_written().off(at_gauge.as_written()),
        ))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, ends: &Ends) -> Option<Fact> {
        Some(Fact::Written(ends.end.quantity))
    }

    fn held_against(&self) -> &'static str {
        "working pressure"
    }
}
