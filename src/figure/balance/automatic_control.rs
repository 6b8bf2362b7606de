//! Whether the console held the rate during a section balance, which hides a drift.

use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::Figure;
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::record::calibration::RateControl;

/// The figure.
pub(crate) struct AutomaticControl;

static ABOUT: About = About {
    id: "automatic-control",
    title: "whether automatic rate control was on during a section balance",
    formula: "1 where the record says so",
    source: "counting",
    shown_as: ShownAs::Count,
    family: Family::Visit,
    step: Some(Step::Balance),
    cases: &[],
};

impl Figure for AutomaticControl {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = RateControl;

    fn about(&self) -> &About {
        &ABOUT
    }

    /// What is not on record is not known.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<RateControl>> {
        let balance = visit.calibration.section_balance.iter();
        let control = balance.filter_map(|balance| balance.rate_control);
        control
            .map(|control| {
                let key = visit.key(Step::Balance, None, Part::Whole);
                Member::new(key, control.value, visit.place(control.span))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Visit<'v>, control: &RateControl) -> Option<N> {
        let is_on = *control == RateControl::Automatic;
        Some(N::whole(u32::from(is_on)))
    }
}
