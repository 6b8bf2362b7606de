//! How far the width a console has for a section is off spacing times nozzles.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::plausible::{CHECK_FIRST, may_be_entered};
use crate::figure::standing::{DeclaredSection, Standing, StateStratum};
use crate::outcome::{Key, Part};
use crate::working::{Expression, Working};

/// The figure.
pub(crate) struct EnteredWidthOff;

static ABOUT: About = About {
    id: "entered-width-off",
    title: "how far the width the console has for a section is off its nozzles times the spacing",
    formula: "entered width / (spacing x nozzles) - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Section,
    step: None,
    cases: &[CHECK_FIRST],
};

impl Figure for EnteredWidthOff {
    type Stratum = StateStratum;
    type Evidence<'v> = &'v DeclaredSection;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[("width", |standing, section| {
        let unit = section.entered.quantity.unit;
        Some(Fact::computed(swath(standing, section), unit))
    })];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<&'v DeclaredSection>> {
        let sections = standing.sections.iter();
        sections
            .map(|section| {
                let key = Key {
                    part: Part::Section(section.index),
                    ..Key::of_machine(standing.subject.index)
                };
                let width = section.entered.quantity.si() / swath::<f64>(standing, section);
                let case = (!may_be_entered(width)).then_some(CHECK_FIRST);
                let member = Member::new(key, section, section.entered.place);
                member.against(section.spacing.place).in_case(case)
            })
            .collect()
    }

    fn value<'v, N: Number>(
        &self,
        standing: &'v Standing<'v>,
        section: &&'v DeclaredSection,
    ) -> Option<N> {
        let entered = N::input(&standing.primitives, section.entered.id);
        Some(entered.off(&swath(standing, section)))
    }

    fn working<'v>(&self, _: &'v Standing<'v>, section: &&'v DeclaredSection) -> Option<Working> {
        let nozzles = Expression::whole(section.nozzles);
        let swath = section.spacing.as_written().times(nozzles);
        let off = section.entered.as_written().off(swath);
        Some(Working::deviation(off))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, section: &&'v DeclaredSection) -> Option<Fact> {
        Some(Fact::Written(section.entered.quantity))
    }

    fn held_against(&self) -> &'static str {
        "spacing"
    }
}

fn swath<N: Number>(standing: &Standing<'_>, section: &DeclaredSection) -> N {
    N::input(&standing.primitives, section.spacing.id).times(&N::whole(section.nozzles))
}
