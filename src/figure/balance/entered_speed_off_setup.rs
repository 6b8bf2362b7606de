//! How far the speed entered for a section balance is off the speed of its setup.

use crate::fact::Fact;
use crate::figure::about::{About, ENTERED_SPEED_OFF_SETUP, Family, ShownAs};
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::working::Working;

/// The figure.
pub(crate) struct EnteredSpeedOffSetup;

static ABOUT: About = About {
    id: ENTERED_SPEED_OFF_SETUP,
    title: "how far the speed entered for a section balance is off the speed of the setup",
    formula: "speed entered / speed of the setup - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Visit,
    step: Some(Step::Balance),
    cases: &[],
};

/// The speed entered, and the one that is meant.
pub(crate) struct Speeds {
    entered: Shown,
    meant: Shown,
}

impl Figure for EnteredSpeedOffSetup {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = Speeds;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("entered-speed", |_, speeds| {
            Some(Fact::Written(speeds.entered.quantity))
        }),
        ("setup-speed", |_, speeds| {
            Some(Fact::Written(speeds.meant.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// No member where no speed is on record, as in a balance by pressure, or the setup has none.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<Speeds>> {
        let speeds = visit.balance.entered_speed.zip(visit.ground.speed);
        let member = speeds.map(|(entered, meant)| {
            let key = visit.key(Step::Balance, None, Part::Whole);
            Member::new(key, Speeds { entered, meant }, entered.place).against(meant.place)
        });
        member.into_iter().collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, speeds: &Speeds) -> Option<N> {
        let input = |shown: Shown| N::input(&visit.primitives, shown.id);
        Some(input(speeds.entered).off(&input(speeds.meant)))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, speeds: &Speeds) -> Option<Working> {
        let off = speeds.entered.as_written().off(speeds.meant.as_written());
        Some(Working::deviation(off))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, speeds: &Speeds) -> Option<Fact> {
        Some(Fact::Written(speeds.entered.quantity))
    }

    fn held_against(&self) -> &'static str {
        "the setup's speed"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, speeds: &Speeds) -> Units {
        let [entered, meant] = [speeds.entered, speeds.meant].map(|shown| shown.quantity.unit);
        (Some(entered), Some(meant))
    }
}
