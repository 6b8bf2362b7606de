//! How far the flow that a section balance shows with all sections on is off the flow of its setup.

use crate::fact::Fact;
use crate::figure::about::{ALL_ON_OFF_SETUP, About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Shown, Visit};
use crate::outcome::{Part, Step};
use crate::quantity::dimension::Dimension;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct AllOnOffSetup;

/// The case of a balance by pressure.
const BY_PRESSURE: &str = "by-pressure";

/// The case of a rate beside which no speed is on record.
const NO_SPEED: &str = "no-speed";

static ABOUT: About = About {
    id: ALL_ON_OFF_SETUP,
    title: "how far the flow shown with all sections on is off the setup's, from the rate at the speed entered or the pressure",
    formula: "(all on x speed entered) / (rate x speed of the setup) - 1 by rate, with the setup's speed where none is on record; sqrt(all on / pressure of the setup) - 1 by pressure",
    source: "Missouri Extension G1270A; SD State Extension, mixing and calibration equations; square-root law of a fixed orifice",
    shown_as: ShownAs::Percent,
    family: Family::Visit,
    step: Some(Step::Balance),
    cases: &[BY_PRESSURE, NO_SPEED],
};

/// The reading with all sections on, beside what the setup says it is to be.
pub(crate) struct AllOn {
    read: Shown,
    meant: Shown,
    /// The speed entered and the setup's; none by pressure, and where none was written.
    speeds: Option<(Shown, Shown)>,
}

impl AllOn {
    /// None without a reading, or where the setup or its speed does not say what is meant.
    fn of(visit: &Visit<'_>) -> Option<Self> {
        let read = visit.balance.all_on?;
        let ground = &visit.ground;
        let entered = visit.balance.entered_speed;
        let (meant, speeds) = if read.quantity.dimension() == Dimension::PRESSURE {
            (ground.pressure?, None)
        } else {
            let speeds = match entered {
                Some(entered) => Some((entered, ground.speed?)),
                None => None,
            };
            (ground.rate?, speeds)
        };
        Some(Self {
            read,
            meant,
            speeds,
        })
    }

    fn is_by_pressure(&self) -> bool {
        self.read.quantity.dimension() == Dimension::PRESSURE
    }

    fn case(&self) -> Option<&'static str> {
        if self.is_by_pressure() {
            Some(BY_PRESSURE)
        } else {
            self.speeds.is_none().then_some(NO_SPEED)
        }
    }
}

impl Figure for AllOnOffSetup {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = AllOn;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("all-on", |_, all_on| {
            Some(Fact::Written(all_on.read.quantity))
        }),
        ("setup-value", |_, all_on| {
            Some(Fact::Written(all_on.meant.quantity))
        }),
        ("entered-speed", |_, all_on| {
            let (entered, _) = all_on.speeds?;
            Some(Fact::Written(entered.quantity))
        }),
        ("setup-speed", |visit, _| {
            Some(Fact::Written(visit.ground.speed?.quantity))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// A balance without a reading with all sections on has no member: its change with a section off tells.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<AllOn>> {
        let member = AllOn::of(visit).map(|all_on| {
            let key = visit.key(Step::Balance, None, Part::Whole);
            let (place, against, case) = (all_on.read.place, all_on.meant.place, all_on.case());
            let member = Member::new(key, all_on, place);
            member.against(against).in_case(case)
        });
        member.into_iter().collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, all_on: &AllOn) -> Option<N> {
        let input = |shown: Shown| N::input(&visit.primitives, shown.id);
        let ratio = input(all_on.read).over(&input(all_on.meant));
        let ratio = match all_on.speeds {
            Some((entered, meant)) => ratio.times(&input(entered).over(&input(meant))),
            None if all_on.is_by_pressure() => ratio.root(),
            None => ratio,
        };
        Some(ratio.minus(&N::whole(1)))
    }

    fn working<'v>(&self, _: &'v Visit<'v>, all_on: &AllOn) -> Option<Working> {
        let (read, meant) = (all_on.read.as_written(), all_on.meant.as_written());
        let ratio = match all_on.speeds {
            Some((entered, of_setup)) => {
                let shown = read.times(entered.as_written());
                shown.over(meant.times(of_setup.as_written()))
            }
            None if all_on.is_by_pressure() => read.over(meant).root(),
            None => read.over(meant),
        };
        Some(Working::deviation(ratio.minus(Expression::whole(1))))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, all_on: &AllOn) -> Option<Fact> {
        Some(Fact::Written(all_on.read.quantity))
    }

    fn held_against(&self) -> &'static str {
        "the setup's"
    }

    /// By pressure the value is a root, in which no unit shows.
    fn units<'v>(&self, _: &'v Visit<'v>, all_on: &AllOn) -> Units {
        let unit = |shown: Shown| (!all_on.is_by_pressure()).then_some(shown.quantity.unit);
        (unit(all_on.read), unit(all_on.meant))
    }
}
