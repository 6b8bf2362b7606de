//! How far a volume known otherwise is off what the catch says has passed.

use crate::fact::Fact;
use crate::figure::about::{About, Family, ShownAs};
use crate::figure::catch::flows::Flows;
use crate::figure::form::{FactOf, Figure, Units};
use crate::figure::member::Member;
use crate::figure::number::Number;
use crate::figure::visit::{Catch, KnownVolume, Meter, ReadingsStratum, Shown, Visit};
use crate::outcome::{Stage, Step};
use crate::quantity::dimension::Dimension;
use crate::record::calibration::KnownBy;
use crate::working::{Expression, Working};

/// The figure, of volumes known otherwise or of those known from the catch.
pub(crate) struct KnownOffCatch {
    is_by_catch: bool,
}

/// Of volumes known otherwise: whether two ways to measure agree.
pub(crate) static KNOWN_OFF_CATCH: KnownOffCatch = KnownOffCatch { is_by_catch: false };

/// Of volumes known from the catch: whether they were worked out from the catch of this visit, and rightly.
pub(crate) static WORKED_OUT_OFF_CATCH: KnownOffCatch = KnownOffCatch { is_by_catch: true };

static ABOUT: About = About {
    id: "known-off-catch",
    title: "how far a volume known by fill meter, weight or tank marks is off the catch's flow times the time",
    formula: "known / (sum(q) x duration) - 1",
    source: "by definition",
    shown_as: ShownAs::Percent,
    family: Family::Test,
    step: Some(Step::Flow),
    cases: &[],
};

static ABOUT_WORKED_OUT: About = About {
    id: "worked-out-off-catch",
    title: "how far a volume known from the catch is off the catch's flow times the time",
    ..ABOUT
};

/// A known volume, beside what passes by the catch in the same time.
pub(crate) struct KnownAndCaught<'v> {
    known: KnownVolume,
    duration: Shown,
    catch: &'v Catch,
}

impl<'v> KnownAndCaught<'v> {
    /// Only where the test has a time and a volume that is known in the way wanted.
    fn of(meter: &Meter, catch: &'v Catch, wants_by_catch: bool) -> Option<Self> {
        let known = meter.known?;
        let is_by_catch = known.known_by? == KnownBy::Catch;
        let duration = meter.duration?;
        (is_by_catch == wants_by_catch).then_some(Self {
            known,
            duration,
            catch,
        })
    }

    /// What the boom passes by the catch in the time of the test.
    fn passed<N: Number>(&self, visit: &Visit<'_>) -> Option<N> {
        let boom_flow = N::sum(Flows::<N>::of(visit, self.catch).of_boom()?);
        Some(boom_flow.times(&N::input(&visit.primitives, self.duration.id)))
    }

    /// The same as the known volume was read: in its unit, a weight where it was weighed.
    fn by_catch(&self, visit: &Visit<'_>) -> Option<Fact> {
        let mut amount: f64 = self.passed(visit)?;
        if let Some(density) = self.known.density
            && self.known.quantity.dimension() == Dimension::MASS
        {
            amount *= f64::input(&visit.primitives, density);
        }
        Some(Fact::computed(amount, self.known.quantity.unit))
    }
}

impl Figure for KnownOffCatch {
    type Stratum = ReadingsStratum;
    type Evidence<'v> = KnownAndCaught<'v>;

    const SLOTS: &'static [(&'static str, FactOf<Self>)] = &[
        ("by-catch", |visit, compared| compared.by_catch(visit)),
        ("known", |_, compared| {
            Some(Fact::Written(compared.known.quantity))
        }),
    ];

    fn about(&self) -> &About {
        if self.is_by_catch {
            &ABOUT_WORKED_OUT
        } else {
            &ABOUT
        }
    }

    /// No member without a catch of every nozzle to compare with.
    ///
    /// Spraying out is done with the boom as left, so the catch as left is the one compared.
    fn members<'v>(&self, visit: &'v Visit<'v>) -> Vec<Member<KnownAndCaught<'v>>> {
        let Some(catch) = visit.catch.at(Stage::AsLeft) else {
            return Vec::new();
        };
        let flows = Flows::<f64>::of(visit, catch);
        if flows.of_boom().is_none() || flows.passing().next().is_none() {
            return Vec::new();
        }
        let tests = visit.flow.each();
        tests
            .filter_map(|(stage, meter)| {
                let compared = KnownAndCaught::of(meter, catch, self.is_by_catch)?;
                let (key, place) = (visit.key_of_steps(stage), compared.known.place);
                Some(Member::new(key, compared, place).against(catch.place))
            })
            .collect()
    }

    fn value<'v, N: Number>(
        &self,
        visit: &'v Visit<'v>,
        compared: &KnownAndCaught<'v>,
    ) -> Option<N> {
        let known: N = compared.known.volume(visit);
        Some(known.off(&compared.passed(visit)?))
    }

    fn working<'v>(&self, visit: &'v Visit<'v>, compared: &KnownAndCaught<'v>) -> Option<Working> {
        let known = compared.known.as_written(visit);
        let duration = Fact::Written(compared.duration.quantity);
        let passed = Fact::phrase("{} caught in {}", [compared.by_catch(visit)?, duration]);
        let passed = Expression::number(compared.passed(visit)?, passed);
        Some(Working::deviation(known.off(passed)))
    }

    fn read<'v>(&self, _: &'v Visit<'v>, compared: &KnownAndCaught<'v>) -> Option<Fact> {
        Some(Fact::Written(compared.known.quantity))
    }

    fn held_against(&self) -> &'static str {
        "caught here"
    }

    fn units<'v>(&self, _: &'v Visit<'v>, compared: &KnownAndCaught<'v>) -> Units {
        let known = compared.known.quantity.unit;
        (Some(known), compared.catch.caught_in())
    }
}
