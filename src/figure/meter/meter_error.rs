//! How far the flow meter is off a volume known by other means.

use super::known_volume::MeterRead;
use crate::fact::Fact;
use crate::figure::about::{About, COMPUTED_FACTOR, Family, ShownAs};
use crate::figure::factor::asked_for::{asked_for, computed};
use crate::figure::factor::console_factor::ConsoleFactor;
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{ReadingsStratum, Visit};
use crate::outcome::{Part, Step};
use crate::record::calibration::KnownBy;
use crate::working::Working;

/// The figure.
pub(crate) struct MeterError;

static ABOUT: About = About {
    id: "meter-error",
    title: "how far the volume the console shows is off the known volume",
    formula: "shown / known - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Flow),
    cases: &[],
};

impl Figure for MeterError {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = MeterRead;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("correction", |visit, read| {
            if read.is_known_doubted(visit) {
                return Some(Fact::Words(
                    "check the known volume first, because the catch agrees with the console and not with it",
                ));
            }
            let both = read.shown_and_known::<f64>(visit);
            Some(asked_for(
                visit,
                ConsoleFactor::Flow,
                both,
                read.shown.place,
            ))
        }),
        (COMPUTED_FACTOR, |visit, read| {
            if read.is_known_doubted(visit) {
                return None;
            }
            let both = read.shown_and_known::<f64>(visit);
            computed(visit, ConsoleFactor::Flow, both, read.shown.place)
        }),
        ("shown", |_, read| Some(Fact::Written(read.shown.quantity))),
        ("known", |_, read| Some(Fact::Written(read.known.quantity))),
    ];

    fn about(&self) -> &About {
        &ABOUT
    }

    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<MeterRead>> {
        visit
            .flow
            .each()
            .map(|(stage, meter)| {
                let key = visit.key(Step::Flow, Some(stage), Part::Whole);
                if let Some(read) = MeterRead::of(meter) {
                    return Member::new(key, read, read.shown.place).against(read.known.place);
                }
                let because = match meter.known {
                    None => "the meter test has no `known-volume`",
                    Some(_) => "the meter test has no `shown`",
                };
                Member::unavailable(key, because, Some(meter.place), meter.place)
            })
            .collect()
    }

    fn value<'v, N: Number>(&self, visit: &'v Visit<'v>, read: &MeterRead) -> Option<N> {
        let (shown, known) = read.shown_and_known::<N>(visit);
        Some(shown.off(&known))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, read: &MeterRead) -> Option<Working> {
        let by = Fact::Words(read.known.known_by.map_or("known", KnownBy::words));
        let shown = read.shown.as_written();
        let shown = shown.shown_as(|shown| Fact::phrase("{} shown", [shown]));
        let known = read.known.as_written(visit);
        let known = known.shown_as(|known| Fact::phrase("{} by {}", [known, by]));
        Some(Working::deviation(shown.off(known)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, read: &MeterRead) -> Option<Fact> {
        Some(Fact::Written(read.shown.quantity))
    }

    fn held_against(&self) -> &'static str {
        "known"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, read: &MeterRead) -> Units {
        let (shown, known) = (read.shown.quantity.unit, read.known.quantity.unit);
        (Some(shown), Some(known))
    }
}
