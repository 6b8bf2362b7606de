//! How far the rated flow of tips fitted at single places is off that of their setup.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Fitted, Standing, StateStratum};
use crate::outcome::{Key, Part};
use crate::quantity::Quantity;

/// The figure.
pub(crate) struct FittedOffSetup;

static ABOUT: About = About {
    id: "fitted-off-setup",
    title: "how far the rated flow of tips fitted at single places is off that of the tips of their setup",
    formula: "flow fitted x sqrt(pressure of the setup's rating / pressure of the fitted one's) / flow of the setup - 1",
    source: "square-root law of an orifice",
    shown_as: ShownAs::Percent,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for FittedOffSetup {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v Fitted;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("tips", |standing, fitted| standing.nozzles(&fitted.nozzles)),
        ("fitted-flow", |_, fitted| {
            Some(rating(
                &[fitted.flow, fitted.pressure].map(|shown| shown.quantity),
            ))
        }),
        ("setup-flow", |_, fitted| {
            Some(rating(
                &[fitted.setup_flow, fitted.setup_pressure].map(|shown| shown.quantity),
            ))
        }),
        ("setup", |standing, fitted| {
            let setups = &standing.subject.machine.setups;
            let setup = setups.get(usize::from(fitted.setup))?;
            Some(Fact::Name(setup.name.value.clone()))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// Tips fitted to the whole boom change the setup itself, and have no member.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v Fitted>> {
        let numbered = (0_u16..).zip(&standing.fitted);
        let members = numbered.map(|(index, fitted)| {
            let key = Key {
                record: Some(fitted.flow.place.file),
                part: Part::Test(index),
                ..Key::of_machine(standing.subject.index)
            };
            Member::new(key, fitted, fitted.flow.place).against(fitted.setup_flow.place)
        });
        members.collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, fitted: &&'v Fitted) -> Option<N> {
        let input = |id| N::input(&standing.primitives, id);
        let (own, setup) = (input(fitted.pressure.id), input(fitted.setup_pressure.id));
        let flow = input(fitted.flow.id).times(&setup.over(&own).root());
        Some(flow.off(&input(fitted.setup_flow.id)))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, fitted: &&'v Fitted) -> Option<Fact> {
        Some(Fact::Written(fitted.flow.quantity))
    }

    fn held_against(&self) -> &'static str {
        "the setup has these"
    }
}

fn rating(of: &[Quantity; 2]) -> Fact {
    let written = of.map(Fact::Written);
    Fact::phrase("{} at {}", written)
}
