//! How far the rate that the tips, pressure, speed and spacing of a setup make is off the rate that it declares.

use crate::fact::Fact;
use crate::figure::about::{About, Family, SETUP_SUM_OFF, ShownAs};
use crate::figure::catch::rated::flow_at;
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::rate::on_ground::rate_on_ground;
use crate::figure::standing::{DeclaredSetup, Standing, StateStratum};
use crate::figure::visit::Shown;
use crate::outcome::Key;
use crate::quantity::unit::Unit;
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct SetupSumOff;

static ABOUT: About = About {
    id: SETUP_SUM_OFF,
    title: "how far the rate that the tips, pressure, speed and spacing of a setup make is off its rate",
    formula: "rated flow x sqrt(pressure / rated pressure) / (speed x spacing) / rate - 1; without flow control the flow is divided by the density factor",
    source: "Missouri Extension G1270A; SD State Extension, mixing and calibration equations; square-root law of an orifice",
    shown_as: ShownAs::Percent,
    family: Family::Setup,
    step: None,
    cases: &[],
};

impl Figure for SetupSumOff {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v DeclaredSetup;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("tips", |_, setup| Some(tips(setup))),
        ("pressure", |_, setup| Some(written(setup.pressure))),
        ("speed", |_, setup| Some(written(setup.speed))),
        ("spacing", |_, setup| Some(written(setup.spacing))),
        ("rate", |standing, setup| {
            let made = made_rate(standing, setup);
            Some(Fact::to_set(made, setup.rate.quantity.unit))
        }),
        ("wanted-rate", |_, setup| Some(written(setup.rate))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v DeclaredSetup>> {
        let setups = standing.setups.iter();
        let members = setups.map(|setup| {
            let key = Key {
                setup: Some(setup.index),
                ..Key::of_machine(standing.subject.index)
            };
            Member::new(key, setup, setup.rate.place).against(setup.rated_flow.place)
        });
        members.collect()
    }

    fn value<'v, N: Number>(
        &self,
        standing: &'v Standing<'v>,
        setup: &&'v DeclaredSetup,
    ) -> Option<N> {
        let rate = N::input(&standing.primitives, setup.rate.id);
        Some(made_rate::<N>(standing, setup).off(&rate))
    }

    fn working<'v>(
        &self,
        standing: &'v Standing<'v>,
        setup: &&'v DeclaredSetup,
    ) -> Option<Working> {
        let of_a_tip = flow::<f64>(standing, setup);
        let shown = Fact::computed(of_a_tip, flow_unit(setup));
        let ratio = setup
            .pressure
            .as_written()
            .over(setup.rated_pressure.as_written());
        let of_water = setup.rated_flow.as_written().times(ratio.root());
        let worked_out = match divided_by(setup) {
            Some(factor) => of_water.over(factor),
            None => of_water,
        };
        let working = Working::of(worked_out, shown.clone());
        let made = made_rate::<f64>(standing, setup);
        let shown_rate = Fact::computed(made, setup.rate.quantity.unit);
        let spacing = |spacing| Fact::phrase("{} spacing", [spacing]);
        let spacing = setup.spacing.as_written().shown_as(spacing);
        let covered = setup.speed.as_written().times(spacing);
        let rate = Expression::number(of_a_tip, shown).over(covered);
        let working = working.then(rate, shown_rate.clone());
        let off = Expression::number(made, shown_rate).off(setup.rate.as_written());
        let deviation = Fact::deviation(off.evaluate());
        Some(working.then(off, deviation))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, setup: &&'v DeclaredSetup) -> Option<Fact> {
        Some(written(setup.rate))
    }

    fn held_against(&self) -> &'static str {
        "the tips"
    }

    fn units<'v>(&self, _: &'v Standing<'v>, setup: &&'v DeclaredSetup) -> Units {
        (None, Some(setup.rate.quantity.unit))
    }
}

fn written(shown: Shown) -> Fact {
    Fact::Written(shown.quantity)
}

/// `size 08 tips`, or `tips rated 2.4 L/min at 3 bar`.
fn tips(setup: &DeclaredSetup) -> Fact {
    if let Some(size) = &setup.size {
        return Fact::phrase("size {} tips", [Fact::Name(size.clone())]);
    }
    let rating = [setup.rated_flow, setup.rated_pressure];
    Fact::phrase("tips rated {} at {}", rating.map(written))
}

/// A flow as the rating has it.
fn flow_unit(setup: &DeclaredSetup) -> Unit {
    setup.rated_flow.quantity.unit
}

/// What the flow of water is divided by for the mix: by its density, else by the factor of the setup.
fn divided_by(setup: &DeclaredSetup) -> Option<Expression> {
    let by_density = setup.mix.and_then(|mix| mix.worked_out());
    let called = |factor| Fact::phrase("density factor {}", [factor]);
    by_density.or_else(|| Some(setup.density_factor?.as_written().shown_as(called)))
}

/// What a tip of the setup puts out of its mix at the setup's pressure.
fn flow<N: Number>(standing: &Standing<'_>, setup: &DeclaredSetup) -> N {
    let input = |shown: Shown| N::input(&standing.primitives, shown.id);
    let of_water = flow_at(
        &input(setup.rated_flow),
        &input(setup.rated_pressure),
        &input(setup.pressure),
    );
    let by_density = setup.mix.map(|mix| mix.computed(&standing.primitives));
    match by_density.or_else(|| setup.density_factor.map(input)) {
        Some(factor) => of_water.over(&factor),
        None => of_water,
    }
}

/// The rate it makes on the ground at the setup's speed.
fn made_rate<N: Number>(standing: &Standing<'_>, setup: &DeclaredSetup) -> N {
    let input = |shown: Shown| N::input(&standing.primitives, shown.id);
    let of_a_tip = flow::<N>(standing, setup);
    rate_on_ground(&of_a_tip, &input(setup.speed), &input(setup.spacing))
}
