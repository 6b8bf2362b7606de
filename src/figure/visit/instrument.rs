//! Type B uncertainties: what an instrument lets a reading be worth (JCGM 100:2008, 4.3).

use super::assumed::{self, Assumed};
use crate::figure::primitive::{PrimitiveId, Primitives, What};
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::Fleet;
use crate::record::instrument::{Instrument, InstrumentKind, Purpose, TapeClass};
use crate::source::{FileId, Place, Placed, Span, Spanned};
use std::collections::BTreeMap;

/// The root of three: a half width of a rectangular distribution over it is its standard uncertainty.
const ROOT_3: f64 = 1.732_050_807_568_877_2;

/// Standard uncertainty of a value anywhere within `half_width` of the reading.
pub(in crate::figure) fn rectangular(half_width: f64) -> f64 {
    half_width / ROOT_3
}

/// Standard uncertainty of a reading to the nearest step.
pub(in crate::figure) fn rectangular_step(step: f64) -> f64 {
    rectangular(step / 2.0)
}

/// Standard uncertainty of two readings to the nearest mark, one at each end.
pub(in crate::figure) fn rectangular_at_two_ends(half_width: f64) -> f64 {
    let end = rectangular(half_width);
    (2.0 * end * end).sqrt()
}

/// The span of an undeclared gauge.
pub(super) fn gauge_span() -> Option<Quantity> {
    Quantity::parse("10 bar", &[Dimension::PRESSURE]).ok()
}

/// Whether an instrument is declared to be less exact than one that nothing is declared of is taken to be.
pub(crate) fn is_worse_than_assumed(instrument: &Instrument) -> bool {
    let kind = instrument.kind.map(|kind| kind.value);
    let tolerance = instrument.tolerance.as_ref().map(|one| one.value.si());
    let assumed = match kind {
        Some(InstrumentKind::Scale) => assumed::SCALE.size,
        Some(InstrumentKind::FillMeter) => assumed::FILL_METER.size,
        Some(InstrumentKind::TankMarks) => assumed::TANK_MARKS.size,
        Some(
            InstrumentKind::Jug
            | InstrumentKind::Stopwatch
            | InstrumentKind::Gauge
            // Of a length there is no default that is a ratio; this one is a jug's.
            | InstrumentKind::MeasuringWheel
            | InstrumentKind::Tape,
        )
        | None => assumed::JUG.size,
    };
    let gauge = || {
        let span = instrument.span_of_scale.as_ref()?.value.si();
        let class = instrument.class.as_ref()?.value.to_f64();
        Some(span * class / 100.0)
    };
    let marks = || {
        let mark = instrument.graduation.as_ref()?.value.si();
        let most = instrument.capacity.as_ref()?.value.si();
        (kind == Some(InstrumentKind::Jug)).then(|| assumed::is_coarse(mark, most))
    };
    let timing = instrument.timing.as_ref().map(|one| one.value.si());
    [
        (tolerance, assumed),
        (gauge(), assumed::GAUGE.size),
        (timing, assumed::TIMING.size),
    ]
    .into_iter()
    .any(|(declared, assumed)| declared.is_some_and(|declared| declared > assumed))
        || marks() == Some(true)
        || instrument
            .tape_class
            .is_some_and(|class| class.value == TapeClass::Three)
}

/// The instruments of a visit; a shared instrument is one source of error.
pub(in crate::figure) struct Bench<'a> {
    fleet: Option<&'a Fleet>,
    file: FileId,
    pub(in crate::figure) primitives: Primitives,
    shared: BTreeMap<(What, Option<String>), PrimitiveId>,
}

/// An instrument a reading was made with.
pub(in crate::figure) struct Used<'a> {
    /// Its name; an undeclared one has none.
    pub(in crate::figure) name: Option<String>,
    /// Where the fleet declares it.
    pub(in crate::figure) declared: Option<(&'a Instrument, Place)>,
}

impl<'a> Bench<'a> {
    /// Water at working temperature, 1 g/mL: shared by all that is weighed in a visit.
    pub(super) fn density_of_water(&mut self) -> PrimitiveId {
        self.shared(What::Density, &Used::undeclared(), |primitives, _| {
            primitives.water(rectangular(assumed::WATER.size))
        })
    }

    pub(in crate::figure) fn new(fleet: Option<&'a Fleet>, file: FileId) -> Self {
        Self {
            fleet,
            file,
            primitives: Primitives::for_a_visit(),
            shared: BTreeMap::new(),
        }
    }

    /// From here on places are in another file.
    pub(in crate::figure) fn turn_to(&mut self, file: FileId) {
        self.file = file;
    }

    pub(in crate::figure) fn place(&self, span: Span) -> Place {
        Place {
            file: self.file,
            span,
        }
    }

    /// The instrument a record names, else the fleet's usual one for the purpose.
    pub(in crate::figure) fn used(
        &self,
        purpose: Purpose,
        named: Option<&Spanned<String>>,
    ) -> Used<'a> {
        let name = named.map(|name| &name.value).or_else(|| {
            let usual = self.fleet?.usual.get(&purpose)?;
            Some(&usual.value)
        });
        let declared = self.fleet.zip(name).and_then(|(fleet, name)| {
            let instrument = fleet.instruments.get(name)?;
            let place = Place {
                file: fleet.file,
                span: instrument.span,
            };
            Some((instrument, place))
        });
        Used {
            name: name.cloned(),
            declared,
        }
    }

    /// The one error source that all readings made with an instrument share.
    pub(in crate::figure) fn shared(
        &mut self,
        what: What,
        used: &Used<'_>,
        make: impl FnOnce(&mut Primitives, Option<Place>) -> PrimitiveId,
    ) -> PrimitiveId {
        let by = (what, used.name.clone());
        if let Some(&id) = self.shared.get(&by) {
            return id;
        }
        let place = used.declared.map(|(_, place)| place);
        let id = make(&mut self.primitives, place);
        self.shared.insert(by, id);
        id
    }

    /// The scale factor of an instrument: one, within its tolerance.
    pub(in crate::figure) fn scale(
        &mut self,
        what: What,
        used: &Used<'_>,
        otherwise: &Assumed,
    ) -> PrimitiveId {
        self.scale_within(what, used, otherwise.size)
    }

    /// The same, with what its tolerance is where none is declared.
    pub(in crate::figure) fn scale_within(
        &mut self,
        what: What,
        used: &Used<'_>,
        otherwise: f64,
    ) -> PrimitiveId {
        let tolerance = used.tolerance().unwrap_or(otherwise);
        self.shared(what, used, |primitives, place| {
            primitives.factor(what, rectangular(tolerance), place)
        })
    }

    /// A value taken as declared: exact, but with a place to point at.
    pub(in crate::figure) fn declared(&mut self, quantity: Quantity, place: Place) -> PrimitiveId {
        self.primitives
            .written(What::Declared, quantity, 0.0, place)
    }
}

impl<'a> Used<'a> {
    /// The same; where nobody names it, one of its own for this use.
    ///
    /// What reads a volume in one place and another in another place are not known to be one instrument:
    /// taken for one, their errors would cancel.
    #[must_use]
    pub(in crate::figure) fn of_its_own(self, used_for: &str) -> Used<'a> {
        let name = self.name.unwrap_or_else(|| used_for.to_owned());
        Used {
            name: Some(name),
            declared: self.declared,
        }
    }

    /// One the fleet file has no place for.
    pub(in crate::figure) const fn undeclared() -> Self {
        Self {
            name: None,
            declared: None,
        }
    }

    /// Something that is no instrument of the fleet and is shared under a name.
    pub(in crate::figure) fn called(name: String) -> Self {
        Self {
            name: Some(name),
            declared: None,
        }
    }

    /// Its declared tolerance, as a ratio.
    pub(in crate::figure) fn tolerance(&self) -> Option<f64> {
        let (instrument, _) = self.declared?;
        Some(instrument.tolerance.as_ref()?.value.si())
    }

    /// The step a quantity was read to, in SI units: the declared one from mark to mark, or that of the last digit that
    /// was written where it is coarser; none where no marks are declared of its dimension.
    pub(in crate::figure) fn read_to(&self, of: &Quantity) -> Option<f64> {
        let (instrument, _) = self.declared?;
        let graduation = &instrument.graduation.as_ref()?.value;
        let is_of_it = graduation.dimension() == of.dimension();
        is_of_it.then(|| graduation.si().max(of.resolution()))
    }

    /// The standard uncertainty of one timing with it, in seconds.
    pub(in crate::figure) fn timing(&self) -> f64 {
        self.declared
            .and_then(|(instrument, _)| instrument.timing.as_ref())
            .map_or(assumed::TIMING.size, |timing| timing.value.si())
    }

    /// Half width of a tape's relative error over a length in meters; class II where none is declared.
    ///
    /// Class I 0.1 mm and 0.1 mm a meter, II 0.3 and 0.2, III 0.6 and 0.4 (Directive 2014/32/EU, annex
    /// X, chapter I; I and III from memory).
    pub(in crate::figure) fn tape_tolerance(&self, length: f64) -> f64 {
        let declared = self
            .declared
            .and_then(|(instrument, _)| instrument.tape_class);
        let (at_once, by_meter) = match declared.map_or(TapeClass::Two, |class| class.value) {
            TapeClass::One => (0.0001, 0.0001),
            TapeClass::Two => (assumed::TAPE_AT_ONCE.size, assumed::TAPE_BY_METER.size),
            TapeClass::Three => (0.0006, 0.0004),
        };
        by_meter + at_once / length
    }

    /// The most it holds, where that is declared.
    pub(super) fn capacity(&self) -> Option<Placed<Quantity>> {
        self.bound(|instrument| instrument.capacity)
    }

    /// Its full scale, where that is declared.
    pub(super) fn span(&self) -> Option<Placed<Quantity>> {
        self.bound(|instrument| instrument.span_of_scale)
    }

    fn bound(
        &self,
        of: impl Fn(&Instrument) -> Option<Spanned<Quantity>>,
    ) -> Option<Placed<Quantity>> {
        let (instrument, declared) = self.declared?;
        Some(of(instrument)?.in_file(declared.file))
    }

    /// Half width of a gauge's error, in pascals: its class in percent of its span.
    pub(in crate::figure) fn gauge_half_width(&self) -> f64 {
        self.declared
            .and_then(|(instrument, _)| {
                let span = instrument.span_of_scale.as_ref()?.value.si();
                let class = instrument.class.as_ref()?.value.to_f64();
                Some(span * class / 100.0)
            })
            .unwrap_or(assumed::GAUGE.size)
    }
}
