//! How far a corrected factor is off the one its test asks for: flow factor and speed factor.

use super::asked_for::one_digit_more;
use super::console_factor::ConsoleFactor;
use super::factor_correction::{FactorCorrection, Tested};
use crate::fact::{Digits, Fact};
use crate::figure::about::{self, About, COMPUTED_FACTOR, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::{CHECK_FIRST, may_be_entered};
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::Step;
use crate::working::{Expression, Working};

/// The case of a factor multiplied where it should have been divided.
const UPSIDE_DOWN: &str = "upside-down";

/// A correction below this cannot be told from its inverse (our choice).
const LEAST_CORRECTION: f64 = 0.01;

/// The figure of one of the factors.
pub(crate) struct FactorOff {
    factor: ConsoleFactor,
    about: &'static About,
}

/// The flow factor.
pub(crate) static FLOW_FACTOR_OFF: FactorOff = FactorOff {
    factor: ConsoleFactor::Flow,
    about: &About {
        id: about::FLOW_FACTOR_OFF,
        title: "how far a corrected flow factor is off the one its meter test gives",
        formula: "after / computed - 1; computed = before x shown / known as pulses per volume, before x known / shown as volume per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Flow),
        cases: &[UPSIDE_DOWN, CHECK_FIRST],
    },
};

/// The speed factor.
pub(crate) static SPEED_FACTOR_OFF: FactorOff = FactorOff {
    factor: ConsoleFactor::Speed,
    about: &About {
        id: about::SPEED_FACTOR_OFF,
        title: "how far a corrected speed factor is off the one its speed test gives",
        formula: "after / computed - 1; computed = before x mean(shown) / course as pulses per length, before x course / mean(shown) as length per pulse",
        source: "by definition of the factor",
        shown_as: ShownAs::Percent,
        family: Family::Test,
        step: Some(Step::Speed),
        cases: &[UPSIDE_DOWN, CHECK_FIRST],
    },
};

impl Figure for FactorOff {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = FactorCorrection<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        (COMPUTED_FACTOR, |visit, correction| {
            let digits = one_digit_more(&correction.after);
            let computed = correction.computed(visit);
            Some(correction.meaning.with_unit(computed, digits))
        }),
        ("entered-factor", |_, correction| {
            Some(Fact::Written(correction.after.quantity))
        }),
    ];

    fn about(&self) -> &About {
        self.about
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<FactorCorrection<'v>>> {
        let corrections = FactorCorrection::members(self.factor, visit).into_iter();
        corrections
            .map(|member| match &member.value {
                Ok(correction) => {
                    let known_at = correction.tested.known_at();
                    let case = case(visit, correction);
                    member.against(known_at).in_case(case)
                }
                Err(_) => member,
            })
            .collect()
    }

    fn value<'v, N: Number>(
        &self,
        visit: &'v Visit<'v>,
        correction: &FactorCorrection<'v>,
    ) -> Option<N> {
        Some(entered::<N>(visit, correction).off(&correction.change(visit)))
    }

    fn working<'v>(
        &self,
        visit: &'v Visit<'v>,
        correction: &FactorCorrection<'v>,
    ) -> Option<Working> {
        let (change, computed): (f64, f64) = (correction.change(visit), correction.computed(visit));
        let five_digits = |value| Expression::number(value, Fact::significant(value, 5));
        let before = Fact::Written(correction.before.quantity);
        let before = Expression::number(
            correction.meaning.in_si(correction.before.quantity.si()),
            Fact::phrase("{} before", [before]),
        );
        let asked_for = correction
            .meaning
            .with_unit(computed, Digits::Significant(5));
        let off = correction.after.as_written().off(five_digits(computed));
        let result = Fact::deviation(off.evaluate());
        Some(Working::of(before.times(five_digits(change)), asked_for).then(off, result))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, correction: &FactorCorrection<'v>) -> Option<Fact> {
        Some(Fact::Written(correction.after.quantity))
    }

    fn held_against(&self) -> &'static str {
        "from this"
    }
}

/// The factor entered, as a multiple of the one before it.
fn entered<N: Number>(visit: &Visit<'_>, correction: &FactorCorrection<'_>) -> N {
    let (before, after) = (correction.before.id, correction.after.id);
    N::input(&visit.primitives, after).over(&N::input(&visit.primitives, before))
}

/// Whether the factor entered is the one that the inverse ratio gives; first whether the test can give one at all.
fn case(visit: &Visit<'_>, correction: &FactorCorrection<'_>) -> Option<&'static str> {
    let (change, entered): (f64, f64) = (correction.change(visit), entered(visit, correction));
    let is_doubted = match &correction.tested {
        Tested::Meter(read) => read.is_known_doubted(visit),
        Tested::Course(_) => false,
    };
    if is_doubted || !may_be_entered(change) {
        return Some(CHECK_FIRST);
    }
    // As large whichever way the factor counts.
    let far = change.max(1.0 / change) - 1.0 > LEAST_CORRECTION;
    let inverse = (entered * change - 1.0).abs() < LEAST_CORRECTION / 2.0;
    (far && inverse).then_some(UPSIDE_DOWN)
}
