//! The rate that an application put down: volume over area.

use super::measured::Measured;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::form::{Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::standing::{Standing, StateStratum};
use crate::outcome::Key;

/// The figure.
pub(crate) struct RateApplied;

static ABOUT: About = About {
    id: "rate-applied",
    title: "the rate an application put down",
    formula: "volume / area",
    source: "by definition",
    shown_as: ShownAs::Measured,
    family: Family::Record,
    step: None,
    cases: &[],
};

impl Figure for RateApplied {
    type Stratum = StateStratum;
    type Evidence<'v> = Measured<'v>;

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, standing: &'v Standing<'v>) -> Vec<Member<Measured<'v>>> {
        let measured = standing.sprayings.iter().filter_map(Measured::of);
        measured
            .map(|one| {
                let key = Key {
                    record: Some(one.spraying.application.file),
                    setup: one.spraying.setup.map(|(index, _)| index),
                    ..Key::of_machine(standing.subject.index)
                };
                Member::new(key, one, one.volume.reading.place)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, standing: &'v Standing<'v>, one: &Measured<'v>) -> Option<N> {
        let volume: N = one.volume(standing);
        Some(volume.over(&one.area(standing)))
    }

    fn units<'v>(&self, _: &'v Standing<'v>, one: &Measured<'v>) -> Units {
        (Some(one.rate.quantity.unit), None)
    }
}
