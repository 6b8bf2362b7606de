//! How large a correction of a factor is: what its test found wrong.

use super::console_factor::ConsoleFactor;
use super::factor_correction::{Changed, Tested};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::working::Working;

/// The figure.
pub(crate) struct Correction;

static ABOUT: About = About {
    id: "correction",
    title: "how far what the console showed was off the truth where the factor was then corrected",
    formula: "shown / true - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: None,
    cases: &[],
};

impl Figure for Correction {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Tested<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] =
        &[("factor", |_, tested| Some(tested.factor().name()))];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A correction whose test is not wholly on record has no member: the factor figures tell why.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Tested<'v>>> {
        let factors = [ConsoleFactor::Flow, ConsoleFactor::Speed].into_iter();
        factors
            .flat_map(|factor| Changed::each(factor, visit))
            .filter_map(|changed| {
                let (part, place) = (changed.part(), changed.after.place);
                let tested = changed.tested.ok()?;
                let key = visit.key(tested.factor().step(), None, part);
                Some(Member::new(key, tested, place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, tested: &Tested<'v>) -> Option<N> {
        let (shown, known) = tested.shown_and_known::<N>(visit);
        Some(shown.off(&known))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, tested: &Tested<'v>) -> Option<Working> {
        let (shown, known, how) = match tested {
            Tested::Meter(read) => {
                let known = read.known.as_written(visit);
                (read.shown.as_written(), known, "{} known")
            }
            Tested::Course(course) => {
                let driven = course.length.as_written(visit);
                (course.mean(visit), driven, "{} driven")
            }
        };
        let shown = shown.shown_as(|shown| Fact::phrase("{} shown", [shown]));
        let known = known.shown_as(|known| Fact::phrase(how, [known]));
        Some(Working::deviation(shown.off(known)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Tested<'v>) -> Option<Fact> {
        Some(Fact::Words("corrected here"))
    }
}
