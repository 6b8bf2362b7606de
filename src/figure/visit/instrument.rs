//! Type B uncertainties: what an instrument lets a reading be worth (JCGM 100:2008, 4.3).

use crate::figure::primitive::{PrimitiveId, Primitives, What};
use crate::quantity::Quantity;
use crate::record::Fleet;
use crate::record::fleet::{Instrument, TapeClass};
use crate::source::{FileId, Place, Span, Spanned};
use std::collections::BTreeMap;

/// The root of three: a half width of a rectangular distribution over it is its standard uncertainty.
const ROOT_3: f64 = 1.732_050_807_568_877_2;

/// Standard uncertainty of a value anywhere within `half_width` of the reading.
pub(super) fn rectangular(half_width: f64) -> f64 {
    half_width / ROOT_3
}

/// Standard uncertainty of a reading to the nearest step.
pub(super) fn rectangular_step(step: f64) -> f64 {
    rectangular(step / 2.0)
}

/// Starting and stopping a watch by hand, in seconds (American Journal of Physics 87 (2019) 110).
pub(super) const TIMING_BY_HAND: f64 = 0.10;
/// Half width of a jug's scale error until it is checked by weighing (our choice).
pub(super) const JUG_TOLERANCE: f64 = 0.01;
/// Half width of a refill meter's scale error (our choice).
pub(super) const REFILL_METER_TOLERANCE: f64 = 0.01;
/// Half width of a scale's error (our choice).
pub(super) const SCALE_TOLERANCE: f64 = 0.005;
/// Half width of the error of an undeclared flow instrument (our choice).
pub(super) const FLOW_TOLERANCE: f64 = 0.02;
/// An undeclared gauge: class 2.5 of EN 837-1 on a span of 10 bar, in pascals.
pub(super) const GAUGE_HALF_WIDTH: f64 = 0.025 * 1.0e6;
/// From mark to mark of an undeclared tank: 1 US gallon, in cubic metres.
pub(super) const TANK_MARK: f64 = 0.003_785_411_784;
/// Half width of the density of water about 1 g/mL: from 0 to 31 degrees Celsius it lies between
/// 0.9953 and 1.0000 g/mL (computed from memory).
pub(super) const WATER_DENSITY_TOLERANCE: f64 = 0.005;
/// Stopping on a mark, half width at each end, in metres (our choice).
pub(super) const ON_THE_MARK: f64 = 0.1;

/// The instruments of a visit; a shared instrument is one source of error.
pub(super) struct Bench<'a> {
    fleet: Option<&'a Fleet>,
    file: FileId,
    pub(super) primitives: Primitives,
    shared: BTreeMap<(What, Option<String>), PrimitiveId>,
}

/// An instrument a reading was made with.
pub(super) struct Used<'a> {
    /// Its name; an undeclared one has none.
    pub(super) name: Option<String>,
    /// Where the fleet declares it.
    pub(super) declared: Option<(&'a Instrument, Place)>,
}

impl<'a> Bench<'a> {
    pub(super) fn new(fleet: Option<&'a Fleet>, file: FileId) -> Self {
        Self {
            fleet,
            file,
            primitives: Primitives::for_a_visit(),
            shared: BTreeMap::new(),
        }
    }

    pub(super) fn place(&self, span: Span) -> Place {
        Place {
            file: self.file,
            span,
        }
    }

    /// The instrument a record names, else the fleet's usual one for the purpose.
    pub(super) fn used(&self, purpose: &str, named: Option<&Spanned<String>>) -> Used<'a> {
        let name = named.map(|name| &name.value).or_else(|| {
            let usual = self.fleet?.usual.get(purpose)?;
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
    pub(super) fn shared(
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
    pub(super) fn scale(&mut self, what: What, used: &Used<'_>, otherwise: f64) -> PrimitiveId {
        let tolerance = used.tolerance().unwrap_or(otherwise);
        self.shared(what, used, |primitives, place| {
            primitives.factor(what, rectangular(tolerance), place)
        })
    }

    /// A value taken as declared: exact, but with a place to point at.
    pub(super) fn declared(&mut self, quantity: Quantity, place: Place) -> PrimitiveId {
        self.primitives
            .written(What::Declared, quantity, 0.0, place)
    }
}

impl Used<'_> {
    /// One the fleet file has no place for.
    pub(super) const fn undeclared() -> Self {
        Self {
            name: None,
            declared: None,
        }
    }

    /// Its declared tolerance, as a ratio.
    pub(super) fn tolerance(&self) -> Option<f64> {
        let (instrument, _) = self.declared?;
        Some(instrument.tolerance.as_ref()?.value.si())
    }

    /// Its declared step from mark to mark, in SI units of the reading's dimension.
    pub(super) fn graduation(&self, of: &Quantity) -> Option<f64> {
        let (instrument, _) = self.declared?;
        let graduation = &instrument.graduation.as_ref()?.value;
        (graduation.dimension() == of.dimension()).then(|| graduation.si())
    }

    /// The standard uncertainty of one timing with it, in seconds.
    pub(super) fn timing(&self) -> f64 {
        self.declared
            .and_then(|(instrument, _)| instrument.timing.as_ref())
            .map_or(TIMING_BY_HAND, |timing| timing.value.si())
    }

    /// Half width of a tape's relative error over a length in metres; class II where none is declared.
    ///
    /// Class I 0.1 mm and 0.1 mm a metre, II 0.3 and 0.2, III 0.6 and 0.4 (Directive 2014/32/EU, annex
    /// X, chapter I; I and III from memory).
    pub(super) fn tape_tolerance(&self, length: f64) -> f64 {
        let declared = self
            .declared
            .and_then(|(instrument, _)| instrument.tape_class);
        let (at_once, by_metre) = match declared.map_or(TapeClass::Two, |class| class.value) {
            TapeClass::One => (0.0001, 0.0001),
            TapeClass::Two => (0.0003, 0.0002),
            TapeClass::Three => (0.0006, 0.0004),
        };
        by_metre + at_once / length
    }

    /// Half width of a gauge's error, in pascals: its class in percent of its span.
    pub(super) fn gauge_half_width(&self) -> f64 {
        self.declared
            .and_then(|(instrument, _)| {
                let span = instrument.span_of_scale.as_ref()?.value.si();
                let class = instrument.class.as_ref()?.value.to_f64();
                Some(span * class / 100.0)
            })
            .unwrap_or(GAUGE_HALF_WIDTH)
    }
}
