//! Which nozzles were caught again at another pressure than their catch: near enough to be scaled to it, and too far off.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::advised::AdvisedPressure;
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::visit::{ReadingsStratum, Retest, Visit};
use crate::fleet::FARTHEST_PERCENT;
use crate::outcome::{Part, Step};

/// The figure of retests that count, or of those that do not.
pub(crate) struct Retests {
    counts: bool,
    about: &'static About,
}

/// Retests that count.
pub(crate) static RETESTS_SCALED: Retests = Retests {
    counts: true,
    about: &About {
        id: "retests-scaled",
        title: "whether nozzles were caught again at another pressure, within 20% of that of their catch",
        formula: "1 where they were; q x sqrt(pressure of the catch / pressure of the retest) goes into the catch",
        source: "square-root law of a fixed orifice",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[CHECK_FIRST],
    },
};

/// Retests that do not.
pub(crate) static RETESTS_NOT_COUNTED: Retests = Retests {
    counts: false,
    about: &About {
        id: "retests-not-counted",
        title: "whether nozzles were caught again at a pressure more than 20% off that of their catch",
        formula: "1 where they were",
        source: "our choice",
        shown_as: ShownAs::Count,
        family: Family::Test,
        step: Some(Step::Catch),
        cases: &[CHECK_FIRST],
    },
};

impl Figure for Retests {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = &'v Retest;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("nozzles", |visit, retest| nozzles(visit, &retest.nozzles)),
        ("pressure", |_, retest| {
            Some(Fact::Written(retest.pressures.from.quantity))
        }),
        ("catch-pressure", |_, retest| {
            Some(Fact::Written(retest.pressures.to.quantity))
        }),
        ("pressure-bounds", |visit, retest| {
            Some(AdvisedPressure::of(visit, &retest.pressures.to).bounds())
        }),
        ("farthest", |_, _| {
            let ratio = f64::from(FARTHEST_PERCENT) / 100.0;
            Some(Fact::Percent {
                ratio,
                decimals: 0,
                is_signed: false,
            })
        }),
    ];

    fn about(&self) -> &About {
        self.about
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<&'v Retest>> {
        let retests = visit.retests.iter();
        let own = retests.filter(|retest| retest.counts == self.counts);
        own.map(|retest| {
            let key = visit.key(Step::Catch, None, Part::Test(retest.index));
            let to = &retest.pressures.to;
            let may_be_set = AdvisedPressure::of(visit, to).may_be_set(to.quantity.si());
            let case = (!may_be_set).then_some(CHECK_FIRST);
            let member = Member::new(key, retest, retest.pressures.from.place);
            member.against(to.place).in_case(case)
        })
        .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, _: &&'v Retest) -> Option<N> {
        Some(N::whole(1))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, retest: &&'v Retest) -> Option<Fact> {
        Some(Fact::Written(retest.pressures.from.quantity))
    }

    fn held_against(&self) -> &'static str {
        "the catch"
    }
}

/// Nozzles by number, as people say them.
pub(super) fn nozzles(visit: &Visit<'_>, numbers: &[u16]) -> Option<Fact> {
    if let [only] = numbers {
        return visit.subject.nozzle(*only);
    }
    let named = numbers.iter().map(|number| Fact::whole((*number).into()));
    Some(Fact::phrase("nozzles {}", [Fact::list_some(named)]))
}
