//! Applications made while the machine was laid up by its own file.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{FactOf, Figure};
use crate::figure::member::Member;
use crate::figure::number::{Number, days, days_between};
use crate::figure::standing::{Spraying, Standing, StateStratum};
use crate::outcome::Key;
use crate::record::machine::LaidUp;
use crate::source::Place;

/// The figure.
pub(crate) struct SprayedWhileLaidUp;

static ABOUT: About = About {
    id: "sprayed-while-laid-up",
    title: "how many days of the lay-up were left when the machine sprayed",
    formula: "day after the last day of the lay-up - date of the application",
    source: "counting",
    shown_as: ShownAs::Days,
    family: Family::Record,
    step: None,
    cases: &[],
};

/// An application, and the lay-up it was made in.
pub(crate) struct Sprayed<'v> {
    spraying: &'v Spraying<'v>,
    laid_up: &'v LaidUp,
}

impl Figure for SprayedWhileLaidUp {
    type Stratum = StateStratum;
    type Evidence<'v> = Sprayed<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("date", |_, sprayed| {
            Some(Fact::Date(sprayed.spraying.moment.day))
        }),
        ("from", |_, sprayed| {
            Some(Fact::Date(sprayed.laid_up.from.value))
        }),
        ("to", |_, sprayed| {
            Some(Fact::Date(sprayed.laid_up.to.value))
        }),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    /// An application outside every lay-up has no member.
    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Sprayed<'v>>> {
        let machine = standing.subject.machine;
        let sprayings = standing.sprayings.iter();
        sprayings
            .filter_map(|spraying| {
                let day = spraying.moment.day;
                let mut all = machine.laid_up.iter();
                let laid_up = all.find(|one| one.from.value <= day && day <= one.to.value)?;
                let key = Key {
                    record: Some(spraying.application.file),
                    ..Key::of_machine(standing.subject.index)
                };
                let machine_file = Place {
                    file: machine.file,
                    span: laid_up.span,
                };
                let sprayed = Sprayed { spraying, laid_up };
                Some(Member::new(key, sprayed, spraying.dated()).against(machine_file))
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, _: &'v Standing<'v>, sprayed: &Sprayed<'v>) -> Option<N> {
        let left: N = days_between(sprayed.spraying.moment.day, sprayed.laid_up.to.value);
        Some(left.plus(&days(1)))
    }

    fn read<'v>(&self, _: &'v Standing<'v>, _: &Sprayed<'v>) -> Option<Fact> {
        Some(Fact::Words("sprayed"))
    }

    fn held_against(&self) -> &'static str {
        "laid up"
    }
}
