//! How far the pressure of a catch is off the pressure of its setup.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::advised::AdvisedPressure;
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::CHECK_FIRST;
use crate::figure::visit::{Pressure, ReadingsStratum, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct PressureOffSetup;

static ABOUT: About = About {
    id: "pressure-off-setup",
    title: "how far the pressure of the catch is off the pressure the setup works at",
    formula: "pressure of the catch / pressure of the setup - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Catch),
    cases: &[CHECK_FIRST],
};

/// The pressure of a catch, and the one that is meant.
pub(crate) struct Pressures {
    read: Pressure,
    meant: Shown,
}

impl Figure for PressureOffSetup {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Pressures;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("setup-pressure", |_, pressures| {
            Some(Fact::Written(pressures.meant.quantity))
        }),
        ("pressure-bounds", |visit, pressures| {
            Some(AdvisedPressure::of(visit, &pressures.read).bounds())
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A catch or a setup without a pressure has no member: the rated figures tell what is missing.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Pressures>> {
        let catches = visit.catch.each();
        catches
            .filter_map(|(stage, catch)| {
                let (read, meant) = (catch.pressure?, visit.ground.pressure?);
                let case = may_not_be_set(visit, &read, &meant).then_some(CHECK_FIRST);
                let key = visit.key(Step::Catch, Some(stage), Part::Whole);
                let member = Member::new(key, Pressures { read, meant }, read.place);
                Some(member.against(meant.place).in_case(case))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, pressures: &Pressures) -> Option<N> {
        let meant = N::input(&visit.primitives, pressures.meant.id);
        Some(pressures.read.value::<N>(visit).off(&meant))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, pressures: &Pressures) -> Option<Working> {
        let Pressures { read, meant } = pressures;
        let off = read.as_written().off(meant.as_written());
        Some(Working::deviation(off))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, pressures: &Pressures) -> Option<Fact> {
        Some(Fact::Written(pressures.read.quantity))
    }

    fn held_against(&self) -> &'static str {
        "the setup's pressure"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, Pressures { read, meant }: &Pressures) -> Units {
        (Some(read.quantity.unit), Some(meant.quantity.unit))
    }
}

/// Whether the setup's pressure is none to set: far off the one of the catch, or beyond gauge or tips.
fn may_not_be_set(visit: &Visit<'_>, read: &Pressure, meant: &Shown) -> bool {
    let advised = AdvisedPressure::of(visit, read);
    !(advised.may_be_set(meant.quantity.si()) && advised.may_have_been(read.quantity.si()))
}
