//! How large a correction of a factor is: what its test found wrong.

use super::console_factor::ConsoleFactor;
use super::factor_correction::{Changed, Tested};
use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Shown, Visit};
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

/// A factor that was corrected, with the test that asked for it.
pub(crate) struct Corrected<'v> {
    before: Shown,
    after: Shown,
    tested: Tested<'v>,
}

impl Figure for Correction {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Corrected<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("factor", |_, corrected| {
            Some(corrected.tested.factor().name())
        }),
        ("changed", |_, corrected| {
            let change = corrected
                .after
                .as_written()
                .off(corrected.before.as_written());
            Some(Fact::deviation(change.evaluate()))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A correction whose test is not wholly on record has no member: the factor figures tell why.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Corrected<'v>>> {
        let factors = [ConsoleFactor::Flow, ConsoleFactor::Speed].into_iter();
        factors
            .flat_map(|factor| Changed::each(factor, visit))
            .filter_map(|changed| {
                let (part, before, after) = (changed.part(), changed.before, changed.after);
                let tested = changed.tested.ok()?;
                let key = visit.key(tested.factor().step(), None, part);
                let corrected = Corrected {
                    before,
                    after,
                    tested,
                };
                Some(Member::new(key, corrected, after.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, corrected: &Corrected<'v>) -> Option<N> {
        let (shown, known) = corrected.tested.shown_and_known::<N>(visit);
        Some(shown.off(&known))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, corrected: &Corrected<'v>) -> Option<Working> {
        let (shown, known, how) = match &corrected.tested {
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

    fn read<'v>(&self, _: &'v Visit<'v>, _: &Corrected<'v>) -> Option<Fact> {
        Some(Fact::Words("corrected here"))
    }
}
