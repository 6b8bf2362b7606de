//! Meter tests made ready: the first as found, the last as left, and each correction of the factor.

use super::assumed;
use super::correction::{corrected_at, correction};
use super::instrument::{Bench, Used, rectangular_at_two_ends, rectangular_step};
use super::shown::{Shown, ShownSteps};
use super::stages::Stages;
use crate::figure::primitive::{PrimitiveId, What};
use crate::outcome::Step;
use crate::quantity::Quantity;
use crate::quantity::dimension::Dimension;
use crate::record::Calibration;
use crate::record::calibration::{KnownBy, MeterTest};
use crate::record::instrument::Purpose;
use crate::source::{Place, Spanned};

/// One meter test.
#[derive(Debug, Clone, Copy)]
pub struct Meter {
    /// Where the test stands.
    pub place: Place,
    /// The volume known by other means.
    pub known: Option<KnownVolume>,
    /// What the console showed.
    pub shown: Option<Shown>,
    /// How long it took.
    pub duration: Option<Shown>,
}

/// A volume known by other means than the meter under test.
#[derive(Debug, Clone, Copy)]
pub struct KnownVolume {
    /// As written.
    pub quantity: Quantity,
    /// The reading: a volume or a weight.
    pub reading: PrimitiveId,
    /// The scale of what it is known by; of the jug where it is known from the catch.
    pub scale: PrimitiveId,
    /// The density that makes a volume of a weight, here or before it was written down.
    pub density: Option<PrimitiveId>,
    /// By which means it is known.
    pub known_by: Option<KnownBy>,
    /// Where it stands.
    pub place: Place,
}

/// A correction of the flow factor.
#[derive(Debug, Clone, Copy)]
pub struct MeterFactor {
    /// The test that asked for it.
    pub meter: Meter,
    /// The factor during the test.
    pub before: Shown,
    /// The factor as left.
    pub after: Shown,
}

pub(super) fn stages(
    bench: &mut Bench<'_>,
    calibration: &Calibration,
    not_tested_again: &mut Vec<(Step, Place)>,
) -> (Stages<Meter>, Vec<(u16, MeterFactor)>) {
    let tests = &calibration.meter_tests;
    let meters: Vec<Meter> = tests.iter().map(|test| meter(bench, test)).collect();
    let factors = (0_u16..)
        .zip(tests)
        .zip(&meters)
        .filter_map(|((index, test), &meter)| {
            let (before, after) = correction(bench, test.factor.as_ref())?;
            let factor = MeterFactor {
                meter,
                before,
                after,
            };
            Some((index, factor))
        })
        .collect();
    let corrected_last = tests
        .last()
        .and_then(|test| corrected_at(test.factor.as_ref()));
    if let Some(span) = corrected_last {
        not_tested_again.push((Step::Flow, bench.place(span)));
    }
    (Stages::of(meters, corrected_last.is_some()), factors)
}

fn meter(bench: &mut Bench<'_>, test: &MeterTest) -> Meter {
    Meter {
        place: bench.place(test.span),
        known: test.known_volume.as_ref().map(|volume| {
            let known_by = test.known_by.map(|known_by| known_by.value);
            known_volume(bench, test, volume, known_by)
        }),
        shown: test
            .shown
            .as_ref()
            .map(|shown| bench.shown(shown, &ShownSteps::default())),
        duration: test.duration.as_ref().map(|duration| bench.timed(duration)),
    }
}

impl Bench<'_> {
    /// The standard uncertainty of a volume between two marks of a tank, and the scale of its marks.
    fn tank_marks(
        &mut self,
        named: Option<&Spanned<String>>,
        volume: &Quantity,
    ) -> (f64, PrimitiveId) {
        let marks = self
            .used(Purpose::TankMarks, named)
            .of_its_own("tank marks");
        let mark = marks.read_to(volume);
        let mark = mark.unwrap_or_else(|| assumed::TANK_MARK.size.max(volume.resolution()));
        let scale = self.scale(What::KnownVolumeScale, &marks, &assumed::TANK_MARKS);
        (rectangular_at_two_ends(mark / 2.0), scale)
    }
}

fn known_volume(
    bench: &mut Bench<'_>,
    test: &MeterTest,
    volume: &Spanned<Quantity>,
    known_by: Option<KnownBy>,
) -> KnownVolume {
    let is_weight = volume.value.dimension() == Dimension::MASS;
    let digit = volume.value.resolution();
    let step = |used: &Used<'_>| {
        let step = used.read_to(&volume.value).unwrap_or(digit);
        rectangular_step(step)
    };
    let means = known_by.unwrap_or(if is_weight {
        KnownBy::Weighed
    } else {
        KnownBy::FillMeter
    });
    let (uncertainty, scale) = match means {
        KnownBy::Catch => {
            let jug = bench.used(Purpose::Jug, None);
            let scale = bench.scale(What::JugScale, &jug, &assumed::JUG);
            (rectangular_step(digit), scale)
        }
        // Nobody weighs a tank on what a jug is weighed on, unless the record says so.
        KnownBy::Weighed => {
            let scale = bench.used(Purpose::Scale, test.scale.as_ref());
            let scale = scale.of_its_own("the scale of the known volume");
            let factor = bench.scale(What::ScaleScale, &scale, &assumed::SCALE);
            (step(&scale), factor)
        }
        KnownBy::TankMarks => bench.tank_marks(test.tank_marks.as_ref(), &volume.value),
        KnownBy::FillMeter => {
            let meter = bench.used(Purpose::FillMeter, test.fill_meter.as_ref());
            let factor = bench.scale(What::KnownVolumeScale, &meter, &assumed::FILL_METER);
            (step(&meter), factor)
        }
    };
    let is_of_weight = is_weight || means == KnownBy::Weighed;
    let place = bench.place(volume.span);
    KnownVolume {
        quantity: volume.value,
        reading: bench.primitives.written(
            What::KnownVolumeReading,
            volume.value,
            uncertainty,
            place,
        ),
        scale,
        density: is_of_weight.then(|| bench.density_of_water()),
        known_by,
        place,
    }
}
